"""Where slip surfaces are searched: levels that circles reach, planes and ends of sliding blocks."""

from numpy import arctan, maximum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare as _

_("n_ctr", "n_{ctr}", "-", 0, "number of centres of slip circles in each direction of the first grid")
_("n_lev", "n_{lev}", "-", 0, "number of levels of the lowest point of slip circles in the first grid")
_("n_sl", "n_{sl}", "-", 0, "number of slices of a slip surface")
_("n_wid", "n_{wid}", "-", 0, "times that the grid is widened while the minimum lies on its edge, at most")
_("t_min", "t_{min}", "m", 2, "least depth of the deepest point of a slip circle below the surface")
_("t_ent", "t_{ent}", "m", 2, "depth below the ground level that a deep-seated circle reaches at least")
_("z_ent", "z_{ent}", "m", 3, "level that the lowest point of a deep-seated circle reaches at least")
_("n_near", "n_{near}", "-", 0, "number of values in each direction of the grid around a circle known")
_("r_near", "r_{near}", "-", 2, "half the width of the grid around a circle known, over its radius")
_("r_fin", "r_{fin}", "-", 3, "share of the spacing of the first grid at which the finer steps end")
_("n_val", "n_{val}", "-", 0, "number of local minima of the first grid that finer steps follow, besides one a level")
_("eps_F", "ε_F", "-", -1, "change of the over-design factor at which its iteration ends")
_("n_ctri", "n_{ctr,i}", "-", 0, "number of centres in each direction, circles within the fill")
_("n_levi", "n_{lev,i}", "-", 0, "number of levels of the lowest point, circles within the fill")
_("n_widi", "n_{wid,i}", "-", 0, "times that the grid is widened at most, circles within the fill")
_("z_ini", "z_{ini}", "m", 3, "highest level of the lowest point of circles within the fill")
_("n_blk", "n_{blk}", "-", 0, "number of places of each end of a sliding block in the first grid")
_("n_fin", "n_{fin}", "-", 0, "number of finer grids around the least block")
_("n_wed", "n_{wed}", "-", 0, "number of pairs of wedges that a finer grid keeps")
_("beta_act", "β_{act}", "rad", 0, "inclination of the slip plane of the active wedge", shown="deg")
_("beta_pas", "β_{pas}", "rad", 0, "inclination of the slip plane of the passive wedge", shown="deg")
_("t_blk", "t_{blk}", "m", 2, "distance of a plane of sliding from top or bottom of the soft layer")
_("r_crest", "r_{crest}", "-", 2, "share of the crest from its edge in which the active wedge of a block ends")
_("r_out", "r_{out}", "-", 2, "share of the ground beside the toe in which the passive wedge of a block may begin")
_("z_lb", "z_{l,b}", "m", 3, "level of the bottom of the layer")
_("z_blt", "z_{bl,t}", "m", 3, "level of the plane of sliding at the top of the layer")
_("z_blb", "z_{bl,b}", "m", 3, "level of the plane of sliding at the bottom of the layer")
_("z_blr", "z_{bl,r}", "m", 3, "level of the plane of sliding on the layer of reinforcement")
_("delta_sl", "δ_{sl}", "rad", 2, "friction angle of the plane of sliding on the layer of reinforcement", shown="deg")
_("x_inl", "x_{in,l}", "m", 3, "innermost end of the active wedge of a block that slides to the left")
_("x_inr", "x_{in,r}", "m", 3, "innermost end of the active wedge of a block that slides to the right")
_("x_outl", "x_{out,l}", "m", 3, "outermost place of the passive wedge of a block that slides to the left")
_("x_outr", "x_{out,r}", "m", 3, "outermost place of the passive wedge of a block that slides to the right")

LEVELS = Source("project rule: which levels slip surfaces are searched at", evidence="derived")
ENDS = Source("project rule: where the ends of sliding blocks are searched", evidence="derived")
FRICTION = Source("Coulomb friction at the faces of the layer", evidence="derived")


@formula("z_ent", source=LEVELS)
def level_of_entry(z_g, t_ent):
    """Level that the lowest point of a deep-seated circle reaches at least."""
    return z_g - t_ent


@formula("z_ini", source=LEVELS)
def highest_level_within_fill(z_cst, t_min):
    """Highest level of the lowest point of circles within the fill."""
    return z_cst - t_min


@formula("z_blt", source=LEVELS)
def plane_at_top(z_lt, t_blk):
    """Level of the plane of sliding at the top of the layer."""
    return z_lt - t_blk


@formula("z_blb", source=LEVELS)
def plane_at_bottom(z_lb, t_blk):
    """Level of the plane of sliding at the bottom of the layer."""
    return z_lb + t_blk


@formula("z_blr", source=LEVELS)
def plane_on_reinforcement(z_rk, z_g, t_blk):
    """Level of the plane of sliding on the layer of reinforcement, above the ground."""
    return maximum(z_rk, z_g + t_blk)


@formula("delta_sl", source=FRICTION)
def friction_angle_on_layer(mu_sl):
    """Friction angle of the plane of sliding on the layer of reinforcement."""
    return arctan(mu_sl)


@formula("x_inl", source=ENDS)
def left_innermost_end(x_el, r_crest, x_er):
    """Innermost end of the active wedge of a block that slides to the left."""
    return x_el + r_crest * (x_er - x_el)


@formula("x_inr", source=ENDS)
def right_innermost_end(x_er, r_crest, x_el):
    """Innermost end of the active wedge of a block that slides to the right."""
    return x_er - r_crest * (x_er - x_el)


@formula("x_outl", source=ENDS)
def left_outermost_end(x_tl, r_out, b_bes):
    """Outermost place of the passive wedge of a block that slides to the left."""
    return x_tl - r_out * b_bes


@formula("x_outr", source=ENDS)
def right_outermost_end(x_tr, r_out, b_bes):
    """Outermost place of the passive wedge of a block that slides to the right."""
    return x_tr + r_out * b_bes

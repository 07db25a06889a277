"""Places of the cross-section: x is 0 on the axis of the crest and grows to the right, levels are elevations."""

from numpy import maximum, minimum

from calc.engine.formula import Source, formula
from calc.engine.symbols import declare
from calc.engine.symbols import declare as _

_("H_st", "H_{st}", "m", 3, "height of fill and working platform over the ground in this stage")
_("H_fin", "H_{fin}", "m", 3, "height of fill and working platform over the ground in the final state")
_("z_cst", "z_{C,st}", "m", 3, "level of the crest in this stage")
_("x_el", "x_{e,l}", "m", 3, "place of the left crest edge in this stage")
_("x_er", "x_{e,r}", "m", 3, "place of the right crest edge in this stage")
_("b_bes", "b_{bes}", "m", 3, "width of the ground considered beyond the toe of a slope")
_("x_gl", "x_{g,l}", "m", 3, "left side of the ground considered")
_("x_gr", "x_{g,r}", "m", 3, "right side of the ground considered")

_("h_Bl", "h_{B,l}", "m", 3, "height of the left berm above platform or ground")
_("b_Bl", "b_{B,l}", "m", 3, "width of the top of the left berm")
_("n_Bl", "n_{B,l}", "-", 2, "run of the slope of the left berm")
_("z_Bl", "z_{B,l}", "m", 3, "level of the top of the left berm")
_("z_Br", "z_{B,r}", "m", 3, "level of the top of the right berm")
_("x_kl", "x_{k,l}", "m", 3, "place where the top of the left berm meets the side slope")
_("x_kr", "x_{k,r}", "m", 3, "place where the top of the right berm meets the side slope")
_("x_ol", "x_{o,l}", "m", 3, "place of the outer edge of the left berm")
_("x_or", "x_{o,r}", "m", 3, "place of the outer edge of the right berm")
_("x_ul", "x_{u,l}", "m", 3, "place of the toe of the left berm")
_("x_ur", "x_{u,r}", "m", 3, "place of the toe of the right berm")
_("i_Bl", "i_{B,l}", "-", 0, "the left berm is there at the end of this stage (1) or not (0)")
_("i_Br", "i_{B,r}", "-", 0, "the right berm is there at the end of this stage (1) or not (0)")
_("h_B2l", "h_{B2,l}", "m", 3, "height of the lower berm on the left above platform or ground")
_("h_B2r", "h_{B2,r}", "m", 3, "height of the lower berm on the right above platform or ground")
_("b_B2l", "b_{B2,l}", "m", 3, "width of the top of the lower berm on the left")
_("b_B2r", "b_{B2,r}", "m", 3, "width of the top of the lower berm on the right")
_("n_B2l", "n_{B2,l}", "-", 2, "run of the slope of the lower berm on the left")
_("n_B2r", "n_{B2,r}", "-", 2, "run of the slope of the lower berm on the right")
_("z_B2l", "z_{B2,l}", "m", 3, "level of the top of the lower berm on the left")
_("z_B2r", "z_{B2,r}", "m", 3, "level of the top of the lower berm on the right")
_("x_k2l", "x_{k2,l}", "m", 3, "place where the top of the lower berm on the left meets the slope above it")
_("x_k2r", "x_{k2,r}", "m", 3, "place where the top of the lower berm on the right meets the slope above it")
_("x_o2l", "x_{o2,l}", "m", 3, "place of the outer edge of the lower berm on the left")
_("x_o2r", "x_{o2,r}", "m", 3, "place of the outer edge of the lower berm on the right")
_("x_u2l", "x_{u2,l}", "m", 3, "place of the toe of the lower berm on the left")
_("x_u2r", "x_{u2,r}", "m", 3, "place of the toe of the lower berm on the right")
_("A_B1l", "A_{B1,l}", "m^2", 3, "area of the left berm beside the side slope, without its lower berm")
_("A_B1r", "A_{B1,r}", "m^2", 3, "area of the right berm beside the side slope, without its lower berm")
_("A_B2l", "A_{B2,l}", "m^2", 3, "area of the lower berm on the left beside the slope above it")
_("A_B2r", "A_{B2,r}", "m^2", 3, "area of the lower berm on the right beside the slope above it")
for _step in range(3, 7):
    for _end, _side in (("l", "left"), ("r", "right")):
        _at, _of = f"{_step}{_end}", f"step {_step} of the berm on the {_side}"
        declare(f"h_B{_at}", f"h_{{B{_step},{_end}}}", "m", 3, f"height of {_of} above platform or ground")
        declare(f"b_B{_at}", f"b_{{B{_step},{_end}}}", "m", 3, f"width of the top of {_of}")
        declare(f"n_B{_at}", f"n_{{B{_step},{_end}}}", "-", 2, f"run of the slope of {_of}")
        declare(f"z_B{_at}", f"z_{{B{_step},{_end}}}", "m", 3, f"level of the top of {_of}")
        declare(f"x_k{_at}", f"x_{{k{_step},{_end}}}", "m", 3, f"place where the top of {_of} meets the slope above it")
        declare(f"x_o{_at}", f"x_{{o{_step},{_end}}}", "m", 3, f"place of the outer edge of {_of}")
        declare(f"x_u{_at}", f"x_{{u{_step},{_end}}}", "m", 3, f"place of the toe of {_of}")
        declare(f"A_B{_at}", f"A_{{B{_step},{_end}}}", "m^2", 3, f"area of {_of} beside the slope above it")
        declare(f"A_Bs{_at}", f"A_{{B≤{_step - 1},{_end}}}", "m^2", 3,
                f"area of the berm on the {_side} down to its step {_step - 1}, beside the side slope")  # fmt: skip
_("h_B", "h_B", "m", 3, "height of the berm above platform or ground")
_("i_B", "i_B", "-", 0, "the berm is there at the end of this stage (1) or not (0)")

SECTION = Source("plane geometry of the cross-section; the toes of the slopes stay where the final ones are", "derived")
LOOKED_AT = Source(
    "project rule: beside the toes of the slopes three times the height from the crest to the column toes, beside the "
    "outermost columns once",
    evidence="derived",
)


@formula("z_P", source=SECTION)
def platform_level(z_g, t_P):
    """Level of the top of the working platform, or of the ground without one."""
    return z_g + t_P


@formula("H_st", source=SECTION)
def height_over_ground(H, t_P):
    """Height of fill and working platform over the ground."""
    return H + t_P


@formula("z_cst", source=SECTION)
def crest_of_stage(z_g, H_st):
    """Level of the crest in this stage."""
    return z_g + H_st


@formula("z_firm", source=SECTION)
def bearing_layer_level(z_g, t_soft):
    """Level of the top of the bearing layer."""
    return z_g - t_soft


@formula("z_toe", source=SECTION)
def toe_level(z_firm, t_emb):
    """Level of the toes of the columns."""
    return z_firm - t_emb


@formula("x_tl", source=SECTION)
def left_toe(b_K, n_L, H_fin):
    """Place of the toe of the left slope."""
    return -b_K / 2 - n_L * H_fin


@formula("x_tr", source=SECTION)
def right_toe(b_K, n_R, H_fin):
    """Place of the toe of the right slope."""
    return b_K / 2 + n_R * H_fin


@formula("x_el", source=SECTION)
def left_crest_edge(x_tl, n_L, H_st):
    """Place of the left crest edge in this stage."""
    return x_tl + n_L * H_st


@formula("x_er", source=SECTION)
def right_crest_edge(x_tr, n_R, H_st):
    """Place of the right crest edge in this stage."""
    return x_tr - n_R * H_st


@formula("x_cl", source=SECTION)
def left_columns(b_K, b_gl):
    """Place of the outermost columns on the left."""
    return -b_K / 2 - b_gl


@formula("x_cr", source=SECTION)
def right_columns(b_K, b_gr):
    """Place of the outermost columns on the right."""
    return b_K / 2 + b_gr


@formula("b_bes", source=LOOKED_AT)
def width_beside(z_cst, z_toe):
    """Width of the ground considered beyond the toe of a slope."""
    return 3 * (z_cst - z_toe)


@formula("x_gl", source=LOOKED_AT)
def left_side(x_tl, x_cl, b_bes):
    """Left side of the ground considered."""
    return minimum(x_tl - b_bes, x_cl - b_bes / 3)


@formula("x_gr", source=LOOKED_AT)
def right_side(x_tr, x_cr, b_bes):
    """Right side of the ground considered."""
    return maximum(x_tr + b_bes, x_cr + b_bes / 3)


@formula("z_Bl", source=SECTION)
def top_of_left_berm(z_P, h_Bl):
    """Level of the top of the left berm."""
    return z_P + h_Bl


@formula("x_kl", source=SECTION)
def inner_end_of_left_berm(x_tl, n_L, h_Bl, t_P):
    """Place where the top of the left berm meets the side slope."""
    return x_tl + n_L * (h_Bl + t_P)


@formula("x_ol", source=SECTION)
def edge_of_left_berm(x_kl, b_Bl):
    """Place of the outer edge of the left berm."""
    return x_kl - b_Bl


@formula("x_ul", source=SECTION)
def toe_of_left_berm(x_ol, n_Bl, h_Bl, t_P):
    """Place of the toe of the left berm."""
    return x_ol - n_Bl * (h_Bl + t_P)


@formula("A_Bl", source=SECTION)
def area_of_left_berm(i_Bl, b_Bl, h_Bl, t_P, n_Bl, n_L):
    """Area of the left berm beside the side slope, from the ground up."""
    return i_Bl * (b_Bl * (h_Bl + t_P) + (n_Bl - n_L) * (h_Bl + t_P) ** 2 / 2)


@formula("z_Br", source=SECTION)
def top_of_right_berm(z_P, h_Br):
    """Level of the top of the right berm."""
    return z_P + h_Br


@formula("x_kr", source=SECTION)
def inner_end_of_right_berm(x_tr, n_R, h_Br, t_P):
    """Place where the top of the right berm meets the side slope."""
    return x_tr - n_R * (h_Br + t_P)


@formula("x_or", source=SECTION)
def edge_of_right_berm(x_kr, b_Br):
    """Place of the outer edge of the right berm."""
    return x_kr + b_Br


@formula("x_ur", source=SECTION)
def toe_of_right_berm(x_or, n_Br, h_Br, t_P):
    """Place of the toe of the right berm."""
    return x_or + n_Br * (h_Br + t_P)


@formula("A_Br", source=SECTION)
def area_of_right_berm(i_Br, b_Br, h_Br, t_P, n_Br, n_R):
    """Area of the right berm beside the side slope, from the ground up."""
    return i_Br * (b_Br * (h_Br + t_P) + (n_Br - n_R) * (h_Br + t_P) ** 2 / 2)


@formula("A_Bl", source=SECTION)
def area_of_both_berms(A_B1l, A_B2l):
    """Area of a berm with its lower berm beside the side slope, from the ground up."""
    return A_B1l + A_B2l


@formula("H_B", source=SECTION)
def height_of_berm(i_B, h_B):
    """Height of the berm in this stage."""
    return i_B * h_B

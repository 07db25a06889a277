"""The berms beside the side slopes: their places and areas, a lower berm as one beside the slope of the berm above."""

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.engine.sheet import Scope
from calc.formulas import places as pl
from calc.inputs import Section
from calc.inputs.tables.embankment import Berm, LowerBerm

BERM_STEPS = {
    "left": (pl.top_of_left_berm, pl.inner_end_of_left_berm, pl.edge_of_left_berm, pl.toe_of_left_berm,
             pl.area_of_left_berm),
    "right": (pl.top_of_right_berm, pl.inner_end_of_right_berm, pl.edge_of_right_berm, pl.toe_of_right_berm,
              pl.area_of_right_berm),
}  # fmt: skip
OF_A_BERM = ("h_B", "b_B", "n_B")
BERM_PLACES = ("x_u", "x_o", "x_k", "z_B")


def record_berm(scope: Scope, berm_scope: Scope, section: Section, side: str, berm: Berm) -> None:
    """Record a berm, which is there from the end of its stage on, with its area; its places with the other places."""
    path, end, slope = f"embankment.berm_{side}", side[0], f"n_{side[0].upper()}"
    names = [f"{name}{end}" for name in OF_A_BERM]
    for name, key in zip(names, ("height", "width", "slope"), strict=True):
        given_of_section(berm_scope, name, section, f"{path}.{key}", getattr(berm, key))
    first = [stage.name for stage in section.stages].index(berm.stage)
    there = [0.0, *(float(k >= first) for k in range(len(section.stages)))]
    berm_scope.given(f"i_B{end}", there, ["stage"], origin=origin_of(section, f"{path}.stage"))
    given_of_section(
        berm_scope, slope, section, f"embankment.slope_{side}", getattr(section.embankment, f"slope_{side}")
    )
    for name in names:
        scope.take(name, berm_scope[name])
    *places, area = BERM_STEPS[side]
    for step in places:
        scope(step)
    if len(berm.steps) == 1:
        berm_scope(area)
        return
    own, more, both = f"A_B1{end}", f"A_B2{end}", f"A_B{end}"
    berm_scope(area, **{both: own})
    _lower_berm(scope, berm_scope, section, side, berm.steps[-1])
    berm_scope(pl.area_of_both_berms, A_Bl=both, A_B1l=own, A_B2l=more)


def _lower_berm(scope: Scope, berm_scope: Scope, section: Section, side: str, lower: Berm | LowerBerm) -> None:
    """Record the lower berm beside the slope of a berm, as that one beside the side slope."""
    path, end = f"embankment.berm_{side}.lower", side[0]
    # The berm above stands in the place of the bank: its toe and its slope in that of the side slope.
    own = {f"x_t{end}": f"x_u{end}", f"n_{end.upper()}": f"n_B{end}"}
    own |= {f"h_B{end}": f"h_B2{end}", f"b_B{end}": f"b_B2{end}", f"n_B{end}": f"n_B2{end}", f"A_B{end}": f"A_B2{end}"}
    own |= {f"x_u{end}": f"x_u2{end}", f"x_o{end}": f"x_o2{end}", f"x_k{end}": f"x_k2{end}", f"z_B{end}": f"z_B2{end}"}
    for name, key in zip(OF_A_BERM, ("height", "width", "slope"), strict=True):
        symbol = own[f"{name}{end}"]
        given_of_section(berm_scope, symbol, section, f"{path}.{key}", getattr(lower, key))
        scope.take(symbol, berm_scope[symbol])
    *places, area = BERM_STEPS[side]
    for where, steps in ((scope, places), (berm_scope, [area])):
        for step in steps:
            renamed = {name: own[name] for name in (step.symbol, *step.arguments) if name in own}
            where(step, **renamed)

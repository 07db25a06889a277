"""The berms beside the side slopes: their places and areas, a lower step as one beside the slope of the step above."""

from collections.abc import Iterator

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.engine.sheet import Scope
from calc.formulas import places as pl
from calc.inputs import Section
from calc.inputs.tables.embankment import Berm

BERM_STEPS = {
    "left": (pl.top_of_left_berm, pl.inner_end_of_left_berm, pl.edge_of_left_berm, pl.toe_of_left_berm,
             pl.area_of_left_berm),
    "right": (pl.top_of_right_berm, pl.inner_end_of_right_berm, pl.edge_of_right_berm, pl.toe_of_right_berm,
              pl.area_of_right_berm),
}  # fmt: skip
OF_A_BERM = ("h_B", "b_B", "n_B")
BERM_PLACES = ("x_u", "x_o", "x_k", "z_B")
STEPS = {"l": ("l", "2l", "3l", "4l", "5l", "6l"), "r": ("r", "2r", "3r", "4r", "5r", "6r")}
"""Endings of the symbols of every step of a side, from the bank outwards."""


def record_berm(scope: Scope, berm_scope: Scope, section: Section, side: str, berm: Berm) -> None:
    """Record a berm, which is there from the end of its stage on, with its area; its places with the other places."""
    end, slope = side[0], f"n_{side[0].upper()}"
    names = list(_give_step(berm_scope, section, side, 0))
    first = [stage.name for stage in section.stages].index(berm.stage)
    there = [0.0, *(float(k >= first) for k in range(len(section.stages)))]
    # The last stage has every berm: where one comes late, its lines would print nothing else than zeros before.
    berm_scope.sheet.leads[berm_scope.name] = {"stage": berm_scope.sheet.axes["stage"][-1]}
    berm_scope.given(f"i_B{end}", there, ["stage"], origin=origin_of(section, f"embankment.berm_{side}.stage"))
    given_of_section(
        berm_scope, slope, section, f"embankment.slope_{side}", getattr(section.embankment, f"slope_{side}")
    )
    for name in names:
        scope.take(name, berm_scope[name])
    *places, area = BERM_STEPS[side]
    for step in places:
        scope(step)
    last, both = len(berm.steps), f"A_B{end}"
    if last == 1:
        berm_scope(area)
        return
    so_far = f"A_B1{end}"
    berm_scope(area, **{both: so_far})
    for place, at in enumerate(STEPS[end][1:last], 1):
        _lower_step(scope, berm_scope, section, side, place)
        whole = both if place == last - 1 else f"A_Bs{STEPS[end][place + 1]}"
        berm_scope(pl.area_of_both_berms, A_Bl=whole, A_B1l=so_far, A_B2l=f"A_B{at}")
        so_far = whole


def _give_step(berm_scope: Scope, section: Section, side: str, place: int) -> Iterator[str]:
    """Give height, width and slope of a step, one symbol after the other."""
    step, path = section.embankment.berms[side].steps[place], section.embankment.path_of_step(side, place)
    for name, key in zip(OF_A_BERM, ("height", "width", "slope"), strict=True):
        symbol = f"{name}{STEPS[side[0]][place]}"
        given_of_section(berm_scope, symbol, section, f"{path}.{key}", getattr(step, key))
        yield symbol


def _lower_step(scope: Scope, berm_scope: Scope, section: Section, side: str, place: int) -> None:
    """Record a lower step beside the slope of the one above it, as the berm beside the side slope."""
    end = side[0]
    above, at = STEPS[end][place - 1 : place + 1]
    # The step above stands in the place of the bank: its toe and its slope in that of the side slope.
    own = {f"x_t{end}": f"x_u{above}", f"n_{end.upper()}": f"n_B{above}"}
    own |= {f"h_B{end}": f"h_B{at}", f"b_B{end}": f"b_B{at}", f"n_B{end}": f"n_B{at}", f"A_B{end}": f"A_B{at}"}
    own |= {f"x_u{end}": f"x_u{at}", f"x_o{end}": f"x_o{at}", f"x_k{end}": f"x_k{at}", f"z_B{end}": f"z_B{at}"}
    for name in _give_step(berm_scope, section, side, place):
        scope.take(name, berm_scope[name])
    *places, area = BERM_STEPS[side]
    for where, steps in ((scope, places), (berm_scope, [area])):
        for step in steps:
            renamed = {name: own[name] for name in (step.symbol, *step.arguments) if name in own}
            where(step, **renamed)

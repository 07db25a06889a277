"""The soft ground under a berm and beyond it, which bears the berm without columns and without gain.

The berm itself is no counterweight in this chapter: extrusion under the side slope, bearing of the soft ground and the
edge of the columns are verified as without it. What it loads the ground with is verified here.
"""

from typing import NamedTuple

from calc.chapters.bearing.loads import stages_at_rest, strength
from calc.chapters.bearing.soft import growing
from calc.chapters.bearing.wedge import driving, without_columns
from calc.chapters.bearing.wedge_reach import holds
from calc.chapters.shared.berms import STEPS
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import BERMS
from calc.chapters.shared.soft_ground import Side
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import squeezing as sq
from calc.formulas.bearing import design_soft_ground_pressure
from calc.formulas.column_field import edge_pressure, equivalent_height, factored_unit_weight
from calc.formulas.places import height_of_berm
from calc.formulas.squeezing import width_of_berm
from calc.formulas.stage_pressure import embankment_pressure, pressure_of_plant
from calc.inputs import Section
from calc.inputs.tables.embankment import MOST_STEPS

say = words_of(__name__)

NOT_YET = say("not-yet")


class Part(NamedTuple):
    """A berm or a lower step of it: before its keys, its place from the bank outwards, its titles."""

    before: str
    place: int
    bearing: str
    extrusion: str


OWN = Part("", 0, say("bearing"), say("extrusion"))
LOWER = Part("lower_", 1, say("bearing-lower"), say("extrusion-lower"))
FURTHER = tuple(
    Part(f"step_{k + 1}_", k, say("bearing-step", number=str(k + 1)), say("extrusion-step", number=str(k + 1)))
    for k in range(2, MOST_STEPS)
)


def berm(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Bearing of the soft ground under the berm, and its extrusion under the slope of the berm; under lower ones too.

    No step counts for another: each is verified as if its slope went down to the ground.
    """
    for part in (OWN, LOWER, *FURTHER)[: len(side.berm.steps) if side.berm else 0]:
        _verify(sheet, section, done, side, part)
    if side.berm is not None:
        sheet.limitation("berm", say("limitation-berm"), "project rule ◇")


def _verify(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, part: Part) -> None:
    bearing = _bearing(sheet, section, done, side, part)
    edge = _edge(sheet, section, done, side, part)
    there = [label for label, valid in zip(bearing["i_B"].labels("stage"), bearing["i_B"].valid, strict=True) if valid]
    rest = [label for label in there if label in stages_at_rest(sheet, section)]
    for key, title, effect, resistance, stages in (
        ("berm_bearing", part.bearing, bearing["p_e"], bearing["q_ud"], rest),
        ("berm_extrusion", part.extrusion, edge[driving(edge)], edge["p_Rxd"], there),
    ):
        held = resistance.at(stage=stages) if "stage" in resistance.axis_names else resistance
        words = f"{title}, {side.words}"
        sheet.verdict(f"{part.before}{key}{side.ending}", words, effect=effect.at(stage=stages), resistance=held)


def _berm(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, part: Part, name: str, title: str
) -> Scope:  # fmt: skip
    """A scope with height, pressure and strength, in the stages that have the berm."""
    scope = sheet.scope(f"{part.before}{name}{side.ending}", f"{title}, {side.words}")
    places = done["columns"].scopes[BERMS]
    there = places[f"i_B{side.end}"]
    scope.take("i_B", there.without(there.array < 1, NOT_YET))
    scope.take("h_B", places[f"h_B{STEPS[side.end][part.place]}"])
    if "gamma_Ex" in scope:
        scope(factored_unit_weight, gamma_E="gamma_Ex")
    else:
        scope(factored_unit_weight)
    scope(height_of_berm)
    scope(equivalent_height, H="H_B")
    scope(pressure_of_plant)
    strength(scope, gain=False)
    assert side.berm is not None  # noqa: S101 - asked before
    path = section.embankment.path_of_step(side.berm_side, part.place)
    given_of_section(scope, "n_S", section, f"{path}.slope", side.berm.steps[part.place].slope)
    return scope


def _bearing(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, part: Part) -> Scope:
    scope = _berm(sheet, section, done, side, part, "berm_bearing", part.bearing)
    scope.take("b_B", done["columns"].scopes[BERMS][f"b_B{STEPS[side.end][part.place]}"])
    scope(edge_pressure, H_e="H_q", p_cr="p_np")
    scope(width_of_berm)
    growing(scope, "B_B", "c_u0e", "q_u")
    scope(design_soft_ground_pressure)
    return scope


def _edge(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, part: Part) -> Scope:
    scope = _berm(sheet, section, done, side, part, "berm_edge", part.extrusion)
    scope.given("q_st", 0.0, origin=Origin("project rule", text=say("no-traffic")))
    scope(embankment_pressure, gamma_E="gamma_Ed", H="H_q", q="q_st")
    scope.given("b_gs", 0.0, origin=Origin("project rule", text=say("no-columns")))
    scope(sq.slope_length, H="H_q")
    scope(sq.block_length_in_field, b_g="b_gs")
    scope(sq.block_length_beyond_field)
    if holds(section):
        scope.given("L_t", 0.0, origin=Origin("project rule", text=say("no-layer")))
    else:
        scope.take("L_t", scope["L_S"], note=say("whole-slope"))
    without_columns(scope)
    return scope

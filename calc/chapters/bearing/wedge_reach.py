"""How far reinforcement lies over the extruding wedge: only there its shear holds the ground back at the top."""

from collections.abc import Sequence

import numpy as np

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.geometry import at_edge, place_of, profile
from calc.chapters.shared.mats import ACROSS
from calc.chapters.shared.soft_ground import Side, slope
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import squeezing as sq
from calc.formulas.column_field import equivalent_height
from calc.inputs import Section

say = words_of(__name__)

END = "layer_end_"  # scopes of the ends of single layers, which stand on no line
NOT_LAID = say("no-reinforcement-across-lies-yet")
NO_ANCHORAGE = say("no-anchorage")


def layers_in_fill(section: Section, done: dict[str, Sheet], stage: str) -> list[int]:
    """Places in the project file of the layers across that lie within the fill of a stage, by its label."""
    crest = profile(done["columns"], stage).crest
    return [k for k, mat in enumerate(section.reinforcement) if mat.direction in ACROSS and above(crest, mat.level)]


def reach(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side) -> None:
    """Distance from the toe of the slope to the reinforcement: in every stage of the layer that ends first."""
    present = [[], *(layers_in_fill(section, done, stage) for stage in sheet.axes["stage"][1:])]
    if not holds(section) or not any(present):
        return
    ends = {k: _end(sheet, section, done, side, k) for k in sorted({k for indices in present for k in indices})}
    scope = sheet.scope(f"reach{side.ending}", say("scope-reach-title", side_words=side.words))
    at_edge(scope, side.ending)
    first = [max(indices, key=lambda k: ends[k]) if indices else None for indices in present]
    note = "; ".join(dict.fromkeys(section.reinforcement[k].name for k in first if k is not None))
    level = _value_by_stage(scope, section, "z_Re", first, "level", note)
    _value_by_stage(scope, section, "L_b", first, "anchorage.length", note)
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    _extent(scope, section, side)
    slope(scope, section, side)
    height = scope(equivalent_height)
    scope.take("H_GF", height.at(stage=height.labels("stage")[-1]))
    missing = np.array([k is None for k in first])
    scope(sq.height_of_layer_over_ground, z_Re=level.without(missing, NOT_LAID))
    scope(sq.toe_without_reinforcement)


def held_top(scope: Scope, section: Section, side: Side, run: str = "L_S") -> None:
    """Length along which shear acts at the top: below reinforcement where that holds it, else the whole slope.

    ``run`` is the symbol of the length of the wedge: inward of the crest edge shear that is held back does not count.
    """
    if not holds(section):
        scope.take("L_t", scope[run], note=say("take-l-t-note"))
        return
    earlier = scope.sheet.scopes.get(f"reach{side.ending}")
    if earlier is None:
        scope.given("L_t", 0.0, origin=Origin("project rule", text=say("rule-l-t")))
        return
    scope.take("x_R", earlier["x_R"])
    covered = scope(sq.length_below_reinforcement, L_S="L_ws" if run == "L_w" else run)
    scope.otherwise("L_t", covered, 0.0, title=say("held-top-title"), note=say("otherwise-l-t-note"))


def holds(section: Section) -> bool:
    """Whether shear that the reinforcement holds back at the top is counted."""
    return bool(section.column_field and section.column_field.hold_top)


def _beyond(section: Section, place: int) -> float:
    anchorage = section.reinforcement[place].anchorage
    return anchorage.length if anchorage else 0.0


def _extent(scope: Scope, section: Section, side: Side) -> None:
    if side.extent is None:
        scope.given("b_g", 0.0, origin=Origin("project rule", text=say("rule-b-g")))
    else:
        given_of_section(scope, "b_g", section, side.extent_path, side.extent)


def _end(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, place: int) -> float:
    """Distance in m from the toe of the final slope to the end of a layer, recorded for each of them."""
    name = section.reinforcement[place].name
    scope = sheet.scope(f"{END}{place}{side.ending}", say("scope-end-title", name=name, side_words=side.words))
    given_of_section(scope, "z_Re", section, f"reinforcement.{place}.level", section.reinforcement[place].level)
    if section.reinforcement[place].anchorage is None:
        scope.given("L_b", 0.0, origin=Origin("project rule", text=NO_ANCHORAGE))
    else:
        path = f"reinforcement.{place}.anchorage.length"
        given_of_section(scope, "L_b", section, path, _beyond(section, place))
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    _extent(scope, section, side)
    slope(scope, section, side)
    falls = section.embankment.lower
    height = place_of(done["columns"], f"H_st{side.end}" if falls else "H_st")
    scope.take("H_GF", height.at(stage=height.labels("stage")[-1]))
    scope(sq.height_of_layer_over_ground)
    return float(scope(sq.toe_without_reinforcement).array)


def _value_by_stage(
    scope: Scope, section: Section, name: str, places: Sequence[int | None], path: str, note: str
) -> Value:  # fmt: skip
    """One value a stage, of the layer that ends first there; 0 where none lies."""
    values, origins = [], []
    for k in places:
        if k is None or (path == "anchorage.length" and section.reinforcement[k].anchorage is None):
            values.append(0.0)
            origins.append(Origin("project rule", text=NOT_LAID if k is None else NO_ANCHORAGE))
        else:
            values.append(_beyond(section, k) if path == "anchorage.length" else section.reinforcement[k].level)
            origins.append(origin_of(section, f"reinforcement.{k}.{path}"))
    return scope.given(name, values, ["stage"], origin=origins, origin_axis="stage", note=note)

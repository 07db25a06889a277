"""Heave and lateral displacement while columns displace the ground: balance, one column, all columns superposed."""

import numpy as np

from calc.chapters.neighbours.judge import Question, judge
from calc.chapters.shared.column_zones import largest_of_grids, zone_sheets
from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.missing import not_given
from calc.engine.sheet import Origin, Scope, Sheet, number_text
from calc.engine.words import words_of
from calc.formulas.installation import (
    FIELD,
    displaced_volume,
    displacing_length,
    distance_from_far_edge,
    distance_from_near_edge,
    field_displacement,
    field_heave,
    largest_displacement_at_edge,
    largest_heave_inside,
    least_displacement_at_edge,
    least_heave_inside,
    plane_displacement,
    surface_displacement,
    surface_heave,
    width_of_displacing_field,
)
from calc.inputs import Section
from calc.inputs.tables.neighbours import Neighbours

say = words_of(__name__)

HEAVE = Question("neighbour_heave", say("heave"), "heave_max", "u_zm")
LATERAL = Question("neighbour_lateral", say("lateral"), "lateral_max", "u_xm")
AT_A_PLACE = (
    distance_from_near_edge, distance_from_far_edge, surface_displacement, field_displacement, surface_heave,
    field_heave,
)  # fmt: skip
INSIDE, BESIDE, CURVE = "balance", "displacement", "distances"  # scopes
DRAWN = 14  # places of the curves
LEAST_REACH = 30.0  # m


def displacement(sheet: Sheet, section: Section, neighbours: Neighbours, done: dict[str, Sheet]) -> None:
    """From the nearest column alone to all of them; what is passed by all passes, what one exceeds fails."""
    if section.columns.installation != "displacement":
        for question in (HEAVE, LATERAL):
            sheet.not_applicable(question.key, question.title, say("excavated"))
        sheet.limitation("neighbour-excavation", say("limitation-excavation"), "project rule")
        return
    sheet.take("r_c", done["columns"]["r_c"])
    zones = [zone.done["columns"]["a_E"] for zone in zone_sheets(section, done)]
    largest_of_grids(sheet, "a_E", done["columns"]["a_E"], zones)
    for name in ("t_soft", "t_emb"):
        sheet.take(name, done["columns"][name])
    sheet(displacing_length)
    sheet(width_of_displacing_field)
    _inside(sheet, section, neighbours)
    scope = sheet.scope(BESIDE, say("scope-title"))
    for step in AT_A_PLACE:
        scope(step)
    scope(plane_displacement)
    judge(scope, section, neighbours.neighbours, HEAVE, scope["u_z1"], scope["u_zF"])
    judge(scope, section, neighbours.neighbours, LATERAL, scope["u_r1"], scope["u_xF"])
    _curve(sheet, max(LEAST_REACH, 1.25 * float(sheet["r_N"].array.max())), float(sheet["a_x"].array))
    sheet.limitation("neighbour-superposition", say("limitation-superposition"), FIELD.citation)
    sheet.limitation("neighbour-remoulded", say("limitation-remoulded"), "project rule")


def _inside(sheet: Sheet, section: Section, neighbours: Neighbours) -> None:
    """Heave inside the field and displacement at its edge, by the share of the volume that comes up inside."""
    key, title = "heave_inside", say("inside")
    share = neighbours.heave_share
    if share is None:
        sheet.not_verified(key, title, not_given(say("missing-share")), required=False)
        return
    scope = sheet.scope(INSIDE, say("scope-inside"))
    given_of_section(scope, "eta_l", section, "neighbours.heave_share.low", share.low)
    given_of_section(scope, "eta_u", section, "neighbours.heave_share.high", share.high)
    for step in (
        displaced_volume, least_heave_inside, largest_heave_inside, least_displacement_at_edge,
        largest_displacement_at_edge,
    ):  # fmt: skip
        scope(step)
    low, high = (_millimetres(scope, name) for name in ("u_hl", "u_hu"))
    near, far = (_millimetres(scope, name) for name in ("u_el", "u_eu"))
    note = say("inside-words", low=low, high=high, near=near, far=far, source=share.source)
    sheet.not_verified(key, title, note, required=False, informs=True)


def _millimetres(scope: Scope, name: str) -> str:
    return number_text(1000 * float(scope[name].array), 0)


def _curve(sheet: Sheet, reach: float, nearest: float) -> None:
    """The same at some distances, for the figure."""
    distances = np.unique(np.round(np.geomspace(max(nearest, 1.0), reach, DRAWN), 1)).tolist()
    sheet.axis("point", [f"{distance:g} m" for distance in distances])
    scope = sheet.scope(CURVE, say("scope-curve"))
    scope.given("r_N", distances, ["point"], origin=Origin("project rule", text=say("drawn")))
    for step in AT_A_PLACE:
        scope(step)

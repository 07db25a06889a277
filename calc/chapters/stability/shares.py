"""Stress shares of soil and columns in every state of the ground, with the gain of strength that belongs to them."""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import CELL_RATIO, GIVEN_RATIO, at_labels
from calc.chapters.shared.positions import bounded_across, of_positions
from calc.chapters.shared.soft_ground import missing_strength
from calc.chapters.stability.states import END_CELL, LIFT, LIFT_CELL
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.extrusion import column_share_of_lift
from calc.formulas.overall_stability import fill_pressure_before, soil_share_under_new_lift
from calc.formulas.shear_parameters import column_stress_share, soil_stress_share
from calc.inputs import Section

say = words_of(__name__)

NOT_PLACED = say("nothing-is-placed")


def record_shares(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Shares and gain while a lift is placed, and by the stress ratio of the cell."""
    sheet.take("Dc_u", at_labels(done["bearing"]["Dc_u"], ratio=GIVEN_RATIO))
    _new_lift(sheet.scope(*LIFT.shares), section, done, GIVEN_RATIO)
    _shares_by_cell(sheet, section, done)


def shares_of_zone(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Stress shares and gain of strength of a zone of the columns in every state, for the slip surfaces."""
    if section.slip is None or missing_strength(section):
        return
    record_shares(sheet, section, done)


def _new_lift(scope: Scope, section: Section, done: dict[str, Sheet], ratio: str) -> None:
    """Stress shares of the fill while a lift is placed, from the loads under it in the chapter on bearing.

    Where layers change their thickness the shares of the soil are the largest of all positions.
    """
    lift, others = done["bearing"].scopes["soft_lift"], of_positions(section, done, "bearing").values()
    for name in ("mu_sb", "p_Eb", "gamma_Q", "q_qb", "mu_L", "p_nf", "p_Mb"):
        value = at_labels(lift[name], ratio=ratio)
        if name == "mu_L" or (name == "mu_sb" and ratio == CELL_RATIO):
            every = [value, *(at_labels(other.scopes["soft_lift"][name], ratio=ratio) for other in others)]
            title = say("reading-mu-l-title") if name == "mu_L" else say("reading-mu-sb-title")
            bounded_across(scope, section, name, np.max, every, title)
            continue
        scope.take(name, value.without(_idle(lift, value), NOT_PLACED) if name == "p_nf" else value)
    scope(fill_pressure_before)
    scope(soil_share_under_new_lift)
    scope(column_share_of_lift, mu_cn="mu_cL", mu_L="mu_sL")


def _idle(lift: Scope, like: Value) -> NDArray[np.bool_]:
    """Where nothing is placed."""
    placed = at_labels(lift["p_n"], ratio=GIVEN_RATIO)
    idle = ~placed.valid | ~(placed.array > 0)
    return np.asarray(np.broadcast_to(idle, like.array.shape))


def _shares_by_cell(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Load shares by the stress ratio of the cell, where a gain of strength counts."""
    if "ratio" not in done["bearing"].axes:
        return
    bearings = [done["bearing"], *of_positions(section, done, "bearing").values()]
    ratios, gains = ([bearing[name].at(ratio=CELL_RATIO) for bearing in bearings] for name in ("n_st", "Dc_u"))
    scope = sheet.scope(*END_CELL.shares)
    bounded_across(scope, section, "n_st", np.min, ratios, say("reading-n-st-title"))
    scope(soil_stress_share)
    scope(column_stress_share)
    _new_lift(sheet.scope(*LIFT_CELL.shares), section, done, CELL_RATIO)
    for state in (END_CELL, LIFT_CELL):
        bounded_across(state.of(sheet), section, "Dc_u", np.min, gains, say("reading-dc-u-title"))

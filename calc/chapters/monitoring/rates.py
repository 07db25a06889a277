"""Largest rate of settlement of every stage, undrained strength at its start, over the range of c_h."""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.expected import Known
from calc.chapters.shared.frame import AS_GIVEN, SCENARIOS
from calc.chapters.shared.least import print_largest, print_least
from calc.chapters.shared.programme import Calendar
from calc.engine.sheet import Origin, Scope, Sheet, number_text, stage_name
from calc.engine.words import words_of
from calc.formulas.monitoring import settlement_rate, strength_with_gain

say = words_of(__name__)

Floats = NDArray[np.float64]
DAY = 1.0
POINTS = 41  # begins of a day looked at while a stage is filled, and as many after it
NOTHING = say("nothing-settles")
BY_CELL = "cell_strength"  # scope of the strength by the soil stress of the unit cell, which stands on no line
LEAST_GAIN = 0.005  # kPa: what prints as no difference


def rate_days(known: Calendar) -> Floats:
    """Begins of the days looked at, (stages, days): from the start of a stage until the next one begins."""
    following = [*known.starts[1:], max(known.hand_over, known.ends[-1])]
    rows = []
    for start, end, after in zip(known.starts, known.ends, following, strict=True):
        last = max(start, after - DAY)
        filling = np.linspace(start, min(end, last), POINTS)
        # Behind the end the rate falls, except where the last day of filling reaches into the rest.
        resting = np.minimum(end + np.linspace(-DAY, 3 * DAY, POINTS), last)
        rows.append(np.maximum(np.concatenate([filling, resting]), start))
    return np.array(rows)


def rates(sheet: Sheet, known: Calendar, ground: Known) -> Scope:
    """Record the largest settlement in a day of every stage."""
    scope = sheet.scope("rates", say("scope-rates-title"), scenario=AS_GIVEN)
    days = rate_days(known)
    before, after = (
        ground.settlement_at(at.reshape(-1)).reshape(len(SCENARIOS), *days.shape) for at in (days, days + DAY)
    )
    best = np.argmax(after - before, axis=-1)[..., None]
    empty = np.zeros((len(SCENARIOS), 1))
    first, last = (
        np.concatenate([empty, np.take_along_axis(numbers, best, axis=-1)[..., 0]], axis=1).T
        for numbers in (before, after)
    )
    idle = np.zeros_like(first, dtype=bool)
    idle[0] = True
    note, settled = say("rates-note"), [sheet.scopes["expected"]["s_ob"]]
    axes = ["stage", "scenario"]
    scope.reading("s_va", first, axes, title=say("reading-s-va-title"), inputs=settled, mask=idle, reason=NOTHING,
                  note=note)  # fmt: skip
    scope.reading("s_vb", last, axes, title=say("reading-s-vb-title"), inputs=settled, mask=idle, reason=NOTHING,
                  note=note)  # fmt: skip
    scope.given("t_v", DAY, origin=Origin("project rule", text=say("rule-t-v")))
    print_largest(scope, scope(settlement_rate).at(scenario=AS_GIVEN), "stage")
    return scope


def strength(sheet: Sheet, done: dict[str, Sheet]) -> Scope | None:
    """Record the undrained strength of every sublayer that is expected at the start of every stage.

    It prints at the stage at which consolidation prints the gain, in the weakest sublayer.
    """
    gain, undrained = done["consolidation"].scopes.get("gain"), done["stability"].scopes.get("undrained")
    if undrained is None or gain is None:
        return None
    stage = done["consolidation"].leads["gain"]["stage"]
    scope = sheet.scope("strength", say("scope-strength-title"), stage=stage)
    scope.take("c_u", undrained["c_u"])
    scope.take("Dc_u", gain["Dc_un"], note=say("take-dc-u-note"))
    print_least(scope, scope(strength_with_gain).at(stage=stage), "layer")
    _by_cell(sheet, done)
    counted = done["stability"].scopes["undrained"]["Dc_u"]
    rises = [(label, float(counted.at(stage=label).array)) for label in counted.labels("stage")]
    if any(rise for _, rise in rises):
        words = ", ".join(f"{stage_name(label)} {number_text(rise, 2)} kN/m²" for label, rise in rises if rise)
        sheet.limitation("strength-levels", say("limitation-strength-levels", words=words), "project rule")
    return scope


def _by_cell(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """The same with the gain that the soil stress of the unit cell brings, and where it is less than what is counted.

    The stress ratio expected at the heads is that of the cell: both readings cannot come together.
    """
    known, scope = done["consolidation"].scopes["strength"], sheet.scope(BY_CELL, say("scope-by-cell-title"))
    scope.take("c_u", sheet.scopes["strength"]["c_u"])
    gain = known["Dc_uz"]
    least = gain.smallest("stage", "layer")
    scope.reading("Dc_uz", least.array, least.axis_names, title=say("reading-dc-uz-title"), inputs=[gain])
    scope(strength_with_gain, c_uob="c_uoc", Dc_u="Dc_uz")
    credited, cell = done["stability"].scopes["undrained"]["Dc_u"], known["Dc_uc"]
    less = [
        say(
            "less",
            stage=stage_name(label),
            cell=number_text(float(other), 2),
            counted=number_text(float(counted_gain), 2),
        )
        for label in credited.labels("stage")
        if (counted_gain := float(credited.at(stage=label).array))
        > (other := float(cell.at(stage=label).array)) + LEAST_GAIN
    ]
    if less:
        sheet.limitation("strength-by-cell", say("limitation-strength-by-cell", words=", ".join(less)), "project rule")

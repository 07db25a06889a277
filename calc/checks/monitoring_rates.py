"""Largest rate of settlement of every stage, undrained strength at its start, over the range of c_h."""

import numpy as np
from numpy.typing import NDArray

from calc.checks.frame import AS_GIVEN, COURSES, Frame
from calc.checks.least import print_least
from calc.checks.monitoring_expected import Known
from calc.formulas.monitoring import settlement_rate, strength_with_gain
from calc.inputs import Section
from calc.nomenclature import symbol
from calc.sheet import Origin, Scope, Sheet, Table, TableColumn, number_text

Floats = NDArray[np.float64]
DAY = 1.0
POINTS = 41  # begins of a day looked at while a stage is filled, and as many after it
NOTHING = "nothing settles"


def rate_days(section: Section, hand_over: float) -> Floats:
    """Begins of the days looked at, (stages, days): from the start of a stage until the next one begins."""
    starts = [stage.start for stage in section.stages]
    ends = [stage.start + stage.duration for stage in section.stages]
    following = [*starts[1:], max(hand_over, ends[-1])]
    rows = []
    for start, end, after in zip(starts, ends, following, strict=True):
        last = max(start, after - DAY)
        filling = np.linspace(start, min(end, last), POINTS)
        # Behind the end the rate falls, except where the last day of filling reaches into the rest.
        resting = np.minimum(end + np.linspace(-DAY, 3 * DAY, POINTS), last)
        rows.append(np.maximum(np.concatenate([filling, resting]), start))
    return np.array(rows)


def rates(sheet: Sheet, section: Section, found: Known) -> Scope:
    """Record the largest settlement in a day of every stage."""
    scope = sheet.scope("rates", "Largest rate of settlement of every stage", course=AS_GIVEN)
    days = rate_days(section, found.ground.hand_over)
    before, after = (
        found.settlement_at(at.reshape(-1)).reshape(len(COURSES), *days.shape) for at in (days, days + DAY)
    )
    best = np.argmax(after - before, axis=-1)[..., None]
    empty = np.zeros((len(COURSES), 1))
    first, last = (
        np.concatenate([empty, np.take_along_axis(one, best, axis=-1)[..., 0]], axis=1).T for one in (before, after)
    )
    idle = np.zeros_like(first, dtype=bool)
    idle[0] = True
    note = "the day of the largest settlement between the start of the stage and that of the next"
    axes = ["stage", "course"]
    scope.reading("s_va", first, axes, title="Settlement at the begin of the day", mask=idle, reason=NOTHING, note=note)
    scope.reading("s_vb", last, axes, title="Settlement at the end of the day", mask=idle, reason=NOTHING, note=note)
    scope.given("t_v", DAY, origin=Origin("project rule", text="rates are measured over a day"))
    scope(settlement_rate)
    return scope


def rate_table(scope: Scope, section: Section, shared: Frame) -> Table:
    """The largest rate of every stage beside the levels that the project sets."""
    one = symbol("v_ob")
    head = [TableColumn(words="stage")]
    head += [TableColumn(words=words, unit=one.unit_text) for words in ("low", "expected", "high")]
    head += [TableColumn(words="levels of the settlement rate"), TableColumn(words="levels of the lateral rate")]
    given = section.monitoring.triggers if section.monitoring is not None else ()
    rows = []
    for label, stage in zip(shared.loaded, section.stages, strict=True):
        value = scope["v_ob"].at(stage=label)
        numbers = [float(value.array.min()), value.number({"course": AS_GIVEN}) or 0.0, float(value.array.max())]
        levels = [
            "; ".join(
                f"{trigger.kind} {section.origin(f'monitoring.trigger.{k}.level').text}"
                for k, trigger in enumerate(given)
                if trigger.quantity == quantity and trigger.stage in {None, stage.name}
            )
            for quantity in ("settlement rate", "lateral rate")
        ]
        rows.append(
            [label, *(number_text(n * one.factor, one.decimals) for n in numbers), *(text or "none" for text in levels)]
        )
    note = "Settlement in a day, at the centre. Rates of lateral displacement are not computed."
    return Table("rates", "Largest rate of settlement of every stage", head, rows, note)


def strength(sheet: Sheet, done: dict[str, Sheet]) -> Scope | None:
    """Record the undrained strength of every sublayer that is expected at the start of every stage."""
    gain, undrained = done["consolidation"].scopes.get("gain"), done["stability"].scopes.get("undrained")
    if undrained is None or gain is None:
        return None
    scope = sheet.scope("strength", "Undrained strength expected at the start of every stage")
    scope.take("c_u", undrained["c_u"])
    scope.take(
        "Dc_u", gain["Dc_un"], note="at the stress ratio for stability of the step before, lower end of c_h, mid-slope"
    )
    print_least(scope, scope(strength_with_gain), "layer")
    counted = done["stability"].scopes["undrained"]["Dc_u"]
    rises = [(label, float(counted.at(stage=label).array)) for label in counted.labels("stage")]
    if any(rise for _, rise in rises):
        words = ", ".join(f"{label} {number_text(rise, 2)} kN/m²" for label, rise in rises if rise)
        sheet.limitation(
            "strength-levels",
            "A level of undrained strength is that of the weakest sublayer, of each layer where it is what the design "
            "counts on; what is stronger passes it without any gain. Tests must show at every depth the strength given "
            f"for it plus the gain that is counted: {words}.",
            "project rule",
        )
    return scope

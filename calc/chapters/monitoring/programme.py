"""The programme at a glance: what every stage brings, in one table with the places that it comes from."""

import numpy as np

from calc.chapters.shared.frame import AS_GIVEN, CENTRE, LONG, Frame
from calc.chapters.shared.least import print_least
from calc.engine.sheet import Scope, Sheet, Table, TableColumn, Value, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.monitoring import over_design_factor, pressure_counted_on_soil, strength_with_gain
from calc.inputs import Section

say = words_of(__name__)

NOT_LOOKED_AT = "not considered"
NONE = "–"
STABILITY = "global_stability"


def programme(sheet: Sheet, section: Section, shared: Frame, done: dict[str, Sheet]) -> None:
    """Load, degree, settlement, ring tension, strength and stability of every stage."""
    scope = sheet.scope("programme", say("scope-programme-title"))
    cell = done["unit_cell"].scopes["settlement"]["Dsigma_0"]
    at = {"position": CENTRE, "load": "G+Q", "stiffness": LONG}
    scope.take("Dsigma_0", cell.at(**{axis: label for axis, label in at.items() if axis in cell.axis_names}))
    scope.take("mu_s", done["stability"]["mu_s"])
    scope(pressure_counted_on_soil)
    _strength(scope, done["stability"])
    _stability(scope, done["stability"])
    sheet.tables.append(_table(scope, section, shared, done["consolidation"]))


def _strength(scope: Scope, stability: Sheet) -> None:
    """Undrained strength with the gain that the stage counts on."""
    undrained = stability.scopes.get("undrained")
    if undrained is not None:
        for name in ("c_u", "Dc_u"):
            scope.take(name, undrained[name])
        print_least(scope, scope(strength_with_gain, c_uob="c_ust"), "layer")


def _stability(scope: Scope, stability: Sheet) -> None:
    """The least over-design factor over everything that the chapter on stability verifies in the stage."""
    labels = scope.sheet.axes["stage"]
    largest = np.full(len(labels), -np.inf)
    for verdict in stability.verdicts:
        if verdict.key.startswith(STABILITY) and verdict.utilisations is not None:
            found = verdict.utilisations.largest("stage")
            for k, label in enumerate(found.labels("stage")):
                number = found.number({"stage": label})
                place = labels.index(label)
                largest[place] = max(largest[place], -np.inf if number is None else found.array[k])
    nothing = np.isinf(largest)
    if nothing.all():
        return
    scope.reading(
        "u_st", largest, ["stage"], title=say("reading-u-st-title"), mask=nothing,
        reason=NOT_LOOKED_AT, note=say("reading-u-st-note"),
    )  # fmt: skip
    scope(over_design_factor)


def _table(scope: Scope, section: Section, shared: Frame, consolidation: Sheet) -> Table:
    words = (
        ("stage", ""), ("from day", ""), ("to day", ""), ("load", "Dsigma_0"), ("degree at start", "U_st"),
        ("settlement at end", "s_t"), (say("table-words"), "F_Rt"),
        ("strength at start", "c_ust"), ("gain computed", "Dc_us"), ("over-design factor", "F_od"),
    )  # fmt: skip
    head = [TableColumn(words=one, unit=symbol(name).unit_text if name else "") for one, name in words]
    rows = [
        [
            label, number_text(stage.start, 0), number_text(stage.start + stage.duration, 0),
            value_text(scope["Dsigma_0"], {"stage": label}), *_in_time(consolidation, label),
            _least(scope, "c_ust", label), _of(consolidation.scopes.get("gain"), "Dc_us", label),
            _of(scope, "F_od", label),
        ]
        for label, stage in zip(shared.loaded, section.stages, strict=True)
    ]  # fmt: skip
    note = say("table-note")
    return Table("programme", say("table-programme-title"), head, rows, note)


def _in_time(consolidation: Sheet, label: str) -> list[str]:
    """Degree at the start, settlement and largest ring tension at the end of a stage."""
    if "course" not in consolidation.scopes:
        return [NONE] * 3
    degree = _of(consolidation.scopes["degree"], "U_st", label)
    settled = consolidation.scopes["course"]["s_t"]
    # A state that passes at once, without load of its own, has no end beside its start.
    known = [date for date in (f"end of {label}", f"start of {label}") if date in settled.labels("date")]
    if not known:
        return [degree, NONE, NONE]
    case = {"course": AS_GIVEN, "date": known[0]}
    tension = consolidation.scopes["tension"]["F_Rt"].at(**case).largest()
    return [degree, value_text(settled, case), value_text(tension, {})]


def _of(scope: Scope | None, name: str, label: str) -> str:
    case = {"stage": label, "course": AS_GIVEN}
    if scope is None or name not in scope or scope[name].number(case) is None:
        return NONE
    return value_text(scope[name], case)


def _least(scope: Scope, name: str, label: str) -> str:
    """The least over the sublayers."""
    if name not in scope:
        return NONE
    return value_text(_lowest(scope[name].at(stage=label)), {})


def _lowest(value: Value) -> Value:
    """The case with the least number."""
    case = value.case_at(int(np.argmin(value.array)))
    return value.at(**case)

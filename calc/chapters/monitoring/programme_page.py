"""The table of the programme at a glance: what every stage brings, with the places that it comes from."""

import numpy as np

from calc.chapters.shared.frame import AS_GIVEN, Frame
from calc.chapters.shared.programme import ends_of
from calc.engine.sheet import Scope, Sheet, Table, TableColumn, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of

say = words_of(__name__)

NONE = "–"
LOADED = 4  # columns up to the load, which every stage has


def programme_table(sheet: Sheet, shared: Frame, done: dict[str, Sheet]) -> Table:
    """Load, degree, settlement, ring tension, strength and stability of every stage."""
    consolidation = done["consolidation"]
    scope = sheet.scopes["programme"]
    words = (
        (say("stage"), ""), (say("from-day"), ""), (say("to-day"), ""), (say("load"), "Dsigma_0"),
        (say("degree-at-start"), "U_st"),
        (say("settlement-at-end"), "s_t"), (say("tension-head"), "F_Rt"),
        (say("strength-at-start"), "c_ust"), (say("gain-computed"), "Dc_us"), (say("over-design-factor"), "F_od"),
    )  # fmt: skip
    head = [TableColumn(words=text, unit=symbol(name).unit_text if name else "") for text, name in words]
    rows = [
        [
            label, number_text(start, 0), number_text(end, 0),
            value_text(scope["Dsigma_0"], {"stage": label}), *_in_time(consolidation, label),
            _least(scope, "c_ust", label), _value_cell(consolidation.scopes.get("gain"), "Dc_us", label),
            _value_cell(scope, "F_od", label),
        ]
        for label, start, end in zip(shared.loaded_stages, *ends_of(done), strict=True)
    ]  # fmt: skip
    return Table("programme", say("title"), head, rows, say("note"))


def _in_time(consolidation: Sheet, label: str) -> list[str]:
    """Degree at the start, settlement and largest ring tension at the end of a stage."""
    if "course" not in consolidation.scopes:
        return [NONE] * 3
    degree = _value_cell(consolidation.scopes["degree"], "U_st", label)
    settled = consolidation.scopes["course"]["s_t"]
    # A state that passes at once, without load of its own, has no end beside its start.
    known = [date for date in (f"end of {label}", f"start of {label}") if date in settled.labels("date")]
    if not known:
        return [degree, NONE, NONE]
    case = {"scenario": AS_GIVEN, "date": known[0]}
    tension = consolidation.scopes["tension"]["F_Rt"].at(**case).largest()
    return [degree, value_text(settled, case), value_text(tension, {})]


def _value_cell(scope: Scope | None, name: str, label: str) -> str:
    case = {"stage": label, "scenario": AS_GIVEN}
    if scope is None or name not in scope or scope[name].number(case) is None:
        return NONE
    return value_text(scope[name], case)


def _least(scope: Scope, name: str, label: str) -> str:
    """The least over the sublayers."""
    if name not in scope:
        return NONE
    # The case with the least number.
    value = scope[name].at(stage=label)
    case = value.case_at(int(np.argmin(value.array)))
    return value_text(value.at(**case), {})

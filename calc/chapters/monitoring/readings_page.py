"""Tables and figure of the readings expected: range at every date, rates by stage, cells at the heads, band in time."""

from collections.abc import Sequence

import numpy as np

from calc.chapters.monitoring.expected import Known
from calc.chapters.monitoring.reading_dates import KIND_WORDS, Floats, Reading
from calc.chapters.shared.frame import AS_GIVEN, SCENARIOS, Frame
from calc.chapters.shared.programme import steps_of
from calc.engine.figure import Curve, Level, TimeChart, Track
from calc.engine.sheet import Scope, Sheet, Table, TableColumn, Value, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

SHORT_WORDS = {
    "s_ob": say("settlement"), "U_ob": say("degree"), "u_sen": say("pressure"), "F_ob": say("tension"),
    "eps_ob": say("strain"),
    "sigma_sob": say("on-soil"), "sigma_cob": say("on-column"), "n_ob": say("ratio"),
    "s_oEP": say("elastic-plastic-column"),
}  # fmt: skip
START_OF, END_OF = "start of ", "end of "
EARLY, LATE = 120, 60  # points of a curve until handing over and from there on


def _column(words: str, unit: str = "") -> TableColumn:
    """The head of a column, which begins with a capital as those of every table."""
    return TableColumn(words=_capital(words), unit=unit)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _range_table(key: str, title: str, scope: Scope, dates: Reading, names: Sequence[str], note: str = "") -> Table:
    """A row for each date with the lowest, the expected and the highest number of each quantity."""
    head = [_column(words=say("date")), _column(words=say("day"))]
    head += [
        TableColumn(words=words, unit=symbol(name).unit_text, group=_capital(SHORT_WORDS[name]))
        for name in names
        for words in (say("low"), say("best"), say("high"))
    ]
    values = [scope[name].largest("scenario", "date") for name in names]
    rows: list[list[str]] = []
    for label, day in zip(dates.labels, dates.days, strict=True):
        cells = [cell for name, value in zip(names, values, strict=True) for cell in _three(name, value.at(date=label))]
        row = [number_text(day, 0), *cells]
        alike = next((other for other in rows if other[1:] == row), None)
        if alike:
            alike[0] = _dates_of_equal_readings(alike[0], label)
        else:
            rows.append([label, *row])
    return Table(key, title, head, rows, note)


def _dates_of_equal_readings(label: str, other: str) -> str:
    """Two dates of one day with the same readings: `start of 5 High water, 6 Low water`."""
    alike = next((words for words in (START_OF, END_OF) if label.startswith(words) and other.startswith(words)), "")
    return f"{label}, {other.removeprefix(alike)}"


def _three(name: str, value: Value) -> list[str]:
    """Lowest, expected and highest over the scenarios."""
    quantity = symbol(name)
    if not value.valid.all():
        return ["–"] * 3
    least, most = float(value.array.min()), float(value.array.max())
    middle = value.number({"scenario": AS_GIVEN}) or 0.0
    return [number_text(number * quantity.factor, quantity.decimals) for number in (least, middle, most)]


def range_tables(scope: Scope, dates: Reading) -> list[Table]:
    """The expected range of every quantity at every date."""
    across = say("across")
    return [
        _range_table("expected-settlement", say("settlement-title"), scope, dates,
                     ("s_ob", "s_oEP", "U_ob", "u_sen"), say("settlement-note", across=across)),
        _range_table("expected-sleeve", say("sleeve-title"), scope, dates,
                     ("F_ob", "eps_ob", "sigma_sob", "sigma_cob", "n_ob"), say("sleeve-note", across=across)),
    ]  # fmt: skip


def band(section: Section, known: Known, levels: Sequence[Level], pressures: Sequence[Level]) -> TimeChart:
    """Expected band of settlement and excess pore pressure over time with the trigger levels of both."""
    ground = known.ground
    until, last = ground.hand_over, ground.end_of_life
    breaks = [day for stage in section.stages for day in (stage.start, stage.start + stage.duration)]
    late = np.geomspace(until, last, LATE)
    days = np.unique([*np.linspace(0.0, until, EARLY), *breaks, *late])
    settled, water = 1000 * known.settlement_at(days), known.reading_at(days).max(axis=-1)
    tracks = (
        _track(say("settlement"), "mm", days, settled, downward=True, levels=levels),
        _track(say("excess-pore-pressure"), "kN/m²", days, water, levels=pressures, share=0.6),
    )
    marks = tuple((section.stages[k].start, f"{k + 1} {section.stages[k].name}") for k in steps_of(section))
    title = say("band-title")
    alt = say(
        "band-alt",
        title=title,
        until=until,
        min=settled[:, days <= until][:, -1].min(),
        max=settled[:, days <= until][:, -1].max(),
    )
    note = [say("band-note"), *([say("band-triggers")] if levels or pressures else [])]
    return TimeChart("band", title, alt, tracks, until, last, marks, " ".join(note))


def _track(
    title: str, unit: str, days: Floats, values: Floats, *, downward: bool = False,
    levels: Sequence[Level] = (), share: float = 1.0,
) -> Track:  # fmt: skip
    at = tuple(map(float, days))
    curves = tuple(Curve(words, at, tuple(map(float, row))) for words, row in zip(SCENARIOS, values, strict=True))
    return Track(title, unit, curves, downward, tuple(levels), (curves[2], curves[1]), share)


def rate_table(scope: Scope, section: Section, shared: Frame) -> Table:
    """The largest rate of every stage beside the levels that the project sets."""
    rate = symbol("v_ob")
    head = [_column(words=say("stage"))]
    head += [_column(words=words, unit=rate.unit_text) for words in (say("low"), say("expected"), say("high"))]
    head += [_column(words=say("levels-of-rate")), _column(words=say("levels-of-lateral-rate"))]
    triggers = section.monitoring.triggers if section.monitoring is not None else ()
    rows = []
    for label, stage in zip(shared.loaded_stages, section.stages, strict=True):
        value = scope["v_ob"].at(stage=label)
        numbers = [float(value.array.min()), value.number({"scenario": AS_GIVEN}) or 0.0, float(value.array.max())]
        levels = [
            "; ".join(
                f"{KIND_WORDS[trigger.kind]} {section.origin(f'monitoring.trigger.{k}.level').text}"
                for k, trigger in enumerate(triggers)
                if trigger.quantity == quantity and trigger.stage in {None, stage.name}
            )
            for quantity in ("settlement rate", "lateral rate")
        ]
        rows.append(
            [
                label,
                *(number_text(n * rate.factor, rate.decimals) for n in numbers),
                *(text or say("none") for text in levels),
            ]
        )
    kept = [k for k in range(len(head)) if any(row[k] != say("none") for row in rows)]
    head, rows = [head[k] for k in kept], [[row[k] for k in kept] for row in rows]
    return Table("rates", say("rate-title"), head, rows, say("rate-note"))


def heads_table(sheet: Sheet, shared: Frame, stability: Sheet) -> Table:
    """Cells on soil and heads by load transfer beside what the design counts with, stage by stage."""
    scope, programme = sheet.scopes["heads"], sheet.scopes["programme"]
    words = ((say("soil"), "sigma_slt"), (say("column"), "sigma_clt"), (say("ratio"), "n_lt"),
             (say("soil-design-value"), "sigma_sst"),
             (say("ratio-design-value"), "n_st"))  # fmt: skip
    head = [
        _column(words=say("stage")),
        *(_column(words=text, unit=symbol(name).unit_text) for text, name in words),
    ]
    rows = []
    for label in shared.loaded_stages:
        case = {"stage": label}
        row = [value_text(scope[name], case) for name in ("sigma_slt", "sigma_clt", "n_lt")]
        rows.append([label, *row, value_text(programme["sigma_sst"], case), value_text(stability["n_st"], case)])
    return Table("heads", say("arching-title"), head, rows, say("arching-note"))

"""What the readings say in about ten lines for the terminal."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from textwrap import wrap

import numpy as np

from calc.engine.sheet.printing import number_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.factors.monitored import QUANTITIES
from calc.inputs.tables.observed import UNIT_OF
from calc.site.observed.crossings import Crossing, names_of, new_peaks, peak_text
from calc.site.observed.next_lift import MUST_NOT, NextLift, no_lift
from calc.site.observed.observed_run import Observation, ObservedSection
from calc.site.observed.settlement_analysis import Analysis, Span
from calc.site.observed.works_dates import calendar_day
from calc.site.rows.row_files import Refused

say = words_of(__name__)

MOST = 3  # crossings, readings out of range and reasons of refused rows that are named
FEW = 8  # lines of rows with one reason that are named
MM, PERCENT = 1000.0, 100.0
SHOWN = {"m": ("mm", MM, 1), "kPa": ("kN/m²", 1.0, 2), "-": ("%", PERCENT, 2), "deg": ("°", 180 / np.pi, 1)}
PLAIN_UNITS = {"m": ("mm", MM, 1), "m/day": ("mm/d", MM, 1), "deg": ("°", 180 / np.pi, 2)}


def observed_text(of: Observation, width: int) -> str:
    """The lines, wrapped to the columns of the terminal."""
    lines = list(_lines(of))
    return "\n".join(part for line in lines for part in _wrapped(line, width))


def _wrapped(line: str, width: int) -> list[str]:
    indent = line[: len(line) - len(line.lstrip())]
    return wrap(line.strip(), width, initial_indent=indent, subsequent_indent=indent + "    ",
                break_on_hyphens=False) or [""]  # fmt: skip


def _lines(of: Observation) -> Iterator[str]:
    names = {reading.instrument for reading in of.taken.readings}
    bad = [row for row in of.taken.refused if not row.repeated]
    yield say("read", readings=_number(len(of.taken.readings), "reading"),
              instruments=_number(len(names), "instrument"), rows=_number(len(bad), "row"),
              files=", ".join(Path(file).name for file in of.taken.files),
              repeated=len(of.taken.refused) - len(bad))  # fmt: skip
    for (name, why), lines in list(refused_by_reason(bad).items())[:MOST]:
        yield say("refused", row=rows_text(name, lines), why=why)
    if len(refused_by_reason(bad)) > MOST:
        yield say("more-refused", count=len(refused_by_reason(bad)) - MOST)
    for file in of.taken.unread:
        if file.readings:
            yield say("file-unread", file=Path(file.file).name, why=file.why)
    others = [Path(file.file).name for file in of.taken.unread if not file.readings]
    if others:
        yield say("others", names=", ".join(others[:FEW]) + (say("more-lines") if len(others) > FEW else ""))
    for part in of.sections:
        yield from section_lines(of, part)
    if of.unmapped:
        yield say("unmapped", keys=", ".join(of.unmapped))
    yield from unwatched_text(of)
    yield caution()


def unwatched_text(of: Observation) -> Iterator[str]:
    """That sections have red triggers which nothing is read for."""
    if of.unwatched:
        yield say("unwatched", keys=", ".join(of.unwatched))


def age_line(of: Observation, part: ObservedSection) -> str:
    """Of which day the answer is, asked on which, and whether it is too old to count; empty where nobody asks."""
    age = part.age
    if age is None:
        return ""
    text = say("age", date=date_text(of, part.last), asked=date_text(of, age.asked), days=_number(int(age.days), "day"),
               counts=age.counts)  # fmt: skip
    return text + (say("age-old") if age.old else "")


def section_lines(of: Observation, part: ObservedSection) -> Iterator[str]:
    """What is said of a section, its head first; nothing is wrapped."""
    if part.course is None:
        yield say("open", key=part.section.key, why=part.open)
        return
    yield say("section", key=part.section.key, date=date_text(of, part.last), day=f"{part.last:.0f}")
    if age := age_line(of, part):
        yield say("of-dates", text=age)
    yield from (say("of-dates", text=text) for text in (part.course.works.note, part.course.works.unknown) if text)
    yield from _settlement(part)
    yield from _outside(part)
    yield from _crossings(of, part)
    yield from _forecast(of, part.analyses)
    yield _lift(part)


def _number(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def refused_by_reason(rows: Sequence[Refused]) -> dict[tuple[str, str], list[int]]:
    """Lines of rows by the name of their file and their reason."""
    by_reason: dict[tuple[str, str], list[int]] = {}
    for row in rows:
        by_reason.setdefault((Path(row.file).name, row.why), []).append(row.line)
    return by_reason


def rows_text(file: str, lines: Sequence[int]) -> str:
    """File and lines of rows with one reason."""
    shown_lines = ", ".join(map(str, lines[:FEW])) + (say("more-lines") if len(lines) > FEW else "")
    if len(lines) == 1:
        return say("row-alone", file=file, lines=shown_lines)
    return say("rows", file=file, count=len(lines), lines=shown_lines)


def caution() -> str:
    """What every output says."""
    return say("caution")


def date_text(of: Observation, day: float) -> str:
    """The day of the calendar of a day from the start of works; a date beyond the calendar in words."""
    if not np.isfinite(day):
        return say("not-in-time")
    return calendar_day(of.design, day)


def _settlement(part: ObservedSection) -> Iterator[str]:
    read = [analysis.series for analysis in part.analyses if analysis.series.used.days.size]
    if not read:
        yield say("no-settlement")
        return
    last = [MM * float(series.used.values[-1]) for series in read]
    expected = [band for series in read if (band := part.expected_at(series, series.used.days[-1:])) is not None]
    beside = [MM * float(value) for row in expected for value in row.flat]
    yield say("settlement", read=_from_to(last), expected=_from_to(beside))


def _from_to(values: Sequence[float]) -> str:
    """The least and the largest, once where they print alike."""
    return "–".join(dict.fromkeys((f"{min(values):.0f}", f"{max(values):.0f}")))


def _outside(part: ObservedSection) -> Iterator[str]:
    """The instruments whose last reading lies outside what the design expects of it."""
    outside = [
        (series, span) for series in part.series if (span := part.last_beside(series)) is not None and span.outside
    ]
    named = []
    for series, span in outside[:MOST]:
        unit, factor, decimals = unit_of(series.quantity)
        value, low, high = (number_text(factor * number, decimals) for number in (span.read, span.low, span.high))
        named.append(say("outside-one", name=series.name, value=value, low=low, high=high, unit=unit))
    if outside:
        more = say("more-outside", count=len(outside) - MOST) if len(outside) > MOST else ""
        yield say("outside", names="; ".join(named), more=more)


def unit_of(quantity: str) -> tuple[str, float, int]:
    """The unit that readings of a quantity are shown in, the factor to it, decimals."""
    if quantity in {"fill", "groundwater", "aquifer head"}:
        return "m", 1.0, 2
    return SHOWN[UNIT_OF[quantity]]


def _crossings(of: Observation, part: ObservedSection) -> Iterator[str]:
    crossed = part.crossed
    if not crossed:
        yield say("no-crossed")
    for crossing in crossed[:MOST]:
        again = say("again", count=crossing.count) if crossing.count > 1 else ""
        again += closed_text(of, crossing)
        yield say("crossed", kind=crossing.kind, quantity=crossing.trigger.quantity, series=crossing.series,
                  value=value_shown(crossing.trigger.quantity, crossing.worst),
                  level=value_shown(crossing.trigger.quantity, crossing.level),
                  date=date_text(of, crossing.first), more=again,
                  action=f"{crossing.trigger.action.rstrip('.')}.")  # fmt: skip
    if len(crossed) > MOST:
        yield say("more-crossed", count=len(crossed) - MOST)
    if part.unread:
        yield say("unread", names=names_of(part.unread))
    yield from (f"  {text}" for text in peaks_text(part))


def peaks_text(part: ObservedSection) -> Iterator[str]:
    """Days on which several places peak together: an open question while they are new, told later."""
    if part.course is not None and part.peaks:
        new = new_peaks(part.peaks, part.course.last)
        old = [peak for peak in part.peaks if peak not in new]
        if new:
            yield say("peaks-new", peaks=peak_text(part.course, new))
        if old:
            yield say("peaks-old", peaks=peak_text(part.course, old))


def closed_text(of: Observation, crossing: Crossing) -> str:
    """Since when readings lie back on the right side of a level, or that none does; of outliers alone that they are."""
    if crossing.outlier:
        return say("outliers-alone")
    return say("still") if crossing.until is None else say("back", date=date_text(of, crossing.until))


def value_shown(quantity: str, value: float) -> str:
    """A value of a monitored quantity in the unit shown."""
    of = QUANTITIES[quantity]
    if of.elevation:
        return f"{number_text(value, 2)} m"
    if of.symbols is not None:
        sign = symbol(f"{of.symbols.key}_T")
        return f"{number_text(value * sign.factor, sign.decimals)} {sign.unit_text}".strip()
    unit, factor, decimals = PLAIN_UNITS[of.unit]
    return f"{number_text(value * factor, decimals)} {unit}"


def _forecast(of: Observation, analyses: Sequence[Analysis]) -> Iterator[str]:
    good = [analysis for analysis in analyses if analysis.forecast is not None and not analysis.why_none]
    poor = [analysis for analysis in analyses if analysis not in good and analysis.series.used.days.size]
    if not good:
        why = dict.fromkeys(reason for analysis in poor for reason in analysis.why_none)
        if poor:
            yield say("no-forecast", why="; ".join(why))
        return
    most = max(good, key=lambda analysis: analysis.forecast.residual.high if analysis.forecast else 0.0)
    forecast = most.forecast
    assert forecast is not None  # noqa: S101 - of the good ones
    yield say("forecast", name=most.series.name, placed=f"{MM * forecast.placed.value:.0f}",
              placed_range=range_text(forecast.placed), others=_others(most),
              residual=f"{MM * forecast.residual.value:.0f}",
              residual_range=range_text(forecast.residual), hand_over=hand_over_text(of, most))  # fmt: skip
    if poor:
        why = dict.fromkeys(reason for analysis in poor for reason in analysis.why_none)
        yield say("not-all", names=", ".join(analysis.series.name for analysis in poor), why="; ".join(why))


def _others(analysis: Analysis) -> str:
    """What the two published methods give beside the fit, where they give anything."""
    steps = analysis.line.final if analysis.line is not None else None
    texts = [say("by-steps", value=f"{MM * steps:.0f}")] if steps is not None else []
    texts += (
        [say("by-hyperbola", value=f"{MM * analysis.hyperbola.final:.0f}")] if analysis.hyperbola is not None else []
    )
    return "".join(f"; {text}" for text in texts)


def range_text(span: Span) -> str:
    """The ends of a range in mm."""
    return f"{MM * span.low:.0f}–{MM * span.high:.0f}"


def hand_over_text(of: Observation, analysis: Analysis) -> str:
    """From when on the limit of the residual settlement is kept."""
    forecast = analysis.forecast
    if forecast is None or forecast.hand_over is None or forecast.limit is None:
        return say("no-limit")
    limit, span = f"{MM * forecast.limit:.0f}", forecast.hand_over
    if not np.isfinite(span.value):
        return say("hand-over-never", limit=limit)
    ends = [date_text(of, span.low), date_text(of, span.high)]
    ranged = f" ({ends[0]} {say('to')} {ends[1]})" if ends[0] != ends[1] else ""
    return say("hand-over", limit=limit, date=date_text(of, span.value), date_range=ranged)


def _lift(part: ObservedSection) -> str:
    lift = part.lift
    assert part.course is not None  # noqa: S101 - asked before
    if lift is None:
        return say("no-lift", why=no_lift(part.course)[0])
    stage = next(stage for stage in part.course.section.stages if stage.name == lift.name)
    return say("lift", name=lift.name, answer=lift.answer, why=_why(lift), settled=percent(lift.by_settlement),
               drained=percent(lift.by_pressure), asked=percent(stage.degree_min))  # fmt: skip


def _why(lift: NextLift) -> str:
    """The first verdict that speaks against the lift, or that is open."""
    wanted = "fail" if lift.answer == MUST_NOT else "not verified"
    for verdict in lift.sheet.verdicts:
        if verdict.state == wanted and verdict.required:
            ratio = f"{verdict.utilisation:.3f}" if verdict.utilisation is not None else ""
            return say("open-question", title=verdict.title, why=(verdict.note or ratio).rstrip("."))
    return ""


def percent(value: float | None) -> str:
    """A share in percent, a dash without one."""
    return say("none") if value is None else f"{PERCENT * value:.0f}\N{NO-BREAK SPACE}%"

"""200 days of readings of an example project, invented: the design's own course with other factors, and scatter.

`python -m tests.site.invented_readings` writes projects/marsh-approach/readings.csv. The factors stand here, so that
tests know what the back-analysis has to find.
"""

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np

from calc.engine.sheet import Sheet
from calc.inputs import Design, Section, read_design
from calc.site.observed.design_course import DesignCourse, course_of
from calc.site.observed.series import Series
from calc.study.chapters import chapters

PROJECT = Path(__file__).resolve().parents[2] / "projects" / "marsh-approach"
FILE = PROJECT / "readings.csv"
SEED, DAYS = 2025, 200
RATE, SCALE = 1.35, 0.94  # factors on c_h and on the settlement of the design
STEPS = {"A": (((0, 0.0), (21, 0.8)), ((62, 0.8), (76, 1.7)), ((140, 1.7), (154, 2.6))),
         "C": (((0, 0.0), (21, 0.8)), ((60, 0.8), (74, 2.0)), ((184, 2.0), (198, 3.2)))}  # fmt: skip
"""Day and thickness of the fill at the start and the end of every lift."""
SCATTER = {"settlement": 0.0005, "pore pressure": 0.35, "ring strain": 0.00015, "pressure on columns": 4.0,
           "pressure on soil": 0.6}  # fmt: skip
DAMAGED, OUTLIER = 96, 118  # day of the rod that is cut, and of a reading that is wrong
STRENGTHS = {"VT-A-1": (15.2, 17.9, 19.4), "VT-A-2": (15.4, 18.1, 19.9)}
VANES = (1, 118, 178)


def fill_at(section: str, days: np.ndarray) -> np.ndarray:
    """Thickness of the fill (m)."""
    points = [point for step in STEPS[section] for point in step]
    return np.asarray(np.interp(days, [day for day, _ in points], [height for _, height in points]))


def series(section: str, name: str, quantity: str, days: np.ndarray, values: np.ndarray, *, offset: float = 0.0,
           depth: float | None = None) -> Series:  # fmt: skip
    """A series without outliers."""
    count = len(days)
    return Series(section, name, quantity, (name,), offset, depth, days, values, ("",) * count,
                  np.zeros(count, dtype=bool))  # fmt: skip


@cache
def design() -> Design:
    return read_design(PROJECT)


@cache
def chapters_of(key: str) -> tuple[Section, dict[str, Sheet]]:
    """A section of the example and its chapters, slip searches left out."""
    section = next(one for one in design().sections if one.key == key).without_slip()
    return section, chapters(design(), section, until="monitoring")


@cache
def built(key: str, last: int = DAYS) -> DesignCourse:
    """The course of a section at the dates of the invented works, as far as they have been read."""
    section, done = chapters_of(key)
    days = np.arange(0.0, last + 1.0)
    return course_of(design(), section, done, series(key, "fill", "fill", days, fill_at(key, days)), float(last))


def times(key: str) -> np.ndarray:
    """Daily while fill is placed, twice a week otherwise."""
    days = np.arange(0, DAYS + 1)
    placed = np.zeros(len(days), dtype=bool)
    for (first, _), (last, _) in STEPS[key]:
        placed |= (days >= first) & (days <= last)
    return np.asarray(days[placed | (days % 7 == 0) | (days % 7 == 3) | (days == DAYS)], dtype=float)


def true_settlement(key: str, offset: float, days: np.ndarray) -> np.ndarray:
    """Settlement (m) of the invented ground."""
    course = built(key)
    return np.asarray(SCALE * course.with_factors(course.at(offset), [RATE]).settlement_at(days)[0])


def true_reading(key: str, one: Series, days: np.ndarray) -> np.ndarray:
    """What an instrument reads of the invented ground."""
    course = built(key)
    other = DesignCourse(course.design, course.section, course.done, course.with_factors(course.known, [RATE]),
                         course.calendar, course.works, course.last)  # fmt: skip
    expected = other.expected(one)
    assert expected is not None
    return np.asarray(expected(days)[0])


Row = tuple[float, str, float, str, str]


def readings() -> list[Row]:
    """Day, instrument, reading as the instrument gives it, unit, remark."""
    draw = np.random.default_rng(SEED)
    rows: list[Row] = []
    for key in ("A", "C"):
        days = np.arange(0.0, DAYS + 1.0, 1.0)
        at = times(key)
        rows += [(day, f"FILL-{key}", round(float(fill_at(key, np.array([day]))[0]), 2), "m", "") for day in at]
        assert days.size > at.size
        for number, offset in ((1, -6.0), (2, 0.0), (3, 6.0)) if key == "A" else ((1, 0.0),):
            read = true_settlement(key, offset, at) + draw.normal(0, SCATTER["settlement"], len(at))
            rows += list(_plate(f"SP-{key}-{number}", at, read))
        rows += list(_cells(key, at, draw))
    rows += [(float(day), name, value, "kPa", "least of three places")
             for name, values in STRENGTHS.items() for day, value in zip(VANES, values, strict=True)]  # fmt: skip
    return sorted(rows, key=lambda row: (row[0], row[1]))


def _plate(name: str, days: np.ndarray, settled: np.ndarray) -> Iterator[Row]:
    """Plates as they are read: an elevation, a plate that was replaced, a change of datum."""
    for day, value in zip(days, settled, strict=True):
        if name == "SP-A-1":
            yield day, name, round(0.412 - value, 4), "m", ""
        elif name == "SP-A-2" and day > DAMAGED:
            yield day, "SP-A-2b", round(1000 * (value - 0.092), 1), "mm", ""
        elif name == "SP-A-3":
            wrong = 0.04 if day == times("A")[np.argmax(times("A") >= OUTLIER)] else 0.0
            moved = 0.012 if day >= 60 else 0.0
            yield day, name, round(1000 * (value - moved + wrong), 1), "mm", "rod touched?" if wrong else ""
        else:
            yield day, name, round(1000 * value, 1), "mm", ""


def _cells(key: str, days: np.ndarray, draw: np.random.Generator) -> Iterator[Row]:
    """Sensors in the ground and on the heads, inclinometer, standpipe."""
    zero = {"PP-A-1": 11.8, "PP-A-2": 41.6, "PP-A-3": 42.0, "PP-C-1": 38.5}
    instruments: list[tuple[str, str, float | None, str, Callable[[float], float]]] = [
        (f"PP-{key}-1", "pore pressure", 1.0 if key == "A" else 3.0, "kPa", lambda value: round(value, 2)),
    ]
    if key == "A":
        instruments += [
            ("PP-A-2", "pore pressure", 4.25, "kPa", lambda value: round(value, 2)),
            ("PP-A-3", "pore pressure", 4.25, "kPa", lambda value: round(value, 2)),
            ("SR-A-1", "ring strain", 1.0, "%", lambda value: round(100 * value, 3)),
            ("PC-A-1", "pressure on columns", None, "kPa", lambda value: round(value, 1)),
            ("PS-A-1", "pressure on soil", None, "kPa", lambda value: round(value, 1)),
        ]
    for name, quantity, depth, unit, shown in instruments:
        one = series(key, name, quantity, days, days, depth=depth)
        values = true_reading(key, one, days) + draw.normal(0, SCATTER[quantity], len(days)) + zero.get(name, 0.0)
        if name == "PP-A-3":
            yield from ((day, name, 42.0, unit, "no change") for day in days[days > 66])
            days_read = days <= 66
            yield from ((day, name, shown(float(value)), unit, "") for day, value in
                        zip(days[days_read], values[days_read], strict=True))  # fmt: skip
        else:
            yield from ((day, name, shown(float(value)), unit, "") for day, value in zip(days, values, strict=True))
    if key == "A":
        moved = 0.011 * fill_at(key, days) / 2.6 + 0.009 * np.clip((days - 146) / 2.6, 0, 1)
        scatter = draw.normal(0, 0.0002, len(days))
        yield from ((day, "IN-A-1", round(1000 * float(value), 1), "mm", "") for day, value in
                    zip(days, moved + scatter, strict=True))  # fmt: skip
        level = -0.05 + 0.1 * np.sin(days / 40.0)
        yield from ((day, "WS-A-1", round(float(value), 2), "m", "") for day, value in zip(days, level, strict=True))


def text() -> str:
    """The file as it stands beside the project."""
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(["Date", "Instrument", "Reading", "Unit", "Remark"])
    start = dt.date(2025, 6, 2)
    for day, name, value, unit, remark in readings():
        writer.writerow([start + dt.timedelta(days=day), name, f"{value:g}", unit, remark])
    return made.getvalue()


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")

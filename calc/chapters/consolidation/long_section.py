"""The long section: how much each section has settled at hand-over, one and ten years later and at the end of life."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from re import compile as pattern

import numpy as np

from calc.chapters.consolidation.page import settled_at
from calc.chapters.shared.frame import AS_GIVEN, COURSES
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER
from calc.engine.figure import Chart, Curve
from calc.engine.sheet import Sheet
from calc.engine.symbols import YEAR, symbol
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

LATER = (1, 10)  # years after hand-over
STRETCH = pattern(r"\D*(\d+)\+(\d+(?:\.\d+)?)\D+(\d+)\+(\d+(?:\.\d+)?)\D*")
KILOMETRE = 1000.0
Part = tuple[Section, Mapping[str, Sheet]]
Stretch = tuple[float, float]  # from and to, m


def long_section(parts: Sequence[Part]) -> None:
    """Add the figure to the page of every section where at least two have a chainage and a settlement over time."""
    found = [
        (ends, section, dict(_settlements(done["consolidation"])))
        for section, done in parts
        if (ends := stretch(section.chainage)) and "ground" in done["consolidation"].kept
    ]
    found.sort(key=lambda one: one[0])
    if len(found) < 2 or any(left[0][1] > right[0][0] for left, right in pairwise(found)):
        return
    figure = _figure(found)
    for _, done in parts:
        done["consolidation"].page.figures.insert(0, figure)


def _figure(found: Sequence[tuple[Stretch, Section, Mapping[str, float]]]) -> Chart:
    """Sections in the order of their chainage, with their settlements by date."""
    # One design life holds for all sections, so they have the same dates but for rounding.
    dates = [date for date in found[0][2] if all(date in own for _, _, own in found)]
    curves = tuple(curve for date in dates for curve in _curves(date, [(ends, own[date]) for ends, _, own in found]))
    marks = tuple(((first + last) / 2, section.key) for (first, last), section, _ in found)
    places = tuple((place, _chainage(place)) for place in sorted({place for ends, _, _ in found for place in ends}))
    return Chart(
        "long_section", say("title"), say("alt", keys=", ".join(section.key for _, section, _ in found)),
        say("along"), say("down", unit=symbol("s_t").unit_text), curves, marks, places, say("note"),
    )  # fmt: skip


def stretch(chainage: str) -> Stretch | None:
    """From and to in m of a chainage such as 0+120 to 0+480; None of one that is written in another way."""
    read = STRETCH.fullmatch(chainage)
    if read is None:
        return None
    first, last = (KILOMETRE * float(read[k]) + float(read[k + 1]) for k in (1, 3))
    return (first, last) if first < last else None


def _chainage(place: float) -> str:
    kilometres, rest = divmod(place, KILOMETRE)
    return f"{kilometres:.0f}+{rest:03.0f}"


def _settlements(sheet: Sheet) -> Iterator[tuple[str, float]]:
    """By date, in the unit shown: at hand-over and at the end as recorded, between them as the course is drawn."""
    recorded, ground = sheet.scopes["course"]["s_t"], sheet.kept["ground"]
    factor = symbol("s_t").factor

    def at(date: str) -> list[float]:
        number = recorded.number({"date": date, "course": AS_GIVEN})
        return [] if number is None else [factor * number]

    yield from ((say("hand-over"), value) for value in at(HAND_OVER))
    days = [ground.hand_over + YEAR * years for years in LATER]
    drawn = settled_at(sheet, np.array(days))[list(COURSES).index(AS_GIVEN)]
    for years, day, value in zip(LATER, days, drawn, strict=True):
        if day < ground.end_of_life:
            yield say("later", years=years, s="s" if years > 1 else ""), factor * float(value)
    yield from ((say("end-of-life"), value) for value in at(END_OF_LIFE))


def _curves(date: str, along: Sequence[tuple[Stretch, float]]) -> Iterator[Curve]:
    """Steps over adjoining sections; a gap between sections parts them."""
    xs: list[float] = []
    ys: list[float] = []
    for (first, last), value in along:
        if xs and xs[-1] < first:
            yield Curve(date, tuple(xs), tuple(ys))
            xs, ys = [], []
        xs += [first, last]
        ys += [value, value]
    yield Curve(date, tuple(xs), tuple(ys))

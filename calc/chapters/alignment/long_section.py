"""Long sections: settlement at the stages, at hand-over and at the end of life, and settlement since hand-over."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from calc.chapters.alignment.settlements import AFTER, BELOW, METHODS, Sheets
from calc.chapters.shared.frame import AS_GIVEN
from calc.chapters.shared.programme import END_OF_LIFE, HAND_OVER, last_fill, steps_of
from calc.engine.figure import Chart, Curve
from calc.engine.levels import above, same
from calc.engine.sheet import Sheet
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.alignment import SECTION, Chainage, Transition, ends_of, place_text

say = words_of(__name__)

PARTS = (0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875)

Along = Mapping[str, float]
"""Settlement by date, in the unit shown."""


@dataclass(frozen=True)
class Part:
    """A section along the alignment with what it draws."""

    ends: Chainage
    key: str
    settled: Along
    since: Along


def long_sections(design: Design, done: Mapping[str, Sheets]) -> Iterator[Chart]:
    """Both figures where at least two sections, or one and what follows on it, have chainage and settlement in time."""
    parts = sorted(
        (
            Part(
                ends,
                section.key,
                _settlements_at_dates(section, done[section.key]),
                _since(done[section.key]["alignment"]),
            )
            for section in design.stated
            if section.key in done
            and AFTER in done[section.key]["alignment"].scopes
            and (ends := ends_of(section.chainage))
        ),
        key=lambda part: part.ends,
    )
    transitions = design.alignment.transitions if design.alignment else ()
    overlap = any(above(left.ends[1], right.ends[0]) for left, right in pairwise(parts))
    if overlap or len(parts) + len(transitions) < 2 or not parts:
        return
    keys = ", ".join(part.key for part in parts)
    yield _figure(
        "long_section", (say("stages"), say("stages-alt", keys=keys), say("stages-note")),
        [part.settled for part in parts], parts, transitions,
        {HAND_OVER: ("settlement_hand_over",), END_OF_LIFE: ("settlement_hand_over", "settlement_residual")},
    )  # fmt: skip
    yield _figure(
        "long_section_later", (say("later"), say("later-alt", keys=keys), say("later-note")),
        [part.since for part in parts], parts, transitions, {END_OF_LIFE: ("settlement_residual",)},
    )  # fmt: skip


def _figure(
    key: str, texts: tuple[str, str, str], values: Sequence[Along], parts: Sequence[Part],
    transitions: Sequence[Transition], stated: Mapping[str, Sequence[str]],
) -> Chart:  # fmt: skip
    """Sections in the order of their chainage; ``stated`` are the fields of what follows on them, by date."""
    dates = list(dict.fromkeys(date for settlements in values for date in settlements))
    dates.sort(key=lambda date: (date == END_OF_LIFE, date == HAND_OVER))
    curves = tuple(
        curve for date in dates
        for curve in _curves(
            date, [(part.ends, settlements.get(date)) for part, settlements in zip(parts, values, strict=True)],
            transitions, stated.get(date, ()),
        )
    )  # fmt: skip
    ends = sorted({place for part in parts for place in part.ends})
    reach = {x for curve in curves for x in (curve.x[0], curve.x[-1]) if not ends[0] <= x <= ends[-1]}
    places = sorted([*((place, place_text(place)) for place in ends), *((x, "") for x in reach)])
    title, alt, note = texts
    marks = tuple((sum(part.ends) / 2, part.key) for part in parts)
    return Chart(
        key, title, alt, say("along"), say("down", unit=symbol("s_t").unit_text), curves, marks, tuple(places), note,
    )  # fmt: skip


def _settlements_at_dates(section: Section, done: Sheets) -> Along:
    """At the end of the stages that place fill, at hand-over and the end of the design life, ground below included."""
    course, last = done["consolidation"].scopes["course"]["s_t"], last_fill(section)
    wanted = {f"end of {k + 1} {section.stages[k].name}": say("end-of-stage", name=section.stages[k].name)
              for k in steps_of(section)[: last + 1]}  # fmt: skip
    wanted |= {HAND_OVER: HAND_OVER, END_OF_LIFE: END_OF_LIFE}
    below = done["alignment"].kept[BELOW]
    return {text: symbol("s_t").factor * ((course.number({"date": label, "scenario": AS_GIVEN}) or 0.0) + below[label])
            for label, text in wanted.items()}  # fmt: skip


def _since(sheet: Sheet) -> Along:
    """From hand-over to the dates considered."""
    value = sheet.scopes[AFTER]["s_fa"]
    case = {"scenario": AS_GIVEN, "method": METHODS[0][2]}
    dates, factor = value.labels("date"), symbol("s_fa").factor
    return {date: factor * (value.number({**case, "date": date}) or 0.0) for date in dates}


def _curves(
    date: str, along: Sequence[tuple[Chainage, float | None]], transitions: Sequence[Transition], stated: Sequence[str]
) -> Iterator[Curve]:  # fmt: skip
    """Two parabolas over every transition, steps where none is given; a gap between sections parts the curve."""
    xs: list[float] = []
    ys: list[float] = []
    open_end = None
    for ends, value in along:
        if value is None:
            continue
        if xs and (open_end is None or not same(open_end, ends[0])):
            yield _with_parabolas(date, xs, ys)
            xs, ys = [], []
        for place, sign in zip(ends, (-1.0, 1.0), strict=True):
            transition = next((transition for transition in transitions if same(transition.place, place)), None)
            inside = transition.length / 2 if transition and transition.to == SECTION else 0.0
            points = [(place - sign * inside, value)]
            if transition and transition.to != SECTION and stated:
                beyond = symbol("s_t").factor * sum(getattr(transition, name) or 0.0 for name in stated)
                points.append((place + sign * transition.length, beyond))
            for x, y in points[:: int(sign)]:
                xs.append(x)
                ys.append(y)
        open_end = ends[1]
    yield _with_parabolas(date, xs, ys)


def _with_parabolas(date: str, xs: Sequence[float], ys: Sequence[float]) -> Curve:
    """Points with two parabolas between those that lie apart and have different values, which a transition parts."""
    curve = [(xs[0], ys[0])]
    for (x, y), (x_2, y_2) in pairwise(zip(xs, ys, strict=True)):
        if x < x_2 and y != y_2:
            curve += [(x + t * (x_2 - x), y + _share(t) * (y_2 - y)) for t in PARTS]
        curve.append((x_2, y_2))
    return Curve(date, *zip(*curve, strict=True))


def _share(along: float) -> float:
    """Share of the difference at a share of the length."""
    return 2 * along**2 if along < 1 / 2 else 1 - 2 * (1 - along) ** 2

"""The instruments of a section in plan: chainages along, distances from the axis across, each mark with its names."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from calc.chapters.shared.geometry import Profile
from calc.engine.figure import Circle, Item, Label, Line, Polygon, Scene
from calc.engine.levels import above, same
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.alignment import ends_of, place_of, place_text
from calc.inputs.tables.monitoring import Instrument

say = words_of(__name__)

LONG, HIGH = 150.0, 38.0  # of the drawn ground, mm
ROW, SIGN, AWAY = 2.7, 1.25, 2.0  # height of a name, width of one of its signs, its distance from the mark, mm
TALL = 53.0  # of the drawing with what stands beside it, mm
RADIUS = 0.6  # of a mark, mm
CHAINAGE = 9.0  # width of a chainage with the space beside it, mm


def plan_view(section: Section, at: Profile) -> Scene | None:
    """What stands at chainages of the section; None where nothing does. ``at`` has the places of the final state."""
    ends = ends_of(section.chainage)
    given = section.monitoring.instruments if section.monitoring is not None else ()
    if ends is None:
        return None
    names = _places(given, ends)
    if not names:
        return None
    edges = [at.left_toe, at.right_toe, *(offset for _, offset in names)]
    low, high = min(edges), max(edges)
    scale = LONG / (ends[1] - ends[0]), HIGH / (high - low)
    items = (*_ground(at, ends), *_words(names, ends, (low, high)), *_places_with_names(names, scale))
    drawn = list(dict.fromkeys(name for own in names.values() for name in own))
    others = [instrument.name for instrument in given if instrument.name not in drawn]
    note = say("note") + (say("left-out", names=", ".join(others)) if others else "")
    alt = say("alt", chainage=section.chainage, names=", ".join(drawn))
    return Scene("instrument_plan", say("title", chainage=section.chainage), alt, items, height_mm=TALL, equal=False,
                 note=note)  # fmt: skip


def _places(given: Sequence[Instrument], ends: tuple[float, float]) -> dict[tuple[float, float], list[str]]:
    """The names at each chainage and distance from the axis, m."""
    places: dict[tuple[float, float], list[str]] = {}
    for instrument in given:
        for chainage in map(place_of, instrument.chainages):
            if not above(ends[0], chainage) and not above(chainage, ends[1]):
                for offset in instrument.offsets:
                    places.setdefault((chainage, offset), []).append(instrument.name)
    return places


def _ground(at: Profile, ends: tuple[float, float]) -> Iterator[Item]:
    """The embankment between its toes, crest edges, axis and the outermost columns; right of the axis is below it."""
    first, last = ends
    left, right = -at.left_toe, -at.right_toe
    yield Polygon(((first, left), (last, left), (last, right), (first, right)), "fill")
    for offset in (at.left_toe, at.left_shoulder, at.right_shoulder, at.right_toe):
        yield Line(((first, -offset), (last, -offset)), "outline")
    for offset in (at.left_column, at.right_column):
        yield Line(((first, -offset), (last, -offset)), "dashed")
    yield Line(((first, 0.0), (last, 0.0)), "axis")


def _words(
    names: Iterable[tuple[float, float]], ends: tuple[float, float], sides: tuple[float, float]
) -> Iterator[Item]:
    """The sides, and below the drawing the chainages: of the ends, and of what stands between as far as has room."""
    first, last = ends
    low, line = -sides[1], (sides[1] - sides[0]) / HIGH
    room = CHAINAGE * (last - first) / LONG
    yield Label(first, -sides[0] + 2.0 * line, say("left"), "start", "small")
    yield Label(first, low - 5.6 * line, say("right"), "start", "small")
    yield Label(first, low - 2.6 * line, place_text(first), "start", "small")
    yield Label(last, low - 2.6 * line, place_text(last), "end", "small")
    free = first + 1.3 * room
    for chainage in sorted({chainage for chainage, _ in names}):
        if free <= chainage <= last - 1.3 * room:
            yield Label(chainage, low - 2.6 * line, place_text(chainage), "middle", "small")
            free = chainage + room


def _places_with_names(names: dict[tuple[float, float], list[str]], scale: tuple[float, float]) -> Iterator[Item]:
    """A mark at every place and its names beside it, moved apart where they would lie on each other."""
    along, across = scale
    free = float("-inf")  # the chainage up to which names reach
    for chainage, places in groupby(sorted(names), key=lambda place: place[0]):
        own = sorted(((-offset, ", ".join(names[chainage, offset])) for _, offset in places), reverse=True)
        shift = max(chainage + AWAY / along, free)
        levels = _apart([level for level, _ in own], ROW / across)
        for (level, text), shown in zip(own, levels, strict=True):
            yield Circle(chainage, level, RADIUS / along, "sleeve")
            if not same(shown, level) or shift > chainage + AWAY / along:
                yield Line(((chainage, level), (shift - 0.4 / along, shown)), "thin")
            yield Label(shift, shown, text, "start", "small")
        free = shift + (max(len(text) for _, text in own) + 1) * SIGN / along


def _apart(levels: Sequence[float], gap: float) -> list[float]:
    """Levels from above downward that are at least `gap` apart, groups of them around their own middle."""
    groups: list[list[float]] = []
    for level in levels:
        groups.append([level])
        while (
            len(groups) > 1
            and _middle(groups[-2]) - _middle(groups[-1]) < gap * (len(groups[-2]) + len(groups[-1])) / 2
        ):
            groups[-2:] = [groups[-2] + groups[-1]]
    return [
        level if len(group) == 1 else _middle(group) + gap * ((len(group) - 1) / 2 - k)
        for group in groups for k, level in enumerate(group)
    ]  # fmt: skip


def _middle(group: Sequence[float]) -> float:
    return sum(group) / len(group)

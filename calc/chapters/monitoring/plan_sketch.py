"""The instruments in the cross-section of the design basis, each with its name and the elevations at which it reads."""

from collections.abc import Iterator, Sequence

from calc.engine.figure import Callouts, Circle, Item, Label, Line, Polygon, Scene
from calc.engine.levels import above
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.monitoring import Instrument

say = words_of(__name__)

MARK = 0.006  # radius of a mark over the width of the drawing
SIGN, ROW = 0.011, 0.02  # width of a sign of a name and height of a row of names over the width of the drawing
CLEAR = 0.9  # of a row, that a name keeps from others
HEIGHT = 58.0  # mm


def instrument_plan(section: Section, drawn: Scene) -> Scene | None:
    """The places that the project gives; None where it gives none."""
    instruments = section.monitoring.instruments if section.monitoring is not None else ()
    placed = [instrument for instrument in instruments if instrument.offsets]
    if not placed:
        return None
    ground = [
        item for item in drawn.items if isinstance(item, Polygon) or (isinstance(item, Line) and item.style != "water")
    ]
    edges = [x for part in ground for x, _ in part.points]
    wide = max(edges) - min(edges)
    left_out = [instrument.name for instrument in instruments if not instrument.offsets]
    note = say("note") + (say("left-out", names=", ".join(left_out)) if left_out else "")
    alt = say("alt", names=", ".join(instrument.name for instrument in placed))
    items = (*ground, *_marks(section, placed, wide), _elevations(section, placed))
    return Scene("instruments", say("title"), alt, items, height_mm=HEIGHT, note=note)


def elevations(section: Section, instrument: Instrument) -> tuple[float, ...]:
    """Where an instrument reads: at its depths and in the middle of its layers, else on the ground."""
    levels = [section.ground_level - depth for depth in instrument.depths]
    top = section.ground_level
    for layer in section.soft_layers:
        if layer.key in instrument.layers:
            levels.append(top - layer.thickness / 2)
        top -= layer.thickness
    return tuple(sorted(levels, reverse=True)) or (section.ground_level,)


def _marks(section: Section, placed: Sequence[Instrument], wide: float) -> Iterator[Item]:
    """A mark at every place with the names of all that stand there; below the ground a line leads up to it.

    Names that would touch, or cover a mark, stand in rows one above the other, those above the first with a line to
    their mark.
    """
    names: dict[tuple[float, float], list[str]] = {}
    for instrument in placed:
        for offset in instrument.offsets:
            for level in elevations(section, instrument):
                names.setdefault((offset, round(level, 2)), []).append(instrument.name)
    ground = section.ground_level
    for offset in dict.fromkeys(offset for offset, _ in names):
        lowest = min(level for place, level in names if place == offset)
        if above(ground, lowest):
            yield Line(((offset, ground), (offset, lowest)), "outline")
    for offset, level in names:
        yield Circle(offset, level, MARK * wide, "sleeve")
    boxes: list[tuple[float, float, float]] = []  # of names: from, to, height
    # From the right, as names begin at their mark: no line up to a name crosses another.
    for (offset, level), names_here in sorted(names.items(), reverse=True):
        text, start = ", ".join(names_here), offset + 2 * MARK * wide
        end = start + (len(text) + 1) * SIGN * wide
        # The first row over this level that is clear of other names and of other marks.
        row, height = 0, level + 2 * MARK * wide
        while (any(low < end and start < high and abs(height - own) < ROW * wide * CLEAR for low, high, own in boxes)
               or any(start - MARK * wide < x < end and abs(height - y) < ROW * wide * CLEAR for x, y in names
                      if (x, y) != (offset, level))):  # fmt: skip
            row += 1
            height = level + (2 * MARK + row * ROW) * wide
        boxes.append((start, end, height))
        if row:
            yield Line(((offset, level), (offset, height)), "thin")
        yield Label(start, height, text, "start", "small")


def _elevations(section: Section, placed: Sequence[Instrument]) -> Callouts:
    """Each elevation with the names of what reads there."""
    by_level: dict[float, list[str]] = {}
    for instrument in placed:
        for level in elevations(section, instrument):
            by_level.setdefault(round(level, 2), []).append(instrument.name)
    texts = ((level, f"{', '.join(names)} {level:.2f}".replace("-", "−")) for level, names in by_level.items())
    return Callouts("right", tuple(sorted(texts, reverse=True)))

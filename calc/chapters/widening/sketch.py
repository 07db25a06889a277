"""The section with old and new outline to scale, and the settlement across it."""

from collections.abc import Iterator

from calc.chapters.shared.geometry import at_toes, column_axes, profile
from calc.chapters.widening.settlement import CELL, INDICES, MODULUS
from calc.chapters.widening.stress import HALF_SPACE, MINUS
from calc.engine.figure import Chart, Curve, Item, Label, Line, Point, Polygon, Scene, box
from calc.engine.sheet import Sheet, Value, number_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.widening import Widening

say = words_of(__name__)

NAMED = 0.25  # of the old crest, beside the line of its axis
NEAR = 0.02  # of the width: places nearer than this to one another have one number
ROOM = 0.06  # of the width: places nearer than this to the one before have no number on the axis


def widened_section(section: Section, widening: Widening, sheet: Sheet, done: dict[str, Sheet]) -> Scene:
    """Old bank, new fill, columns and positions."""
    at = profile(done["columns"], done["columns"].axes["stage"][-1])
    old, new = _corners(sheet, "O", at.ground), _corners(sheet, "W", at.ground)
    left, right = new[0][0], new[-1][0]
    margin = 0.1 * (right - left)
    low = at.toes - max(1.0, 0.1 * (at.ground - at.toes))
    radius = section.columns.diameter / 2
    items: list[Item] = [
        Polygon(box(left - margin, right + margin, at.ground, at.firm), "soft"),
        Polygon(box(left - margin, right + margin, at.firm, low), at_toes(section)),
        *(Polygon(box(x - radius, x + radius, at.ground, at.toes), "column")
          for x in column_axes(section, at.left_column, at.right_column)),
        Polygon(new, "fill"),
        Polygon(old, "zone"),
        Line(new, "outline"),
        Line(old, "dashed"),
        Line(((left - margin, at.ground), (right + margin, at.ground)), "outline"),
        *_names(old, new),
        *_positions(sheet, at.ground, at.crest),
    ]  # fmt: skip
    alt = say("alt", key=section.key, old=widening.height, new=section.embankment.height)
    return Scene("widening", say("title", chainage=section.chainage), alt, tuple(items), note=say("note"))


def _corners(sheet: Sheet, name: str, ground: float) -> tuple[Point, ...]:
    top = ground + float(sheet[f"H_{name}"].array)
    levels = (ground, top, top, ground)
    return tuple((float(sheet[f"x_{name}{k}"].array), y) for k, y in enumerate(levels, 1))


def _names(old: tuple[Point, ...], new: tuple[Point, ...]) -> Iterator[Item]:
    yield Label(old[1][0] + NAMED * (old[2][0] - old[1][0]), (old[0][1] + old[1][1]) / 2, say("old"))
    left, right = old[0][0] - new[0][0], new[-1][0] - old[-1][0]
    x = (old[-1][0] + new[-2][0]) / 2 if right >= left else (old[0][0] + new[1][0]) / 2
    yield Label(x, (new[0][1] + new[1][1]) / 2, say("new"))


def _positions(sheet: Sheet, ground: float, crest: float) -> Iterator[Item]:
    """Their numbers above the bank, those of near ones as one, with lines down to the ground."""
    height, places = crest - ground, sheet["x_W"].array.tolist()
    room, groups = NEAR * (places[-1] - places[0]), list[list[int]]()
    for k, x in enumerate(places):
        yield Line(((x, crest + 0.15 * height), (x, ground)), "thin")
        if groups and x - places[groups[-1][-1]] < room:
            groups[-1].append(k)
        else:
            groups.append([k])
    for first, last in ((group[0], group[-1]) for group in groups):
        text = f"{first + 1}" if first == last else f"{first + 1}–{last + 1}"
        yield Label((places[first] + places[last]) / 2, crest + 0.2 * height, text, size="small")


def settlement_across(section: Section, sheet: Sheet) -> Chart:
    """With columns where they stand, without any, and what the old bank still has."""
    law = INDICES if INDICES in sheet.scopes else MODULUS
    places = tuple(sheet["x_W"].array.tolist())
    words = {INDICES: (say("law-indices"), say("bare")), MODULUS: (say("law-modulus"), say("bare-modulus"))}[law]
    bare, rest = _printed_numbers(sheet.scopes[law]["s_Wu"]), _printed_numbers(sheet.scopes[law]["s_WO"])
    stand = [label in sheet.kept["columns"] for label in sheet.axes["position"]]
    treated = _printed_numbers(sheet.scopes[CELL]["s_Wc"])
    used = tuple(improved if here else natural for improved, natural, here in zip(treated, bare, stand, strict=True))
    lines = ((words[0], used), (words[1], bare), (say("rest"), rest))
    curves = tuple(Curve(text, places, values) for text, values in lines)
    alt = say("chart-alt", key=section.key, curves=", ".join(text for text, _ in lines))
    return Chart("settlement_across", say("chart"), alt, say("across"), say("down", unit=symbol("s_Wu").unit_text),
                 curves, (), _ticks(places), say("chart-note"))  # fmt: skip


def _printed_numbers(value: Value) -> tuple[float, ...]:
    return tuple((symbol(value.symbol).factor * value.at(method=HALF_SPACE).array).tolist())


def _ticks(places: tuple[float, ...]) -> tuple[tuple[float, str], ...]:
    room, last, ticks = ROOM * (places[-1] - places[0]), None, list[tuple[float, str]]()
    for x in places:
        near = last is not None and x - last < room
        ticks.append((x, "" if near else number_text(x, 1).replace("-", MINUS)))
        last = last if near else x
    return tuple(ticks)

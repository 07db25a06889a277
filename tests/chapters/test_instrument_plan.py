"""The instruments in the cross-section: where the project places them, and what stands in words where it does not."""

from dataclasses import dataclass
from itertools import combinations as pairs
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from calc.chapters.monitoring.plan_sketch import ROW as ROW_OF_NAMES
from calc.chapters.monitoring.plan_sketch import SIGN, elevations, instrument_plan
from calc.chapters.monitoring.plan_view import HIGH, ROW, plan_view
from calc.engine.figure import Callouts, Circle, Label, Line, Polygon, Scene
from calc.inputs.tables.monitoring import Instrument, instrument_places

GROUND = 0.4
DRAWN = Scene("cross_section", "t", "a", (Polygon(((-20.0, 5.0), (20.0, 5.0), (20.0, -9.0), (-20.0, -9.0)), "soft"),))


@dataclass(frozen=True)
class Layer:
    """As much of a layer as the figure reads."""

    key: str
    thickness: float


@dataclass(frozen=True)
class Plan:
    """As much of a plan as the figure reads."""

    instruments: tuple[Instrument, ...]


@dataclass(frozen=True)
class Site:
    """As much of a section as the figure reads."""

    monitoring: Plan
    ground_level: float = GROUND
    soft_layers: tuple[Layer, ...] = (Layer("peat", 2.0), Layer("clay", 4.0))


@dataclass(frozen=True)
class Stretch:
    """As much of a section as the plan reads."""

    monitoring: Plan
    chainage: str


def instrument(name: str, **given: Any) -> Instrument:
    return Instrument.model_validate({"name": name, "quantity": "settlement", "source": "invented", **given})


def plan(*given: Instrument) -> Scene | None:
    return instrument_plan(Site(Plan(given)), DRAWN)  # type: ignore[arg-type]


def test_an_instrument_stands_at_its_offsets_at_depths_and_in_the_middle_of_layers() -> None:
    """By hand: 0.4 − 1.0 = −0.6; middle of the peat 0.4 − 1.0, of the clay 0.4 − 2.0 − 2.0 = −3.6."""
    one = instrument("PP", offsets=["-2 m", "3 m"], depths=["0.5 m"], layers=["peat", "clay"])
    assert [round(level, 9) for level in elevations(Site(Plan(())), one)] == [-0.1, -0.6, -3.6]  # type: ignore[arg-type]

    figure = plan(one)
    assert figure is not None
    marks = [(item.x, round(item.y, 9)) for item in figure.items if isinstance(item, Circle)]
    assert marks == [(x, y) for x in (-2.0, 3.0) for y in (-0.1, -0.6, -3.6)]
    (names,) = [item for item in figure.items if isinstance(item, Callouts)]
    assert [text for _, text in names.entries] == ["PP −0.10", "PP −0.60", "PP −3.60"]


def test_instruments_at_one_place_share_a_mark_and_those_without_a_place_are_named() -> None:
    figure = plan(instrument("SP", offsets=["0 m"]), instrument("PS", offsets=["0 m"]), instrument("WS"))

    assert figure is not None
    assert [item.text for item in figure.items if isinstance(item, Label)] == ["SP, PS"]
    assert not [item for item in figure.items if isinstance(item, Line)]  # nothing lies below the ground
    assert figure.note.endswith("Without a place in the cross-section: WS.")
    assert plan(instrument("WS")) is None


def test_names_that_would_touch_stand_in_rows_with_a_line_to_their_mark() -> None:
    given = (("SP", "-2 m"), ("PC", "-1.5 m"), ("PS", "-0.75 m"), ("IN", "15 m"))
    figure = plan(*(instrument(name, offsets=[at]) for name, at in given))

    assert figure is not None
    names = {item.text: item for item in figure.items if isinstance(item, Label)}
    assert names["SP"].y > names["PC"].y > names["PS"].y
    assert names["IN"].y == names["PS"].y
    lines = [item.points for item in figure.items if isinstance(item, Line)]
    assert lines == [((x, GROUND), (x, names[name].y)) for name, x in (("PC", -1.5), ("SP", -2.0))]


def test_a_depth_without_an_offset_and_an_unknown_layer_are_refused() -> None:
    found = Plan((instrument("SR", depths=["1 m"]), instrument("PP", offsets=["0 m"], layers=["sand"])))
    layers = (Layer("peat", 2.0), Layer("clay", 4.0))
    problems = list(instrument_places(found, layers))  # type: ignore[arg-type]

    assert [(problem.path, problem.must) for problem in problems] == [
        (("monitoring", "instrument", 0, "offsets"), "be given where depths, layers or chainages are"),
        (("monitoring", "instrument", 1, "layers", 0), "name a layer (peat, clay)"),
    ]


AT = SimpleNamespace(left_toe=-10.0, left_shoulder=-4.0, right_shoulder=4.0, right_toe=10.0, left_column=-8.0,
                     right_column=8.0)  # fmt: skip


def view(*given: Instrument, chainage: str = "0+100 to 0+200") -> Scene | None:
    return plan_view(Stretch(Plan(given), chainage), AT)  # type: ignore[arg-type]


def test_in_plan_a_mark_stands_at_each_chainage_of_the_section_and_each_offset_right_below_the_axis() -> None:
    given = instrument("SP", offsets=["-4 m", "4 m"], chainages=["0+110", "0+190", "0+300"]), instrument("WS")
    figure = view(*given)

    assert figure is not None
    marks = {(item.x, item.y) for item in figure.items if isinstance(item, Circle)}
    assert marks == {(x, y) for x in (110.0, 190.0) for y in (4.0, -4.0)}
    assert figure.note.endswith("Without a chainage in this section: WS.")
    assert view(*given, chainage="0+200 to 0+300") is not None  # the end belongs to it
    assert view(*given, chainage="0+400 to 0+500") is None
    assert view(*given, chainage="the whole bank") is None


def test_in_plan_names_that_would_lie_on_each_other_are_moved_apart_in_order() -> None:
    near = [
        instrument(name, offsets=[f"{at} m"], chainages=["0+150"])
        for name, at in zip("ABC", (0, 0.2, 0.4), strict=True)
    ]
    figure = view(
        *near,
        instrument("D", offsets=["0 m"], chainages=["0+151"]),
        instrument("E", offsets=["0.2 m"], chainages=["0+150"]),
    )

    assert figure is not None
    names = {item.text: item for item in figure.items if isinstance(item, Label)}
    levels = [names[name].y for name in ("A", "B, E", "C")]
    row = ROW * 20.0 / HIGH
    assert [above - below for above, below in pairwise(levels)] == pytest.approx([row, row])
    assert sum(levels) / 3 == pytest.approx(-0.2)  # around the middle of their marks
    assert names["D"].x > names["B, E"].x  # behind the names of the chainage before it
    lines = [item for item in figure.items if isinstance(item, Line) and item.style == "thin"]
    assert len(lines) == 3  # that in the middle stands beside its mark


def test_in_plan_chainages_are_written_as_far_as_they_have_room() -> None:
    figure = view(instrument("SP", offsets=["0 m"], chainages=["0+101", "0+150", "0+152", "0+199"]))

    assert figure is not None
    texts = [item.text for item in figure.items if isinstance(item, Label) and "+" in item.text]
    assert texts == ["0+100", "0+200", "0+150"]


def test_a_name_covers_no_mark_and_no_other_name() -> None:
    """A row of places a metre apart at one level, and a second one just above it, as in a section of many sensors."""
    made = plan(
        *(instrument(f"PP-{k}", offsets=[f"{k} m"], depths=["2.0 m"]) for k in range(6)),
        *(instrument(f"IN-{k}", offsets=[f"{k} m"], depths=["1.6 m"]) for k in range(6)),
    )
    assert made is not None
    wide = 40.0
    marks = [(one.x, one.y) for one in made.items if isinstance(one, Circle)]
    names = [one for one in made.items if isinstance(one, Label)]
    boxes = [(one.x, one.x + (len(one.text) + 1) * SIGN * wide, one.y) for one in names]

    assert len(marks) == len(names) == 12
    for start, end, height in boxes:
        assert not [x for x, y in marks if start < x < end and abs(y - height) < 0.8 * ROW_OF_NAMES * wide]
    for (start, end, height), (low, high, other) in pairs(boxes, 2):
        assert end <= low or high <= start or abs(height - other) >= 0.8 * ROW_OF_NAMES * wide

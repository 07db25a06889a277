"""The instruments in the cross-section: where the project places them, and what stands in words where it does not."""

from dataclasses import dataclass
from typing import Any

from calc.chapters.monitoring.plan_sketch import elevations, instrument_plan
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
    assert names["SP"].y < names["PC"].y < names["PS"].y
    assert names["IN"].y == names["SP"].y
    lines = [item.points for item in figure.items if isinstance(item, Line)]
    assert lines == [((x, GROUND), (x, names[name].y)) for name, x in (("PC", -1.5), ("PS", -0.75))]


def test_a_depth_without_an_offset_and_an_unknown_layer_are_refused() -> None:
    found = Plan((instrument("SR", depths=["1 m"]), instrument("PP", offsets=["0 m"], layers=["sand"])))
    layers = (Layer("peat", 2.0), Layer("clay", 4.0))
    problems = list(instrument_places(found, layers))  # type: ignore[arg-type]

    assert [(problem.path, problem.must) for problem in problems] == [
        (("monitoring", "instrument", 0, "offsets"), "be given where depths or layers are"),
        (("monitoring", "instrument", 1, "layers", 0), "name a layer (peat, clay)"),
    ]

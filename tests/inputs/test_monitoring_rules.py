"""The table [monitoring]: levels with the unit of their quantity, and rules broken one by one in a right example."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from calc.factors.monitored import QUANTITIES
from calc.inputs import Design, InputErrors, read_design
from calc.inputs.reading.schema import project_schema
from calc.inputs.tables.monitoring import Measure
from tests.chapters.monitoring_case import FINAL, FIRST, instrument, trigger
from tests.chapters.timed import BASE

Read = Callable[..., Design]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Read the test project with this table."""

    def made(*triggers: dict[str, Any], **more: Any) -> Design:
        document = tomlkit.parse(BASE.read_text(encoding="utf-8")).unwrap()
        document["monitoring"] = {"instrument": [instrument("SP", "settlement")], "trigger": list(triggers), **more}
        document["stage"][1]["degree_min"] = 0.8
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        return read_design(tmp_path)

    return made


def level_of(design: Design) -> Measure:
    monitoring = design.sections[0].monitoring
    assert monitoring is not None
    return monitoring.triggers[0].level


@pytest.mark.parametrize(("quantity", "typed", "value"), [
    ("settlement", "250 mm", 0.25),
    ("settlement", "0.25 m", 0.25),
    ("settlement rate", "10 mm/d", 0.01),
    ("lateral rate", "0.7 mm/h", 0.0168),
    ("pore pressure", "0.02 MPa", 20.0),
    ("ring tension", "60 kN/m", 60.0),
    ("tilt", "180 deg", 3.141592653589793),
    ("groundwater", "-0.4 m", -0.4),
    ("stress ratio", 4, 4.0),
    ("degree of consolidation", 0.85, 0.85),
    ("ring strain", 0.03, 0.03),
    ("stress ratio", "design", None),
])  # fmt: skip
def test_level_is_read_in_the_unit_of_its_quantity(read: Read, quantity: str, typed: Any, value: float | None) -> None:
    more = {"stage": FINAL} if quantity == "degree of consolidation" else {}

    assert level_of(read(trigger(quantity, typed, **more))).value == (None if value is None else pytest.approx(value))


FORM = (
    "be a number, a space and the unit of the quantity, a plain number where the quantity has no unit, or "
    '"design", got '
)
CONVERTS = "be a number, a space and a unit that converts to"
WRONG = [
    ("settlement", "0.25", f'{FORM}"0.25": a number without a unit'),
    ("settlement", True, f"{FORM}true"),
    ("settlement", "5 furlong", f'{FORM}"5 furlong": the unit "furlong" is not known here'),
    ("settlement", 0.25, f'{CONVERTS} m for the quantity "settlement", got 0.25'),
    ("settlement", "2 kPa", f'{CONVERTS} m for the quantity "settlement", got "2 kPa"'),
    ("settlement rate", "5 mm", f'{CONVERTS} m/d for the quantity "settlement rate", got "5 mm"'),
    ("stress ratio", "4 m", 'be a plain number without a unit for the quantity "stress ratio", got "4 m"'),
    ("settlement", "-5 mm", 'be greater than 0 for the quantity "settlement", got "-5 mm"'),
    ("ring strain", 3, 'be at most 1 for the quantity "ring strain", got 3'),
    ("settlement", "design", 'be a number where a quantity triggers above its level, got "design"'),
]


@pytest.mark.parametrize(("quantity", "typed", "message"), WRONG, ids=lambda one: str(one)[:30])
def test_level_that_is_not_of_its_quantity_is_refused(read: Read, quantity: str, typed: Any, message: str) -> None:
    with pytest.raises(InputErrors) as caught:
        read(trigger(quantity, typed))

    (line,) = str(caught.value).splitlines()
    assert "monitoring.trigger[1].level: must " in line
    assert line.endswith(message)


STRENGTH, DEGREE, REST = "undrained strength", "degree of consolidation", "residual settlement"
AT_START = "which is asked for at the start of a stage"
PLACES = [
    ({"stage": "Stage 9"}, f'stage: must name a stage ({FIRST}, {FINAL}), got "Stage 9"'),
    (
        {"quantity": "pore pressure", "level": "20 kPa", "layer": "mud"},
        'layer: must name a layer (peat, clay), got "mud"',
    ),
    ({"layer": "peat"}, 'layer: must be given for pore pressure and undrained strength only, got "peat"'),
    (
        {"quantity": STRENGTH, "level": "20 kPa"},
        f'stage: must be given for the quantity "{STRENGTH}", {AT_START}, got nothing',
    ),
    (
        {"quantity": DEGREE, "level": 0.8, "stage": FINAL, "phase": "waiting"},
        f'phase: must be left out for the quantity "{DEGREE}", got "waiting"',
    ),
    (
        {"quantity": REST, "stage": FINAL},
        f'stage: must be left out for the quantity "{REST}", which counts from hand-over, got "{FINAL}"',
    ),
    ({"stage": FINAL, "phase": "in service"}, f'stage: must be left out in the phase "in service", got "{FINAL}"'),
    (
        {"quantity": DEGREE, "level": "design", "stage": FIRST},
        'level: must be a number where the stage has no degree_min, got "design"',
    ),
]


@pytest.mark.parametrize(("change", "message"), PLACES, ids=[message[:40] for _, message in PLACES])
def test_place_that_does_not_belong_to_the_quantity_is_refused(
    read: Read, change: dict[str, Any], message: str
) -> None:
    with pytest.raises(InputErrors) as caught:
        read({**trigger("settlement", "0.3 m"), **change})

    (line,) = str(caught.value).splitlines()
    assert line.endswith(f"monitoring.trigger[1].{message}")


@pytest.mark.parametrize(("quantity", "attention", "stop", "side"), [
    ("settlement", "0.3 m", "0.25 m", "below"),
    ("settlement", "0.25 m", "0.25 m", "below"),
    ("stress ratio", 3.0, 4.0, "above"),
])  # fmt: skip
def test_attention_behind_the_stop_is_refused(read: Read, quantity: str, attention: Any, stop: Any, side: str) -> None:
    with pytest.raises(InputErrors) as caught:
        read(trigger(quantity, attention, "attention"), trigger(quantity, stop))

    must = f"must lie {side} the level of the trigger that stops the work at the same place"
    assert must in str(caught.value)


def test_attention_of_another_stage_or_beside_the_design_has_no_order(read: Read) -> None:
    for pair in (
        (trigger("settlement", "0.3 m", "attention", stage=FINAL), trigger("settlement", "0.25 m", stage=FIRST)),
        (trigger("stress ratio", 4.0, "attention"), trigger("stress ratio", "design")),
        (trigger("stress ratio", 4.0, "attention"), trigger("stress ratio", 3.0)),
    ):
        monitoring = read(*pair).sections[0].monitoring
        assert monitoring is not None
        assert len(monitoring.triggers) == 2


def test_what_stands_twice_is_refused(read: Read) -> None:
    with pytest.raises(InputErrors) as caught:
        read(
            trigger("settlement", "0.3 m"), trigger("settlement", "0.4 m"),
            dates=["100 d", "100 d"], instrument=[instrument("SP", "settlement"), instrument("SP", "heave")],
        )  # fmt: skip

    lines = str(caught.value).splitlines()
    once = "be given once only for one kind, stage, phase and layer"
    assert {line.split(": ", 1)[1] for line in lines} == {
        'monitoring.instrument[2].name: must be used once only, got "SP"',
        'monitoring.dates[2]: must be used once only, got "100 d"',
        f'monitoring.trigger[2].quantity: must {once}, got "settlement"',
    }


@pytest.mark.parametrize("missing", ["action", "decides", "source", "kind", "quantity"])
def test_trigger_says_what_is_done_who_decides_and_where_it_comes_from(read: Read, missing: str) -> None:
    given = trigger("settlement", "0.3 m")
    del given[missing]

    with pytest.raises(InputErrors, match=f"monitoring.trigger.1..{missing}: must be given"):
        read(given)


def test_unknown_quantity_is_told_the_known_ones(read: Read) -> None:
    with pytest.raises(InputErrors) as caught:
        read(trigger("subsidence", "0.3 m"))

    assert all(f'"{name}"' in str(caught.value) for name in QUANTITIES)


def test_schema_lets_an_editor_type_every_form_of_a_level() -> None:
    level = project_schema()["$defs"]["Trigger"]["properties"]["level"]

    assert [set(one) for one in level["anyOf"]] == [{"type"}, {"type", "pattern"}, {"const"}]

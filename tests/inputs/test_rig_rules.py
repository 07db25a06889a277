"""Rules of the table [platform.rig], each broken by itself in a rig that is right."""

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from calc.inputs import InputErrors, read_design
from tests.chapters.rig_case import Change, on_platform
from tests.chapters.timed import BASE

LOAD = {"load": "600 kN", "eccentricity_along": "0.8 m", "eccentricity_across": "0.3 m"}


def first(**values: Any) -> Change:
    """The first operation with these values; None takes one out."""

    def change(rig: Any) -> None:
        for name, value in values.items():
            rig["operation"][0].pop(name, None)
            if value is not None:
                rig["operation"][0][name] = value

    return change


def table(**values: Any) -> Change:
    return lambda rig: rig.update(values)


RULES = [
    (
        first(pressure=None, length=None),
        "operation[1].pressure: must be given, or load with its eccentricities, but not both, got neither",
    ),
    (
        first(**LOAD),
        "operation[1].pressure: must be given, or load with its eccentricities, but not both, got both",
    ),
    (first(length=None), "operation[1].length: must be given where pressure is given, got nothing"),
    (first(length="4.6 m"), 'operation[1].length: must not be greater than track_length (4.5 m), got "4.6 m"'),
    (
        first(pressure=None, **LOAD),
        'operation[1].length: must be left out where load is given, got "4.0 m"',
    ),
    (
        first(pressure=None, length=None, **LOAD | {"eccentricity_along": None}),
        "operation[1].eccentricity_along: must be given with the other two of " + ", ".join(LOAD) + ", got nothing",
    ),
    (
        first(pressure=None, length=None, **LOAD | {"eccentricity_along": "2.25 m"}),
        'operation[1].eccentricity_along: must be less than half of track_length (2.25 m), got "2.25 m"',
    ),
    (
        first(pressure=None, length=None, **LOAD | {"eccentricity_across": "2.6 m"}),
        'operation[1].eccentricity_across: must not be greater than half of track_distance (2.5 m), got "2.6 m"',
    ),
    (first(name="extracting"), 'operation[2].name: must be used once only, got "extracting"'),
    (
        first(relieves=True),
        "operation: must hold an operation that the operator can relieve and one that he cannot, got one kind only",
    ),
    (
        table(track_distance="0.8 m"),
        'platform.rig.track_distance: must be greater than track_width (0.8 m), got "0.8 m"',
    ),
    (
        table(mats={"width": "6 m", "weight": "3 kPa", "source": "invented"}),
        'platform.rig.mats.width: must lie between track_width and track_distance (0.8 m and 5 m), got "6 m"',
    ),
    (
        table(mats={"width": "2 m", "weight": "3 kPa", "source": "invented"}, edge_distance="0.5 m"),
        'platform.rig.edge_distance: must be at least 0.6 m, or the mats reach beyond the crest, got "0.5 m"',
    ),
    (table(c_u="30 kPa"), "platform.rig.c_u_source: must be given where c_u is given, got nothing"),
    (
        lambda rig: rig["spread"].update(value=1.0),
        "platform.rig.spread.value: must be greater than 0 and at most 0.5, got 1.0",
    ),
    (
        lambda rig: rig["factors"].update(standing=0.9),
        "platform.rig.factors.standing: must be at least 1 and at most 100, got 0.9",
    ),
]


def lines(folder: Path, change: Change) -> list[str]:
    document = tomlkit.parse(BASE.read_text(encoding="utf-8"))
    on_platform(change)(document)
    (folder / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    return str(caught.value).splitlines()


@pytest.mark.parametrize(("change", "message"), RULES)
def test_a_broken_rule_of_the_rig_has_one_message(tmp_path: Path, change: Change, message: str) -> None:
    found = lines(tmp_path, change)

    assert len(found) == 1
    assert found[0].endswith(message)


def test_a_geosynthetic_asks_for_both_low_factors(tmp_path: Path) -> None:
    found = lines(tmp_path, table(geosynthetic={"strength": "20 kN/m", "source": "invented"}))

    assert [one.rpartition("factors.")[2] for one in found] == [
        "extracting_low: must be given with a geosynthetic, got nothing",
        "standing_low: must be given with a geosynthetic, got nothing",
    ]

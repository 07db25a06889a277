"""Points over depth in a layer: where they must lie, what they exclude, and the parts that they cut a layer into."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from calc.inputs import InputErrors, Section, read_design
from calc.inputs.reading.starter import starter_project
from calc.inputs.tables.profiles import corners, parts_between, value_at
from calc.study.changed import number_at, with_numbers
from tests.chapters.timed import BASE

Points = list[tuple[float, float]]
PEAT, CLAY = 0, 1  # peat to 2.5 m, clay to 6.5 m


@pytest.fixture
def read(tmp_path: Path) -> Callable[..., Section]:
    """The section of the test project with these fields of its clay; None takes one out."""

    def made(**fields: Any) -> Section:
        document: Any = tomlkit.parse(BASE.read_text(encoding="utf-8"))
        layer = document["section"][0]["layer"][CLAY]
        for name in ("c_u", "c_u_growth", *(key for key, value in fields.items() if value is None)):
            layer.pop(name, None)
        layer.update({key: value for key, value in fields.items() if value is not None})
        (tmp_path / "project.toml").write_text(tomlkit.dumps(document), encoding="utf-8")
        return read_design(tmp_path).sections[0]

    return made


def profile(points: Points, name: str = "c_u", unit: str = " kPa", **more: Any) -> dict[str, Any]:
    rows = [{"depth": f"{z} m", name: f"{x}{unit}" if unit else x} for z, x in points]
    return {"points": rows, "source": "report 1"} | more


@pytest.mark.parametrize(
    ("points", "index", "must"),
    [
        ([(2.4, 9), (6.5, 12)], 1, "be that of the top of the layer (2.5 m): nothing is extrapolated"),
        ([(2.5, 9), (6.4, 12)], 2, "be that of the base of the layer (6.5 m): nothing is extrapolated"),
        ([(2.5, 9), (7, 10), (6.5, 12)], 2, "lie in the layer (2.5 m to 6.5 m)"),
        ([(2.5, 9), (5, 10), (4, 10), (6.5, 12)], 3, "not be above the point before it (5 m)"),
        ([(2.5, 9), (2.5, 10), (6.5, 12)], 2, "differ from that before it: a value jumps inside the layer only"),
        ([(2.5, 9), (6.5, 10), (6.5, 12)], 3, "differ from that before it: a value jumps inside the layer only"),
        ([(2.5, 9), (4, 10), (4, 11), (4, 12), (6.5, 12)], 4, "be that of two points at most"),
    ],
)
@pytest.mark.parametrize(("name", "unit"), [("c_u", " kPa"), ("sigma_p", " kPa"), ("OCR", "")])
def test_a_point_that_does_not_lie_where_it_must_is_refused(
    read: Callable[..., Section], name: str, unit: str, points: Points, index: int, must: str
) -> None:
    with pytest.raises(InputErrors) as caught:
        read(**{f"{name}_profile": profile(points, name, unit)})
    error = caught.value.errors[0]

    assert error.path == f"section[1].layer[2].{name}_profile.points[{index}].depth"
    assert error.must == must


@pytest.mark.parametrize(
    ("fields", "path", "must"),
    [
        ({"c_u": "12 kPa", "c_u_profile": profile([(2.5, 9), (6.5, 12)])}, "c_u",
         "be left out where c_u_profile is given"),
        ({"c_u_growth": "1 kPa/m", "c_u_profile": profile([(2.5, 9), (6.5, 12)])}, "c_u_growth",
         "be left out where c_u_profile is given"),
        ({"OCR": 1.2, "OCR_profile": profile([(2.5, 1.4), (6.5, 1.1)], "OCR", "")}, "OCR",
         "be left out where OCR_profile is given"),
        ({"sigma_p": "40 kPa", "sigma_p_profile": profile([(2.5, 30), (6.5, 60)], "sigma_p")}, "sigma_p",
         "be left out where sigma_p_profile is given"),
        ({"sigma_p_profile": profile([(2.5, 30), (6.5, 60)], "sigma_p"),
          "OCR_profile": profile([(2.5, 1.4), (6.5, 1.1)], "OCR", "")}, "OCR_profile",
         "be left out where sigma_p_profile is given"),
        ({"c_u_profile": {"points": profile([(2.5, 9), (6.5, 12)])["points"]}}, "c_u_profile.source", "be given"),
        ({"c_u_profile": profile([(2.5, 9)])}, "c_u_profile.points", "have at least 2 entries"),
    ],
)  # fmt: skip
def test_what_goes_not_with_points_or_is_missing_is_refused(
    read: Callable[..., Section], fields: dict[str, Any], path: str, must: str
) -> None:
    with pytest.raises(InputErrors) as caught:
        read(**fields)
    found = {error.path: error.must for error in caught.value.errors}

    assert must in found[f"section[1].layer[2].{path}"]


def test_points_cut_a_layer_where_their_line_bends_or_jumps(read: Callable[..., Section]) -> None:
    section = read(c_u_profile=profile([(2.5, 14), (3, 13.5), (4, 12.5), (5, 13), (5, 15), (6.5, 18)]))
    parts = [(layer.key, layer.of, layer.thickness, layer.c_u, layer.c_u_growth) for layer in section.layers[1:]]

    assert parts == [
        ("clay/1", "clay", 1.5, 14, -1), ("clay/2", "clay", 1, 12.5, 0.5), ("clay/3", "clay", 1.5, 15, 2),
    ]  # fmt: skip
    assert [layer.key for layer in section.soft_layers] == ["peat", "clay"]
    clay = section.soft_layers[1]
    assert (clay.weakest, clay.strongest) == ((12.5, "layer.clay.c_u_profile.points.2.c_u"), 18)
    assert section.layers[2].weakest == clay.weakest


def test_a_value_of_a_part_is_told_by_its_point_and_the_others_by_their_layer(read: Callable[..., Section]) -> None:
    section = read(c_u_profile=profile([(2.5, 14), (4, 12), (6.5, 18)]))

    assert section.path_of("layer.clay/2.c_u") == "layer.clay.c_u_profile.points.1.c_u"
    assert section.origin("layer.clay/2.c_u").text == "12 kPa"
    assert section.origin("layer.clay/2.c_u_growth").text == "18 kPa"
    assert section.origin("layer.clay/1.thickness").text == "4 m"
    assert section.path_of("layer.clay/2.gamma") == "layer.clay.gamma"
    assert section.path_of("layer.peat.c_u") == "layer.peat.c_u"


@pytest.mark.parametrize(
    "points", [[(2.5, 12), (6.5, 18)], [(2.5, 12), (3.1, 12.9), (4, 14.25), (6.5, 18)], [(2.5, 12), (6.5005, 18)]]
)
def test_points_on_a_line_are_the_layer_with_value_and_growth(read: Callable[..., Section], points: Points) -> None:
    (layer,) = read(c_u_profile=profile(points)).layers[1:]

    assert (layer.key, layer.thickness, layer.c_u, layer.c_u_growth) == ("clay", 4.0, 12.0, 1.5)


def test_constant_points_are_the_layer_with_a_value(read: Callable[..., Section]) -> None:
    (layer,) = read(c_u_profile=profile([(2.5, 12), (4, 12), (6.5, 12)])).layers[1:]

    assert (layer.key, layer.thickness, layer.c_u, layer.c_u_growth) == ("clay", 4.0, 12.0, None)


def test_a_line_of_points_is_read_between_them_and_above_its_jump() -> None:
    """By hand; numpy.interp has no jumps."""
    line = ((2.0, 10.0), (4.0, 14.0), (4.0, 20.0), (6.0, 16.0))

    assert [value_at(line, z) for z in (2, 3, 4, 5, 6)] == [10, 12, 14, 18, 16]
    assert corners(((0.0, 1.0), (1.0, 2.0), (2.0, 3.0), (3.0, 5.0))) == [0, 2, 3]
    assert parts_between(line, 2.0, 6.0) == [(0, 1, 2.0, 10.0, 2.0), (2, 3, 2.0, 20.0, -2.0)]


def test_a_casing_and_a_growth_go_by_points_too(read: Callable[..., Section]) -> None:
    section = read(c_u_profile=profile([(2.5, 14), (4, 12), (6.5, 18)]), OCR=None, sigma_p=None)

    assert all(layer.has_strength for layer in section.layers)
    assert [layer.has_history for layer in section.layers] == [False] * 3


def test_a_layer_is_cut_where_a_study_asks_with_its_strength_at_every_depth(read: Callable[..., Section]) -> None:
    """Across the bends of its line by points: depth and strength at each end are those of the line."""
    line: Points = [(2.5, 14.0), (3.0, 13.0), (4.0, 11.0), (6.5, 16.0)]
    section = read(c_u_profile=profile(line))
    own = {"layer.clay/2.E_oed_ref": 700.0}

    cut = section.cut({"clay": (0.5, 1.0, 1.5, 1.0)}, own)

    parts = cut.layers[1:]
    assert [layer.key for layer in parts] == [f"clay/{k}" for k in range(1, 5)]
    assert [layer.of for layer in parts] == ["clay"] * 4
    tops = np.cumsum([2.5, 0.5, 1.0, 1.5])
    depths, strengths = zip(*line, strict=True)
    assert [layer.c_u for layer in parts] == pytest.approx(np.interp(tops, depths, strengths))
    assert [layer.c_u_growth for layer in parts] == pytest.approx([-2, -2, 2, 2])
    assert [layer.E_oed_ref for layer in parts] == [section.soft_layers[1].E_oed_ref, 700.0, *[parts[2].E_oed_ref] * 2]
    assert cut.soft_layers == section.soft_layers
    assert cut.path_of("layer.clay/2.E_oed_ref") == "layer.clay/2.E_oed_ref"
    assert cut.origin("layer.clay/2.E_oed_ref") == section.origin("layer.clay.E_oed_ref")
    assert cut.path_of("layer.clay/3.E_oed_ref") == "layer.clay.E_oed_ref"
    assert cut.path_of("layer.clay/4.c_u") == "layer.clay.c_u_profile.points.2.c_u"


def test_a_part_keeps_its_own_value_where_that_of_the_layer_changes(tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(starter_project("Bank"), encoding="utf-8")
    design = read_design(tmp_path)
    [section] = design.sections
    whole = section.layers[0]
    own = {"layer.peat/1.E_oed_ref": 600.0, "layer.peat/2.E_oed_ref": 800.0}
    cut = section.cut({"peat": (1.0, whole.thickness - 1.0)}, own)

    _, changed = with_numbers(design, cut, {"layer.peat/2.E_oed_ref": 900.0, "layer.peat.gamma": 12.5})
    _, typed = with_numbers(design, changed, {"layer.peat.E_oed_ref": 1e3})

    assert [layer.E_oed_ref for layer in changed.layers[:2]] == [600.0, 900.0]
    assert [layer.gamma for layer in changed.layers[:2]] == [12.5, 12.5]
    assert number_at(design, changed, "layer.peat/2.E_oed_ref") == 900.0
    assert number_at(design, changed, "layer.peat.E_oed_ref") == whole.E_oed_ref
    assert [layer.E_oed_ref for layer in typed.layers[:2]] == [600.0, 900.0]
    assert typed.soft_layers[0].E_oed_ref == 1e3
    assert [layer.E_oed_ref for layer in cut.layers[:2]] == [600.0, 800.0]

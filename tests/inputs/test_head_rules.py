"""Rules of heads over depth and of uplift, each broken by itself in an example that is right."""

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from calc.inputs import InputErrors, read_design
from calc.inputs.tables.heads import bends, head_at

FOLDER = Path(__file__).parents[2] / "projects" / "basin-crossing"
TEXT = (FOLDER / "project.toml").read_text(encoding="utf-8")
MEAN = 'points = [{ level = "-2.60 m", head = "0.01 m" }, { level = "-8.60 m", head = "1.30 m" }]'
PIT = 'depth = "0.60 m"\nwater_depth = "0.60 m"'
LEVEL, SOIL = 'water_level = "2.20 m"', 'soil = "4.0 m"'
FACTORS = "seals = true\ngamma_dst = 1.1\ngamma_stb = 0.9\n"


def points(*pairs: tuple[str, str]) -> str:
    listed = ", ".join(f'{{ level = "{level} m", head = "{head} m" }}' for level, head in pairs)
    return f"points = [{listed}]"


RULES = [
    ('water = "high"\npoints', 'water = "mean"\npoints', 'water.head[2].water: must be used once only, got "mean"'),
    (
        'water = "high"\npoints', 'water = "flood"\npoints',
        'water.head[2].water: must name a level that the table water gives (low, mean, high), got "flood"',
    ),
    (
        MEAN, points(("0.10", "0.10"), ("-8.60", "1.30")),
        'water.head[1].points[1].level: must be below the water level and the ground (-0.2 m), got "0.10 m"',
    ),
    (
        MEAN, points(("-3.60", "0.2"), ("-2.60", "0.1"), ("-8.60", "1.30")),
        'water.head[1].points[2].level: must not be above the point before it (-3.6 m), got "-2.60 m"',
    ),
    (
        MEAN, points(("-4.00", "0.2"), ("-4.00", "0.6"), ("-8.60", "1.30")),
        ("water.head[1].points[2].level: must differ from that before it: heads jump at the bottom of a layer only, "
         'got "-4.00 m"'),
    ),
    (
        MEAN, points(("-2.60", "0.2"), ("-2.60", "0.6"), ("-2.60", "0.7"), ("-8.60", "1.30")),
        'water.head[1].points[3].level: must be that of two points at most, got "-2.60 m"',
    ),
    (
        MEAN, points(("-2.60", "0.01"), ("-7.60", "1.30")),
        ("water.head[1].points[2].level: must be that of the base of the soft layers (-8.6 m): the last point is the "
        'aquifer\'s, got "-7.60 m"'),
    ),
    (
        MEAN, points(("-2.60", "0.01"), ("-8.60", "6.10")),
        ("water.head[1].points: must leave an effective vertical stress greater than 0 at every depth, got -5.25 kPa "
         "at a depth of 9.00 m"),
    ),
    ('OCR_water = "mean"\n', "",
     ("layer[2].OCR_water: must be given where OCR is given and heads make effective stresses of several water levels "
     "differ, got nothing")),
    ('OCR_water = "mean"', 'OCR_water = "low"',
     'layer[2].OCR_water: must name the water level of the initial state or of a stage, got "low"'),
    ("S = 0.25\n", 'S = 0.25\nOCR_water = "mean"\n',
     'layer[1].OCR_water: must be left out where OCR is not given, got "mean"'),
    ('shear = "5 kPa"\n', 'shear = "5 kPa"\nhead = "1.5 m"\n',
     ("plug.head: must be given as the head of the last point of [[water.head]], the one input of the head below, got "
     "an unknown key")),
    (FACTORS, f'{FACTORS}rise = "0.3 m"\n', "uplift.gamma_Q_dst: must be given where rise is given, got nothing"),
    (FACTORS, f"{FACTORS}gamma_Q_dst = 1.5\n", "uplift.rise: must be given where gamma_Q_dst is given, got nothing"),
    (FACTORS, f"{FACTORS.replace('true', 'false')}gamma_S_dst = 1.35\n",
     ("uplift.gamma_S_stb: must be given unless seals is true and plug.needed is true: water flows in soil or columns, "
     "got nothing")),
    (f'water = "mean" # filled again before the autumn tides\n{PIT}', f'water = "low"\n{PIT}',
     'uplift.excavation.water: must name the water level of the initial state or of a stage, got "low"'),
    (PIT, 'depth = "9 m"\nwater_depth = "1 m"',
     'uplift.excavation.depth: must be less than the soft layers are thick (9 m), got "9 m"'),
    (PIT, 'depth = "1 m"\nwater_depth = "2 m"',
     'uplift.excavation.water_depth: must not be below the bottom of the pit (1 m), got "2 m"'),
    (SOIL, 'soil = "7 m"',
     'uplift.casing.soil: must not be greater than the lowest soft layer is thick (6 m), got "7 m"'),
    ('water = "mean" # no column', 'water = "low" # no column',
     'uplift.casing.water: must name the water level of the initial state or of a stage, got "low"'),
    (LEVEL, 'water_level = "2.80 m"',
     'uplift.casing.water_level: must not be above the top of the casing (2.7 m), got "2.80 m"'),
    ("gamma_dst = 1.1\ngamma_stb = 0.9\ngamma_shear", "gamma_dst = 1.0\ngamma_stb = 0.9\ngamma_shear",
     "plug.gamma_dst: must be that of uplift.gamma_dst (1.1): one set of factors, got 1.0"),
    ('E_oed_ref = "1000 kPa"', 'E_oed_ref = "12 kPa"',
     ("layer[1].E_oed_ref: must give a modulus of at least 100 kPa at a stress of 100 kPa, with p_ref and m, got "
      '"12 kPa"')),
    (LEVEL, 'water_level = "-8.60 m"',
     'uplift.casing.water_level: must be above the base of the soft layers (-8.6 m), got "-8.60 m"'),
    ('strength = "6 kPa"\n', "",
     "uplift.casing.strength: must be given where adhesion is above 0, got nothing"),
    ('strength = "6 kPa"', 'strength = "17 kPa"',
     ("uplift.casing.strength: must not be greater than the undisturbed c_u of the lowest soft layer (16.8 kPa), got "
      '"17 kPa"')),
]  # fmt: skip


def refused(folder: Path, text: str) -> list[str]:
    (folder / "project.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    return str(caught.value).splitlines()


@pytest.mark.parametrize(("old", "new", "message"), RULES, ids=[f"{k}" for k, _ in enumerate(RULES)])
def test_broken_rule_is_refused_with_its_place(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert TEXT.count(old) >= 1
    (line,) = refused(tmp_path, TEXT.replace(old, new, 1))

    assert line.endswith(message)


def changed(change: Any) -> str:
    document = tomlkit.parse(TEXT)
    change(document)
    return tomlkit.dumps(document)


def test_plug_without_a_head_below_it_is_refused(tmp_path: Path) -> None:
    def no_heads(document: Any) -> None:
        del document["water"]["head"], document["uplift"]
        for layer in document["section"][0]["layer"]:
            layer.pop("OCR_water", None)

    (line,) = refused(tmp_path, changed(no_heads))

    assert "must be given where plug.needed is true: its last point is the aquifer's, got nothing" in line


def test_a_water_level_in_use_without_heads_is_refused(tmp_path: Path) -> None:
    """Heads at mean water alone: the stages at high water would be at rest without a word."""

    def forgotten(document: Any) -> None:
        del document["water"]["head"][1]

    (line,) = refused(tmp_path, changed(forgotten))

    assert line.endswith(
        "water.head: must hold heads for every water level in use, high (0.3 m) too; where its water is at rest, one "
        "point at -8.6 m with the head of the water level, got heads for mean"
    )


def test_water_at_rest_is_said_by_one_point(tmp_path: Path) -> None:
    def at_rest(document: Any) -> None:
        document["water"]["head"][1]["points"] = [{"level": "-8.60 m", "head": "0.30 m"}]

    (tmp_path / "project.toml").write_text(changed(at_rest), encoding="utf-8")
    table = read_design(tmp_path).sections[0].water_table

    assert {head_at(table.line("high", 0.4), level) for level in (0.3, -4.0, -8.6)} == {0.3}


def test_pit_casing_and_rise_without_heads_are_refused(tmp_path: Path) -> None:
    """They were dropped without a word."""

    def no_heads(document: Any) -> None:
        del document["water"]["head"], document["plug"]
        document["uplift"].update(rise="0.3 m", gamma_Q_dst=1.5, gamma_S_dst=1.35, gamma_S_stb=0.9)
        for layer in document["section"][0]["layer"]:
            layer.pop("OCR_water", None)

    lines = refused(tmp_path, changed(no_heads))

    assert [line.split("project.toml:")[1].split(" must ")[0].split(" ")[1] for line in lines] == [
        "uplift.rise:", "uplift.excavation:", "uplift.casing:",
    ]  # fmt: skip
    assert all("be left out, or heads ([[water.head]]) be given: it is verified against" in line for line in lines)


def test_adhesion_without_strength_is_refused(tmp_path: Path) -> None:
    def no_strength(document: Any) -> None:
        clay = document["section"][0]["layer"][1]
        del clay["c_u_profile"]
        document["uplift"]["casing"] = {
            "top": "3 m", "water_level": "2 m", "adhesion": 0.5, "strength": "4 kPa", "gamma_cu": 1.4,
            "source": "invented",
        }  # fmt: skip

    assert any("uplift.casing.adhesion: must be 0 where the lowest soft layer has no c_u" in line
               for line in refused(tmp_path, changed(no_strength)))  # fmt: skip


def test_columns_that_water_lifts_are_refused(tmp_path: Path) -> None:
    """Without a plug: light fill under a head that the soil, heavier, would bear."""

    def light(document: Any) -> None:
        document["plug"] = {"needed": False, "reason": "invented"}
        document["uplift"].update(gamma_S_dst=1.35, gamma_S_stb=0.9)
        document["columns"]["fill"].update(gamma="10 kN/m^3", gamma_sat="10 kN/m^3")

    assert any("must leave an effective vertical stress of the columns greater than 0 at every depth" in line
               for line in refused(tmp_path, changed(light)))  # fmt: skip


def test_heads_are_linear_between_points_and_jump_where_two_are_given() -> None:
    line = ((-0.4, -0.4), (-4.0, 0.2), (-4.0, 0.8), (-9.0, 1.2))

    assert head_at(line, -2.2) == pytest.approx(-0.1)
    assert (head_at(line, -4.0), head_at(line, -4.0, below=True)) == (0.2, 0.8)
    assert head_at(line, -6.5) == pytest.approx(1.0)
    assert (head_at(line, 1.0), head_at(line, -12.0)) == (-0.4, 1.2)


def test_perched_water_ends_where_its_pressure_does() -> None:
    """A perched table at −1 m over one at −6 m: no pressure from a place above the second point on, down to −6 m."""
    line = ((-1.0, -1.0), (-1.5, -1.2), (-2.0, -2.5), (-6.0, -6.0), (-9.0, -6.0))

    assert sorted(bends(line), reverse=True)[2] == pytest.approx(-1.6875)
    assert all(head_at(line, level) <= level for level in (-2.0, -3.0, -5.9))

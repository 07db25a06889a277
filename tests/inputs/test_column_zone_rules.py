"""Rules of zones of the columns, each broken by itself in an example that is right."""

import re
from pathlib import Path

import pytest
import tomlkit

from calc.inputs import InputErrors, read_design
from calc.inputs.reading.starter import starter_project
from calc.inputs.tables.column_zones import grid_strips
from calc.inputs.tables.columns import ColumnZone
from tests.willow import FOLDER, high_bank

TEXT = high_bank()
SECOND = """[[columns.zone]]
key = "{key}"
x_left = "{left} m"
x_right = "{right} m"
pattern = "square"
spacing = "{spacing} m"

[field]
"""
FLOATING = """spacing = "2.20 m"
floating = { alpha = 0.5, K = 0.6, delta = "16 deg", N_c = 9.0, toe_share = 0.5, c_u = "18 kPa", soft_below = "4 m", \
source = "invented" }
"""
RULES = [
    ('x_right = "11.3 m"', 'x_right = "3.0 m"',
     'columns.zone[1].x_right: must be right of x_left (3 m), got "3.0 m"'),
    ('x_left = "3.0 m"', 'x_left = "-3.0 m"',
     "columns.zone[1].mirrored: must be false where the zone lies on both sides of the axis, got true"),
    ("[field]\n", SECOND.format(key="slope", left=-2, right=2, spacing=1.5),
     'columns.zone[2].key: must be used once only, got "slope"'),
    ("[field]\n", SECOND.format(key="other", left=-7, right=-4, spacing=1.5),
     'columns.zone[2].x_left: must not overlap the zone "slope" (-11.3 m to -3 m), got "-7 m"'),
    ('spacing = "1.75 m"', 'spacing = "0.80 m"',
     'columns.zone[1].spacing: must be greater than the diameter (0.8 m), got "0.80 m"'),
    ('beyond_right = "6.3 m"\n', "",
     "field.beyond_right: must be given with columns.zone: the zones end at the outermost columns, got nothing"),
    ('x_right = "11.3 m"', 'x_right = "11.4 m"',
     ('columns.zone[1].x_right: must lie between the outermost columns (-11.3 m to 11.3 m), got "11.4 m"')),
    ('beyond_left = "6.3 m"', 'beyond_left = "6.2 m"',
     ("columns.zone[1].x_right: must lie between the outermost columns (-11.2 m to 11.3 m), mirrored as well, "
      'got "11.3 m"')),
    ('x_left = "3.0 m"', 'x_left = "10.5 m"',
     ("columns.zone[1].x_left: must leave every grid a strip as wide as its row distance (1.52 m), got "
      "10.5 m to 11.3 m")),
    ("[field]\n", SECOND.format(key="crest", left=-3, right=3, spacing=1.5),
     ("columns.zone: must leave part of the crest to the grid of [columns], which stands for the full height of fill, "
      "got zones over the whole crest, -5 m to 5 m")),
    ("[field]\n", SECOND.format(key="middle", left=0, right=2, spacing=1.5),
     ("columns.zone[2].x_right: must leave every grid a strip as wide as its row distance (1.91 m), got "
      "2 m to 3 m")),
    ("[field]\n", SECOND.format(key="middle", left=-0.65, right=0.65, spacing=1.25),
     ("columns.zone[2].x_left: must leave every grid a width in which its rows, spread evenly, do not touch, got "
      "-0.65 m to 0.65 m, rows 0.65 m apart")),
    ("[field]\n", SECOND.format(key="near", left=1, right=2.9996, spacing=1.5),
     'columns.zone[2].x_right: must meet the zone "slope" at 3 m, or stay 1 mm off it, got "2.9996 m"'),
    ("makeup_fill = false", 'makeup_fill = true\nembankment = { gamma_sub = "9 kN/m^3" }',
     ("makeup_fill: must be false where a zone of columns (slope) reaches below the crest, which settles as one, got "
      "true")),
    ('spacing = "2.20 m"', FLOATING,
     ("columns.floating: must be left out with columns.zone: columns that float in some zones alone are given by "
      "columns.zone.floating, got a table")),
    ("mirrored = true", 'mirrored = true\nlength = "5 m"',
     ("columns.zone[1].length: must be left out: the toes of a zone are given as its embedment in the bearing layer, "
      "or in soft ground by [columns.zone.floating], with toe_in, got an unknown key")),
    ("[traffic]\n",
     ('zone = [{ name = "Core", bottom = "1 m", top = "2 m", gamma = "8 kN/m^3", phi = "35 deg", c = "0 kPa" }]\n'
      "\n[traffic]\n"),
     ("embankment.zone: must be left out with columns.zone: the fill over a zone of columns is taken as one, "
      "got a table")),
    ('crest_width = "10.0 m"', 'crest_width = "10.0 m"\nheight_left = "3.5 m"',
     ("embankment.height_left: must be that of the other crest edge with columns.zone: heights over the zones are "
      'those of a level crest, got "3.5 m"')),
    ('beyond_left = "6.3 m"', 'beyond_left = "6.3 m"\nsleeve_cohesion = true',
     ("field.sleeve_cohesion: must be false with columns.zone: the ring tension that it counts on differs from zone to "
      "zone, got true")),
    ("e_0 = 1.9\n", "e_0 = 1.9\nsmear = { ratio = 2.4, k_ratio = 2.0 }\n",
     ("columns.zone[1].spacing: must give a unit cell wider than the disturbed zone of a layer (2.4 diameters), "
      'got "1.75 m"')),
]  # fmt: skip


def told(tmp_path: Path, text: str) -> str:
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors) as refused:
        read_design(tmp_path)
    return str(refused.value)


@pytest.mark.parametrize(("old", "new", "message"), RULES, ids=[message[:60] for _, _, message in RULES])
def test_broken_rule_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    """One message names field, what it must be and what it got."""
    assert old in TEXT

    assert message in told(tmp_path, TEXT.replace(old, new))


ONCE = [
    (('x_left = "3.0 m"', 'x_left = "-6.0 m"'),
     "columns.zone[1].mirrored: must be false where the zone lies on both sides of the axis, got true"),
    (("makeup_fill = false", "makeup_fill = true"),
     ("section[1].makeup_fill: must be false where a zone of columns (slope) reaches below the crest, which settles as "
      "one, got true")),
]  # fmt: skip


@pytest.mark.parametrize(("change", "message"), ONCE, ids=["zone over the axis", "compensation fill"])
def test_what_follows_from_a_mistake_is_not_told_beside_it(
    tmp_path: Path, change: tuple[str, str], message: str
) -> None:  # fmt: skip
    """Neither that such a zone covers the crest, nor that a fill which must not be asks for a unit weight."""
    (line,) = told(tmp_path, TEXT.replace(*change)).splitlines()

    assert line.partition(": ")[2] == message


def test_rows_that_touch_at_a_border_are_refused(tmp_path: Path) -> None:
    """By hand: half of 6 m in 8 parts and half of 8.3 m in 10.5 parts, 0.375 m and 0.395 m, for columns of 0.8 m."""
    text = TEXT.replace('spacing = "1.75 m"', 'spacing = "0.95 m"').replace('spacing = "2.20 m"', 'spacing = "0.97 m"')

    message = "columns.zone[1].x_left: must leave more than the diameter (0.8 m) between the rows at its border"
    assert f"{message}, got 0.77 m" in told(tmp_path, text)


def test_zones_are_refused_together_with_an_earthquake(tmp_path: Path) -> None:
    """The inertia of the columns is that of one grid."""
    shaken = (FOLDER.parent / "dyke-reach" / "project.toml").read_text(encoding="utf-8")
    tables = "".join(re.findall(r"^\[+earthquake[^\]]*\]+\n(?:(?!\[).*\n)*", shaken, re.MULTILINE))

    message = told(tmp_path, TEXT.replace("[field]\n", f"{tables}\n[field]\n"))

    assert "earthquake: must be left out with columns.zone: the inertia of the columns is not found by zones" in message


@pytest.mark.parametrize("spacing", ["1.75 m", "2.20 m"])
def test_zones_are_refused_together_with_sloping_layers(tmp_path: Path, spacing: str) -> None:
    """Neither is calculated as if it were the other; a zone that has the grid of the section is refused as well."""
    text = TEXT.replace('thickness = "5.0 m"', 'thickness = "5.0 m"\nthickness_right = "6.0 m"')
    message = told(tmp_path, text.replace('spacing = "1.75 m"', f'spacing = "{spacing}"'))

    (line,) = message.splitlines()
    place, _, said = line.partition(": ")
    assert place.startswith(f"{tmp_path / 'project.toml'}:")
    assert said == (
        "columns.zone: must be left out with layers that change their thickness across: each zone of columns is "
        "calculated on level layers alone, got a table"
    )


def test_a_zone_beyond_the_toe_of_the_bank_is_refused(tmp_path: Path) -> None:
    """Nothing rests on its columns."""
    wide = TEXT.replace('beyond_left = "6.3 m"', 'beyond_left = "14 m"').replace(
        'beyond_right = "6.3 m"', 'beyond_right = "14 m"'
    )

    message = told(tmp_path, wide.replace('x_left = "3.0 m"', 'x_left = "13.5 m"').replace("11.3 m", "17 m"))

    assert "columns.zone[1].x_left: must reach below the embankment (-13.4 m to 13.4 m), got 13.5 m to 17 m" in message


def test_a_zone_below_the_berm_reaches_below_the_embankment(tmp_path: Path) -> None:
    """The toe of a berm is that of the bank."""
    berm = '\n[embankment.berm_right]\nwidth = "5 m"\nheight = "1 m"\nslope = "1:2"\nstage = "Lift 1"\n\n[traffic]\n'
    text = TEXT.replace("\n[traffic]\n", berm).replace('beyond_right = "6.3 m"', 'beyond_right = "14 m"')
    text = (
        text.replace('x_left = "3.0 m"', 'x_left = "13.5 m"')
        .replace("11.3 m", "17 m")
        .replace("mirrored = true", "mirrored = false")
    )
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    (section,) = read_design(tmp_path).sections

    assert [one.key for _, one in section.columns.zones] == ["slope"]


def test_rows_stand_half_a_row_distance_from_a_border_and_are_no_wider_apart_than_the_wider_grid() -> None:
    """By hand: 8.3 m with rows at most 1.516 m apart are 5.5 distances of 1.509 m, 6.0 m are 4 of 1.5 m."""
    section, _ = read_design(FOLDER).sections

    left, middle, right = grid_strips(section.columns, -11.3, 11.3)

    assert [len(one.rows) for one in (left, middle, right)] == [6, 4, 6]
    assert right.rows[-1] == pytest.approx(11.3)
    assert right.rows[0] - 3 == pytest.approx(8.3 / 5.5 / 2)
    assert 3 - middle.rows[-1] == pytest.approx(0.75)
    assert right.rows[0] - middle.rows[-1] == pytest.approx((1.5 + 8.3 / 5.5) / 2)
    assert [-x for x in reversed(left.rows)] == pytest.approx(right.rows)
    assert middle.zone is None


def test_a_zone_with_the_grid_of_the_section_is_none(tmp_path: Path) -> None:
    """The field is one strip then."""
    text = TEXT.replace('spacing = "1.75 m"', 'spacing = "2.20 m"')
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")
    (section,) = read_design(tmp_path).sections

    assert section.columns.zones == ()
    assert [strip.zone for strip in grid_strips(section.columns, -11.3, 11.3)] == [None]
    assert section.by_zones() == ()


@pytest.mark.parametrize("zone", ["starter", "fields"])
def test_the_zone_that_starter_and_list_of_fields_show_is_read(tmp_path: Path, zone: str) -> None:
    """With the field of the starter switched on, without which a zone is refused."""
    text = starter_project("Bank").replace(
        '# [field]\n# beyond_left = "8.0 m"\n# beyond_right', '[field]\nbeyond_left = "8.0 m"\nbeyond_right'
    )
    (shown,) = re.findall(r"^#   (zone = \[\{ key.*)$", text, re.MULTILINE)
    if zone == "fields":
        table = tomlkit.inline_table()
        fields = ColumnZone.model_fields.items()
        table.update({name: field.examples[0] for name, field in fields if field.examples and name != "floating"})
        shown = f"zone = [{table.as_string()}]"
    (tmp_path / "project.toml").write_text(text.replace("[columns]\n", f"[columns]\n{shown}\n", 1), encoding="utf-8")

    (section,) = read_design(tmp_path).sections

    assert [one.key for _, one in section.columns.zones] == ["slope"]

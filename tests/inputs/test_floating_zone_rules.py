"""Rules of zones whose columns are shorter or longer, each broken by itself in an example that is right."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, Section, read_design
from tests.chapters.length_case import BELOW, short_text


def told(folder: Path, text: str) -> str:
    (folder / "project.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputErrors) as caught:
        read_design(folder)
    return str(caught.value)


def read(folder: Path, text: str) -> Section:
    (folder / "project.toml").write_text(text, encoding="utf-8")
    (section,) = read_design(folder).sections
    return section


WITH = "with columns.zone.floating"
RULES = [
    ('toe_in = "clay-lower"', 'toe_in = "crust"',
     'columns.zone[1].floating.toe_in: must name a soft layer below the first (clay, clay-lower), got "crust"'),
    ('toe_in = "clay-lower"', 'toe_in = "sand"', "toe_in: must name a soft layer below the first (clay, clay-lower)"),
    ("mirrored = true", 'mirrored = true\nembedment = "0.5 m"',
     f'columns.zone[1].embedment: must be left out {WITH}: the toes do not reach the bearing layer, got "0.5 m"'),
    ('c_u = "20 kPa"\n', "",
     f"section[1].layer[1].c_u: must be given {WITH}: it limits the adhesion of the shaft, got nothing"),
    ('c_v = "1.3 m^2/a"\n', "",
     f"section[1].layer[3].c_v: must be given {WITH}: the layer settles below the toes, got nothing"),
    ('key = "sand-below"', 'key = "clay"',
     f'section[1].layer_below[1].key: must not be that of a soft layer {WITH}, got "clay"'),
    ("drains = true", "drains = false",
     f"section[1].layer_below[1].c_v: must be given {WITH} unless drains is true, got nothing"),
    ("makeup_fill = false", "makeup_fill = true",
     f"section[1].makeup_fill: must be false {WITH}: the fill for the settlement is not found for the zone, got true"),
    ("[consolidation]\n", '[plug]\nneeded = false\nreason = "no aquifer"\n\n[consolidation]\n',
     f"plug: must be left out {WITH}: it is not covered for columns in soft ground, got a table"),
    ('drainage = "both"', 'drainage = "both"\nsecondary_reduction = { value = 0.8, source = "invented" }',
     f"consolidation.secondary_reduction: must be left out {WITH}: within the sharing length"),
    ('source = "tests on two', 'c_u = "20 kPa"\nsource = "tests on two', "columns.zone[1].floating.c_u: must be"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), RULES, ids=[message[:60] for _, _, message in RULES])
def test_broken_rule_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    """One message names field, what it must be and what it got."""
    text = short_text()
    assert old in text

    assert message in told(tmp_path, text.replace(old, new, 1))


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    text = short_text().replace('c_u = "20 kPa"\n', "").replace('toe_in = "clay-lower"', 'toe_in = "peat"')

    message = told(tmp_path, text)

    assert "toe_in: must name" in message
    assert "layer[1].c_u: must be given" in message


def test_a_layer_that_is_the_only_one_has_to_be_split_at_the_toes(tmp_path: Path) -> None:
    text = short_text()
    crust, _, rest = text.partition('[[section.layer]]\nkey = "clay"')
    bare = crust + rest[rest.index("[section.bearing_layer]") :]

    assert "(there is none: split the layer at the toes)" in told(tmp_path, bare)


def test_a_zone_is_the_section_with_its_ground_divided_at_the_toes(tmp_path: Path) -> None:
    """Weight, strength and c_v of the layers, nothing taken off the soil for good, and a drain at the top alone."""
    section = read(tmp_path, short_text())
    (part,) = section.by_zones()

    assert [layer.key for layer in part.layers] == ["crust", "clay"]
    assert [(layer.key, layer.E, layer.drains) for layer in part.layers_below] == [
        ("clay-lower", 1500.0, False), ("sand-below", 70000.0, True)
    ]  # fmt: skip
    assert (part.bearing_layer.name, part.bearing_layer.firm) == ("Clay, soft, below", False)
    assert part.columns.floating is not None
    assert (part.columns.floating.c_u, part.columns.floating.soft_below) == (30.0, 2.0)
    assert [stage.n_stability for stage in part.stages] == [1.0] * 4
    assert [stage.n_stability for stage in section.stages] == [1.0, 1.5, 2.5, 2.5]
    assert part.consolidation is not None
    assert part.consolidation.drainage == "top"
    assert part.path_of("bearing_layer.phi") == "layer.clay-lower.phi"
    assert part.origin("columns.floating.alpha").text == "0.6"
    assert part.origin("stage.2.n_stability").text.startswith("1: what columns in soft ground carry comes back")


def test_a_strength_that_falls_with_depth_counts_at_the_base_of_its_layer(tmp_path: Path) -> None:
    """Points over depth cut the layer; the toe counts with the least strength from its level down."""
    points = '{ points = [{ depth = "4 m", c_u = "30 kPa" }, { depth = "6 m", c_u = "22 kPa" }], source = "invented" }'
    text = short_text().replace('c_u = "30 kPa"\nc_u_growth = "1.2 kPa/m"\n', f"c_u_profile = {points}\n")
    (part,) = read(tmp_path, text).by_zones()

    assert part.columns.floating is not None
    assert part.columns.floating.c_u == pytest.approx(22.0)
    assert "at the base of Clay, soft, below" in part.origin("columns.floating.c_u").text
    assert [layer.key for layer in part.soft_layers] == ["crust", "clay"]


def test_drains_of_the_section_are_closed_at_the_toes_of_the_zone(tmp_path: Path) -> None:
    drains = (
        '[filters.drainage]\nends = "both"\nwell_resistance_max = 0.1\nhead_loss_max = "0.5 m"\nsource = "invented"\n'
    )
    section = read(tmp_path, short_text().replace("[consolidation]\n", f"{drains}\n[consolidation]\n"))
    (part,) = section.by_zones()

    assert [one.filters.drainage.ends for one in (section, part) if one.filters and one.filters.drainage] == [
        "both", "top"
    ]  # fmt: skip


def test_a_zone_without_a_programme_has_none(tmp_path: Path) -> None:
    text = short_text()
    begin = text.index("[consolidation]\n")
    (part,) = read(tmp_path, text[:begin] + text[text.index("\n\n", begin) + 2 :]).by_zones()

    assert part.consolidation is None
    assert [stage.n_stability for stage in part.stages] == [1.0] * 4


def test_an_embedment_like_that_of_the_section_is_none_and_another_one_is_a_zone(tmp_path: Path) -> None:
    """With the grid of the section as well; the depth of the toes is that of the firm layer and the embedment."""
    text = short_text((BELOW, ""), floating=False).replace('spacing = "1.75 m"', 'spacing = "2.20 m"')
    same = read(tmp_path, text.replace("mirrored = true", 'mirrored = true\nembedment = "0.5 m"'))
    deep = read(tmp_path, text.replace("mirrored = true", 'mirrored = true\nembedment = "1.5 m"'))

    assert same.columns.zones == ()
    assert [deep.toe_depth(zone) for zone in (None, *deep.columns.zone)] == pytest.approx([6.5, 7.5])
    assert [part.columns.embedment for part in deep.by_zones()] == [1.5]
    assert deep.part_of(None) is deep
    assert deep.part_of(deep.columns.zone[0]).key == "R.slope"


@pytest.mark.parametrize("own", ["0 m", "1.5 m"])
def test_layers_below_begin_at_one_depth(tmp_path: Path, own: str) -> None:
    """They would move with the toes of the zone, up or down."""
    text = short_text(floating=False)
    like = read(tmp_path, text.replace("mirrored = true", 'mirrored = true\nembedment = "0.5 m"'))

    assert like.layers_below
    assert (
        "columns.zone[1].embedment: must be that of [columns] (0.5 m) with layer_below, a list that begins at the toes "
        f'of the section: below other toes the ground is not given, got "{own}"'
    ) in told(tmp_path, text.replace("mirrored = true", f'mirrored = true\nembedment = "{own}"'))

"""Common tables, what a section says differently, and where each value comes from."""

import pickle
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

import pytest

from calc.inputs import Design, Provenance
from calc.inputs.reading.merge import merge

Read = Callable[..., Design]
LineOf = Callable[[str], int]
SECTION = "# Soft layers from the top down."


def test_tables_merge_at_every_depth_and_lists_are_replaced() -> None:
    common = {"a": {"b": 1, "c": {"d": 2, "e": 3}}, "list": [{"x": 1}, {"x": 2}], "f": 4}
    own = {"a": {"c": {"e": 30}, "g": 5}, "list": [{"x": 9}], "h": 6}

    merged = merge(common, own, (), ("section", 0))

    assert merged.table == {"a": {"b": 1, "c": {"d": 2, "e": 30}, "g": 5}, "list": [{"x": 9}], "f": 4, "h": 6}
    assert merged.stands_at(("a", "b")) == ("a", "b")
    assert merged.stands_at(("a", "c", "d")) == ("a", "c", "d")
    assert merged.stands_at(("a", "c", "e")) == ("section", 0, "a", "c", "e")
    assert merged.stands_at(("list", 0, "x")) == ("section", 0, "list", 0, "x")
    assert merged.stands_at(("f",)) == ("f",)
    assert merged.stands_at(("missing",)) == ("section", 0, "missing")
    assert merged.stands_at(("a", "missing")) == ("section", 0, "a", "missing")


def test_merging_changes_neither_table() -> None:
    common = {"a": {"b": 1}}
    own = {"a": {"c": 2}}
    merge(common, own, (), ())

    assert (common, own) == ({"a": {"b": 1}}, {"a": {"c": 2}})


def test_a_value_remembers_whether_the_section_or_all_sections_stated_it(read: Read, line_of: LineOf) -> None:
    own = f'[section.columns]\nspacing = "175 cm"\n\n[section.columns.fill]\nphi = "35 deg"\n\n{SECTION}'
    (section,) = read((SECTION, own)).sections

    assert section.columns.spacing == 1.75
    assert section.origin("columns.spacing") == Provenance("175 cm", line_of('spacing = "175'), 1, "file")
    assert section.origin("columns.fill.phi") == Provenance("35 deg", line_of('phi = "35 deg"'), 1, "file")
    assert section.columns.diameter == 0.8
    assert section.origin("columns.diameter") == Provenance("0.80 m", line_of("diameter"), 1, "file")
    assert section.origin("columns.fill.nu") == Provenance("0.3", line_of("nu = 0.3"), 1, "file")


def test_a_list_of_a_section_replaces_the_common_one(read: Read, line_of: LineOf) -> None:
    stage = (
        '[[section.stage]]\nname = "At once"\nsituation = "persistent"\nwater = "high"\nfill_height = "400 cm"\n'
        'traffic = true\nstart = "1 week"\nduration = "24 h"\nn_stability = 1\n\n'
    )
    (section,) = read((SECTION, stage + SECTION)).sections

    assert [(stage.name, stage.start, stage.duration) for stage in section.stages] == [("At once", 7.0, 1.0)]
    assert section.origin("stage.0.fill_height") == Provenance("400 cm", line_of('fill_height = "400'), 1, "file")


def test_values_in_lists_are_found_by_key_or_index(read: Read, line_of: LineOf) -> None:
    (section,) = read().sections

    assert section.origin("layer.clay.phi") == Provenance("21 deg", line_of('phi = "21 deg"'), 1, "file")
    assert section.origin("stage.1.fill_height") == Provenance("2.0 m", line_of('fill_height = "2.0'), 1, "file")
    assert section.origin("sleeve.stiffness.1.J").text == "2400 kN/m"
    assert section.origin("sleeve.factors.A1.value") == Provenance("1.5", line_of("A1"), 8, "file")
    with pytest.raises(KeyError):
        section.origin("layer.sand.phi")


def test_a_default_says_that_it_is_one(read: Read) -> None:
    design = read()

    assert (design.basis.gamma_w, design.basis.sublayer_max) == (9.81, 1.0)
    assert design.provenance["basis.gamma_w"] == Provenance("9.81 kN/m^3", None, None, "default")
    assert design.provenance["basis.sublayer_max"] == Provenance("1 m", None, None, "default")
    assert "project.client" not in design.provenance


def test_the_design_holds_the_origin_of_every_value_of_every_section(read: Read) -> None:
    design = read()
    (section,) = design.sections

    assert design.provenance["section.A.columns.spacing"] == section.origin("columns.spacing")
    assert design.provenance["project.title"].text == "Test"
    assert design.provenance["basis.factor_sets.1"].text == "EN 1997-1 DA1-2"


def test_the_design_holds_the_file_as_read(read: Read, tmp_path: Path) -> None:
    design = read()
    data = (tmp_path / "project.toml").read_bytes()

    assert (design.source, design.text, design.sha256) == (tmp_path / "project.toml", data, sha256(data).hexdigest())


def test_a_design_travels_to_another_process(read: Read) -> None:
    design = read()
    copy = pickle.loads(pickle.dumps(design))  # noqa: S301  # made one line above

    assert copy == design
    assert copy.sections[0].origin("columns.spacing") == design.sections[0].origin("columns.spacing")


def test_an_installed_radius_gives_the_oversize_without_rounding_dust(read: Read) -> None:
    (section,) = read(('oversize = "0 mm"', 'installed_radius = "0.405 m"')).sections

    assert section.sleeve.oversize == 0.005
    assert section.origin("sleeve.oversize").text == "0.405 m"


def test_nothing_of_a_design_can_be_changed(read: Read) -> None:
    design = read()

    with pytest.raises(ValueError, match="frozen"):
        design.sections[0].columns.spacing = 3.0  # type: ignore[misc]  # that it is refused is the point
    with pytest.raises(AttributeError):
        design.sha256 = ""  # type: ignore[misc]  # that it is refused is the point


def test_a_section_gives_its_water_levels_and_submerged_fill(read: Read) -> None:
    (section,) = read().sections

    assert [(water.name, water.level) for water in section.water] == [("mean", -0.5), ("high", 0.0)]
    assert section.embankment.gamma_sub == 10.0


def test_answers_to_matters_outside_are_those_given(read: Read) -> None:
    design = read(('# seismic = "not relevant because …"', 'seismic = "see report 7"'))

    assert design.outside == {"seismic": "see report 7"}


FACTORS = "".join(
    f"[basis.factor_set.{situation}]\n"
    + "".join(f"gamma_{name} = {value}\n" for name in ("G", "Q", "phi", "c", "cu", "R_e", "R_v", "R_h"))
    + "gamma_G_fav = 1.0\ngamma_gamma = 1.0\n"
    for situation, value in (("persistent", 1.3), ("transient", 1.2), ("accidental", 1.1))
)


def test_a_factor_set_given_in_full_is_resolved_beside_a_built_in_one(read: Read) -> None:
    given = '[[basis.factor_set]]\nkey = "own"\ntitle = "Own set"\nkind = "material"\nsource = "minutes"\n' + FACTORS
    design = read(('"EN 1997-1 DA1-2"]', '"own"]'), ("# Matters outside", f"{given}\n# Matters outside"))
    built_in, own = design.basis.factor_sets

    assert built_in.key == "EN 1997-1 DA1-1"
    assert (own.key, own.kind, own.source, own.evidence) == ("own", "material", "minutes", "given")
    assert (own.at("persistent").gamma_G, own.at("transient").gamma_cu, own.at("accidental").gamma_R_e) == (
        1.3,
        1.2,
        1.1,
    )

"""Rules of filters, plug and construction, each broken by itself in an example that is right."""

from pathlib import Path

import pytest

from calc.inputs import InputErrors, read_design

TEXT = (Path(__file__).parents[2] / "projects" / "basin-crossing" / "project.toml").read_text(encoding="utf-8")
FIRST_GRADING = 'D_10 = "0.002 mm"\nD_15 = "0.004 mm"'

RULES = [
    ('layer = "clay"\nD', 'layer = "mud"\nD', 'filters.soil[2].layer: must be used once only, got "mud"'),
    (
        FIRST_GRADING,
        'D_10 = "0.002 mm"\nD_15 = "0.001 mm"',
        'filters.soil[1].D_15: must not be less than D_10 (0.002 mm), got "0.001 mm"',
    ),
    (
        'D_85 = "2.2 mm"',
        'D_85 = "0.8 mm"',
        'filters.fill.D_85: must not be less than D_60 (0.9 mm), got "0.8 mm"',
    ),
    (
        "fines = 0.78",
        "fines = 0.5",
        "filters.soil[1].fines: must lie between 0.6 and 0.85, as the grain diameters say, got 0.5",
    ),
    (
        "fines = 0.02",
        "fines = 0.2",
        "filters.fill.fines: must lie between 0 and 0.1, as the grain diameters say, got 0.2",
    ),
    (
        "\nreversing = 0.5",
        "",
        'filters.criteria.reversing: must be given where flow is "reversing", got nothing',
    ),
    ('shear = "5 kPa"\n', "", "plug.shear: must be given where needed is true, got nothing"),
    (
        'length = "1.5 m"\npermeability',
        'length = "11 m"\npermeability',
        'plug.length: must not be greater than the column below the ground (10.5 m), got "11 m"',
    ),
    (
        'gamma_sat = "19.5 kN/m^3"',
        'gamma_sat = "9 kN/m^3"',
        'plug.gamma_sat: must be at least gamma_w (9.81 kN/m^3), got "9 kN/m^3"',
    ),
    ('ends = "top"', 'ends = "both"', 'filters.drainage.ends: must be "top" where a plug closes the toe, got "both"'),
    (
        'name = "HP 2"',
        'name = "HP 1"',
        'construction.hold_point[3].name: must be used once only, got "HP 1"',
    ),
    (
        'before = "filling of stage 1"\nstage = "Stage 1"',
        'before = "filling of stage 1"\nstage = "Stage 9"',
        'stage: must name a stage (Platform, Stage 1, Stage 2, Stage 3, High water, Final), got "Stage 9"',
    ),
    (
        'roll_overlap = "0.4 m"',
        'roll_overlap = "5 m"',
        'construction.quantities.roll_overlap: must be less than the width of the roll (5 m), got "5 m"',
    ),
    (
        'roll_overlap = "0.4 m"',
        'roll_overlap = "0.4 m"\nroll_waste = { value = 5, source = "per cent" }',
        "construction.quantities.roll_waste.value: must be at least 0 and at most 1, got 5",
    ),
]


@pytest.mark.parametrize(("old", "new", "message"), RULES, ids=[message.split(":")[0] for _, _, message in RULES])
def test_broken_rule_is_refused_with_its_place(tmp_path: Path, old: str, new: str, message: str) -> None:
    assert TEXT.count(old) >= 1
    (tmp_path / "project.toml").write_text(TEXT.replace(old, new, 1), encoding="utf-8")

    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    lines = str(caught.value).splitlines()
    assert len(lines) == 1
    assert lines[0].endswith(message)


def test_plug_that_is_not_needed_asks_for_no_values(tmp_path: Path) -> None:
    start, rest = TEXT.split("[plug]\n")
    plug = '[plug]\nneeded = false\nreason = "There is no aquifer."\n\n[construction.quantities]'
    start = start.replace("[uplift]\n", "[uplift]\ngamma_S_dst = 1.35\ngamma_S_stb = 0.9\n")
    (tmp_path / "project.toml").write_text(start + plug + rest.split("[construction.quantities]")[1], encoding="utf-8")

    assert read_design(tmp_path).sections[0].plug is not None


def test_grading_that_says_nothing_of_the_fines_is_left_alone(tmp_path: Path) -> None:
    """Grains on the very boundary between fines and sand bound nothing."""
    text = TEXT.replace('D_60 = "0.035 mm"\nD_85 = "0.11 mm"', 'D_60 = "0.075 mm"\nD_85 = "0.11 mm"')
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    assert read_design(tmp_path).sections[0].filters is not None


def test_project_without_filters_breaks_no_rule_of_theirs(tmp_path: Path) -> None:
    start, rest = TEXT.split("# The sleeve and the fill as filters")
    (tmp_path / "project.toml").write_text(start + "[plug]\n" + rest.split("[plug]\n")[1], encoding="utf-8")

    assert read_design(tmp_path).sections[0].filters is None


def test_fill_without_a_grading_breaks_no_rule(tmp_path: Path) -> None:
    start, rest = TEXT.split("[filters.fill]")
    text = start + "[filters.geotextile]" + rest.split("[filters.geotextile]")[1]
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    filters = read_design(tmp_path).sections[0].filters
    assert filters is not None
    assert filters.fill is None

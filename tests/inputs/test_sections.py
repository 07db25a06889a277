"""Mistakes in common tables and in the tables of one section: each told once, with the section that it is one in."""

from collections.abc import Callable

from calc.inputs import Design
from calc.inputs.reading.starter import starter_project

Read = Callable[..., Design]
Refused = Callable[..., list[str]]
LineOf = Callable[[str], int]
SECTION = "# Soft layers from the top down."


def test_a_common_value_that_every_section_states_anew_is_validated_too(refused: Refused, line_of: LineOf) -> None:
    own = '[section.embankment]\nheight = "4.0 m"\n\n'
    lines = refused(('height = "4.0 m"', 'height = "banana"\nheigth = "4 m"'), (SECTION, own + SECTION))

    assert lines == [
        (
            f"project.toml:{line_of('height')}:1: embankment.height: must be a number, a space and a unit that "
            'converts to m, got "banana": another form of text'
        ),
        (
            f'project.toml:{line_of("heigth")}:1: embankment.heigth: must be a key known here (near: "height"), '
            "got an unknown key"
        ),
    ]


def test_a_common_list_that_every_section_replaces_is_validated_too(refused: Refused, line_of: LineOf) -> None:
    text = starter_project("Test")
    stages = text[text.index("\n[[stage]]") : text.index("# Settlement over time")].replace(
        "[[stage]]", "[[section.stage]]"
    )
    lines = refused(("n_stability = 1.0\n", "\n"), (SECTION, stages + SECTION))

    assert lines == [
        f"project.toml:{line_of('[[stage]]')}:1: stage[1].n_stability: must be given: n_stability = 1.5, got nothing"
    ]


def test_a_common_table_may_be_completed_by_the_sections(read: Read) -> None:
    (section,) = read(
        ("[traffic]\n", "[traffic]\n#"), (SECTION, f'[section.traffic]\nq = "12 kPa"\n\n{SECTION}')
    ).sections

    assert section.traffic is not None
    assert section.traffic.q == 12.0


def two_sections(second: str) -> tuple[str, str]:
    """A change that gives the starter a second section with the ground of the first."""
    text = starter_project("Test")
    ground = text[text.index("\n[[section]]") :]
    return ground, f"{ground}\n{ground.replace(chr(34) + 'A' + chr(34), chr(34) + 'B' + chr(34))}{second}"


def test_a_common_mistake_is_told_once(refused: Refused) -> None:
    lines = refused(two_sections(""), ('spacing = "1.90 m"', 'spacing = "0.6 m"'), ('phi = "32.5 deg"', 'phi = "32.5"'))

    assert [line.split(": ")[1] for line in lines] == ["embankment.phi", "columns.spacing"]


def test_a_mistake_of_one_section_names_it(refused: Refused) -> None:
    own = '\n[section.columns]\ndiameter = "2.0 m"\n[section.slip]\nmin_depth = "x"\n'
    lines = refused(two_sections(own))

    assert [line.split(": ")[1] for line in lines] == [
        "columns.spacing",
        "section[2].slip.drained",
        "section[2].slip.water_mode",
        "section[2].slip.min_depth",
    ]
    assert [line.endswith(" (section B)") for line in lines] == [True] * 4


def test_a_grading_is_that_of_a_layer_of_some_section(refused: Refused) -> None:
    grading = (
        '\n[[filters.soil]]\nlayer = "silt"\nD_10 = "0.2 mm"\nD_15 = "0.25 mm"\nD_60 = "0.9 mm"\nD_85 = "2.5 mm"\n'
        'fines = 0.03\nsource = "report"\n'
    )
    (line,) = refused(("\n[[section]]", f"{grading}\n[[section]]"))

    assert line.endswith('filters.soil[1].layer: must name a layer (peat, clay), got "silt"')

"""Rules of a crest that falls from one edge to the other, each broken by itself in the starter project."""

from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import Design, InputErrors, read_design
from calc.inputs.tables.crest import crest_fall, crest_on_floating_columns, crest_strips
from tests.inputs.test_shape_rules import zone as zone_between
from tests.inputs.test_traffic_rules import SPREAD, TEXT, strips

Refused = Callable[..., list[str]]
ABOVE = "must not be above height (4 m), which is that of the higher crest edge"
STARTER = 'height = "4.0 m"\n# height_left'


def falls(left: str = "", right: str = "", height: str = "4.0 m") -> tuple[str, str]:
    lines = [f'height = "{height}"']
    lines += [f'height_{side} = "{one}"' for side, one in (("left", left), ("right", right)) if one]
    return STARTER, "\n".join([*lines, "# height_left"])


def step(least: float, fall: float, side: str, low: float) -> str:
    return (
        f"be at least {least:.3f} m, for a fall of {fall:g} % across the crest: a step is none. Write a lower platform "
        f'as [embankment.berm_{side}] with height = "{low} m", its width, slope and stage, beside the crest_width of '
        f"the higher one; its ground is then verified without columns. Where that fails leave height_{side} out and "
        "give the crest_width of both: a level crest covers all but the difference of their settlements"
    )


def told(lines: list[str]) -> list[str]:
    return [line.split(": ", 1)[1] for line in lines]


@pytest.mark.parametrize(
    ("given", "text"),
    [
        (
            falls(left="4.1 m"),
            f'embankment.height_left: {ABOVE}, got "4.1 m"',
        ),
        (
            falls(left="3.8 m", right="3.9 m"),
            'embankment.height: must be the larger of height_left and height_right (3.9 m), got "4.0 m"',
        ),
        (
            falls(right="2.9 m"),
            f'embankment.height_right: must {step(3.0, 10, "right", 2.9)}, got "2.9 m"',
        ),
    ],
)
def test_heights_that_do_not_fit_are_refused(refused: Refused, given: tuple[str, str], text: str) -> None:
    assert told(refused(given)) == [text]


def test_section_with_a_height_of_its_own_states_its_crest_edge(refused: Refused) -> None:
    own = ("[section.bearing_layer]", '[section.embankment]\nheight = "4.2 m"\n\n[section.bearing_layer]')
    lines = told(refused(falls(left="3.8 m"), own))

    must = "must stand beside a height_left of the section: the common one belongs to the common height"
    assert f'section[1].embankment.height: {must}, got "4.2 m"' in lines


def test_fall_is_gentle_beside_a_gentle_slope(refused: Refused) -> None:
    """A quarter of 1:4 is 6.25 %, of 10 m 0.625 m."""
    lines = refused(falls(left="3.3 m"), ('slope_right = "1:2"', 'slope_right = "1:4"'))

    assert told(lines) == [f'embankment.height_left: must {step(3.375, 6.25, "left", 3.3)}, got "3.3 m"']


def test_lower_edge_has_more_than_half_of_the_height(read: Callable[..., Design]) -> None:
    """A crest of 40 m with 10 % could fall to nothing."""
    fill = read().sections[0].embankment.model_copy(update={"crest_width": 40.0, "height_left": 2.0})
    (problem,) = crest_fall(fill)

    assert problem.path == ("embankment", "height_left")
    assert problem.must == "be more than half of height (2 m)"


def test_narrow_crest_does_not_fall(refused: Refused) -> None:
    lines = refused(falls(left="3.95 m"), ('crest_width = "10.0 m"', 'crest_width = "1.0 m"'))

    must = "be at least a third of height (1.33 m) with crest edges of two heights"
    assert f'embankment.crest_width: must {must}, got "1.0 m"' in told(lines)


def test_surcharge_on_a_crest_that_falls_is_refused(refused: Refused) -> None:
    lines = refused(falls(left="3.8 m"), ('fill_height = "2.0 m"', 'fill_height = "4.2 m"'))

    must = "not be above the crest (4 m) with crest edges of two heights"
    assert f'stage[2].fill_height: must {must}, got "4.2 m"' in told(lines)


def test_strips_on_a_crest_that_falls_are_refused(tmp_path: Path, read: Callable[..., Design]) -> None:
    text = TEXT.replace('[traffic]\nq = "20 kPa"\n', f'[traffic]\nq = "0 kPa"\n{strips(0.0)}{SPREAD}')
    (tmp_path / "project.toml").write_text(text.replace('height = "6 m"', 'height = "6 m"\nheight_right = "5.7 m"', 1))
    with pytest.raises(InputErrors) as caught:
        read_design(tmp_path)

    must = "be left out where traffic has strips: their load is calculated on a level crest alone"
    assert [str(error).split(":1: ")[1] for error in caught.value.errors] == [
        f'embankment.height_right: must {must}, got "5.7 m"'
    ]
    fill = read().sections[0].embankment
    assert [*crest_strips(fill, None)] == []


def test_floating_columns_under_a_crest_that_falls_are_refused() -> None:
    section = read_design(Path(__file__).parents[2] / "projects" / "fen-track").sections[0]
    fill = section.embankment.model_copy(update={"height_left": section.embankment.height - 0.1})
    (problem,) = crest_on_floating_columns(fill, section.columns)

    assert problem.path == ("embankment", "height_left")
    assert problem.must == "be left out with columns.floating: their load is calculated under a level crest alone"
    assert [*crest_on_floating_columns(section.embankment, section.columns)] == []


def test_what_lies_in_the_fill_lies_below_the_lower_edge(refused: Refused) -> None:
    """A zone up to 3.9 m, which the lower edge of 3.8 m does not reach."""
    zone = zone_between("1 m", "3.9 m")
    lines = refused(falls(left="3.8 m"), ("[traffic]", f"{zone}[traffic]"))

    assert told(lines) == ['embankment.zone[1].top: must not be above the crest (3.8 m), got "3.9 m"']


def test_edges_of_one_height_are_a_level_crest(read: Callable[..., Design]) -> None:
    level = read(falls(left="4.0 m", right="4.0 m")).sections[0].embankment
    sides = [read(falls(left="3.8 m")), read(falls(right="3.8 m"))]
    left, right = (side.sections[0].embankment for side in sides)

    assert (level.lower, level.fall) == ("", 0.0)
    assert (left.lower, right.lower) == ("left", "right")
    assert left.heights == {"left": 3.8, "right": 4.0}
    assert left.least_height == 3.8
    assert left.fall == pytest.approx(0.02)

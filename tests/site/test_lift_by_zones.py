"""The next lift with columns by zones: the zones are run again, and a gain takes readings with every grid."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from calc.chain import run_section
from calc.engine.sheet import Sheet
from calc.inputs import Design, Section, read_design
from calc.site.observed.design_course import DesignCourse, course_of
from calc.site.observed.stage_again import Degree, chapters_again, stage_again
from tests.willow import high_bank

pytestmark = pytest.mark.slow
approx = pytest.approx
FINAL = 2  # the stage that comes next
AXIS, UNDER_SLOPE = 0.0, 9.0


@cache
def design(gain: float | None) -> Design:
    """The road bank with its dense grid under the slopes, with a gain of strength typed for its last lift."""
    text = high_bank()
    if gain is not None:
        text = text.replace('name = "Final"\n', f'name = "Final"\nc_u_gain = "{gain} kPa"\nc_u_gain_source = "vane"\n')
    with TemporaryDirectory() as folder:
        (Path(folder) / "project.toml").write_text(text, encoding="utf-8")
        return read_design(Path(folder))


def section(gain: float | None) -> Section:
    return design(gain).sections[0].without_slip()


@cache
def course(gain: float | None) -> DesignCourse:
    """Its course on day 150, with the sheets of its zone."""
    whole = section(gain)
    made = run_section(design(gain), whole)
    done = {sheet.key: sheet for sheet in made.sheets}
    done |= {f"{zone.section.key}/{sheet.key}": sheet for zone in made.zones for sheet in zone.sheets}
    return course_of(design(gain), whole, done, None, 150.0, whole.by_zones())


def again(gain: float | None, *degrees: Degree) -> Sheet:
    sheet = Sheet(section="R", key="next lift")
    stage_again(sheet, course(gain), section(gain), FINAL, degrees, slip=False)
    return sheet


def note(sheet: Sheet) -> str:
    return next(one.note for one in sheet.verdicts if one.key == "bearing")


def test_without_another_gain_every_grid_comes_out_as_in_the_design() -> None:
    """Verdict by verdict; a zone of the design leaves out what its section says in the same words."""
    made, whole = course(None), section(None)
    own = {key: sheet for key, sheet in made.done.items() if "/" not in key}
    zone = {key.removeprefix("R.slope/"): sheet for key, sheet in made.done.items() if key.startswith("R.slope/")}
    of_zone = chapters_again(design(None), whole.by_zones()[0], zone, {}, until="bearing")
    others = {f"R.slope/{key}": sheet for key, sheet in of_zone.items()}
    of_whole = chapters_again(design(None), whole, own, others, until="bearing")

    def told(sheet: Sheet) -> set[tuple[str, str, float | None]]:
        return {(one.key, one.state, one.utilisation) for one in sheet.verdicts}

    assert told(of_whole["bearing"]) == told(own["bearing"])
    assert told(zone["bearing"]) <= told(of_zone["bearing"])
    assert len(told(zone["bearing"])) > 3


def test_what_the_design_leaves_open_stays_open() -> None:
    """Its soft ground between the columns is not verified: no degree makes a pass of that."""
    sheet = again(None, Degree(None), Degree(None))
    left = next(one.note for one in course(None).done["bearing"].verdicts if one.key == "soft_bearing_lift")

    assert note(sheet) == left


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        ((Degree(None), Degree(0.9, "", (AXIS, UNDER_SLOPE))), "one of them is missing"),
        ((Degree(0.9, "", (AXIS,)), Degree(0.9, "", (AXIS, UNDER_SLOPE))), "and R.slope has none"),
        ((Degree(0.9, "", (AXIS, UNDER_SLOPE)), Degree(0.9, "", (-UNDER_SLOPE,))), "and R has none"),
    ],
)
def test_a_gain_takes_both_readings_with_every_grid(degrees: tuple[Degree, Degree], words: str) -> None:
    sheet = again(3.0, *degrees)

    assert words in note(sheet)
    assert {one.state for one in sheet.verdicts} == {"not verified"}


def test_the_gain_is_the_least_of_all_grids_by_the_lower_degree() -> None:
    """With a twentieth consolidated little is gained, in either grid; the stage is run again with the least of all."""
    everywhere = (AXIS, UNDER_SLOPE)
    sheet = again(3.0, Degree(0.9, "", everywhere), Degree(0.05, "", everywhere))
    gains = [float(sheet.scopes[name]["Dc_us"].array) for name in ("gain", "gain_slope")]

    assert all(0 <= gain < 3.0 for gain in gains)
    assert float(sheet.scopes["gain_slope"]["U_b"].array.max()) <= 0.05


def test_without_a_computed_gain_nothing_is_limited_by_a_degree() -> None:
    made = course(3.0)
    bare = Sheet(section="R", key="consolidation")
    bare.__dict__.update(made.done["consolidation"].__dict__)
    bare.scopes = {key: scope for key, scope in bare.scopes.items() if key != "gain"}
    sheet = Sheet(section="R", key="next lift")
    everywhere = Degree(0.9, "", (AXIS, UNDER_SLOPE))
    stage_again(sheet, replace(made, done=made.done | {"consolidation": bare}), section(3.0), FINAL,
                (everywhere, everywhere), slip=False)  # fmt: skip

    assert note(sheet).startswith("The chapter on consolidation computes no gain")

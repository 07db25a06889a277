"""A bank that goes down in many steps beside its slope: laws of places, areas, slip surfaces and quantities."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.geometry import BERMS, profile
from calc.engine.sheet import Sheet
from tests.chapters.mats import verdict
from tests.chapters.test_berms import FINAL, Change, Chapters, berms, factor, searched
from tests.chapters.test_construction import built, rolls
from tests.chapters.test_lower_berms import area, both
from tests.chapters.timed import first_chapters

approx = pytest.approx

TOP, RAMP, SLOPE = 1.8, 5.0, 2.0  # height of the berm, run of the ramp that the steps stand for, run of every step


def stairs(count: int, *which: str, make: Callable[..., Change] = berms) -> Change:
    """A berm and steps below it whose outer edges lie on a ramp, 1:5."""

    def change(document: Any) -> None:
        make(*which)(document)
        drop = TOP / (count + 1)
        for side in which:
            berm = document["embankment"][f"berm_{side}"]
            steps = [
                {"width": f"{(RAMP - SLOPE) * drop} m", "height": f"{TOP - k * drop} m", "slope": f"1:{SLOPE:g}"}
                for k in range(1, count + 1)
            ]
            if steps:
                berm["lower"], berm["further"] = steps[0], steps[1:]

    return change


@pytest.mark.parametrize("count", range(6))
def test_outline_and_area_are_those_of_all_steps(tmp_path: Path, count: int) -> None:
    """By the shoelace formula the outline holds what the formulas weigh, and what the steps have by hand."""
    columns = first_chapters(tmp_path, "columns")(stairs(count, "left", "right"))["columns"]
    place, scope, drop = profile(columns, FINAL), columns.scopes[BERMS], TOP / (count + 1)
    added = [10 * TOP, *((RAMP - SLOPE) * drop * (TOP - k * drop) for k in range(1, count + 1))]

    assert [float(scope[f"A_B{end}"].at(stage=FINAL).array) for end in "lr"] == approx([sum(added)] * 2)
    assert area(place.outline, place.ground) == approx(12 * 6 + 2 * 6**2 + 2 * sum(added))
    assert len(place.outline) == 2 * (2 + 1 + 2 * (count + 1)) - 2
    assert [x for x, _ in place.outline] == sorted(x for x, _ in place.outline)
    assert np.array(place.outline) == approx(np.array([(-x, y) for x, y in place.outline[::-1]]))


def test_many_steps_tend_to_the_ramp_they_stand_for(tmp_path: Path) -> None:
    """Every step lacks a triangle below the ramp: half of its height times (5 − 2) of it."""
    ramp = first_chapters(tmp_path, "columns")(berms("left", slope=f"1:{RAMP:g}"))["columns"]
    whole = float(ramp.scopes[BERMS]["A_Bl"].at(stage=FINAL).array)
    lacking = []
    for count in range(6):
        columns = first_chapters(tmp_path, "columns")(stairs(count, "left"))["columns"]
        lacking.append(float(columns.scopes[BERMS]["A_Bl"].at(stage=FINAL).array) - whole)

    drops = [TOP / (count + 1) for count in range(6)]
    assert lacking == approx([-(RAMP - SLOPE) * TOP * drop / 2 for drop in drops])


@pytest.mark.slow
def test_circles_about_many_steps_tend_to_those_about_the_ramp(chapters: Chapters) -> None:
    def least(change: Change) -> float:
        return factor(chapters(change)["stability"], "slip")

    ramp = least(searched("left", "right", slope=f"1:{RAMP:g}"))
    none, few, many = (abs(least(stairs(count, "left", "right", make=searched)) - ramp) for count in (0, 2, 5))

    assert many < few < none
    assert many < none / 3


def test_step_of_no_height_is_none(chapters: Chapters) -> None:
    """All numbers of all chapters; only the inputs know of it."""

    def flat(document: Any) -> None:
        both("left")(document)
        document["embankment"]["berm_left"]["further"] = [{"width": "3 m", "height": "0 m", "slope": "1:3"}]

    plain, none = chapters(both("left")), chapters(flat)

    for key, sheet in plain.items():
        assert [(one.key, one.utilisation) for one in none[key].verdicts] == [
            (one.key, one.utilisation) for one in sheet.verdicts
        ]
        assert none[key].scopes.keys() == sheet.scopes.keys()


@pytest.mark.slow
def test_steps_on_one_side_are_the_mirror_image_of_those_on_the_other(chapters: Chapters) -> None:
    left, right = (chapters(stairs(3, side, make=searched)) for side in ("left", "right"))

    for key in ("stability", "bearing"):
        one, other = ({v.key: v.utilisation for v in run[key].verdicts if v.utilisation} for run in (left, right))
        swapped = {name.replace("_left", "_?").replace("_right", "_left").replace("_?", "_right"): value
                   for name, value in other.items()}  # fmt: skip
        assert one == approx(swapped, rel=1e-6)


def test_ground_under_every_step_is_verified_by_itself(bearing: Callable[..., Sheet]) -> None:
    """Hand calculation: the height of the step of 19 kN/m3 on (π + 2) of c_u / 1.4."""
    found = bearing(stairs(5, "left"))

    for k, before in enumerate(("", "lower_", "step_3_", "step_4_", "step_5_", "step_6_")):
        height = TOP * (6 - k) / 6
        assert verdict(found, f"{before}berm_bearing_left").utilisation == approx(
            height * 19 / ((np.pi + 2) * 26.0 / 1.4), rel=1e-3
        )
        assert verdict(found, f"{before}berm_extrusion_left").state == "pass"


def test_fill_of_the_steps_is_that_within_the_outline(chapters: Chapters, tmp_path: Path) -> None:
    """Volume over the length of 100 m by the shoelace formula; a zone from 0.3 to 0.9 m between the steps by strips."""

    def made(document: Any) -> None:
        rolls(document)
        stairs(5, "left", "right")(document)
        document["embankment"]["zone"] = [
            {"name": "Drain", "bottom": "0.3 m", "top": "0.9 m", "gamma": "18 kN/m^3", "phi": "36 deg", "c": "0 kPa"},
        ]

    sheets = chapters(built(made, level="0.60 m"))
    place, sheet = profile(sheets["columns"], FINAL), sheets["construction"]

    assert float(sheet.scopes["quantities"]["V_E"].array) == approx(100 * area(place.outline, place.ground))
    x, y = np.array(place.outline).T
    fine = np.linspace(x[0], x[-1], 200_001)
    top = np.interp(fine, x, y) - place.ground
    strips = np.trapezoid(np.clip(top, 0.3, 0.9) - 0.3, fine)
    assert sheet.scopes["zones"]["V_z"].array == approx([100 * strips], rel=1e-5)

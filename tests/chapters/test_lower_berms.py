"""A lower berm beside the slope of a berm: a second step down from the bank, in every chapter that has the berm."""

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.geometry import BERMS, PLACES, profile
from calc.chapters.shared.zones import line_below_level
from calc.engine.figure import Callouts, Dimension, Scene
from calc.engine.sheet import Sheet
from tests.chapters.mats import verdict
from tests.chapters.test_bearing import below
from tests.chapters.test_berms import FINAL, FIRST, Change, Chapters, berms, factor, searched, stability_states
from tests.chapters.test_construction import built, rolls
from tests.chapters.timed import first_chapters

approx = pytest.approx


def lower(*which: str, **more: str) -> Change:
    """Lower berms of 0.8 m by 4 m beside the berms of these sides."""

    def change(document: Any) -> None:
        for side in which:
            given = {"width": "4 m", "height": "0.8 m", "slope": "1:3", **more}
            document["embankment"][f"berm_{side}"]["lower"] = given

    return change


def both(*which: str, make: Callable[..., Change] = berms, **more: str) -> Change:
    """Berms and lower berms on these sides."""

    def change(document: Any) -> None:
        make(*which)(document)
        lower(*which, **more)(document)

    return change


def area(outline: tuple[tuple[float, float], ...], ground: float) -> float:
    return sum((far - x) * ((y + end) / 2 - ground) for (x, y), (far, end) in pairwise(outline))


def test_places_step_down_from_the_bank(tmp_path: Path) -> None:
    """The toe of the berm lies 28 m from the axis; 0.8 m up its slope of 1:2 at 26.4 m, then 4 m, then 1:3."""
    columns = first_chapters(tmp_path, "columns")(both("left"))["columns"]
    place = profile(columns, FINAL)
    berm = place.left_berm

    assert berm is not None
    assert berm.lower is not None
    assert np.array(berm.corners) == approx(
        np.array([(-32.8, 0.4), (-30.4, 1.2), (-26.4, 1.2), (-24.4, 2.2), (-14.4, 2.2)])
    )
    assert place.outline[:5] == berm.corners
    assert float(columns.scopes[PLACES]["x_gl"].at(stage=FINAL).array) == approx(-32.8 - 3 * (6.0 + 6.5 + 0.5))


def test_area_of_the_outline_is_that_of_the_bank_and_its_berms(tmp_path: Path) -> None:
    """Equilibrium: what the drawn outline holds is what the formulas weigh."""
    columns = first_chapters(tmp_path, "columns")(both("left", "right"))["columns"]
    scope, place = columns.scopes[BERMS], profile(columns, FINAL)
    parts = sum(float(scope[name].at(stage=FINAL).array) for name in ("A_Bl", "A_Br"))

    assert parts == approx(2 * (1.8 * 10 + 0.8 * 4 + (3 - 2) * 0.8**2 / 2))
    assert area(place.outline, place.ground) == approx(12 * 6 + 2 * 6**2 + parts)
    assert area(line_below_level(place.outline, 1.2), place.ground) == approx(0.8 * (2 * 30.4 + 0.8 * 3))


def test_lower_berm_of_no_height_is_none(chapters: Chapters) -> None:
    """All numbers of all chapters; only the inputs know of it."""
    plain, none = chapters(berms("left")), chapters(both("left", height="0 m"))

    for key, sheet in plain.items():
        assert [(one.key, one.utilisation) for one in none[key].verdicts] == [
            (one.key, one.utilisation) for one in sheet.verdicts
        ]
        assert none[key].scopes.keys() == sheet.scopes.keys()


@pytest.mark.slow
def test_lower_berm_on_one_side_is_the_mirror_image_of_that_on_the_other(chapters: Chapters) -> None:
    left, right = (chapters(both(side, make=searched)) for side in ("left", "right"))

    for key in ("stability", "bearing"):
        one, other = ({v.key: v.utilisation for v in run[key].verdicts if v.utilisation} for run in (left, right))
        swapped = {name.replace("_left", "_?").replace("_right", "_left").replace("_?", "_right"): value
                   for name, value in other.items()}  # fmt: skip
        assert one == approx(swapped, rel=1e-6)


@pytest.mark.slow
def test_bank_that_fails_beside_a_berm_stands_with_a_lower_one(chapters: Chapters) -> None:
    """The berm alone is too short for circles about both; the lower one lengthens it."""
    short = {"width": "3 m"}
    alone, beside = (
        chapters(lambda document, more=more: (searched("left", "right", **short)(document), more(document)))[
            "stability"
        ]
        for more in (lower(), lower("left", "right", width="12 m"))
    )

    assert "fail" in stability_states(alone).values()
    assert factor(beside, "slip") > factor(alone, "slip") + 0.02


def test_soft_ground_that_does_not_bear_the_lower_berm_fails(bearing: Callable[..., Sheet]) -> None:
    """Hand calculation: 0.8 m of 19 kN/m3 on (π + 2) of c_u / 1.4; each berm has verdicts of its own."""
    stiff = bearing(both("left"))
    found = verdict(stiff, "lower_berm_bearing_left")

    assert found.utilisation == approx(0.8 * 19 / ((np.pi + 2) * 26.0 / 1.4), rel=1e-3)
    assert {verdict(stiff, f"lower_berm_{one}_left").state for one in ("bearing", "extrusion")} == {"pass"}
    assert verdict(stiff, "berm_bearing_left").utilisation == approx(
        verdict(bearing(berms("left")), "berm_bearing_left").utilisation
    )

    def soft(document: Any) -> None:
        both("left", height="1.7 m")(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "6 kPa"

    weak = bearing(soft)

    assert {verdict(weak, f"lower_berm_{one}_left").state for one in ("bearing", "extrusion")} == {"fail"}


def test_load_on_the_ground_below_the_toes_is_wider_by_the_area_of_both(bearing: Callable[..., Sheet]) -> None:
    found = bearing(below, both("left")).scopes["below"]

    assert found["A_Bl"].array == approx(1.8 * 10 + 0.8 * 4 + (3 - 2) * 0.8**2 / 2)
    assert found["A_Br"].array == 0.0


def test_berms_come_with_the_stage_of_the_upper_one(tmp_path: Path) -> None:
    def late(document: Any) -> None:
        berms("left", stage="Final")(document)
        lower("left")(document)

    columns = first_chapters(tmp_path, "columns")(late)["columns"]

    assert profile(columns, FIRST).left_berm is None
    assert profile(columns, FINAL).left_berm is not None


@pytest.mark.parametrize("side", ["left", "right"])
def test_both_are_drawn_with_their_widths(run_project: Callable[..., Any], side: str) -> None:
    section = run_project(both(side)).sections[0]
    scene = next(figure for figure in section.sheets[0].page.figures if isinstance(figure, Scene))
    sign = -1.0 if side == "left" else 1.0
    widths = {
        item.text: sorted((sign * item.x1, sign * item.x2)) for item in scene.items if isinstance(item, Dimension)
    }
    named = [text for item in scene.items if isinstance(item, Callouts) for _, text in item.entries]

    assert widths["10.00 m"] == approx([14.4, 24.4])
    assert "lower berm 1.20, 4.00 m, 1:3" in named


def test_lower_berm_and_its_part_of_a_zone_are_counted_by_hand(chapters: Chapters) -> None:
    """Zone from 0.5 to 1.0 m: in the lower berm of 0.8 m by 4 m its 0.3 m are 4 + (4 − 3)·0.15 m wide."""

    def made(document: Any) -> None:
        rolls(document)
        document["embankment"]["berm_right"] = {
            "width": "10 m", "height": "1.8 m", "slope": "1:3", "stage": "First lift",
            "lower": {"width": "4 m", "height": "0.8 m", "slope": "1:4"},
        }  # fmt: skip
        document["embankment"]["zone"] = [
            {"name": "Drain", "bottom": "0.5 m", "top": "1 m", "gamma": "18 kN/m^3", "phi": "36 deg", "c": "0 kPa"},
        ]

    sheet = chapters(built(made, level="0.60 m"))["construction"]
    counted = sheet.scopes["quantities"]
    upper, lower = 100 * (10 * 1.8 + 1.8**2 / 2), 100 * (4 * 0.8 + 0.8**2 / 2)

    assert [float(counted[name].array) for name in ("V_B1r", "V_B2r", "V_Br")] == approx([upper, lower, upper + lower])
    assert float(counted["V_E"].array) == approx(100 * (12 * 6 + 2 * 6**2) + upper + lower)
    parts = (12 + 4 * 5.25) * 0.5, (10 + 1.05) * 0.5, (4 + 0.15) * 0.3
    assert sheet.scopes["zones"]["V_z"].array == approx([100 * sum(parts)])

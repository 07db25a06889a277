"""Side berms from the project file: places, slip surfaces, the ground under them, what leaves them out."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.chain import SectionRun
from calc.chapters.shared.geometry import PLACES, profile
from calc.chapters.stability.stage_model import Case, _fill
from calc.engine.figure import Dimension, Line, Scene
from calc.engine.sheet import Sheet
from calc.inputs import read_design
from tests.chapters.mats import reinforced, verdict
from tests.chapters.settled import keys
from tests.chapters.slip_case import SECOND, coarse
from tests.chapters.test_bearing import below
from tests.chapters.timed import first_chapters, reach

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
FIRST, FINAL = "1 First lift", "2 Final"
approx = pytest.approx


def berms(*which: str, stage: str = "First lift", c_u: str = "26 kPa", **more: str) -> Change:
    """Berms of 1.8 m by 10 m on these sides, soft layers of this strength, columns 9 m beyond the crest edge."""

    def change(document: Any) -> None:
        reach(document)
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = c_u
        for side in which:
            given = {"width": "10 m", "height": "1.8 m", "slope": "1:2", "stage": stage, **more}
            document["embankment"][f"berm_{side}"] = given

    return change


def factor(sheet: Sheet, scope: str, stage: str = FINAL) -> float:
    return float(np.min(sheet.scopes[scope]["F_Bi"].at(stage=stage).array))


def stability_states(sheet: Sheet) -> dict[str, str]:
    return {one.key: one.state for one in sheet.verdicts if one.key.startswith("global_stability")}


def searched(*which: str, **more: str) -> Change:
    def change(document: Any) -> None:
        berms(*which, c_u="30 kPa", **more)(document)
        coarse(document)

    return change


@pytest.mark.slow
def test_bank_that_fails_stands_with_its_berms(chapters: Chapters) -> None:
    """The same bank, ground and columns; circles and blocks of both states."""
    without, beside = (chapters(searched(*which))["stability"] for which in ((), ("left", "right")))

    assert "fail" in stability_states(without).values()
    assert set(stability_states(beside).values()) == {"pass"}
    for scope in ("slip", "slip_lift"):
        assert factor(beside, scope) > factor(without, scope)


@pytest.mark.slow
def test_berm_of_no_height_is_none(chapters: Chapters) -> None:
    """All numbers of all chapters; only the inputs know of it."""
    plain, none = chapters(searched()), chapters(searched("left", "right", height="0 m"))

    for key, sheet in plain.items():
        assert {one.key: one.utilisation for one in none[key].verdicts} == {
            one.key: one.utilisation for one in sheet.verdicts
        }
        assert none[key].scopes.keys() == sheet.scopes.keys()


@pytest.mark.slow
def test_berm_on_one_side_is_the_mirror_image_of_that_on_the_other(chapters: Chapters) -> None:
    left, right = chapters(searched("left")), chapters(searched("right"))

    for key in ("stability", "bearing"):
        one, other = ({v.key: v.utilisation for v in run[key].verdicts if v.utilisation} for run in (left, right))
        swapped = {name.replace("_left", "_?").replace("_right", "_left").replace("_?", "_right"): value
                   for name, value in other.items()}  # fmt: skip
        assert one == approx(swapped, rel=1e-6)
    assert factor(left["stability"], "slip_left") > factor(left["stability"], "slip_right")


def test_places_of_a_berm_follow_its_stage(tmp_path: Path) -> None:
    """Crest 12 m, slope 1:2 of 6 m: its toe is 18 m from the axis, the top of 1.8 m meets it at 14.4 m."""
    columns = first_chapters(tmp_path, "columns")(berms("left", stage="Final"))["columns"]
    berm = profile(columns, FINAL).left_berm

    assert berm is not None
    assert (*berm.toe, *berm.edge, *berm.inner) == approx((-28.0, 0.4, -24.4, 2.2, -14.4, 2.2))
    assert profile(columns, FIRST).left_berm is None
    assert profile(columns, FINAL, FIRST).left_berm is None
    assert profile(columns, FINAL).right_berm is None
    assert float(columns.scopes[PLACES]["x_gl"].at(stage=FINAL).array) == approx(-28.0 - 3 * (6.0 + 6.5 + 0.5))


@pytest.mark.slow
def test_berm_is_not_there_while_the_lift_of_its_stage_is_placed(chapters: Chapters) -> None:
    """The circles under the last lift are those without a berm, at the end of the stage the berm counts."""
    without, late = (chapters(one)["stability"] for one in (searched(), searched("left", "right", stage="Final")))

    # The ground looked at is wider with a berm, the circles searched are the same.
    assert factor(late, "slip_lift") == approx(factor(without, "slip_lift"), rel=2e-3)
    assert factor(late, "slip") > factor(without, "slip") + 0.02


def test_soft_ground_that_does_not_bear_the_berm_fails(bearing: Callable[..., Sheet]) -> None:
    """Hand calculation: 1.8 m of 19 kN/m3 on (π + 2) of 6 kPa / 1.4, where the strength does not grow."""
    weak = bearing(berms("left", "right", c_u="6 kPa"))
    stiff = bearing(berms("left", "right"))
    found = verdict(weak, "berm_bearing")

    assert found.utilisation == approx(1.8 * 19 / ((np.pi + 2) * 6.0 / 1.4), rel=1e-3)
    assert found.state == "fail"
    assert verdict(weak, "berm_extrusion").state == "fail"
    assert {verdict(stiff, key).state for key in ("berm_bearing", "berm_extrusion")} == {"pass"}


def test_plant_that_is_not_given_may_turn_the_verdicts_of_the_ground_under_a_berm(chapters: Chapters) -> None:
    """A berm is placed with the lift of its stage: nothing says that its verdicts read the plant but their record."""
    done = chapters(berms("left", "right"))
    (said,) = [one for one in done["bearing"].limitations if one.key == "lift-plant"]

    assert set(said.turns) == {"column_rows", "edge_bearing", "berm_bearing", "berm_extrusion"}


def test_what_does_not_count_a_berm_is_as_without_and_says_so(chapters: Chapters) -> None:
    """Thrust, extrusion and bearing of the ground under the bank have the numbers without a berm."""
    without, beside = chapters(berms()), chapters(berms("left", "right"))

    assert beside["thrust"]["T_spr"].array == approx(without["thrust"]["T_spr"].array, rel=1e-12)
    own = {one.key: one.utilisation for one in beside["bearing"].verdicts}
    assert {key: own[key] for key in (one.key for one in without["bearing"].verdicts)} == {
        one.key: one.utilisation for one in without["bearing"].verdicts
    }
    for chapter, key in (("thrust", "thrust-berm"), ("bearing", "berm"), ("unit_cell", "positions-berm")):
        assert key in keys(beside[chapter])
        assert key not in keys(without[chapter])


def test_berms_are_drawn_with_width_slope_and_stage(run_project: Callable[..., Any]) -> None:
    section: SectionRun = run_project(berms("left")).sections[0]
    scene = next(figure for figure in section.sheets[0].page.figures if isinstance(figure, Scene))
    outline = next(
        item for item in scene.items if isinstance(item, Line) and item.style == "outline" and len(item.points) > 4
    )

    assert np.array(outline.points[:3]) == approx(np.array([(-28.0, 0.4), (-24.4, 2.2), (-14.4, 2.2)]))
    assert any(isinstance(item, Dimension) and item.text == "10.00 m" for item in scene.items)


def test_load_on_the_ground_below_the_toes_is_wider_by_the_area_of_the_berm(bearing: Callable[..., Sheet]) -> None:
    """By hand: 12 m of crest and 4·(6 − 3) m of slopes; the berm has 1.8·10 m² and, one steeper, 1.8²/2 m² more."""
    without, beside = (bearing(below, *one).scopes["below"] for one in ((), (berms("left", slope="1:3"),)))

    assert without["B_t"].array == approx(24.0)
    assert beside["A_Bl"].array == approx(18 + 1.8**2 / 2)
    assert beside["A_Br"].array == 0.0
    assert beside["B_t"].array == approx(24 + (18 + 1.8**2 / 2) / 6)
    assert (beside["s_bS"].array > without["s_bS"].array).all()


def test_berm_weighs_on_the_ground_with_the_heaviest_of_fill_and_zones(bearing: Callable[..., Sheet]) -> None:
    """1.8 m of 21 kN/m³, factor 1 on weight in DA1-2."""

    def zoned(document: Any) -> None:
        document["embankment"]["zone"] = [
            {"name": "Drain", "bottom": "0 m", "top": "0.5 m", "gamma": "21 kN/m^3", "phi": "30 deg", "c": "0 kPa"}
        ]

    pressures = [
        bearing(berms("left"), *more).scopes["berm_bearing_left"]["p_e"].at(factor_set=SECOND, stage=FINAL)
        for more in ((), (zoned,))
    ]

    assert [float(pressure.array) for pressure in pressures] == [approx(1.8 * 19), approx(1.8 * 21)]


def test_no_reinforcement_holds_the_ground_under_a_berm(bearing: Callable[..., Sheet]) -> None:
    """Shear held back at the top counts under the bank alone."""

    def held(document: Any) -> None:
        reinforced(document)
        document["field"]["hold_top"] = 0.5

    edge = bearing(berms("left", "right"), held).scopes["berm_edge"]

    assert float(edge["L_t"].array) == 0.0


def test_ground_without_strength_leaves_the_berm_unverified(bearing: Callable[..., Sheet]) -> None:
    def bare(document: Any) -> None:
        document["section"][0]["layer"][0].pop("c_u")

    found = verdict(bearing(berms("left"), bare), "berm_bearing")

    assert (found.state, found.required) == ("not verified", True)
    assert "“Peat”" in found.note


def test_berm_on_a_platform_is_fill_down_to_it_in_the_slip_model(tmp_path: Path) -> None:
    """Platform of 0.6 m on ground at 0.40 m; the toe of the berm lies 2·(1.8 + 0.6) m beyond its edge."""

    def founded(document: Any) -> None:
        berms("left")(document)
        document["platform"] = {"thickness": "0.6 m", "gamma": "20 kN/m^3", "role": "load"}

    columns = first_chapters(tmp_path, "columns")(founded)["columns"]
    section = read_design(tmp_path).sections[0]
    place = profile(columns, FINAL)
    case = Case(section.stages[1], place, lambda *_: 1.0, drained=False, shares=(1.0, 1.0), a_E=0.15)
    fill, platform = _fill(section, case)

    assert place.left_berm is not None
    assert (fill.soil.name, platform.soil.name) == ("embankment", "working platform")
    assert platform.top is not None
    edge, toe = place.left_berm.edge[0], place.left_berm.toe[0]
    assert platform.top[0] == approx((toe, 0.4))
    assert platform.top[1] == approx((edge - 2 * 1.8, 1.0))
    assert max(y for _, y in platform.top) == approx(1.0)


def test_berm_does_not_support_the_ends_of_the_reinforcement_and_it_is_said(tmp_path: Path) -> None:
    def bare(document: Any) -> None:
        reinforced(document)

    run = first_chapters(tmp_path, "reinforcement")
    said = [keys(run(lambda document, which=which: [one(document) for one in (berms(*which), bare)])["reinforcement"])
            for which in ((), ("left",))]  # fmt: skip

    assert ["reinforcement-berm" in one for one in said] == [False, True]


def test_berm_on_ground_without_strength_is_left_open(bearing: Callable[..., Sheet]) -> None:
    def unknown(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer.pop("c_u", None)

    sheet = bearing(berms("left"), unknown)

    for key in ("berm_bearing", "berm_extrusion"):
        assert verdict(sheet, key).state == "not verified"
        assert "field layer.c_u" in verdict(sheet, key).note


def test_level_crest_over_both_platforms_covers_one_that_is_lower(bearing: Callable[..., Sheet]) -> None:
    """The lower platform of 4 m by 5 m as a berm fails without columns; under a crest that is level over both, with
    the slope of 2 m between, no verdict of the higher one is less utilised, up to 1 % for the wider loaded strip.
    """

    def level(document: Any) -> None:
        document["embankment"]["crest_width"] = f"{12 + 2 * 2 + 5} m"

    step = berms("right", c_u="14 kPa", height="4 m", width="5 m", stage="Final")
    beside, over = bearing(step), bearing(berms(c_u="14 kPa"), level)
    rated = {one.key.removesuffix("_right"): one.utilisation for one in over.verdicts if one.utilisation}

    assert {verdict(beside, f"{key}_right").state for key in ("berm_bearing", "berm_extrusion")} == {"fail"}
    for one in beside.verdicts:
        if one.utilisation and not one.key.startswith("berm"):
            assert rated[one.key.removesuffix("_right").removesuffix("_left")] >= 0.99 * one.utilisation, one.key

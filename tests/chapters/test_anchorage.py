"""Anchorage, laps and the first lift of the horizontal reinforcement, by hand calculations."""

from collections.abc import Callable
from math import radians, sqrt, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.engine.figure import Scene
from calc.formulas import mat
from calc.formulas import reinforcement as rf
from tests.chapters.mats import (
    FINAL,
    SETS,
    Chapters,
    keys,
    lifted,
    verdict,
    whole,
)

approx = pytest.approx


def test_anchorage_by_hand() -> None:
    """5.5 m of fill, outermost columns 9 m beyond the crest edge of a slope 1:2: 1.0 m of cover, 2.0 m to the toe."""
    assert mat.cover_at_outermost_columns(5.5, 5.5, 9.0, 2.0) == approx(1.0)
    assert mat.cover_at_outermost_columns(0.6, 5.5, 9.0, 2.0) == approx(0.6)
    assert mat.cover_at_outermost_columns(5.5, 5.5, 12.0, 2.0) == approx(0.0)
    assert mat.covered_length(1.5, 2.0, 1.0) == approx(1.5)
    assert mat.covered_length(3.0, 2.0, 1.0) == approx(2.0)
    assert mat.cover_at_end(1.0, 1.5, 2.0) == approx(0.25)
    assert mat.cover_at_end(1.0, 2.0, 2.0) == approx(0.0)
    assert mat.favourable_unit_weight(0.9, 19.0) == approx(17.1)
    assert mat.tension_to_anchor(1.1, 1.3, 100.0) == approx(143.0)
    assert mat.total_anchorage(20.0, 150.0) == approx(170.0)


def test_cover_along_the_fold_by_hand() -> None:
    """Slope 1:2 of 6 m, end of the layer 1.5 m inside the toe, 9 m folded back: 0.75 m to 5.25 m of fill, mean 3 m.

    In a stage with 2 m the slope ends 4 m inside the toe: (0.75 + 2) / 2 over 2.5 m, then 2 m over 6.5 m.
    """
    x_e = float(mat.end_from_toe(2.0, 6.0, 9.0, 1.5))

    def mean(H_R: float) -> float:
        inner = mat.fill_from_toe_to_inner_end(x_e, 9.0, 2.0, H_R)
        return float(mat.mean_cover_along_fold(inner, mat.fill_from_toe_to_end(x_e, 2.0, H_R), 9.0))

    assert x_e == approx(1.5)
    assert mean(6.0) == approx(3.0)
    assert mean(2.0) == approx((1.375 * 2.5 + 2 * 6.5) / 9)
    assert mean(0.0) == 0.0
    assert mat.height_of_fold(3.0, 2.0) == approx(1.0)
    assert mat.height_of_fold(3.0, 3.5) == 0.0
    assert mat.cover_of_fold_back(1.8, 1.0) == approx(0.8)
    assert mat.cover_of_fold_back(0.8, 1.0) == 0.0


@given(st.floats(-4.0, 20.0), st.floats(0.5, 12.0), st.floats(1.0, 4.0), st.floats(0.0, 8.0))
def test_cover_along_the_fold_matches_the_sum_over_the_slope(x_e: float, L_ug: float, n_S: float, H_R: float) -> None:
    x = x_e + (np.arange(4000) + 0.5) * L_ug / 4000
    inner, outer = mat.fill_from_toe_to_inner_end(x_e, L_ug, n_S, H_R), mat.fill_from_toe_to_end(x_e, n_S, H_R)

    summed = float(np.clip(x / n_S, 0, H_R).mean())
    assert mat.mean_cover_along_fold(inner, outer, L_ug) == approx(summed, rel=1e-4, abs=1e-4)


def test_anchorage_beyond_the_outermost_columns_by_hand(chapters: Chapters) -> None:
    """Layer at 0.40 m, fill of 6 m, columns 9 m beyond the crest edge of 1:2: 1.5 m of cover, 0.75 m at the end.

    DA1-2: tan 32.5 and tan 30 divided by 1.25, both by 1.05; 0.8 above and 0.7 below; folded back 9 m below 2 m.
    """
    sheet = chapters(whole)["reinforcement"]
    scope = sheet.scopes["anchorage"]
    at = {"factor_set": SETS[1], "stage": FINAL}
    above, below = 0.8 * tan(radians(32.5)) / 1.25 / 1.05, 0.7 * tan(radians(30)) / 1.25 / 1.05
    straight = 19 * (1.5 + 0.75) / 2 * (above + below) * 1.5
    folded = 19 * 2 * 2 * above * 9

    assert float(scope["R_b"].at(**at).array) == approx(straight)
    assert float(scope["R_u"].at(**at).array) == approx(folded)
    tension = float(scope["T_rd"].at(**at).array)
    assert float(scope["T_anc"].at(**at).array) == approx(1.1 * 1.3 * tension)
    ratio = (scope["T_anc"].array / scope["R_anc"].array)[:, 1:]
    assert verdict(sheet, "anchorage").utilisation == approx(float(ratio.max()))
    assert float(scope["L_u"].at(**at).array) == approx(max(1.43 * tension - straight, 0) / (folded / 9))
    assert float(scope["L_breq"].at(**at).array) == approx(1.43 * tension / (straight / 1.5))


def test_scale_factor_lowers_friction_on_both_faces_and_its_absence_is_said(chapters: Chapters) -> None:
    def scaled(document: Any) -> None:
        whole(document)
        document["reinforcement"][0]["anchorage"]["scale"] = {"value": 0.6, "source": "invented"}

    plain, lower = (chapters(change)["reinforcement"] for change in (whole, scaled))
    before, after = (one.scopes["anchorage"]["R_anc"].array for one in (plain, lower))

    assert after == approx(0.6 * before)
    assert (verdict(lower, "anchorage").utilisation or 0.0) > (verdict(plain, "anchorage").utilisation or 0.0)
    assert "pull-out-scale" in keys(plain)
    assert verdict(plain, "anchorage").note == "No scale factor of the pull-out is given: 1 is used."
    assert verdict(lower, "anchorage").note == ""
    assert "pull-out-scale" not in keys(lower)


def test_verdict_says_below_which_scale_factor_it_would_fail(chapters: Chapters) -> None:
    """The resistance is proportional to the factor: at the utilisation without one it is just used up."""

    def long(document: Any) -> None:
        whole(document)
        document["stage"][0]["fill_height"] = "5 m"
        ends = document["reinforcement"][0]["anchorage"]
        ends["fold_back"], ends["fold_back_cover"] = "30 m", "4.5 m"

    found = verdict(chapters(long)["reinforcement"], "anchorage")
    least = found.utilisation or 0.0

    def scaled(document: Any) -> None:
        long(document)
        document["reinforcement"][0]["anchorage"]["scale"] = {"value": round(least, 6), "source": "invented"}

    assert found.state == "pass"
    assert found.note.endswith(f"a factor below {least:.2f} would fail.")
    assert verdict(chapters(scaled)["reinforcement"], "anchorage").utilisation == approx(1.0, rel=1e-5)


def test_scale_factor_matches_the_length_of_ufc_3_220_10() -> None:
    """UFC 3-220-10 (2022), eq. 7-6, read in a transcription: L_e = T FS / (C F* alpha sigma_v), C 2, F* = C_i tan phi;
    own numbers: T 100 kN/m, FS 1.5, C_i 0.67, phi 34 degrees, alpha 0.8, 60 kPa."""
    mu = rf.pull_out_friction(0.8, 0.67, radians(34), 1.0)
    expected = 100 * 1.5 / (2 * 0.67 * tan(radians(34)) * 0.8 * 60)

    assert rf.anchorage_length(1.0, 1.5, 100.0, 60.0, mu, mu) == approx(expected, rel=1e-12)
    assert rf.pull_out_friction(1.0, 0.67, 0.5, 1.1) == rf.interface_friction(0.67, 0.5, 1.1)


def test_anchorage_shorter_than_three_feet_fails(chapters: Chapters) -> None:
    """UFC 3-220-10 (2022), ch. 7: at least 3 ft, as a transcription has it; straight and folded part together."""

    def short(document: Any) -> None:
        whole(document)
        one = document["reinforcement"][0]["anchorage"]
        one["length"] = "0.8 m"
        for name in ("fold_back", "fold_back_cover"):
            del one[name]

    found = verdict(chapters(short)["reinforcement"], "anchorage_length")
    assert found.state == "fail"
    assert found.utilisation == approx(0.9 / 0.8)
    folded = verdict(chapters(whole)["reinforcement"], "anchorage_length")
    assert folded.state == "pass"
    assert folded.resistance == approx(1.5 + 9)
    assert rf.length_of_anchorage(1.5, 9.0) == 10.5


def test_anchorage_without_fold_back_counts_the_straight_length(chapters: Chapters) -> None:
    def straight(document: Any) -> None:
        whole(document)
        for name in ("fold_back", "fold_back_cover"):
            del document["reinforcement"][0]["anchorage"][name]

    sheet = chapters(straight)["reinforcement"]

    assert verdict(sheet, "anchorage").state == "fail"
    assert sheet.scopes["anchorage"]["R_anc"].array == approx(sheet.scopes["anchorage"]["R_b"].array)
    assert "L_u" not in sheet.scopes["anchorage"]


def test_columns_beyond_the_toe_leave_nothing_to_anchor_with(chapters: Chapters) -> None:
    def wide(document: Any) -> None:
        whole(document)
        document["field"] = {"beyond_left": "13 m", "beyond_right": "13 m"}

    def wide_straight(document: Any) -> None:
        wide(document)
        for name in ("fold_back", "fold_back_cover"):
            del document["reinforcement"][0]["anchorage"][name]

    assert verdict(chapters(wide_straight)["reinforcement"], "anchorage").state == "not verified"
    folded = chapters(wide)["reinforcement"]
    assert verdict(folded, "anchorage").utilisation is not None
    assert not folded.scopes["anchorage"]["L_breq"].valid.any()


def test_anchorage_of_unlike_sides_is_verified_for_each(chapters: Chapters) -> None:
    def uneven(document: Any) -> None:
        whole(document)
        document["field"] = {"beyond_left": "9 m", "beyond_right": "7 m"}

    def half_known(document: Any) -> None:
        whole(document)
        document["field"] = {"beyond_left": "9 m"}

    sheet = chapters(uneven)["reinforcement"]
    scopes = {side: sheet.scopes[f"anchorage_{side}"] for side in ("left", "right")}
    left, right = (scope["R_anc"].at(stage=FINAL).array for scope in scopes.values())
    assert (right > left).all()
    # The right end lies under more fill, so the same cover puts its fold higher: above the first lift.
    assert float(scopes["right"]["h_u"].at(stage="1 First lift").array) < 0.2
    utilisations = [verdict(sheet, f"anchorage_{side}").utilisation or 0.0 for side in scopes]
    assert utilisations[1] > utilisations[0] > 0
    missing = verdict(chapters(half_known)["reinforcement"], "anchorage_right")
    assert missing.state == "not verified"
    assert "field.beyond_right" in missing.note


def test_lap_by_hand(chapters: Chapters) -> None:
    """1.3 · T / (19 · 6 · 0.6 · tan φ / 1.1) in the final state; the first lift of 2 m governs or not by numbers."""
    sheet = chapters(whole)["reinforcement"]
    scope = sheet.scopes["lap_along"]
    tension = float(scope["T_rd"].at(factor_set=SETS[1], stage=FINAL).array)
    needed = 1.3 * tension / (19 * 6 * 0.6 * tan(radians(32.5)) / 1.25 / 1.1)

    assert float(scope["L_lap"].at(factor_set=SETS[1], stage=FINAL).array) == approx(needed)
    assert verdict(sheet, "lap_along").utilisation == approx(float(np.nanmax(scope["L_lap"].array)) / 4)
    assert verdict(sheet, "lap_across").state == "pass"
    assert verdict(sheet, "lap_across").note.startswith("The sheets do not overlap in this direction: ")


def test_joints_not_described_are_left_open(chapters: Chapters) -> None:
    def silent(document: Any) -> None:
        whole(document)
        del document["reinforcement"][0]["joint"]

    found = verdict(chapters(silent)["reinforcement"], "lap_across")

    assert found.state == "not verified"
    assert "overlap" in found.note


def test_first_lift_by_hand(chapters: Chapters) -> None:
    """0.4 m of 19 kN/m3 and plant of 10 kPa without arching or ground, on half the area beside the head."""
    done = chapters(whole)
    sheet = done["reinforcement"]
    A_s, b_m = float(done["load_transfer"]["A_s"].array), 0.8 * sqrt(np.pi) / 2

    def tension(pressure: float, stiffness: float) -> float:
        load = pressure * A_s / 2
        force = (stiffness * b_m * load**2 / 24) ** (1 / 3)
        return float(sqrt(force**2 + load**2 / 4) / b_m)

    first = 1.35 * tension(7.6, 5000) + 1.5 * (tension(17.6, 5000) - tension(7.6, 5000))
    second = tension(7.6 + 13, 5000)
    found = verdict(sheet, "first_lift_across")
    assert found.effect == approx(max(first, second))
    assert found.resistance == approx(900 / (1.1**5 * 1.3))
    assert verdict(sheet, "seams").effect == approx(1.5 * 60.0)  # 4 kPa on three panels of 5 m, a variable action


def test_first_lift_of_one_direction_takes_the_whole_load(chapters: Chapters) -> None:
    def across(document: Any) -> None:
        whole(document)
        document["reinforcement"] = document["reinforcement"][:1]

    scope = chapters(across)["reinforcement"].scopes["lift"]

    assert scope["F_m"].array == approx(scope["sigma_E"].array * float(scope["A_s"].array))


def test_drag_of_the_panels_not_described_is_not_verified(chapters: Chapters) -> None:
    def free(document: Any) -> None:
        whole(document)
        lifted(document)

    found = verdict(chapters(free)["reinforcement"], "seams")

    assert found.state == "not verified"
    assert not found.required


def test_chapter_shows_the_envelope_and_its_sketch(chapters: Chapters) -> None:
    sheet = chapters(whole)["reinforcement"]
    tables = {table.key: table for table in sheet.page.tables}
    head = [one.words for one in tables["tension-across"].head]

    assert head[1::2] == [f"{words}: {SETS[0]}" for words in ("as used", "lateral sliding only", "full arching, free")]
    assert len(tables["tension-along"].head) == 5
    stages = [row[0].replace("\N{NO-BREAK SPACE}", " ") for row in tables["tension-across"].rows]
    assert stages == list(sheet.axes["stage"][1:])
    at = {"factor_set": SETS[1], "stage": FINAL}
    used = float(sheet.scopes["across"]["T_across"].at(**at).array)
    assert tables["tension-across"].rows[-1][2] == f"{used:.2f}"
    assert not [line for line in sheet.page.lines if "full" in line.scope]
    assert [figure.key for figure in sheet.page.figures if isinstance(figure, Scene)] == ["anchorage"]
    assert {"reinforcement-ends", "reinforcement-service"} <= keys(sheet)


def test_sketch_stands_without_columns_or_anchorage_given(chapters: Chapters) -> None:
    def unknown(document: Any) -> None:
        whole(document)
        del document["field"]
        del document["reinforcement"][0]["anchorage"]

    def straight(document: Any) -> None:
        whole(document)
        for name in ("fold_back", "fold_back_cover"):
            del document["reinforcement"][0]["anchorage"][name]

    def words(change: Callable[[Any], None]) -> str:
        scene = next(figure for figure in chapters(change)["reinforcement"].page.figures if isinstance(figure, Scene))
        return " ".join(str(getattr(item, "text", "")) for item in scene.items)

    assert "u,g" in words(unknown)
    assert "u,g" not in words(straight)


def test_light_core_counts_over_the_layer_as_far_as_the_cover_reaches(chapters: Chapters) -> None:
    """Core of 8 from 1 to 4 m: 1.5 m of cover over the anchorage have 0.5 m of it; the lap inside is least at its top.

    What is wrapped back takes the smallest unit weight, since its height decides what lies over it.
    """

    def core(document: Any) -> None:
        whole(document)
        document["embankment"]["zone"] = [
            {"name": "Light core", "bottom": "1 m", "top": "4 m", "gamma": "8 kN/m^3", "phi": "36 deg", "c": "0 kPa"}
        ]

    sheet = chapters(core)["reinforcement"]
    end, lap = sheet.scopes["anchorage"], sheet.scopes["lap_along"]
    case = {"factor_set": SETS[1], "stage": FINAL}

    assert end["h_1"].number(case) == approx(1.5)
    assert end["gamma_Ec"].number(case) == approx((1.0 * 19 + 0.5 * 8) / 1.5)
    assert lap["gamma_Ec"].number(case) == approx((1.0 * 19 + 3 * 8) / 4)
    assert end["gamma_Eu"].number(case) == approx((sheet["gamma_Gf"].number(case) or 0.0) * 8)

"""Slip surfaces of the stages, from the project file: cross-section, methods, tension asked for, what stays open."""

from collections.abc import Callable
from math import cos, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from calc.chapters.stability import limits as slip_limits
from calc.chapters.stability import search_settings as slip_search
from calc.chapters.stability.search_settings import RULES
from calc.engine.figure import Line, Scene
from calc.engine.sheet import Sheet, Table
from calc.formulas import slip as formulas
from calc.procedures import stage_search
from calc.procedures.answers import Answers
from calc.procedures.slip import BlockSearch, RequiredForce, Result, Search, SlipError
from tests.chapters.mats import ANCHORAGE, verdict, whole
from tests.chapters.slip_case import BOTH, COARSE, FINAL, FIRST, SECOND, Change, across, no_gain, searched, weak

Chapters = Callable[..., dict[str, Sheet]]


def table(sheet: Sheet, key: str) -> Table:
    return next(one for one in sheet.page.tables if one.key == key)


def least(sheet: Sheet, scope: str = "slip", name: str = "F_Bi", **case: str) -> float:
    return float(sheet.scopes[scope][name].at(**{"factor_set": SECOND, "stage": FINAL, **case}).array)


@pytest.mark.parametrize(("change", "named"), [
    (None, "(field slip)"),
    (lambda document: document.update(slip=dict(COARSE)), "field.beyond_left, field.beyond_right"),
    (searched(lambda document: document["section"][0]["layer"][1].pop("c_u")), "“Organic clay” is not given"),
    (searched(lambda document: document["field"].pop("beyond_right")), "field.beyond_right"),
])  # fmt: skip
def test_what_the_search_needs_is_named_where_it_is_missing(
    chapters: Chapters, change: Change | None, named: str
) -> None:
    found = verdict(chapters(change)["stability"], "global_stability")

    assert (found.state, found.required) == ("not verified", True)
    assert named in found.note


def test_printed_slices_give_the_printed_safety_again(chapters: Chapters) -> None:
    """By hand from the table, through the registered formula of Bishop's normal factor; both parts of a slice count."""
    stability = chapters(searched())["stability"]
    (printed,) = [one for one in stability.page.tables if one.key.startswith("slip") and one.key.endswith("-slices")]
    name = printed.key.removesuffix("-slices")
    scope = stability.scopes[name]
    made = verdict(stability, name.replace("slip", "global_stability"))
    F = made.resistance or 0.0
    resisting = driving = 0.0
    for _, _, _, b, _, _, alpha, W, u, c, phi, m_alpha, N, S, _ in printed.rows:
        width, weight, inclination = float(b), float(W), radians(float(alpha))
        friction = tan(radians(float(phi)))
        bond = (float(c) - float(u) * friction) * width
        factor = float(formulas.normal_factor(inclination, radians(float(phi)), F))
        normal = (weight - bond * tan(inclination) / F) / factor
        assert float(m_alpha) == pytest.approx(factor, abs=2e-4)
        assert float(N) == pytest.approx(normal, abs=0.02 + 0.01 * abs(normal))
        shear = bond / cos(inclination) + max(float(N), 0.0) * friction
        assert float(S) == pytest.approx(shear / F, abs=0.02 + 0.01 * shear)
        resisting += shear
        driving += weight * sin(inclination)
    assert {row[1] for row in printed.rows} == {"fill", "soil", "column"}
    assert resisting / driving == pytest.approx(F, rel=5e-3)
    assert float(scope["F_mom"].at(**{k: made.case[k] for k in ("factor_set", "stage")}).array) == pytest.approx(F)


def test_factor_sets_act_on_weight_and_strength_at_their_source(chapters: Chapters) -> None:
    """Undrained ground alone would lose 1.35 by weight and 1.4 by strength: the sets stay close to each other."""
    stability = chapters(searched(sets=BOTH))["stability"]
    first, second = least(stability, factor_set=FIRST), least(stability)

    assert second < first < 1.4 * second
    assert stability["q_o"].at(stage=FINAL).array == pytest.approx([30.0, 26.0])


def test_methods_stand_side_by_side_for_every_stage_and_set(chapters: Chapters) -> None:
    stability = chapters(searched(sets=BOTH))["stability"]
    rows = table(stability, "slip-methods").rows

    assert [(row[0], row[1]) for row in rows] == [
        ("1 First lift", FIRST), ("1 First lift", SECOND), (FINAL, FIRST), (FINAL, SECOND)
    ]  # fmt: skip
    assert least(stability, name="F_Sp") == pytest.approx(least(stability), rel=0.08)
    assert least(stability, name="F_MP") == pytest.approx(least(stability), rel=0.08)
    assert least(stability, name="F_av") > least(stability)
    assert least(stability, name="F_OM") < least(stability)


def test_new_lift_is_the_harder_case_and_drained_ground_stands_in_persistent_stages(chapters: Chapters) -> None:
    stability = chapters(searched(drained=True))["stability"]
    face = verdict(stability, "face_of_slope")

    assert face.resistance == pytest.approx(2 * tan(radians(32.5)) / 1.25)
    assert face.case["stage"] == "1 First lift"  # before it there is no slope
    assert least(stability, "slip_lift") <= least(stability) + 1e-9
    lift = stability.scopes["lift_shares"]
    soil, column = (lift[name].at(stage=FINAL).array for name in ("mu_sL", "mu_cL"))
    a = float(stability["a_E"].array)
    assert (soil > stability["mu_s"].at(stage=FINAL).array).all()
    shares = a * column + (1 - a) * soil
    assert shares == pytest.approx([1.0])
    assert stability.scopes["slip_drained"]["F_Bi"].number({"factor_set": SECOND, "stage": "1 First lift"}) is None
    assert verdict(stability, "global_stability_drained").case["stage"] == FINAL
    drawn = [figure.key.removesuffix("-circle") for figure in stability.page.figures if figure.key.endswith("-circle")]
    assert len([key for key in drawn if "_drained" in key]) == 1
    assert len([key for key in drawn if key.startswith("slip") and "_drained" not in key]) == 1


def test_reinforcement_raises_the_safety_and_its_demand_goes_to_its_chapter(chapters: Chapters) -> None:
    done = chapters(searched(weak, across))
    stability = done["stability"]

    assert least(stability, name="F_B0") < 1
    assert least(stability) > least(stability, name="F_B0")
    asked = stability["T_stab"].at(factor_set=SECOND, stage=FINAL).array
    assert asked > 0
    assert done["reinforcement"]["T_stab"].at(factor_set=SECOND, stage=FINAL).array == asked
    assert not any(one.key == "stability_tension" for one in done["reinforcement"].verdicts)


def test_caption_names_the_form_in_which_the_tension_counts(chapters: Chapters) -> None:
    """Form B: F = (M_R + T arm) / M_D, here from the sums that are printed; form A would be M_R / (M_D - T arm)."""
    stability = chapters(searched(weak, across))["stability"]
    scope, case = stability.scopes["slip"], {"factor_set": SECOND, "stage": FINAL}
    ground, tie, driving, F = (scope[name].number(case) or 0.0 for name in ("M_Rs", "M_Ts", "M_Ds", "F_Bi"))
    captions = [one.note for one in stability.page.tables if one.key.startswith("slip")]

    assert tie > 0
    assert pytest.approx((ground + tie) / driving, rel=1e-3) == F
    assert ground / (driving - tie) != pytest.approx(F, rel=1e-3)
    assert captions
    assert all("form B (its tension adds to the resistance of the ground" in caption for caption in captions)


def test_tension_is_asked_for_only_where_the_ground_alone_falls_short(chapters: Chapters) -> None:
    stability = chapters(searched(weak, across))["stability"]
    asked = stability["T_stab"].array
    without = np.minimum(stability.scopes["slip"]["F_B0"].array, stability.scopes["slip_lift"]["F_B0"].array)
    assert (without[asked > 0] < 1).all()
    assert (asked > 0).any()


def test_strength_and_ends_of_a_layer_follow_its_formats(chapters: Chapters) -> None:
    iso = {key: {"value": 1.2, "source": "invented"} for key in ("RF_CR", "RF_ID", "RF_W", "RF_CH", "R1", "R2")}

    def by_iso(document: Any) -> None:
        across(document, iso20432=iso, anchorage=dict(ANCHORAGE))
        del document["reinforcement"][0]["factors"]

    stability = chapters(searched(weak, by_iso))["stability"]
    limit = 900 / (1.2**4 * (1 + (2 * 0.2**2) ** 0.5)) / 1.4
    pull = stability.scopes["slip"]["T_av"].at(stage=FINAL).array
    assert (pull <= limit + 1e-6).all()
    assert (pull > 0).all()


@pytest.mark.slow
def test_scale_factor_of_the_pull_out_lowers_the_tension_that_circles_count(chapters: Chapters) -> None:
    def scaled(document: Any) -> None:
        across(document, anchorage={**ANCHORAGE, "scale": {"value": 0.6, "source": "invented"}})

    def plain(document: Any) -> None:
        across(document, anchorage=dict(ANCHORAGE))

    lower, before = (chapters(searched(weak, change))["stability"].scopes["slip"] for change in (scaled, plain))
    at = {"factor_set": SECOND, "stage": FINAL}

    assert float(lower["F_Bi"].at(**at).array) <= float(before["F_Bi"].at(**at).array)
    assert float(lower["T_av"].at(**at).array) < float(before["T_av"].at(**at).array)


@pytest.mark.slow
def test_unlike_sides_are_searched_each_and_agree_when_mirrored(chapters: Chapters) -> None:
    def unlike(document: Any) -> None:
        across(document)
        document["embankment"]["slope_left"] = "1:3"

    def turned(document: Any) -> None:
        across(document)
        document["embankment"]["slope_right"] = "1:3"

    one = chapters(searched(unlike, no_gain))["stability"]
    other = chapters(searched(turned, no_gain))["stability"]
    assert verdict(one, "global_stability_left").utilisation == pytest.approx(
        verdict(other, "global_stability_right").utilisation, rel=1e-6
    )
    assert least(one, "slip_right") < least(one, "slip_left")
    drawn = {figure.key for figure in one.page.figures}
    for side in ("_left", "_right"):
        (circle,) = [key for key in drawn if key.startswith("slip") and key.endswith(f"{side}-circle")]
        assert circle.replace("-circle", "-contours") in drawn


@pytest.mark.slow
def test_platform_crack_seepage_reduction_and_sleeve_enter_the_cross_section(chapters: Chapters) -> None:
    plain = least(chapters(searched(no_gain))["stability"])

    def sleeve(document: Any) -> None:
        document["field"]["sleeve_cohesion"] = True

    def platform(document: Any) -> None:
        document["platform"] = {"thickness": "0.6 m", "gamma": "20 kN/m^3", "role": "load"}
        document["stage"][0]["fill_height"] = "0 m"

    crack = {"depth": "0.5 m", "water": "0.2 m", "source": "invented"}
    reduced = chapters(searched(no_gain, plane_reduction={"value": 0.8, "source": "invented"}))["stability"]
    assert least(reduced) < plain
    assert "slip-plane" in {limitation.key for limitation in reduced.limitations}
    assert least(chapters(searched(sleeve, no_gain))["stability"]) > plain
    assert least(chapters(searched(no_gain, crack=crack, water_mode="seepage"))["stability"]) != plain
    with_platform = chapters(searched(platform, across, no_gain))["stability"]
    assert least(with_platform, stage="1 First lift") > least(with_platform)


def test_a_stage_without_fill_is_not_looked_at(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        document["stage"][0]["fill_height"] = "0 m"

    stability = chapters(searched(bare, no_gain))["stability"]
    assert stability.scopes["slip"]["F_Bi"].number({"factor_set": SECOND, "stage": "1 First lift"}) is None


def test_make_up_fill_weighs_on_the_slip_surface(chapters: Chapters) -> None:
    def filled(document: Any) -> None:
        document["section"][0]["makeup_fill"] = True
        document["embankment"]["gamma_sub"] = "10 kN/m^3"

    assert least(chapters(searched(filled, no_gain))["stability"]) < least(chapters(searched(no_gain))["stability"])


@pytest.mark.parametrize(("level", "strength"), [("5.8 m", "9 kPa"), ("2.5 m", "3 kPa")])
def test_circles_that_no_layer_helps_are_stated(chapters: Chapters, level: str, strength: str) -> None:
    """The second layer lies above the fill of the first stage, which falls short."""

    def high(document: Any) -> None:
        for soft in document["section"][0]["layer"]:
            soft["c_u"] = strength
        across(document, level=level)

    stability = chapters(searched(high, no_gain))["stability"]
    assert "slip-uncovered" in {limitation.key for limitation in stability.limitations}


def test_sliding_blocks_are_searched_on_reinforcement_and_soft_layers(chapters: Chapters) -> None:
    done = chapters(searched(whole, no_gain))
    blocks = done["stability"].scopes["blocks"]["F_bl"]
    assert (blocks.at(stage=FINAL).array > 0).all()
    titles = [one.title for one in (*done["stability"].page.tables, *done["stability"].page.figures)]
    assert sum(title.startswith("Slices of the critical translational mechanism") for title in titles) == 1
    assert sum(title.startswith("Critical translational mechanism") for title in titles) == 1
    assert verdict(done["stability"], "global_stability_blocks").effect_symbol == "gamma_Re"


def test_a_least_safety_on_the_edge_of_the_model_is_stated(chapters: Chapters, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not any(
        limitation.key.startswith("slip-edge") for limitation in chapters(searched(no_gain))["stability"].limitations
    )
    # As if the model ended just below the surface.
    monkeypatch.setattr(slip_limits, "AT_BOTTOM", 50.0)
    assert any(
        limitation.key == "slip-edge-slip" for limitation in chapters(searched(no_gain))["stability"].limitations
    )


@pytest.mark.parametrize("stages", [1, 2])
def test_a_method_without_equilibrium_leaves_its_cases_out(
    chapters: Chapters, monkeypatch: pytest.MonkeyPatch, stages: int
) -> None:
    """Spencer finds nothing in the first lift, or in no stage at all: stated, and Bishop stands alone."""
    given = stage_search.answer

    def answer(asked: stage_search.Asked) -> Result:
        low = asked.model.surface[2][1] < 3
        if asked.method == "spencer" and (low or stages == 2):
            message = "tension between slices"
            raise SlipError(message)
        return given(asked)

    monkeypatch.setattr(stage_search, "answer", Answers(answer, 100))
    stability = chapters(searched())["stability"]
    found = verdict(stability, "global_stability_spencer")

    assert any(limitation.key == "slip-balance-slip" for limitation in stability.limitations)
    assert found.state == ("not verified" if stages == 2 else "pass")
    assert found.case.get("stage", "") != "1 First lift"
    rows = table(stability, "slip-methods").rows
    assert rows[0][4] == "–"


def test_critical_circle_enters_the_soft_ground_and_shallow_slips_are_apart(chapters: Chapters) -> None:
    """Strong ground: circles within the fill and its face are worse, and are not the deep-seated circle."""

    def strong(document: Any) -> None:
        for soft in document["section"][0]["layer"]:
            soft["c_u"] = "60 kPa"

    stability = chapters(searched(strong, no_gain, min_depth="2 m"))["stability"]
    deep, fill = verdict(stability, "global_stability"), verdict(stability, "slip_in_fill")
    face = verdict(stability, "face_of_slope")
    drawn = table(stability, next(one.key for one in stability.page.tables if one.key.endswith("-slices")))

    assert min(float(row[5]) for row in drawn.rows) <= 0.4 - RULES["t_ent"]  # the ground lies at 0.4 m
    assert {row[1] for row in drawn.rows} == {"fill", "soil", "column"}
    assert (deep.utilisation or 0) < (fill.utilisation or 0) < (face.utilisation or 0)
    shallow = next(figure for figure in stability.page.figures if figure.key == "face-circle")
    assert isinstance(shallow, Scene)
    assert shallow.title.startswith("Critical circle: Circles within the fill deeper than 2 m")
    slip = next(item for item in shallow.items if isinstance(item, Line) and item.style == "outline")
    assert min(y for _, y in slip.points) >= 0.4
    assert fill.case["stage"].partition(" ")[2] in shallow.note
    assert not any("depth" in limitation.key for limitation in stability.limitations)


def test_no_circle_within_a_fill_is_deeper_than_the_fill_is_high(chapters: Chapters) -> None:
    stability = chapters(searched())["stability"]

    assert not any(one.key.startswith("slip_in_fill") for one in stability.verdicts)
    assert "F_fi" not in stability.scopes["face"]
    assert "face-circle" not in {figure.key for figure in stability.page.figures}


def test_a_stage_in_which_nothing_is_placed_has_no_lift(chapters: Chapters) -> None:
    def waiting(document: Any) -> None:
        changed = {"name": "Waiting", "start": "180 d", "traffic": True, "situation": "persistent"}
        document["stage"].append({**document["stage"][1], **changed})

    lift = chapters(searched(waiting, no_gain))["stability"].scopes["slip_lift"]["F_Bi"]
    assert lift.number({"factor_set": SECOND, "stage": "3 Waiting"}) is None
    assert lift.number({"factor_set": SECOND, "stage": FINAL}) is not None


@pytest.mark.slow
def test_the_tolerances_of_a_search_are_those_of_the_record(
    chapters: Chapters, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    """What is recorded is handed to the search, so that the record says no other number than was used."""
    asked: list[stage_search.Asked] = []
    forces: list[stage_search.Wanted] = []
    given, force = stage_search.answer, stage_search.force_asked

    def answer(question: stage_search.Asked) -> Result:
        asked.append(question)
        return given(question)

    def force_asked(wanted: stage_search.Wanted) -> RequiredForce:
        forces.append(wanted)
        return force(wanted)

    monkeypatch.setattr(stage_search, "answer", Answers(answer, 2000))
    monkeypatch.setattr("calc.chapters.stability.slip.force_asked", force_asked)
    changed = {"eps_F": 1e-4, "r_fin": 0.05, "n_val": 2, "n_fin": 1, "n_wed": 2}
    monkeypatch.setattr(slip_search, "RULES", {**RULES, **changed})
    stability = chapters(searched(across, weak))["stability"]
    recorded = {name: stability.scopes["slip_search"][name].number({}) for name in changed}
    circles = [one.surface for one in asked if isinstance(one.surface, Search)] + [one.search for one in forces]
    blocks = [one.surface for one in asked if isinstance(one.surface, BlockSearch)]

    assert recorded == changed
    assert forces
    assert {one.tolerance for one in asked} | {one.tolerance for one in forces} == {1e-4}
    assert {(circle.close, circle.seeds) for circle in circles} == {(0.05, 2)}
    assert {(block.zooms, block.wedges) for block in blocks} == {(1, 2)}
    procedure = next(step.procedure for step in stability.steps if step.scope == "slip" and step.symbol == "F_Bi")
    assert procedure is not None
    assert procedure.tolerance == "1e-04 of F"

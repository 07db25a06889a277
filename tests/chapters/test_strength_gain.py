"""Chapter on consolidation: strength gained and degree of consolidation before every stage."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import AS_GIVEN, CELL_RATIO, GIVEN_RATIO, LOW, at_labels
from calc.engine.sheet import Verdict
from tests.chapters.timed import Chapters, keys, layers, stage, time_chapter, timed, verdicts

soft = layers(OCR=1.0, c_u="1 kPa")  # a strength that the stress history explains
weak = layers(c_u="1 kPa")


def test_gain_is_credited_beyond_preconsolidation_alone(first: Chapters) -> None:
    scope = time_chapter(first, weak).scopes["strength"]
    more = time_chapter(first, layers(OCR=2.0, c_u="1 kPa")).scopes["strength"]
    stiff = time_chapter(first, layers(OCR=1000, c_u="1 kPa")).scopes["strength"]
    gain = scope["Dc_uz"].array

    assert (gain[:2] == 0).all()
    assert gain[2].max() > 0
    assert (more["Dc_uz"].array <= gain).all()
    assert stiff["Dc_uz"].array.max() == 0
    assert scope["Dc_uc"].array == pytest.approx(gain.min(axis=(1, 2, 3)))


def test_gain_by_angle_and_by_given_preconsolidation_pressure(first: Chapters) -> None:
    angle = layers(S=None, m_shansep=None, phi_cu="13 deg", c_u="0.01 kPa")
    scope = time_chapter(first, angle).scopes["strength"]
    ratio = time_chapter(first, layers(c_u="0.01 kPa")).scopes["strength"]
    given = time_chapter(first, layers(OCR=None, sigma_p="30 kPa")).scopes["strength"]

    assert scope["Dc_uz"].array == pytest.approx(ratio["Dc_uz"].array / 0.25 * np.tan(np.radians(13)))
    assert given["sigma_pc"].array == pytest.approx(30.0)


def test_one_layer_without_data_gains_nothing(first: Chapters) -> None:
    def bare(document: Any) -> None:
        layer = document["section"][0]["layer"][0]
        for name in ("OCR", "S", "m_shansep"):
            layer.pop(name)

    def angle(document: Any) -> None:
        bare(document)
        document["section"][0]["layer"][1].pop("S")
        document["section"][0]["layer"][1].pop("m_shansep")
        document["section"][0]["layer"][1]["phi_cu"] = "13 deg"

    sheet = time_chapter(first, bare)
    mixed = time_chapter(first, weak, angle)

    assert "no-gain" in keys(sheet)
    assert verdicts(sheet)["strength_gain"].state == "not verified"
    assert "at the start of “Final” (8.00 instead of 0.00 kN/m²)" in verdicts(sheet)["strength_gain"].note
    gain = mixed.scopes["strength"]["Dc_uz"].array
    assert gain[..., 0].max() == 0
    assert gain[..., -1].max() > 0


def test_gain_typed_is_held_against_the_gain_computed(first: Chapters) -> None:
    free = time_chapter(first, soft).scopes["gain"]["Dc_us"].array[2]
    enough = stage(1, c_u_gain=f"{0.9 * free:.6f} kPa")
    too_much = stage(1, c_u_gain=f"{1.1 * free:.6f} kPa")

    passed = verdicts(time_chapter(first, soft, enough))["strength_gain"]
    failed = verdicts(time_chapter(first, soft, too_much))["strength_gain"]

    assert free > 0
    assert (passed.state, failed.state) == ("pass", "not verified")
    assert f"“Final” ({1.1 * free:.2f} instead of {free:.2f} kN/m²)" in failed.note
    assert passed.utilisation == pytest.approx(0.9, rel=1e-5)
    assert passed.case["stage"] == "2 Final"


def test_gain_computed_is_credited_in_bearing_and_stability(chapters: Chapters) -> None:
    def computed(document: Any) -> None:
        document["stage"][1]["c_u_gain"] = "consolidation"

    done = chapters(timed(soft, computed))
    free = done["consolidation"].scopes["gain"]["Dc_us"].array
    cell = done["consolidation"].scopes["strength"]["Dc_uc"].array
    verdict = verdicts(done["consolidation"])["strength_gain"]

    assert verdict.state == "pass"
    assert "calculated here" in verdict.note
    assert free[2] > max(cell[2], 0)
    assert done["bearing"]["Dc_u"].at(ratio=GIVEN_RATIO).array == pytest.approx([0.0, 0.0, free[2]])
    assert done["bearing"]["Dc_u"].at(ratio=CELL_RATIO).array == pytest.approx([0.0, 0.0, cell[2]])
    assert done["stability"].scopes["undrained"]["Dc_u"].array == pytest.approx([0.0, 0.0, free[2]])
    assert f"stage “Final”: {free[2]:.2f} kN/m², as calculated for its start" in {
        rest.text for rest in done["bearing"].rests
    }
    table = next(table for table in done["stability"].page.tables if table.key == "handed-stages")
    assert table.rows[-1][-1] == f"{free[2]:.2f}"


def test_gain_computed_without_coefficients_credits_nothing(chapters: Chapters) -> None:
    def computed(document: Any) -> None:
        document["stage"][1]["c_u_gain"] = "consolidation"

    done = chapters(timed(computed, layers(c_h=None)))

    assert done["bearing"]["Dc_u"].array == pytest.approx(0.0)


def test_no_gain_counted_on_is_settled(first: Chapters) -> None:
    def none(document: Any) -> None:
        for name in ("c_u_gain", "c_u_gain_source"):
            document["stage"][1].pop(name)

    assert verdicts(time_chapter(first, none))["strength_gain"].note == "No stage relies on a gain of strength."


def test_degree_asked_for_at_the_start_of_a_stage(first: Chapters) -> None:
    scope = time_chapter(first).scopes["degree"]
    reached = float(scope["U_st"].at(stage="2 Final", scenario=AS_GIVEN).array)
    low, high = (verdicts(time_chapter(first, stage(1, degree_min=reached * one))) for one in (0.9, 1.05))

    assert 0.2 < reached < 0.95
    assert low["degree_before"].state == "pass"
    assert high["degree_before"].state == "fail"
    assert verdicts(time_chapter(first))["degree_before"].required is False
    early = time_chapter(first, stage(0, consolidates=False), stage(1, degree_min=0.5))
    assert "before the start of “Final”" in verdicts(early)["degree_before"].note


def test_longer_wait_gives_more_degree_and_strength(first: Chapters) -> None:
    sheets = [time_chapter(first, soft, stage(1, start=start)) for start in ("60 d", "130 d", "300 d")]

    for scope, name in (("degree", "U_st"), ("gain", "Dc_us")):
        found = [sheet.scopes[scope][name] for sheet in sheets]
        values = [float(at_labels(one, stage="2 Final", scenario=AS_GIVEN).array) for one in found]
        assert values == sorted(values)
        assert values[0] < values[-1]


def test_degree_that_low_c_h_does_not_reach_is_stated(first: Chapters) -> None:
    """The verdict stands for c_h as given; the stage waits on site until the degree is read."""
    scope = time_chapter(first).scopes["degree"]
    given, low = (float(scope["U_st"].at(stage="2 Final", scenario=one).array) for one in (AS_GIVEN, LOW))
    between, below = (time_chapter(first, stage(1, degree_min=one)) for one in ((given + low) / 2, 0.9 * low))

    assert low < given
    assert verdicts(between)["degree_before"].state == verdicts(below)["degree_before"].state == "pass"
    assert "degree-low" in keys(between) - keys(below)


def test_water_that_stands_higher_than_before_construction_takes_gain_away(first: Chapters) -> None:
    def higher(document: Any) -> None:
        document["water"]["high"] = "0.3 m"
        document["initial_water"] = "mean"
        document["stage"][1]["water"] = "high"

    mean, high = (time_chapter(first, soft, *one).scopes["gain"] for one in ((), (higher,)))
    rise = float(mean["sigma_v0s"].array[2, -1] - high["sigma_v0s"].array[2, -1])

    assert rise > 3
    assert high["Dc_us"].array[2] < mean["Dc_us"].array[2]


def test_preconsolidation_pressure_below_the_overburden_gives_no_gain(first: Chapters) -> None:
    sheet = time_chapter(first, layers(OCR=None, sigma_p="8 kPa"))
    scope = sheet.scopes["strength"]

    assert "below-overburden" in keys(sheet)
    over = scope["sigma_pc"].array < scope["sigma_v0s"].array[0]
    assert over.any()
    assert not over.all()
    assert (scope["S_nc"].array[over] == 0).all()
    assert (scope["S_nc"].array[~over] > 0).all()


def test_strengths_that_do_not_fit_each_other_stand_side_by_side(first: Chapters) -> None:
    """25 kPa beside a normally consolidated ratio of 0.25 under a few kPa: no gain until the history has caught up."""
    tables = [
        next(table for table in time_chapter(first, *change).page.tables if table.key == "strength-check")
        for change in ((), (layers(c_u="0.5 kPa"),), (layers(m_shansep=None, S=None, phi_cu="13 deg"),))
    ]

    assert [[column.symbol for column in table.head] for table in tables[1:]] == [
        ["", "c_u", "c_up", "c_uh"],
        ["", "c_u", "c_up"],
    ]
    assert "no gain counts until" in tables[0].note
    assert "no gain counts until" not in tables[1].note
    scope = time_chapter(first).scopes["strength_check"]
    assert scope["c_uh"].array == pytest.approx(0.25 * scope["sigma_v0s"].array * 1.1**0.8, rel=1e-9)


def test_strength_far_above_its_history_is_stated_with_the_sublayer_in_which_it_lies_most(first: Chapters) -> None:
    above, below = time_chapter(first), time_chapter(first, layers(c_u="0.1 kPa"))
    scope = above.scopes["strength_check"]
    ratio = scope["c_u"].array / scope["c_uh"].array
    (limit,) = [limitation for limitation in above.limitations if limitation.key == "strength-history"]

    assert f"up to {ratio.max():.1f} times" in limit.text
    assert scope["c_uh"].labels("layer")[int(ratio.argmax())] in limit.text
    assert "strength-history" not in keys(below)
    # With strength by stress history alone what is utilised more than the least excess of strength would fail.
    turns = above.turning["strength-history"]
    bearing = Verdict("soft_bearing", "soft ground", "pass", utilisation=1.01 / ratio.min())
    assert turns(bearing)
    assert not turns(replace(bearing, utilisation=0.99 / ratio.min()))
    assert not turns(replace(bearing, key="toe_bearing"))


def test_strengths_stand_side_by_side_only_where_a_history_is_given(first: Chapters) -> None:
    sheet = time_chapter(first, layers(S=None, m_shansep=None))

    assert "strength_check" not in sheet.scopes
    assert "strength-check" not in {table.key for table in sheet.page.tables}

"""What the course of consolidation rests on beside the dates: stress ratio reached, hand-over that moves, one date."""

from itertools import product
from typing import Any

import numpy as np
import pytest

from calc.chapters.shared.frame import AS_GIVEN, LOW
from calc.engine.sheet import Sheet, Table
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.stage_pressure import soil_share_of_lift
from calc.formulas.staged import ratio_of_share
from tests.chapters.timed import Chapters, keys, layers, stage, time_chapter, timed, verdicts

approx = pytest.approx


def opened(document: Any) -> None:
    """Filled without traffic, which comes with the hand-over on day 500."""
    last = dict(document["stage"][1])
    document["stage"][1].update({"name": "Filled", "situation": "transient", "traffic": False})
    document["stage"].append(last | {"name": "Open", "start": "500 d", "duration": "0 d"})


def moved(day: str) -> Any:
    def change(document: Any) -> None:
        opened(document)
        document["stage"][2]["start"] = day
        document["consolidation"]["hand_over"] = day

    return change


def table(sheet: Sheet, key: str) -> Table:
    return next(one for one in sheet.page.tables if one.key == key)


def test_printed_date_of_handing_over_keeps_its_limit_when_it_is_typed(first: Chapters) -> None:
    """With the date go traffic and the end of the works, which sets the stiffness of the sleeve.

    Between the three solved stiffnesses a parabola stands for the cell: 0.05 mm.
    """

    def limited(document: Any) -> None:
        document["basis"]["limits"]["settlement_residual"] = "0.160 m"

    printed = time_chapter(first, opened, limited).scopes["residual"]["t_res"].at(scenario=AS_GIVEN)
    day = float(printed.array)
    left = time_chapter(first, moved(f"{day:.6f} d"), limited).scopes["residual"]["s_resL"].at(scenario=AS_GIVEN)

    assert 160 < day < 450
    assert float(left.array) == approx(0.160, abs=5e-5)


def test_soil_share_while_columns_take_over_reproduces_the_verification_value() -> None:
    """μ_s of n 3, a 0.15 is 0.7692; with a degree of 0.2009 the share is 0.9536, calculated once by hand."""
    share = soil_stress_share(n_st=3.0, a_E=0.15)

    assert soil_share_of_lift(U_L=0.2009, mu_s=share) == approx(0.9536, abs=5e-5)
    assert ratio_of_share(mu_t=share, a_E=0.15) == approx(3.0)
    assert ratio_of_share(mu_t=soil_share_of_lift(U_L=0.0, mu_s=share), a_E=0.15) == approx(1.0)


def test_stress_ratio_that_has_not_come_by_the_start_of_a_stage_fails(first: Chapters) -> None:
    """A stage that follows at once counts with a ratio that comes with consolidation only."""
    late, soon = (time_chapter(first, stage(0, n_stability=3.0), stage(1, start=start)) for start in ("130 d", "44 d"))
    reached = [one.scopes["ratio"]["n_tl"].at(stage="2 Final", scenario=AS_GIVEN) for one in (late, soon)]

    assert verdicts(late)["ratio_before"].state == "pass"
    assert verdicts(soon)["ratio_before"].state == "fail"
    assert float(reached[1].array) < 3.0 < float(reached[0].array)
    assert verdicts(soon)["ratio_before"].required


def test_stage_that_places_nothing_counts_with_its_own_ratio_at_once(first: Chapters) -> None:
    counted = time_chapter(first, opened, stage(1, n_stability=2.0)).scopes["ratio"]["n_as"]

    assert [float(counted.at(stage=one).array) for one in ("2 Filled", "3 Open")] == [1.5, 3.0]


def test_stress_ratio_that_low_c_h_does_not_reach_is_stated(first: Chapters) -> None:
    scope = time_chapter(first).scopes["ratio"]
    given, low = (float(scope["n_tl"].at(stage="2 Final", scenario=one).array) for one in (AS_GIVEN, LOW))
    between = time_chapter(first, stage(0, n_stability=round((given + low) / 2, 3)))

    assert verdicts(between)["ratio_before"].state == "pass"
    assert "ratio-low" in keys(between)
    assert "ratio-low" not in keys(time_chapter(first, stage(0, n_stability=round(0.9 * low, 3))))


def test_ratios_of_one_and_ratios_without_load_need_no_number(first: Chapters) -> None:
    none = time_chapter(first, stage(0, n_stability=1))
    bare = time_chapter(first, stage(0, consolidates=False))

    assert verdicts(none)["ratio_before"].note.startswith("No stage relies on a ratio above 1")
    assert verdicts(bare)["ratio_before"].state == "not verified"
    assert "at the start of “Final”" in verdicts(bare)["ratio_before"].note


def slack(document: Any) -> None:
    document["sleeve"]["oversize"] = "25 mm"


@pytest.mark.parametrize("change", [opened, slack, layers(c_v=None)],
                         ids=["in tension", "slack", "no vertical flow"])  # fmt: skip
def test_one_date_can_be_done_again_from_the_numbers_printed(first: Chapters, change: Any) -> None:
    """Every pair of exponentials by the printed formula, from the cells of the tables alone."""
    sheet = time_chapter(first, change)
    rates, steps = table(sheet, "one-date-rates"), table(sheet, "one-date-steps")
    columns = list(zip(*rates.rows, strict=True))[1:]
    flows = [
        [(float(rate), float(share)) for rate, share in zip(columns[k], columns[k + 1], strict=True) if rate]
        for k in range(0, len(columns), 2)
    ]
    taut, vertical = flows[0], flows[-1]
    *rows, total = steps.rows
    settled = 0.0
    for _, placing, age, sleeve, added, left, _, own in rows:
        radial = taut if sleeve == "in tension" else flows[1]
        T, t = float(placing), float(age)
        part = 0.0
        for (w_i, g_i), (w_j, g_j) in product(radial, vertical):
            x = (w_i + w_j) * T
            part += g_i * g_j * ((1 - np.exp(-x)) / x if x else 1.0) * np.exp(-(w_i + w_j) * t)
        assert part == approx(float(left), abs=3e-4)
        assert float(added) * (1 - part) == approx(float(own), abs=0.02)
        settled += float(added) * (1 - part)

    assert settled == approx(float(total[-1]), abs=0.03)
    assert float(total[-1]) == approx(1000 * float(sheet.scopes["one_date"]["s_dat"].array), abs=0.02)


def test_one_date_is_that_of_a_sublayer_that_settles(first: Chapters) -> None:
    """Under a first lift of little weight the deepest sublayer stays as it is, and nothing could be followed in it."""
    low, high, bare = (
        time_chapter(first, opened, stage(0, fill_height=height)).scopes["one_date"]
        for height in ("0.1 m", "0.5 m", "0 m")
    )

    assert [scope.title.split()[5] for scope in (low, high, bare)] == ["3.50–4.50", "5.50–6.50", "5.50–6.50"]
    assert float(low["Ds_k"].array) > 1e-4


def test_steps_without_tension_are_told_apart(first: Chapters) -> None:
    words = {row[3] for row in table(time_chapter(first, slack), "one-date-steps").rows if row[3]}

    assert words == {"no tension"}


def test_coefficient_of_vertical_flow_is_compared_with_permeability_and_stiffness(first: Chapters) -> None:
    """k·E/γ_w by hand: 2e-9 m/s over 365.25 days a year, 9.81 kN/m³."""
    sheet = time_chapter(first)
    scope = sheet.scopes["plausible"]
    modulus = scope["E_oed"].array
    by_hand = 2e-9 * 86400 * modulus / 9.81

    assert scope["c_vk"].array == approx(by_hand)
    assert scope["r_cv"].array == approx((1 / 365.25) / by_hand)
    assert len(table(sheet, "plausible-c_v").rows) == len(sheet.axes["layer"])
    assert "plausible" not in time_chapter(first, layers(k=None)).scopes


def test_gain_is_printed_where_it_is_least(first: Chapters) -> None:
    done = first(timed(layers(OCR=1.0)))
    scope = done["consolidation"].scopes["strength"]
    lead = done["consolidation"].leads["strength"]

    case = {axis: lead[axis] for axis in ("position", "scenario", "layer")}
    assert scope["Dc_uz"].at(stage="2 Final", **case).array == scope["Dc_uc"].at(stage="2 Final").array


def test_ratio_of_strength_needs_no_exponent(first: Chapters) -> None:
    with_it, without = time_chapter(first), time_chapter(first, layers(m_shansep=None))

    assert (without.scopes["strength"]["Dc_uc"].array == with_it.scopes["strength"]["Dc_uc"].array).all()

"""The ground at any date: laws of settlement, strength and residual settlement over a filling programme."""

from dataclasses import replace

import numpy as np
import pytest

from calc.procedures import ground_in_time
from calc.procedures.consolidation_radial import radial_modes
from calc.procedures.consolidation_response import layered_response
from calc.procedures.failures import ProcedureError
from calc.procedures.ground_in_time import PRIMARY, GroundInTime
from calc.procedures.sleeve_in_time import Stiffness
from calc.procedures.staged_course import Programme

FACTORS = np.array([[1.0], [0.5], [2.0]])
LAYERS = 3
STIFFNESS = Stiffness((1.0, 36_525.0), (2500.0, 2000.0), 2200.0)


def ground(swelling: float = 0.0, secondary: float = 0.004) -> GroundInTime:
    modes = radial_modes(c_hs=FACTORS * 0.005, d_e=2.0, n_d=2.5, f_tr=np.full(LAYERS, 3.0))
    response = layered_response(modes, [1.0, 2.0, 2.0], np.full(LAYERS, 0.002), [500.0, 700.0, 900.0], both=False)
    settled = np.array([[0.02, 0.03, 0.02], [0.06, 0.09, 0.05]])
    return GroundInTime(
        programme=Programme((10.0, 100.0), (30.0, 130.0)), response=response, settled=settled,
        settled_long=1.1 * settled, soil_stress=np.stack([100 * settled] * 3),
        tensions=np.stack([one * 1000 * settled for one in (1.0, 0.97, 0.9)]), stiffness=STIFFNESS,
        permanent=np.stack([one * settled for one in (0.98, 1.0, 1.1)]), pressure=400 * settled,
        secondary=np.full(LAYERS, secondary), hand_over=400.0, life=36_525.0, last_fill=1,
        swelling=swelling,
    )  # fmt: skip


def test_everything_starts_at_nothing_and_ends_at_the_final_values() -> None:
    one = ground()
    late = 40_000.0

    assert one.settlement_at([10.0]).value() == pytest.approx(0.0, abs=1e-15)
    assert one.settlement_at([late]).value()[0, 0] == pytest.approx(one.settled[-1], rel=1e-9)
    assert one.settlement_at([late], long=True).value()[0, 0] == pytest.approx(one.settled_long[-1], rel=1e-9)
    assert one.stress_gain_at([late])[0, :, 0] == pytest.approx(one.soil_stress[:, -1], rel=1e-9)
    assert one.tension_at([late])[0, 0] == pytest.approx(one.tensions[0, -1], rel=1e-9)
    assert one.pressure_at([late]) == pytest.approx(0.0, abs=1e-9)
    assert one.end_of_life == 36_925.0


def test_pore_pressure_is_largest_where_water_leaves_slowly() -> None:
    given, low, high = ground().pressure_at([130.0])[:, 0]

    assert (low > given).all()
    assert (given > high).all()


def test_secondary_settlement_begins_when_primary_ends_but_not_before_the_filling_does() -> None:
    one = ground()
    quick = replace(one, settled=np.array([[0.06, 0.09, 0.05], [0.061, 0.091, 0.051]]))

    assert (one.primary_ends >= one.end_of_fill).all()
    assert quick.primary_ends == pytest.approx(130.0)
    assert one.middle == pytest.approx(70.0)
    first = float(one.primary_ends.min())
    assert one.secondary_at([first]) == pytest.approx(0.0, abs=1e-12)
    tenfold = one.middle + 10 * (one.primary_ends - one.middle)
    assert one.secondary_at([tenfold[0, 0]])[0, 0, 0] == pytest.approx(0.004)


def test_primary_settlement_ends_when_the_course_says_so() -> None:
    """The date is found layer by layer from what lags; the course gives the degree at any date, as for every figure."""
    one = ground()
    late = one.primary_ends > one.end_of_fill
    for scenario, layer in zip(*np.nonzero(late), strict=True):
        there = one.settlement_at([one.primary_ends[scenario, layer]]).value()[scenario, 0, layer]
        assert there == pytest.approx(PRIMARY * one.settled[-1, layer], rel=1e-10)
    assert late.any()


def test_end_of_primary_settlement_that_is_not_found_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ground_in_time, "MOST_STEPS", 1)
    with pytest.raises(ProcedureError, match="the end of primary settlement is not found in 1 steps"):
        _ = ground().primary_ends


def test_layer_that_does_not_settle_has_secondary_compression_all_the_same() -> None:
    settled = np.array([[0.0, 0.03, 0.02], [0.0, 0.09, 0.05]])
    one = replace(ground(), settled=settled, settled_long=settled)

    assert np.isfinite(one.primary_ends).all()
    assert (one.secondary_at([36_525.0]) > 0).all()


def test_residual_settlement_falls_with_a_later_date() -> None:
    residual = ground().residual_at(np.linspace(130.0, 3000.0, 50))

    assert residual.shape == (3, 50)
    assert (np.diff(residual, axis=1) < 0).all()


@pytest.mark.parametrize("last", [[0.06, 0.09, 0.05], [0.015, 0.02, 0.01]])
def test_residual_settlement_of_one_scenario_is_its_row_of_all(last: list[float]) -> None:
    """Where load comes off, what is held back differs by scenario, too."""
    settled = np.array([[0.02, 0.03, 0.02], last])
    one = replace(ground(swelling=0.3), settled=settled, settled_long=1.1 * settled,
                  permanent=np.stack([share * settled for share in (0.98, 1.0, 1.1)]), works_end=140.0)  # fmt: skip
    times = np.array([20.0, 115.0, 130.0, 400.0, 40_000.0])
    every = one.residual_at(times)

    assert one.unloads == (last[0] < 0.02)
    assert np.unique(every[:, 1]).size == 3
    for k, row in enumerate(every):
        assert one.residual_at(times, k) == pytest.approx(row[None], rel=1e-12)


def test_earliest_hand_over_is_the_date_at_which_the_limit_is_met() -> None:
    one = ground()
    limit = float(one.residual_at([150.0])[0, 0])
    found = one.earliest_hand_over(limit)

    assert found[0] == pytest.approx(150.0, abs=0.01)
    for k, date in enumerate(found):
        assert one.residual_at([date])[k, 0] <= limit
        assert one.residual_at([date - 0.02])[k, 0] > limit
    assert found[1] > found[0] > found[2]


def test_hand_over_at_the_end_of_filling_where_the_limit_is_met_then_and_none_where_never() -> None:
    one = ground()

    assert one.earliest_hand_over(1.0) == pytest.approx(one.end_of_fill)
    assert np.isnan(one.earliest_hand_over(0.001)).all()


def test_other_dates_keep_everything_else() -> None:
    one = ground()
    later = one.with_dates((10.0, 200.0), (30.0, 230.0), 500.0, 500.0)

    assert later.hand_over == 500.0
    assert (later.settlement_at([200.0]).total().value() > one.settlement_at([100.0]).total().value()).all()
    assert later.settled is one.settled


def test_load_taken_off_gives_back_the_share_of_swelling_alone() -> None:
    settled = np.array([[0.06, 0.09, 0.05], [0.03, 0.05, 0.03]])
    whole, part = (
        replace(
            ground(swelling),
            settled=settled,
            settled_long=settled,
            tensions=np.stack([1000 * settled] * 3),
            permanent=np.stack([settled] * 3),
        )
        for swelling in (0.0, 0.4)
    )
    late = 40_000.0

    assert whole.unloads
    assert not ground().unloads
    before = whole.settlement_at([100.0]).value()[0, 0]
    assert whole.settlement_at([late]).value()[0, 0] == pytest.approx(np.maximum(before, settled[-1]), rel=1e-6)
    assert (part.settlement_at([late]).value() <= whole.settlement_at([late]).value() + 1e-12).all()
    assert (whole.tension_at([late])[0, 0] >= 1000 * settled[-1] - 1e-9).all()

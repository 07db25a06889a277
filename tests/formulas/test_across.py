"""Layers that change their thickness across: by hand, and an extruding wedge on a sloping base by its equilibrium."""

from math import radians, tan

import numpy as np
import pytest

from calc.formulas import across

approx = pytest.approx


def test_thickness_at_the_crest_edges_lies_on_the_straight_line() -> None:
    """12 m of crest, toes at −15 and 20 m: 6/15 and 6/20 of the way from 4 m to 5.5 m and to 2 m, by hand."""
    assert across.thickness_at_left_edge(t_la=4.0, t_ltl=5.5, b_K=12.0, x_tl=-15.0) == approx(4.6)
    assert across.thickness_at_right_edge(t_la=4.0, t_ltr=2.0, b_K=12.0, x_tr=20.0) == approx(3.4)


def test_lowest_toe_and_mean_length_are_by_hand() -> None:
    assert across.lowest_toe_level(z_toe=-7.0, z_tol=-6.5, z_tor=-8.2) == -8.2
    assert across.mean_column_length(t_wm=6.4, t_emb=0.5, t_up=0.1) == approx(7.0)


@pytest.mark.parametrize(("left", "right"), [(0.30, 0.42), (0.42, 0.30)])
def test_differences_of_settlement_are_by_hand(left: float, right: float) -> None:
    """The axis settles by 0.33 m, a crest of 12 m."""
    assert across.difference_across(s_cen=0.33, s_eL=left, s_eR=right) == approx(0.09)
    assert across.cross_fall_by_settlement(s_eL=left, s_eR=right, b_K=12.0) == approx(0.01)


def resisted(c: float, inner: float, dip: float, length: float) -> float:
    """Pressure at the crest edge that a wedge of soft ground on a dipping base bears, from forces on small slices.

    The pressure falls to 0 over the length. Rankine pressures of undrained ground on both vertical planes, c on the
    base, whose normal stress is the weight over it (total stresses), the ground level; the weight enters in full.
    """
    gamma, count = 15.0, 200_000
    x = (np.arange(count) + 0.5) / count * length
    depth = inner + dip * x
    step = length / count

    def outward(p: float) -> float:
        load = p * (1 - x / length)
        first = gamma * inner**2 / 2 + p * inner - 2 * c * inner
        outer = inner + dip * length
        last = gamma * outer**2 / 2 + 2 * c * outer
        # The base dips outward: its normal force pushes the wedge outward by the tangent of the dip.
        base = float(((gamma * depth + load) * dip).sum() * step) - c * length
        return first + base - last

    zero, one = outward(0.0), outward(1.0)
    return -zero / (one - zero)


@pytest.mark.parametrize("dip_deg", [-5.0, 3.0, 10.0])
def test_wedge_on_a_sloping_base_resists_as_a_level_one_of_its_mean_thickness(dip_deg: float) -> None:
    """The statement of the limitation: p = (4 c D + c L) / D with the mean D, the level wedge by hand."""
    dip, length, inner, c = tan(radians(dip_deg)), 10.0, 4.0, 12.0
    mean = inner + dip * length / 2

    assert resisted(c, inner, dip, length) == approx((4 * c * mean + c * length) / mean, rel=1e-6)


def test_level_wedges_at_both_ends_bound_the_sloping_one() -> None:
    dip, length, inner, c = 0.2, 10.0, 4.0, 12.0
    thin, thick = (resisted(c, depth, 0.0, length) for depth in (inner, inner + dip * length))

    assert thick < resisted(c, inner, dip, length) < thin

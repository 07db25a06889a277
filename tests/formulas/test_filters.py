"""Geotextile filters in both directions, openings under strain, granular filters."""

import numpy as np
import pytest

from calc.formulas import filters

approx = pytest.approx


@pytest.mark.parametrize(
    ("C_U", "B_f"),
    [(1.0, 1.0), (2.0, 1.0), (3.0, 1.5), (4.0, 2.0), (5.0, 1.6), (6.4, 1.25), (8.0, 1.0), (10.0, 0.8), (20.0, 0.4)],
)
def test_retention_coefficient_follows_the_piecewise_rule_of_christopher_and_holtz(C_U: float, B_f: float) -> None:
    """B = 1 for C_U up to 2, 0.5 C_U up to 4, 8/C_U above: from memory up to 8, beyond it on the safe side."""
    assert filters.retention_coefficient(C_U, B_cap=2.0) == approx(B_f, rel=1e-12)
    assert filters.retention_coefficient(C_U, B_cap=1.0) == approx(min(B_f, 1.0), rel=1e-12)


def test_retention_coefficient_has_no_step() -> None:
    C_U = np.linspace(1, 12, 2201)

    assert np.abs(np.diff(filters.retention_coefficient(C_U, 2.0))).max() < 0.003


def test_coarse_soil_is_held_by_its_own_grains() -> None:
    C_U = filters.uniformity(D_60=0.6e-3, D_10=0.2e-3)

    assert C_U == approx(3.0, rel=1e-12)
    assert filters.largest_opening(filters.retention_coefficient(C_U, 2.0), 0.9e-3) == approx(1.35e-3, rel=1e-12)
    assert filters.largest_opening_under_reversing_flow(f_dyn=0.5, D_85=0.9e-3) == approx(0.45e-3, rel=1e-12)


def test_fine_soil_is_held_by_a_limit_of_the_opening_whatever_its_grading() -> None:
    assert filters.largest_opening_for_fine_soil(B_f=1.8, D_85=0.05e-3, O_cap=0.3e-3) == approx(0.09e-3, rel=1e-12)
    assert filters.largest_opening_for_fine_soil(B_f=1.8, D_85=0.5e-3, O_cap=0.3e-3) == 0.3e-3


def test_smallest_opening_is_a_multiple_of_the_fine_grains() -> None:
    assert filters.smallest_opening(f_O=3.0, D_15=0.02e-3) == approx(0.06e-3, rel=1e-12)


def test_permittivity_needs_the_same_permeability_at_any_thickness() -> None:
    """0.5 1/s through 2 mm is 1e-3 m/s."""
    k_g = 1e-3 * 86400

    assert filters.permittivity(k_g, t_g=2e-3) / filters.PER_SECOND == approx(0.5, rel=1e-12)
    assert filters.required_permeability(f_k=10.0, k_so=1e-5 * 86400) == approx(1e-4 * 86400, rel=1e-12)


@pytest.mark.parametrize(
    ("fines", "per_second"), [(0.0, 0.5), (0.15, 0.5), (0.16, 0.2), (0.5, 0.2), (0.51, 0.1), (1.0, 0.1)]
)
def test_least_permittivity_follows_the_share_of_fines(fines: float, per_second: float) -> None:
    """0.5, 0.2 and 0.1 1/s up to 15, 50 and 100 % below 0.075 mm; as AASHTO M 288 in UFGS 02373."""
    rule = filters.least_permittivity(fines)

    assert rule.bound / filters.PER_SECOND == approx(per_second, rel=1e-12)
    assert rule.source.evidence == "inspected"


@pytest.mark.parametrize("fines", [-0.01, 1.01, float("nan")])
def test_share_of_fines_outside_its_range_is_refused(fines: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        filters.least_permittivity(fines)


def test_gradient_ratio_of_a_clean_filter_is_one() -> None:
    assert filters.gradient_ratio(i_sg=2.0, i_s=2.0) == 1.0
    assert filters.gradient_ratio(i_sg=6.0, i_s=2.0) == 3.0


def test_strained_opening_takes_up_the_lengthening_of_a_whole_pitch() -> None:
    opened = filters.strained_opening(O_95=0.2e-3, eps_R=0.05, d_y=0.6e-3)

    assert opened + 0.6e-3 == approx(0.8e-3 * 1.05, rel=1e-12)
    assert filters.strained_opening(0.2e-3, 0.0, 0.6e-3) == 0.2e-3


def test_granular_filter_matches_the_quoted_manuals() -> None:
    """D15 of the filter at least 5 times that of the base and at least 0.1 mm, as quoted in public; at most 4 to 5
    times the D85 of the base, from memory."""
    assert filters.largest_filter_grain(f_ret=4.0, D_85=0.1e-3) == approx(0.4e-3, rel=1e-12)
    assert filters.smallest_filter_grain(f_perm=5.0, D_15=0.05e-3, D_15low=0.1e-3) == approx(0.25e-3, rel=1e-12)
    assert filters.smallest_filter_grain(f_perm=5.0, D_15=0.005e-3, D_15low=0.1e-3) == 0.1e-3

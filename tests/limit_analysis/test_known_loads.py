"""The limit analysis on loads that are known: its bounds enclose them, and lie as near as the mesh allows."""

from math import exp, pi, radians, tan

import pytest

from tests.limit_analysis.known import cut, post, strip
from tests.limit_analysis.lower import lower_bound
from tests.limit_analysis.upper import upper_bound

approx = pytest.approx
SOLVER = 1e-4  # relative, of the interior-point solver


def test_bounds_of_a_strip_on_clay_enclose_prandtl_1920() -> None:
    """2 + pi strengths; the mesh of 496 triangles is 0.5 % below and 1.7 % above."""
    body = strip(8, 14, width=4.0, depth=2.0, c=1.0, phi=0.0, beside=0.0)

    assert (2 + pi) * 0.99 < lower_bound(body) < (2 + pi) * (1 + SOLVER)
    assert (2 + pi) * (1 - SOLVER) < upper_bound(body) < (2 + pi) * 1.02


def test_bounds_of_a_strip_on_sand_enclose_reissner_1924() -> None:
    """N_q = 18.40 at 30 degrees, weightless; the mesh of 780 triangles is 1.2 % below and 4.6 % above."""
    phi = radians(30.0)
    N_q = exp(pi * tan(phi)) * tan(pi / 4 + phi / 2) ** 2
    body = strip(10, 18, width=8.0, depth=3.0, c=0.0, phi=phi, beside=1.0)

    assert N_q == approx(18.40, abs=0.005)
    assert N_q * 0.985 < lower_bound(body) < N_q * (1 + SOLVER)
    assert N_q * (1 - SOLVER) < upper_bound(body) < N_q * 1.05


def test_bounds_of_a_vertical_cut_enclose_its_known_height() -> None:
    """gamma H/c = 3.776, enclosed by finer meshes to 3.772 and 3.778 (Lyamin & Sloan 2002, from memory)."""
    body = cut(8)

    assert 3.778 * 0.98 < lower_bound(body) < 3.778
    assert 3.772 < upper_bound(body) < 3.772 * 1.05


def test_a_tied_wall_bears_its_confinement_times_the_passive_coefficient() -> None:
    """Rankine: without cohesion a wall under a tie of 100 kPa bears 100 K_p = 300 kPa, and none without."""
    tied, loose = (post(2, phi=radians(30.0), tie=tie) for tie in (100.0, 0.0))

    assert lower_bound(tied) == approx(300.0, rel=SOLVER)
    assert upper_bound(tied) == approx(300.0, rel=1e-3)
    assert lower_bound(loose) == approx(0.0, abs=0.01)

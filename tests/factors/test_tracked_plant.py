"""The numbers of the published method for working platforms under tracked plant."""

from math import pi

import pytest

from calc.factors.tracked_plant import TRACKED_PLANT


def test_numbers_are_those_of_the_published_method() -> None:
    """BRE BR 470 (2004), typed again from memory, not seen; the first four stand on one public sheet after it."""
    assert (TRACKED_PLANT.standing, TRACKED_PLANT.extracting) == (1.6, 1.2)
    assert (TRACKED_PLANT.bare_standing, TRACKED_PLANT.bare_extracting) == (2.0, 1.5)
    assert (TRACKED_PLANT.least_strength, TRACKED_PLANT.most_strength) == (20.0, 80.0)


def test_bearing_factor_is_that_of_prandtl_rounded() -> None:
    """Prandtl (1920): 2 + π."""
    assert TRACKED_PLANT.N_c == pytest.approx(2 + pi, abs=0.005)

"""Equations as pictures: measured once, and the same as the library alone draws them."""

import pytest
from ziamath.nodes.mrow import Mrow

from calc.engine.formula import REGISTRY
from calc.engine.typeset import equation
from calc.package import equations


def test_pictures_measured_once_are_those_of_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every eighth formula, the others would take too long in the library's own way."""
    drawn = [equation(one.symbol, one.tree, {}) for one in list(REGISTRY)[::8]]
    ours = [equations.equation_picture(mathml, "") for mathml in drawn]
    equations._draw.cache_clear()
    monkeypatch.setattr(Mrow, "_get_height_nostretch", equations.LIBRARY_ROW_HEIGHT)

    assert [equations.equation_picture(mathml, "") for mathml in drawn] == ours

"""Equations as pictures: measured once, and the same as the library alone draws them."""

from pathlib import Path

import pytest
from ziafont import svgpath
from ziamath import styles
from ziamath.nodes.mrow import Mrow

from calc.engine.formula import REGISTRY
from calc.engine.typeset import equation
from calc.package import equations
from calc.package.equations import equation_picture
from calc.package.kept_pieces import KeptPieces


def test_pictures_measured_once_are_those_of_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every sixteenth formula, the others would take too long in the library's own way."""
    drawn = [equation(one.symbol, one.tree, {}) for one in list(REGISTRY)[::16]]
    ours = [equations.equation_picture(mathml, "") for mathml in drawn]
    equations._draw.cache_clear()
    monkeypatch.setattr(Mrow, "_get_height_nostretch", equations.LIBRARY_ROW_HEIGHT)
    monkeypatch.setattr(styles, "asdict", equations.LIBRARY_COPY)
    monkeypatch.setattr(svgpath, "fmt", equations.LIBRARY_PLACE)

    assert [equations.equation_picture(mathml, "") for mathml in drawn] == ours


def test_kept_drawing_is_the_one_that_is_drawn(tmp_path: Path) -> None:
    mathml = "<math><mi>x</mi><mo>=</mo><mn>4711</mn></math>"
    drawn = equation_picture(mathml, "x = 4711")
    for _ in range(2):  # kept, then taken
        equations._draw.cache_clear()
        with equations.kept_drawings(KeptPieces(tmp_path)):
            assert equation_picture(mathml, "x = 4711") == drawn
    [file] = tmp_path.iterdir()
    equations._draw.cache_clear()
    file.write_bytes(b"something else")
    with equations.kept_drawings(KeptPieces(tmp_path)):
        assert equation_picture(mathml, "x = 4711") == drawn
    equations._draw.cache_clear()

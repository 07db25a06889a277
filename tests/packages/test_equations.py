"""Equations as pictures: measured once, and the same as the library alone draws them."""

import re
from base64 import b64decode
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from fontTools.ttLib import TTFont
from ziafont import svgpath
from ziafont.font import Font
from ziamath import styles
from ziamath.nodes.mrow import Mrow

from calc.engine.formula import REGISTRY
from calc.engine.typeset import equation
from calc.package import equations
from calc.package.equations import equation_picture, text_font
from calc.package.kept_pieces import KeptPieces
from calc.resources import template_folder


def svg_of(picture: equations.Picture) -> str:
    return b64decode(picture.source.partition(",")[2]).decode()


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


def test_words_in_an_equation_have_the_letters_of_the_text_and_symbols_those_of_the_equations() -> None:
    """The outline of one letter each: read from the font file by another library, at the size that is drawn."""
    words, symbol = (equation_picture(f"<math>{inner}</math>", "") for inner in ("<mtext>oo</mtext>", "<mi>oo</mi>"))
    with TTFont(template_folder() / "fonts" / "DejaVuSansCondensed.ttf") as face:
        advance = face["hmtx"]["o"][0] / face["head"].unitsPerEm * equations.X_HEIGHTS * equations.SIZE
    first, second = (
        float(re.search(r'd="M\s*([\d.]+)', path)[1])  # type: ignore[index]
        for path in re.findall(r"<path[^>]+>", svg_of(words))
    )

    assert second - first == pytest.approx(advance, abs=0.02)
    assert words.width != pytest.approx(symbol.width, rel=0.01)


def test_letters_of_words_have_outline_and_width_of_the_whole_font() -> None:
    whole = Font(template_folder() / "fonts" / "DejaVuSansCondensed.ttf")

    for letter in "abcdefghijklmnopqrstuvwxyz(),":
        own, known = text_font().glyph(letter), whole.glyph(letter)
        assert own.advance() == known.advance()
        drawn, of_whole = own.svgpath(), known.svgpath()
        assert drawn is not None
        assert of_whole is not None
        assert ET.tostring(drawn) == ET.tostring(of_whole)

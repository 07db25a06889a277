"""Characters that the fonts of the package lack are refused when the file is read."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from calc.inputs import InputErrors, read_design
from calc.inputs.reading.glyphs import COVERED, first_without_glyph
from calc.inputs.reading.starter import starter_project
from calc.resources import template_folder


@pytest.mark.parametrize("font", ["DejaVuSans", "DejaVuSans-Bold", "DejaVuSansCondensed", "DejaVuSansCondensed-Bold"])
def test_covered_ranges_are_those_of_the_fonts(font: str) -> None:
    with TTFont(template_folder() / "fonts" / f"{font}.ttf") as opened:
        known = set(opened.getBestCmap())

    assert [code for low, high in COVERED for code in range(low, high + 1) if code not in known] == []


def test_rare_character_of_the_font_is_allowed_and_a_missing_one_found() -> None:
    assert first_without_glyph("a\N{BLACK STAR}\n") is None
    assert first_without_glyph("ab漢") == 2


def test_file_with_a_missing_glyph_is_refused_at_its_place(tmp_path: Path) -> None:
    text = starter_project("Probe").replace("[project]", "# 漢\n[project]", 1)
    (tmp_path / "project.toml").write_text(text, encoding="utf-8")

    with pytest.raises(InputErrors, match=r":3: file: must hold characters .* got U\+6F22$"):
        read_design(tmp_path)

"""Texts of figures are drawn as lines, at the place and of the width that the renderer gives their letters."""

from base64 import b64encode
from contextlib import nullcontext
from datetime import date

import pypdfium2
import pytest
import weasyprint.svg

from calc.package import render
from calc.package.render import render_pdf
from calc.package.whole_texts import whole_texts

TEXTS = (
    '<text x="20" y="20" font-size="4">A–014–07</text>',
    '<text x="20" y="40" font-size="4" transform="rotate(-90 20 40)">turned</text>',
    '<text x="20 30 40" y="60" font-size="4">abc</text>',
    '<text x="20" y="80" font-size="4" letter-spacing="3">wide</text>',
    '<text x="20" y="90" font-size="4">one <tspan dy="2">lower</tspan> again</text>',
)


def written() -> bytes:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">{"".join(TEXTS)}'
    picture = b64encode(f"{svg}</svg>".encode()).decode()
    head = '<!DOCTYPE html><html lang="en"><head><title>Small</title></head>'
    page = f'{head}<body><img alt="texts" src="data:image/svg+xml;base64,{picture}"></body></html>'
    return render_pdf(page, (), date(2026, 1, 1))


def letters_of(pdf: bytes) -> list[tuple[str, tuple[float, ...]]]:
    """Each letter with its edges in points, as another program reads it."""
    page = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    letters = [
        (page.get_text_range(index, 1), page.get_charbox(index, loose=True)) for index in range(page.count_chars())
    ]
    return [(letter, edges) for letter, edges in letters if letter.strip()]


def test_texts_stand_where_the_renderer_puts_their_letters(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = written()
    monkeypatch.setattr(render, "whole_texts", nullcontext)
    letters = written()

    assert len(lines) < len(letters)
    ours, theirs = letters_of(lines), letters_of(letters)
    assert "".join(letter for letter, _ in ours) == "A–014–07turnedabcwideoneloweragain"
    assert [letter for letter, _ in ours] == [letter for letter, _ in theirs]
    for (letter, edges), (_, edges_there) in zip(ours, theirs, strict=True):
        # Kerning of a whole line moves its end by less than a twentieth of its letters' size.
        assert edges == pytest.approx(edges_there, abs=0.6), letter


def test_renderer_is_left_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    before = weasyprint.svg.text, dict(weasyprint.svg.TAGS)
    with whole_texts():
        assert weasyprint.svg.TAGS["text"] is weasyprint.svg.text is not before[0]
    message = "broken off"
    with pytest.raises(KeyError, match=message), whole_texts():
        raise KeyError(message)
    assert (weasyprint.svg.text, weasyprint.svg.TAGS) == before
    monkeypatch.delattr(weasyprint.svg, "text")
    with pytest.raises(AttributeError, match="text"):
        written()

"""Texts that share their description of a font are set as if each had its own."""

from contextlib import nullcontext

import pytest
import weasyprint

from calc.package import render
from calc.package.equations import data_uri
from calc.package.shared_faces import shared_faces

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">'
    '<text x="1" y="5" font-family="Sheet" font-size="3">plan</text>'
    '<text x="1" y="9" font-family="Sheet" font-size="3" font-weight="bold">plan</text>'
    '<text x="1" y="13" font-family="Sheet" font-size="2" font-style="italic">plan</text></svg>'
)
LOOKS = """
font-size: 7pt
font-weight: bold
font-style: italic
font-feature-settings: "tnum"
text-decoration: underline
font-variant-caps: small-caps
letter-spacing: 1pt
direction: rtl
""".replace('"', "'").split("\n")
TEXT = "Settlement of 0.25 m after 90 days, " * 6
PAGE = """<!DOCTYPE html><html lang="{}"><head><title>t</title><link rel="stylesheet" href="package.css">
</head><body>{}<p><img alt="plan" src="{}"></p></body></html>"""


@pytest.mark.parametrize("language", ["en", "tr"])
def test_pages_have_the_same_bytes(language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    pages = PAGE.format(language, "".join(f'<p style="{look}">{TEXT}</p>' for look in LOOKS), data_uri(SVG))
    quick = render.lay_out(pages)
    monkeypatch.setattr(render, "shared_faces", nullcontext)

    assert render.lay_out(pages) == quick


def test_renderer_has_its_own_again() -> None:
    own = weasyprint.text.line_break.Layout.setup
    with shared_faces():
        assert weasyprint.text.line_break.Layout.setup is not own

    assert weasyprint.text.line_break.Layout.setup is own

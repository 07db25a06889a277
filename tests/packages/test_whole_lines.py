"""A text before an element that does not fit on its line stays whole; the renderer breaks it at its first word."""

from bisect import bisect_left
from io import BytesIO

import pypdfium2
import pytest
import weasyprint

from calc.package.whole_lines import whole_lines

TEXT = "one two three four five six "


def lines(width: float) -> list[str]:
    html = f'<style>@page {{ size: 20cm }} p {{ font: 10px "DejaVu Sans"; width: {width}px }}</style>'
    page = pypdfium2.PdfDocument(BytesIO(weasyprint.HTML(string=f"{html}<p>{TEXT}<b>seven</b></p>").write_pdf()))[0]
    return [" ".join(line.split()) for line in page.get_textpage().get_text_range().splitlines()]


def narrow() -> float:
    """A width at which the text fits but for its last space, which is wider than half a pixel."""
    enough = bisect_left(range(2000), True, lo=200, key=lambda width: len(lines(width / 4)[0].split()) >= 6)
    return enough / 4 - 0.5


def test_space_at_the_end_hangs_over_the_line() -> None:
    width = narrow()
    assert lines(width)[0] == "one"
    with whole_lines():
        assert lines(width) == ["one two three four five six", "seven"]
        assert lines(width - 10) == ["one two three four five", "six seven"]
        assert lines(1000) == ["one two three four five six seven"]


def test_renderer_is_left_as_it_was() -> None:
    before = weasyprint.layout.inline.split_first_line
    with pytest.raises(ZeroDivisionError), whole_lines():
        raise ZeroDivisionError
    assert weasyprint.layout.inline.split_first_line is before

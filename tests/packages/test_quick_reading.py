"""Pages are read as the renderer reads them, only quicker."""

from xml.etree import ElementTree as ET

import pytest
import weasyprint

from calc.package.quick_reading import read_pages

PAGE = '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>t</title></head><body>{}</body></html>'
ROWS = "<tr><td>1</td></tr><tr><td>2</td></tr>"


@pytest.mark.parametrize(
    "body",
    [
        f"<table>\n<colgroup><col><col class='a'></colgroup><thead>{ROWS}</thead>{ROWS}<tfoot>{ROWS}</tfoot></table>",
        f"<table>{ROWS}<tbody>{ROWS}</tbody>{ROWS}</table>",
        f"<table><tr><td><table>{ROWS}</table></td></tr>\n<tr><td></td></tr></table>",
        "<p>a<br>b<br/>c<img src='x'  >&nbsp;&thinsp;&amp;&lt;&#34;&eacute; d &gt; e</p>",
        '<p title="one\ntwo\tthree &quot;four&quot;">a\nb</p><p>x="y\nz"</p>',
    ],
)
def test_elements_are_those_of_the_reader_of_html(body: str) -> None:
    quick = read_pages(PAGE.format(body))
    whole = weasyprint.tinyhtml5.parse(PAGE.format(body), namespace_html_elements=False)

    assert quick is not None
    assert ET.tostring(quick) == ET.tostring(whole)


@pytest.mark.parametrize("body", ["<p>one<p>two", "<p hidden>x</p>", "<p>\x01</p>", "<p>&nosuchsign;</p>"])
def test_what_is_no_xml_is_left_to_the_renderer(body: str) -> None:
    assert read_pages(PAGE.format(body)) is None

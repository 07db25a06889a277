"""Pages read by the reader of XML, which takes a thirtieth of the time of the renderer's reader of HTML.

Templates write every end of an element, so that both read the same but for what is put right here. What is no XML, as
where a text has a sign that XML knows not, is left to the renderer.
"""

from html.entities import html5
from re import Match, sub
from typing import Any
from xml.etree import ElementTree as ET

import weasyprint

EMPTY = r"<((?:br|col|hr|img|link|meta|wbr)\b[^<>]*?)\s*/?>"  # elements without an end
NAMED = r"&(?!(?:amp|lt|gt|quot|apos);)(\w+;)"  # signs by names of HTML alone
BROKEN = r'="[^"<>]*[\n\t][^"<>]*"'  # an attribute of several lines


class QuickHTML(weasyprint.HTML):  # type: ignore[misc]
    """Pages as the renderer has them, from the text of a whole document."""

    def __init__(self, *, string: str, base_url: str, url_fetcher: Any) -> None:
        root = read_pages(string)
        if root is None:
            super().__init__(string=string, base_url=base_url, url_fetcher=url_fetcher)
            return
        self.base_url, self.url_fetcher, self.media_type = base_url, url_fetcher, "print"
        self.wrapper_element = weasyprint.cssselect2.ElementWrapper.from_html_root(root, content_language=None)
        self.etree_element = self.wrapper_element.etree_element


def read_pages(html: str) -> ET.Element | None:
    """The elements of a document, None where it is no XML."""
    text = sub(NAMED, _sign, sub(EMPTY, r"<\1/>", html.removeprefix("<!DOCTYPE html>")))
    try:
        root = ET.fromstring(sub(BROKEN, _kept_apart, text).strip())  # noqa: S314 - made by this program
    except ET.ParseError:
        return None
    for table in root.iter("table"):
        _group_rows(table)
    return root


def _sign(name: Match[str]) -> str:
    return html5.get(name[1], name[0])


def _kept_apart(attribute: Match[str]) -> str:
    """XML takes each end of a line in an attribute for a space."""
    return attribute[0].replace("\n", "&#10;").replace("\t", "&#9;")


def _group_rows(table: ET.Element) -> None:
    """Rows that stand in no part of a table stand in a body of their own, as HTML has it."""
    parts, body = list(table), None
    table[:] = []
    for part in parts:
        if part.tag != "tr":
            body = None
            table.append(part)
            continue
        if body is None:
            body = ET.SubElement(table, "tbody")
        body.append(part)

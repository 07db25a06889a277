"""The renderer's own style sheet without what no page uses, and style sheets of pages that are read once.

Notes at the foot or in the margin and their calls do not occur in a package, and only an item of a list has a marker:
the renderer would make styles for six parts of every element. A style sheet takes as long to read as a short page to
set.
"""

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

import weasyprint

from calc.package.quick_reading import QuickHTML

UNUSED = ("footnote-call", "footnote-marker", "note-call", "note-marker", "note-callback")
MARKER = "\n::marker {"
OF_ALL = ("url_fetcher", "media_type", "_check_mime_type")  # of what a sheet is read with, the same in every document


@lru_cache(maxsize=1)
def page_styles() -> Any:
    """The style sheet of the renderer for HTML, read once.

    Raises ``RuntimeError`` where the renderer has another one than this program knows.
    """
    text = (Path(weasyprint.__file__).parent / "css" / "html5_ua.css").read_text(encoding="utf-8")
    kept, left_out = re.subn(rf"(?m)^::(?:{'|'.join(UNUSED)}) \{{[^}}]*\}}\n", "", text)
    if left_out != len(UNUSED) or kept.count(MARKER) != 1 or kept.count("\n::") != 1:
        message = f"the style sheet of WeasyPrint {weasyprint.VERSION} is not the one that this program knows"
        raise RuntimeError(message)
    return weasyprint.CSS(string=kept.replace(MARKER, f"\nli{MARKER[1:]}"))


class PackageHTML(QuickHTML):
    """Pages with the styles of :func:`page_styles` beneath their own."""

    def _ua_stylesheets(self, forms: bool = False) -> list[Any]:  # noqa: ARG002 - pages have no forms
        return [page_styles()]


class _Faces(list[Any]):
    """The faces that a style sheet asks for, which every document loads for itself."""

    def add_font_face(self, descriptors: Any, _fetcher: Any) -> None:
        """Take the place of a configuration of fonts."""
        self.append(descriptors)


_READ: dict[str, tuple[Any, _Faces]] = {}


@contextmanager
def styles_read_once(reports: Sequence[str]) -> Iterator[None]:
    """Take the style sheets that pages link from earlier pages; one that was reported on is read again each time."""
    library: Any = weasyprint.css
    read = library.CSS

    def sheet(url: str = "", **given: Any) -> Any:
        if not url:  # what stands in the page itself
            return read(**given)
        known, told = _READ.get(url), len(reports)
        if known is None:
            faces = _Faces()
            # With lists of its own: those given are of the one document.
            known = read(url=url, **{name: given[name] for name in OF_ALL}, font_config=faces), faces
            if len(reports) == told:
                _READ[url] = known
        for face in known[1]:
            given["font_config"].add_font_face(face, given["url_fetcher"])
        return known[0]

    library.CSS = sheet
    try:
        yield
    finally:
        library.CSS = read

"""The renderer's own style sheet without what no page uses: it would make styles for six parts of every element.

Notes at the foot or in the margin and their calls do not occur in a package, and only an item of a list has a marker.
"""

import re
from functools import lru_cache
from pathlib import Path
from typing import Any

import weasyprint

UNUSED = ("footnote-call", "footnote-marker", "note-call", "note-marker", "note-callback")
MARKER = "\n::marker {"


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


class PackageHTML(weasyprint.HTML):  # type: ignore[misc]
    """Pages with the styles of :func:`page_styles` beneath their own."""

    def _ua_stylesheets(self, forms: bool = False) -> list[Any]:  # noqa: ARG002 - pages have no forms
        return [page_styles()]

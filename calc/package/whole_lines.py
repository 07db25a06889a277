"""A text that fits a line but for the space at its end stays on it; the renderer breaks it behind its first word."""

from collections.abc import Iterator
from contextlib import contextmanager
from math import inf
from typing import Any

import weasyprint


@contextmanager
def whole_lines() -> Iterator[None]:
    """Let the space at the end of a text hang over the end of its line while pages are laid out.

    Raises ``AttributeError`` where the renderer has no such function.
    """
    library: Any = weasyprint.layout.inline
    split = library.split_first_line

    def hanging(text: str, style: Any, context: Any, room: float | None, *others: Any, **more: Any) -> Any:
        line = split(text, style, context, room, *others, **more)
        rest = 2  # where the next line begins, none where there is no next one
        if room is None or line[rest] is None or not text.endswith(" "):
            return line
        if split(text.rstrip(" "), style, context, room, *others, **more)[rest] is not None:
            return line
        layout, length, _, width, *ascents = split(text, style, context, inf, *others, **more)
        return layout, length, None, min(width, room), *ascents

    library.split_first_line = hanging
    try:
        yield
    finally:
        library.split_first_line = split

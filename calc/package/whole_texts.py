"""A text of a figure is drawn as one line; the renderer lays out and draws each of its letters alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import weasyprint.svg

PLACED = ("x", "y", "dx", "dy", "rotate")  # each a list with a number for every letter, or one number
SPACED = ("letter-spacing", "textLength")


@contextmanager
def whole_texts() -> Iterator[None]:
    """Draw texts whose letters follow each other as lines of text while a file is written.

    Raises ``AttributeError`` where the renderer has no such function.
    """
    library: Any = weasyprint.svg
    draw, tags = library.text, dict(library.TAGS)

    def draw_whole(svg: Any, node: Any, font_size: float) -> None:
        if node.text and not any(node.get(key) for key in SPACED) and not any(_many(node.get(key)) for key in PLACED):
            node._etree_node.text = _Line(node.text)  # noqa: SLF001
        draw(svg, node, font_size)

    # The renderer tells texts from other shapes by the function.
    library.text = draw_whole
    library.TAGS.update({tag: draw_whole for tag, drawn in tags.items() if drawn is draw})
    try:
        yield
    finally:
        library.text = draw
        library.TAGS.update(tags)


def _many(numbers: str | None) -> bool:
    return numbers is not None and len(numbers.replace(",", " ").split()) > 1


class _Line(str):
    """A text that is one letter to who goes through it letter by letter."""

    __slots__ = ()

    def __iter__(self) -> Iterator[str]:
        yield str(self)

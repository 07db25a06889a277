"""Texts of people as pages and terminals show them: as text, signs that cannot be shown as one that says so."""

from collections.abc import Sequence
from dataclasses import replace

from calc.inputs.reading.glyphs import first_without_glyph
from calc.inputs.reading.scalars import UNPRINTABLE
from calc.review.comments import Comment

UNKNOWN = "\ufffd"


def shown_text(text: str) -> str:
    """A text for pages: control characters, marks that turn its direction and signs without a glyph are replaced."""
    plain = UNPRINTABLE.sub(UNKNOWN, text.replace("\r\n", "\n"))
    if first_without_glyph(plain) is None:
        return plain
    return "".join(sign if first_without_glyph(sign) is None else UNKNOWN for sign in plain)


def one_line(text: str, longest: int = 300) -> str:
    """A text for a line on a terminal."""
    line = " ".join(shown_text(text).split())
    return line if len(line) <= longest else line[: longest - 1] + "…"


def shown_comments(comments: Sequence[Comment]) -> list[Comment]:
    """Comments for pages."""
    return [
        replace(
            comment,
            title=shown_text(comment.title),
            said=tuple(replace(said, who=shown_text(said.who), text=shown_text(said.text)) for said in comment.said),
        )
        for comment in comments
    ]


def numbers(values: Sequence[int]) -> str:
    """Numbers of comments on one line."""
    return ", ".join(map(str, values)) if values else "none"

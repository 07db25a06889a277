"""What of a line finds room behind its title, and what takes lines of its own, which pass under the values."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from markupsafe import Markup

from calc.package.canvas import advance, text_width
from calc.package.rows import Row

PT = 25.4 / 72
TITLE, SOURCE, NUMBERS, NOTE = 7.6 * PT, 7.0 * PT, 7.2 * PT, 7.0 * PT  # sizes of texts (templates/package.css), mm
WHOLE = 162.5  # width of a line but for its number, mm
VALUE, ONLY_VALUE, UNIT, EDGE = 14.2, 21.0, 11.0, 1.4  # widths of columns and of the rest of a cell, mm
WHOLE_HEADING, HEADS, MANY = 175.0, (54.0, 68.0), 3  # of a heading, of the names of columns at its right, mm
HEADING, BOLD, GAP = 8.4 * PT, 1.12, 5.0  # size of a heading, its width over that of thin letters, before a case, mm
AFTER_CASE = " · worked: A · read at this case:"
AROUND = 4.0  # beside a picture, mm
RAGGED = 0.97  # of a line which words fill


def beside_values(columns: int) -> float:
    """The width left for a title, mm."""
    return WHOLE - (ONLY_VALUE if columns == 1 else columns * VALUE) - UNIT - EDGE


def has_room_for_case(title: str, cases: Sequence[tuple[str, str]], columns: int) -> bool:
    """Whether the case of a scope finds room behind its title, on one line."""
    words = "; ".join(f"{where or 'Printed at'}: {case}" for where, case in cases)
    room = WHOLE_HEADING - (0.0 if columns == 1 else HEADS[columns > MANY])
    return bool(words) and BOLD * advance(title, HEADING) + advance(words + AFTER_CASE, NOTE) + GAP < room


def place_row(row: Row, columns: int, picture: float) -> Row:
    """The row with what does not fit behind its title below it; `picture` is the width of its equation, mm."""
    room = beside_values(columns)
    title = _width(row.title, TITLE) + _width(_source(row), SOURCE) + 2.0
    if not picture and not row.numbers:
        title += _width(row.symbol, TITLE) + 2.0
    used = title % room if title > room else title
    if picture or row.numbers:
        equation = (picture + AROUND if picture else 0.0) + _width(row.numbers, NUMBERS) + 2.0
        is_below = used + equation > room
        source = _width(_source(row), SOURCE) + 2.0
        saves = ceil((title - source) / room) < ceil(title / room) and equation + source < WHOLE
        return replace(row, below=is_below, behind=is_below and saves)
    notes = sum(_width(note, NOTE) + 2.0 for note in row.beneath) + _width(row.at, NOTE)
    behind, below = ceil((title + notes) / (RAGGED * room)), ceil(title / room) + ceil(notes / (RAGGED * WHOLE))
    return replace(row, below=below < behind)


def _width(text: str, size: float) -> float:
    """How wide a text is with its indices set small and without its links, mm."""
    return text_width(text, size) if isinstance(text, Markup) and "<a" not in text else advance(_bare(text), size)


def _bare(text: str) -> str:
    return text.striptags() if isinstance(text, Markup) else text


def _source(row: Row) -> str:
    """About what stands behind a title for where it comes from."""
    if row.where or row.reference is None:
        return _bare(row.where)
    short = row.reference.short if row.reference.is_published else f"[{row.reference.number}]"
    return f"{row.reference.mark}{short}{', ' * bool(row.clause)}{row.clause}"

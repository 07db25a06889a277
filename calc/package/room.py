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
VALUE, ONLY_VALUE, UNIT, EDGE = 14.2, 15.6, 11.0, 1.4  # widths of columns and of the rest of a cell, mm
WHOLE_HEADING, HEADS, MANY = 175.0, 12.0, 3  # of a heading, right of the names of columns, mm
HEADING, BOLD, GAP = 8.4 * PT, 1.12, 5.0  # size of a heading, its width over that of thin letters, before a case, mm
WORKED, READ = " · worked: A", " · read:"
AROUND = 4.0  # beside a picture, mm
RAGGED = 0.97  # of a line which words fill
SHORT = 7.3 * PT  # size of symbols and values of short rows
THIRD = (11.3, 8.4, 11.6, 9.0, 13.6)  # room for number, symbol, value, unit and origin where three stand in a row, mm


def beside_values(columns: int) -> float:
    """The width left for a title, mm."""
    return WHOLE - (ONLY_VALUE if columns == 1 else columns * VALUE) - UNIT - EDGE


def has_room_for_case(title: str, cases: Sequence[tuple[str, str]], columns: int, *, many: bool, read: bool) -> bool:
    """Whether the case of a scope finds room behind its title, on one line.

    Where there are `many` sections those that have the scope are named at the right. What is `read` at the case is
    announced behind it.
    """
    words = "; ".join(f"{where or 'Printed at'}: {case}" for where, case in cases)
    room = WHOLE_HEADING - (HEADS + columns * VALUE if many else 0.0)
    behind = WORKED * (columns > 1) + READ * read
    return bool(title and words) and BOLD * advance(title, HEADING) + advance(words + behind, NOTE) + GAP < room


def across(rows: Sequence[Row], columns: Sequence[int]) -> int:
    """How many short rows with the values of these columns stand beside each other."""
    if len(columns) > 1:
        return 1 if len(columns) > MANY else 2
    texts = ((f"{row.box} {row.number}", row.symbol, row.values[columns[0]], row.unit, row.where) for row in rows)
    sizes = NOTE, SHORT, SHORT, NOTE, NOTE
    fit = all(_width(text, size) < room for own in texts for text, size, room in zip(own, sizes, THIRD, strict=True))
    return 3 if fit else 2


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
    return f"{row.reference.mark}{row.citation}{', ' * bool(row.clause)}{row.clause}"

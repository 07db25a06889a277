"""Tables and figures of a chapter as pages show them."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from calc.figure import Figure, Scene, symbol_text
from calc.nomenclature import symbol
from calc.package.equations import Picture
from calc.package.figures import figure_picture
from calc.package.words import is_amount
from calc.sheet import Table, TableColumn

WHOLE_ROWS = 24
LONGEST_WORD = 20


@dataclass(frozen=True, slots=True)
class HeadView:
    """Head of one column."""

    words: Markup
    unit: str
    style: str


@dataclass(frozen=True, slots=True)
class TableView:
    """A table with its number; `whole` ones stay on one page."""

    key: str
    number: str
    title: str
    head: tuple[HeadView, ...]
    rows: tuple[tuple[str, ...], ...]
    mark: int | None
    note: str
    whole: bool
    units: bool


@dataclass(frozen=True, slots=True)
class FigureView:
    """A figure with its number; `first` ones stand before the steps."""

    key: str
    number: str
    title: str
    picture: Picture
    note: str
    first: bool


def table_views(tables: Sequence[Table], chapter: str) -> tuple[TableView, ...]:
    """The tables of a chapter, numbered."""
    return tuple(
        TableView(
            key=table.key,
            number=f"{chapter}-{index}",
            title=table.title,
            head=tuple(_head(column, table, place) for place, column in enumerate(table.head)),
            rows=tuple(tuple(row) for row in table.rows),
            mark=table.mark,
            note=table.note,
            whole=len(table.rows) <= WHOLE_ROWS,
            units=any(_unit(column) for column in table.head),
        )
        for index, table in enumerate(tables, start=1)
    )


def _head(column: TableColumn, table: Table, place: int) -> HeadView:
    words = symbol_text(column.symbol) if column.symbol else Markup("{}").format(column.words)
    cells = [row[place] for row in table.rows if place < len(row) and row[place].strip()]
    amounts = bool(cells) and all(is_amount(cell) for cell in cells)
    long = any(len(word) > LONGEST_WORD for cell in cells for word in cell.split())
    return HeadView(words, _unit(column), "n" if amounts else "long" if long else "")


def _unit(column: TableColumn) -> str:
    return column.unit or (symbol(column.symbol).unit_text if column.symbol else "")


def figure_views(figures: Sequence[Figure], chapter: str) -> tuple[FigureView, ...]:
    """The figures of a chapter, drawn and numbered."""
    return tuple(
        FigureView(
            key=figure.key,
            number=f"{chapter}-{index}",
            title=figure.title,
            picture=figure_picture(figure),
            note=figure.note,
            first=isinstance(figure, Scene),
        )
        for index, figure in enumerate(figures, start=1)
    )

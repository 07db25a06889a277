"""Tables and figures of a chapter as pages show them."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from calc.figure import Figure, Scene, symbol_text
from calc.nomenclature import symbol
from calc.package.alike import Earlier, Place
from calc.package.equations import Picture, equation_picture
from calc.package.figures import figure_picture
from calc.package.words import is_amount
from calc.sheet import Expression, Table, TableColumn
from calc.typeset import equation

WHOLE_ROWS = 24
LONGEST_WORD = 20
IN_TABLE = 0.85  # size of an equation in a table over its size on a line
WIDEST = 120.0 * 96 / 25.4  # width of an equation in a table, CSS pixels


@dataclass(frozen=True, slots=True)
class HeadView:
    """Head of one column."""

    words: Markup
    unit: str
    style: str


@dataclass(frozen=True, slots=True)
class TableView:
    """A table with its number; `whole` ones stay on one page, `like` is where an earlier section has the same."""

    key: str
    number: str
    title: str
    head: tuple[HeadView, ...]
    rows: tuple[tuple[str, ...], ...]
    mark: int | None
    note: str
    whole: bool
    units: bool
    like: Place | None


@dataclass(frozen=True, slots=True)
class FigureView:
    """A figure with its number; `first` ones stand before the steps, `like` is where an earlier section has it."""

    key: str
    number: str
    title: str
    picture: Picture
    note: str
    first: bool
    like: Place | None


def table_views(tables: Sequence[Table], chapter: str, earlier: Earlier) -> tuple[TableView, ...]:
    """The tables of a chapter, numbered."""
    return tuple(
        TableView(
            key=table.key,
            number=f"{chapter}-{index}",
            title=table.title,
            head=tuple(_head(column, table, place) for place, column in enumerate(table.head)),
            rows=tuple(tuple(map(_cell, row)) for row in table.rows),
            mark=table.mark,
            note=table.note,
            whole=len(table.rows) <= WHOLE_ROWS,
            units=any(_unit(column) for column in table.head),
            like=earlier.place(_says(table), table_place(chapter, index)),
        )
        for index, table in enumerate(tables, start=1)
    )


def table_place(chapter: str, index: int) -> Place:
    """Where a table stands."""
    return Place(f"{chapter}-{index}", f"table{chapter}-{index}")


def _says(table: Table) -> Hashable:
    rows = tuple(tuple(row) for row in table.rows)
    return ("table", table.key, table.title, tuple(table.head), rows, table.note, table.mark)


def _cell(text: str) -> str:
    """The text of a cell; an equation is drawn, a little smaller than on its own line."""
    if not isinstance(text, Expression) or text.step.formula is None:
        return text
    formula = text.step.formula
    drawn = equation_picture(equation(formula.symbol, formula.tree, text.step.names), text)
    style = drawn.style(min(drawn.width * IN_TABLE, WIDEST))
    return Markup('<img src="{}" style="{}" alt="{}">').format(drawn.source, style, str(text))


def _head(column: TableColumn, table: Table, place: int) -> HeadView:
    words = symbol_text(column.symbol) if column.symbol else Markup("{}").format(column.words)
    cells = [row[place] for row in table.rows if place < len(row) and row[place].strip()]
    amounts = bool(cells) and all(is_amount(cell) for cell in cells)
    long = any(len(word) > LONGEST_WORD for cell in cells for word in cell.split())
    return HeadView(words, _unit(column), "n" if amounts else "long" if long else "")


def _unit(column: TableColumn) -> str:
    return column.unit or (symbol(column.symbol).unit_text if column.symbol else "")


def figure_views(figures: Sequence[Figure], chapter: str, earlier: Earlier) -> tuple[FigureView, ...]:
    """The figures of a chapter, drawn and numbered."""
    return tuple(_figure(figure, f"{chapter}-{index}", earlier) for index, figure in enumerate(figures, start=1))


def _figure(figure: Figure, number: str, earlier: Earlier) -> FigureView:
    picture = figure_picture(figure)
    return FigureView(
        key=figure.key,
        number=number,
        title=figure.title,
        picture=picture,
        note=figure.note,
        first=isinstance(figure, Scene),
        like=earlier.place(("figure", figure.title, picture, figure.note), Place(number, f"figure{number}")),
    )

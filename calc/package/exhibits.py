"""Tables and figures of a chapter as pages show them."""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, takewhile
from math import ceil
from re import escape, sub
from typing import Generic, TypeGuard, TypeVar

from markupsafe import Markup

from calc.engine.figure import Figure, Scene, symbol_text
from calc.engine.sheet import Expression, Table, TableColumn
from calc.engine.symbols import symbol
from calc.engine.typeset import set_amount
from calc.package.alike import Earlier, Place
from calc.package.canvas import advance
from calc.package.equations import Picture, formula_picture
from calc.package.figures import figure_picture
from calc.package.shown import is_amount, with_units_whole
from calc.package.widths import balanced_widths

View = TypeVar("View", bound="TableView | FigureView")

WHOLE_ROWS, LONG_ROWS = 10, 24  # a table up to the first stays on one page, beyond the second it is set smaller
HEAD_FACE = 1.04  # size of a head over that of a cell
BOLD = 1.12  # width of bold text, in which the row of the governing case is set, over that of other text
WHOLE_ALIKE, SHORT_TEXT = 3, 7  # rows from which a text that all have alike prints once; signs of one that is left
SHARED = 25  # signs from which words that all texts of a column have alike print once
WHOLE_TEXT = 1000  # signs of a table that stays on one page
LONGEST_WORD = 20
FIRST = 34.0  # width up to which the first column of a table is not broken, mm
IN_TABLE = 0.85  # size of an equation in a table over its size on a line
ROW, NOTE = 3.4, 3.1  # height of a row of a table, of a line of a note, mm
MM = 96 / 25.4  # CSS pixels
CELL, TEXT = 1.8, 7.5 * 25.4 / 72  # the room beside a cell, the size of a text in a table (templates/package.css), mm
WHOLE, PAIR, LEAST = 175.0, 168.0, 56.0  # width of a page, of two beside each other, of the narrowest of them, mm
WIDEST = 120.0  # width of an equation in a table, mm


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
    widths: tuple[float, ...]
    words: tuple[float, ...]
    drawn: bool
    given: tuple[float, ...] = ()
    groups: tuple[tuple[str, int], ...] = ()

    @property
    def shares(self) -> tuple[str, ...]:
        """The width of each column, % of all; its longest word finds room in it where the page has room for all."""
        free = PAIR - sum(self.words)
        wants = [max(width - word, 0.0) for width, word in zip(self.widths, self.words, strict=True)]
        widths = self.given or self.widths
        if not self.given and 0 < free < sum(wants):
            widths = tuple(word + free * want / sum(wants) for word, want in zip(self.words, wants, strict=True))
        return tuple(f"{100 * number / sum(widths):.2f}" for number in widths)

    @property
    def need(self) -> float:
        """The width that it needs, mm: all of the page where it is long, holds equations or is only referred to."""
        return WHOLE if self.long or self.drawn or self.like else max(sum(self.widths), LEAST)

    @property
    def height(self) -> float:
        """About the height that it takes, mm: caption, head, rows and note."""
        return 0.0 if self.like else 12.0 + ROW * len(self.rows) + NOTE * ceil(advance(self.note, TEXT) / self.need)

    @property
    def long(self) -> bool:
        """Whether it is set smaller, in columns of fixed widths."""
        return len(self.rows) > LONG_ROWS


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

    @property
    def need(self) -> float:
        """The width that it needs, mm: all of the page where it is only referred to."""
        return WHOLE if self.like else max(self.picture.width / MM, LEAST)

    @property
    def height(self) -> float:
        """About the height that it takes, mm: picture, caption and note."""
        below = 5.0 + NOTE * ceil(advance(self.note, TEXT) / self.need)
        return 0.0 if self.like else self.picture.height / MM + below


def by_names(table: Table, stages: Sequence[str]) -> Table:
    """The table with its stages, and the dates that they name, without the numbers at the head of their labels."""
    names = {label: label.partition(" ")[2] or label for label in stages}
    # A label alone or the date of one, between commas: elsewhere "3 m" is a length, whatever a stage is called.
    labels = "|".join(escape(name) for name in sorted(names, key=len, reverse=True))
    pattern = rf"(?:(?<=^)|(?<=, ))((?:start|end) of )?({labels})(?=$|, | \d)"

    def with_names(text: str) -> str:
        if isinstance(text, Expression) or not names:
            return text
        return sub(pattern, lambda match: f"{match[1] or ''}{names[match[2]]}", text)

    head = [replace(column, words=with_names(column.words)) for column in table.head]
    return replace(table, head=head, rows=[[with_names(cell) for cell in row] for row in table.rows])


def table_views(tables: Sequence[Table], chapter: str, earlier: Earlier) -> tuple[TableView, ...]:
    """The tables of a chapter, numbered."""
    return tuple(_table(table, chapter, index, earlier) for index, table in enumerate(tables, start=1))


def _table(table: Table, chapter: str, index: int, earlier: Earlier) -> TableView:
    here, says = table_place(chapter, index), _says(table)
    like = earlier.place(says, here)
    if table.mark is None and not like:
        # The head of a kind of table is that of all sections, its rows may be in part.
        kind = (chapter.partition(".")[2], table.key, tuple(table.head))
        rows, other = earlier.rest(kind, table.rows, here)
        if other:
            table = replace(table, rows=rows, note=f"The other rows are those of table {other.number}. {table.note}")
    rows = [[cell if isinstance(cell, Expression) else with_units_whole(cell) for cell in row] for row in table.rows]
    table = _with_shared_words(_without_alike(replace(table, rows=rows)))
    columns = list(_columns(table))
    drawn = [any(_is_drawn(cell) for cell in cells) for cells in columns]
    others = sum(_longest_word(cells) for cells, of_equations in zip(columns, drawn, strict=True) if not of_equations)
    widest = min(WIDEST, (PAIR - others) / max(sum(drawn), 1) - CELL)
    widths = tuple(max(_width(cell, widest) for cell in cells) for cells in columns)
    if table.mark is not None:
        marked = (BOLD * _width(cell, widest) for cell in table.rows[table.mark])
        widths = tuple(max(both) for both in zip(widths, marked, strict=True))
    words = tuple(_longest_word(cells, widest) for cells in columns)
    words = (widths[0] if widths[0] <= FIRST else words[0], *words[1:])
    # From a little less than the page on: the renderer would give long heads room that the first column needs.
    groups = _groups(table.head)
    fits = len(table.rows) <= LONG_ROWS and not any(drawn) and HEAD_FACE * sum(words) < WHOLE
    wordy = fits and (sum(widths) > PAIR or bool(groups))
    cells = [[_width(cell, widest) for cell in row] for row in table.rows]
    return TableView(
        key=table.key,
        number=f"{chapter}-{index}",
        title=table.title,
        head=tuple(_head(column, table, place) for place, column in enumerate(table.head)),
        rows=tuple(tuple(_cell(cell, widest) for cell in row) for row in table.rows),
        mark=table.mark,
        note=table.note,
        whole=len(table.rows) <= WHOLE_ROWS and sum(len(str(cell)) for row in table.rows for cell in row) <= WHOLE_TEXT,
        units=any(_unit(column) for column in table.head),
        groups=groups,
        like=like,
        widths=widths,
        words=words,
        given=balanced_widths(cells, [HEAD_FACE * word for word in words], WHOLE) if wordy else (),
        drawn=any(drawn),
    )


def _without_alike(table: Table) -> Table:
    """The table with the texts that all of its rows have alike in its note."""
    heads = [column.name for column in table.head]
    alike = [
        place
        for place, cells in enumerate(zip(*table.rows, strict=False))
        if place and len(cells) >= WHOLE_ALIKE and len(set(cells)) == 1 and _is_text(cells[0])
        and heads.count(heads[place]) == 1  # of two columns with one name the note would not say which
    ]  # fmt: skip
    if not alike:
        return table
    said = "; ".join(f"{table.head[place].words}: {table.rows[0][place]}" for place in alike)
    kept = [place for place in range(len(table.head)) if place not in alike]
    return replace(
        table,
        head=[table.head[place] for place in kept],
        rows=[[row[place] for place in kept] for row in table.rows],
        note=f"All rows: {said.rstrip('.')}. {table.note}".strip(),
    )


def _with_shared_words(table: Table) -> Table:
    """The table with the words around the rest that all texts of a column have alike in its note."""
    heads = [column.name for column in table.head]
    said, columns = [], [list(cells) for cells in zip(*table.rows, strict=False)]
    for place, cells in enumerate(columns):
        if place and len(cells) >= WHOLE_ALIKE and heads.count(heads[place]) == 1 and all(map(_is_text, cells)):
            before, rests, behind = shared_words(cells)
            # Of a list that its rows begin alike, such as factors with their sources, every row keeps all.
            if len(before) + len(behind) >= SHARED and ";" not in before + behind:
                columns[place] = rests
                said.append(f"{heads[place]}: {before} …{behind}".replace(":  …", ": …"))
    if not said:
        return table
    rows = [list(row) for row in zip(*columns, strict=True)]
    return replace(table, rows=rows, note=f"In full, {'; '.join(said)}. {table.note}".strip())


def shared_words(texts: Sequence[str]) -> tuple[str, list[str], str]:
    """The words at the beginning and end that some texts have alike, and what each has between them.

    Of a list the beginning has only whole items: a value does not lose its name.
    """
    words = [text.split(" ") for text in texts]
    least = min(map(len, words)) - 1
    first = _count_alike([own[:least] for own in words])
    first = max((end for end, word in enumerate(words[0][:first], 1) if word.endswith(";")), default=first)
    last = _count_alike([own[:first:-1] for own in words])
    rests = [" ".join(own[first : len(own) - last]) for own in words]
    comma = all(rest.endswith(",") for rest in rests)
    behind = "," * comma + "".join(f" {word}" for word in words[0][len(words[0]) - last :])
    return " ".join(words[0][:first]), [rest.removesuffix("," * comma) for rest in rests], behind


def _count_alike(rows: Sequence[Sequence[str]]) -> int:
    return len(list(takewhile(lambda alike: len(set(alike)) == 1, zip(*rows, strict=False))))


def _is_text(cell: str) -> bool:
    """Whether a cell says more than an amount or a word."""
    return not isinstance(cell, Expression) and not is_amount(cell) and len(cell) > SHORT_TEXT


@dataclass(frozen=True, slots=True)
class Row(Generic[View]):
    """One table or figure, or two beside each other."""

    views: tuple[View, ...]

    @property
    def share(self) -> str:
        """The part of the width that the first takes, %."""
        return f"{100 * self.views[0].need / sum(view.need for view in self.views):.1f}"


def side_by_side(views: Sequence[View]) -> tuple[Row[View], ...]:
    """Tables and figures in order, two beside each other where there is room, so that all take the least height."""
    rests: list[tuple[float, tuple[Row[View], ...]]] = [(0.0, ()), (0.0, ())]  # from this place and from the next
    for place in reversed(range(len(views))):
        pair = tuple(views[place : place + 2])
        best = (pair[0].height + rests[0][0], (Row(pair[:1]), *rests[0][1]))
        if len(pair) == 2 and sum(view.need for view in pair) <= PAIR:
            beside = (max(view.height for view in pair) + rests[1][0], (Row(pair), *rests[1][1]))
            best = min(beside, best, key=lambda rest: rest[0])
        rests = [best, rests[0]]
    return rests[0][1]


def _is_drawn(cell: str) -> TypeGuard[Expression]:
    return isinstance(cell, Expression) and cell.step.formula is not None


def _width(cell: str, widest: float) -> float:
    """The width of a cell on one line, mm: as drawn where it is an equation."""
    if _is_drawn(cell):
        return CELL + min(_picture(cell).width * IN_TABLE / MM, widest)
    return CELL + advance(cell, TEXT)


def _longest_word(cells: Sequence[str], widest: float = WIDEST) -> float:
    """The least width of a column, mm."""
    return max(
        _width(part, widest) for cell in cells for part in ([cell] if _is_drawn(cell) else cell.split(" "))
    )  # fmt: skip


def _columns(table: Table) -> Iterator[tuple[str, ...]]:
    """The texts of each column, its head as the words which it can be broken into."""
    for column, cells in zip(table.head, zip(*table.rows, strict=False), strict=False):
        head = f"{symbol(column.symbol).plain}, {column.words}" if column.symbol else column.words
        yield (*cells, *head.split(), _unit(column))


def table_place(chapter: str, index: int) -> Place:
    """Where a table stands."""
    return Place(f"{chapter}-{index}", f"table{chapter}-{index}")


def _says(table: Table) -> Hashable:
    rows = tuple(tuple(row) for row in table.rows)
    return ("table", table.key, table.title, tuple(table.head), rows, table.note, table.mark)


def _picture(cell: Expression) -> Picture:
    formula = cell.step.formula
    assert formula is not None  # noqa: S101 - asked before
    return formula_picture(formula, cell.step.names, cell)


def _cell(text: str, widest: float) -> str:
    """The text of a cell; an equation is drawn, a little smaller than on its own line."""
    if not _is_drawn(text):
        if is_amount(text):
            return set_amount(text)
        # A unit is not broken behind its stroke.
        unit = "/" in text and " " not in text and len(text) <= LONGEST_WORD
        return Markup('<span class="nowrap">{}</span>').format(text) if unit else text
    drawn = _picture(text)
    style = drawn.style(min(drawn.width * IN_TABLE, widest * MM))
    return Markup('<img src="{}" style="{}" alt="{}">').format(drawn.source, style, str(text))


def _head(column: TableColumn, table: Table, place: int) -> HeadView:
    words = Markup("{}").format(column.words)
    if column.symbol:
        words = Markup(", ").join([symbol_text(column.symbol), *([words] if column.words else [])])
    cells = [row[place] for row in table.rows if place < len(row) and row[place].strip()]
    # A word among numbers, such as "not given", leaves them flush right.
    amounts = sum(map(is_amount, cells)) > len(cells) / 2
    long = any(len(word) > LONGEST_WORD for cell in cells for word in cell.split())
    return HeadView(words, _unit(column), "n" if amounts else "long" if long else "")


def _groups(head: Sequence[TableColumn]) -> tuple[tuple[str, int], ...]:
    """The names of groups with their units, each over so many columns; none where no column is of a group."""
    if not any(column.group for column in head):
        return ()
    runs = [(key, len(list(run))) for key, run in groupby(head, key=lambda column: (column.group, column.unit))]
    return tuple((", ".join(filter(None, key)) if key[0] else "", count) for key, count in runs)


def _unit(column: TableColumn) -> str:
    if column.group:
        return ""
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

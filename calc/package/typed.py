"""The project file as tables: every field as typed, common values once and those of a section in its column."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from html import unescape
from re import fullmatch, sub
from string import ascii_lowercase

from markupsafe import Markup

from calc.engine.figure import symbol_text
from calc.engine.symbols import NOMENCLATURE
from calc.inputs import Design
from calc.inputs.reading.locate import Path, locate
from calc.inputs.reading.source import Source

# Tables by subject, in the order in which they print; a table that is not named stands under its own name at the end.
SUBJECTS = (
    ("Basis", ("basis",)),
    ("Sections, ground, water", ("", "water", "layer", "bearing_layer", "layer_below")),
    ("Embankment, loads, stages", ("embankment", "platform", "traffic", "first_lift", "stage")),
    ("Columns", ("columns", "field", "plug")),
    ("Sleeve", ("sleeve",)),
    ("Horizontal reinforcement", ("reinforcement", "load_transfer")),
    ("Consolidation and slip surfaces", ("consolidation", "slip")),
    ("Filters", ("filters",)),
    ("Construction", ("construction",)),
    ("Monitoring", ("monitoring",)),
)
# What prints in full on other pages, with the name of their place.
ELSEWHERE: tuple[tuple[Path, str, str], ...] = (
    (("project", "revision"), "revisions", "revisions"),
    (("project",), "project", "cover"),
    (("people",), "people", "cover"),
    (("assumption",), "assumptions", "assumptions"),
    (("outside",), "exclusions and interfaces", "outside"),
    (("basis", "standard"), "standards", "references"),
    (("basis", "drawing"), "drawings", "references"),
)
LONG = 30  # signs of a text that stands in a cell; a longer one stands below the table
SMALL = 3  # fields of a table in a list that is set in one cell
ACROSS, HIGH = 14, 9  # fields and items from and up to which the items of a list stand beside each other
BESIDE = 3  # sections that have a column each in a table of half the width of a page
COLUMNS = 6  # sections that have a column each in any table


@dataclass(frozen=True, slots=True)
class Cell:
    """A text with the fields of the project file that it shows."""

    text: Markup
    fields: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class TypedTable:
    """A table of typed values; `wide` ones take the whole width of a page."""

    title: str
    head: tuple[Markup, ...]
    rows: tuple[tuple[Cell, ...], ...]
    wide: bool


@dataclass(frozen=True, slots=True)
class Subject:
    """The tables of a subject, and the longer texts below them by their letters."""

    title: str
    tables: tuple[TypedTable, ...]
    notes: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What prints in full on another page."""

    name: str
    anchor: str
    lines: str
    fields: tuple[Path, ...]


Group = dict[Path, list[Path]]  # the fields of one row by their owner: () for all sections, ("section", k) for one


@dataclass
class TypedFile:
    """Sets the fields of a project file in tables; `printed` are texts of chapters that are not repeated here."""

    design: Design
    printed: Sequence[tuple[str, str]] = ()
    _notes: dict[str, str] = field(default_factory=dict)

    @cached_property
    def source(self) -> Source:
        """The file with the places of its fields."""
        return Source(self.design.source, self.design.text, {}, locate(self.design.text.decode("utf-8")))

    @cached_property
    def fields(self) -> tuple[Path, ...]:
        """The path of every field that holds a value, in the order of the file."""
        return tuple(path for path, place in self.source.places.items() if place.text)

    def elsewhere(self) -> tuple[Elsewhere, ...]:
        """What prints in full on other pages."""
        found: dict[tuple[str, str], list[Path]] = {}
        for path in self.fields:
            if place := _other_page(path):
                found.setdefault(place, []).append(path)
        return tuple(Elsewhere(*place, self._lines(paths), tuple(paths)) for place, paths in found.items())

    def subjects(self) -> Iterator[Subject]:
        """Every other field once, by subject."""
        tables: dict[str, list[Path]] = {}
        for path in self.fields:
            if not _other_page(path):
                tables.setdefault(_table(path), []).append(path)
        named = [key for _, keys in SUBJECTS for key in keys]
        others = [(key, (key,)) for key in tables if key not in named]
        for title, keys in (*SUBJECTS, *others):
            self._notes = {}
            paths = [path for key in keys for path in tables.get(key, ())]
            if paths:
                made = tuple(self._tables(paths))
                yield Subject(title, made, tuple((letter, text) for text, letter in self._notes.items()))

    def _tables(self, paths: Sequence[Path]) -> Iterator[TypedTable]:
        """Single values first, then the lists, each as a table."""
        single: dict[Path, Group] = {}
        lists: dict[Path, list[Path]] = {}
        for path in paths:
            own, below = _parted(path)
            name = _list_of(below)
            if name and not self._small(own + name):
                lists.setdefault(name, []).append(path)
            else:
                key = name or self._field(own, below)
                single.setdefault(key, {}).setdefault(own, []).append(path)
        yield from self._singles(single)
        for name, inside in lists.items():
            yield from self._list(name, inside)

    def _small(self, name: Path) -> bool:
        """Whether the tables of a list are set in one cell."""
        items = [path[len(name) + 1 :] for path in self.fields if path[: len(name)] == name]
        texts = [self.source.typed_text(path) for path in self.fields if path[: len(name)] == name]
        return len(set(items)) <= SMALL and all(len(text) <= LONG for text in texts)

    # Single values

    def _singles(self, rows: Mapping[Path, Group]) -> Iterator[TypedTable]:
        owners = sorted({own for row in rows.values() for own in row if own}, key=str)
        every = [("section", k) for k in range(len(self.design.sections))]
        if len(every) == 1:  # a single section has no column of its own
            yield self._single(rows, [((), *every)])
            return
        if not owners:
            yield self._single(rows, [((),)])
            return
        common = {name: row for name, row in rows.items() if set(row) == {()}}
        if common:
            yield self._single(common, [((),)])
        own = {name: row for name, row in rows.items() if name not in common}
        if any(() in row for row in own.values()):
            shared = {name: {(): row[()]} for name, row in own.items() if () in row}
        else:
            shared = {}
        for start in range(0, len(every), COLUMNS):
            part = every[start : start + COLUMNS]
            chosen = {name: {k: v for k, v in row.items() if k in part} for name, row in own.items()}
            if not start:
                chosen = {name: shared.get(name, {}) | row for name, row in chosen.items()}
            chosen = {name: row for name, row in chosen.items() if row}
            columns = ([((),)] if shared and not start else []) + [(one,) for one in part]
            if chosen:
                yield self._single(chosen, columns)

    def _single(self, rows: Mapping[Path, Group], columns: Sequence[tuple[Path, ...]]) -> TypedTable:
        """One row a field; every column holds the values of its owners."""
        heads = [self._owner(one[0]) for one in columns] if len(columns) > 1 else [""]
        made = []
        for name, row in rows.items():
            cells = [self._cell([path for owner in column for path in row.get(owner, ())]) for column in columns]
            lines = self._lines([path for paths in row.values() for path in paths])
            made.append((Cell(_label(name)), *cells, Cell(Markup("{}").format(lines))))
        head = (Markup(""), *(Markup("{}").format(one) for one in heads), Markup("line"))
        return TypedTable("", head if len(columns) > 1 else (), tuple(made), len(columns) - 1 > BESIDE)

    def _owner(self, own: Path) -> str:
        return self.design.sections[int(own[1])].key if own else "all"

    # Lists of tables

    def _list(self, name: Path, paths: Sequence[Path]) -> Iterator[TypedTable]:
        """A list over all sections: an item on a row, or in a column where it has many fields."""
        items = self._items(name, paths)
        names = list(dict.fromkeys(key for item in items for key in item[1]))
        told = [key for key in names if self._told(key, items)]
        short = [key for key in names if key not in told]
        title = " ".join(_word(one).striptags() for one in name)
        if len(short) > ACROSS:
            for start in range(0, len(items), HIGH):
                yield self._beside(title, items[start : start + HIGH], names)
            return
        rows = []
        for owners, fields_of, lines in items:
            texts = self._cell([path for key in told for path in fields_of.get(key, ())])
            cells = [self._cell(fields_of.get(key, ())) for key in short]
            rows.append((
                Cell(Markup("{}").format(owners)), *cells, *([texts] if told else []),
                Cell(Markup("{}").format(lines)),
            ))  # fmt: skip
        head = (Markup(""), *(_label(key) for key in short), *([Markup("in words")] if told else []), Markup("lines"))
        yield TypedTable(title, *self._with_units(head, rows), wide=True)

    def _items(self, name: Path, paths: Sequence[Path]) -> list[tuple[str, dict[Path, list[Path]], str]]:
        """Sections, fields and lines of the items; those of several sections together where they are alike."""
        own_lists = {_parted(path)[0] for path in paths}
        users = {
            own: [self._owner(own)] if own else [
                section.key for k, section in enumerate(self.design.sections) if ("section", k) not in own_lists
            ]
            for own in own_lists
        }  # fmt: skip
        items: dict[tuple[Path, int], list[Path]] = {}
        for path in paths:
            own, below = _parted(path)
            items.setdefault((own, int(below[len(name)])), []).append(path)
        alike: dict[tuple[tuple[Path, str], ...], list[tuple[Path, int]]] = {}
        for item, inside in items.items():
            alike.setdefault(tuple((self._key(name, one), self.source.typed_text(one)) for one in inside), []).append(
                item
            )
        made = []
        for same in alike.values():
            fields_of: dict[Path, list[Path]] = {}
            for item in same:
                for path in items[item]:
                    fields_of.setdefault(self._key(name, path), []).append(path)
            keys = [key for own, _ in same for key in users[own]]
            owners = "all" if len(keys) == len(self.design.sections) > 1 else ", ".join(dict.fromkeys(keys))
            lines = ", ".join(self._lines(items[item], span=True) for item in same)
            made.append((owners or "not used", fields_of, lines))
        return made

    def _key(self, name: Path, path: Path) -> Path:
        """The field of an item; a list or a value with its source in it is one field."""
        below = _parted(path)[1][len(name) + 1 :]
        return _list_of(below) or self._field(path[: len(path) - len(below)], below)

    def _field(self, before: Path, below: Path) -> Path:
        """The row of a value: a list of values has one, and a value has it with its source."""
        with_source = below[-1] in {"value", "source"} and (*before, *below[:-1], "value") in self.source.places
        return below[:-1] if isinstance(below[-1], int) or with_source else below

    def _told(self, key: Path, items: Sequence[tuple[str, Mapping[Path, Sequence[Path]], str]]) -> bool:
        """Whether a field of a list holds texts that print in a chapter, some of them long."""
        texts = [self.source.typed_text(path) for _, fields_of, _ in items for path in fields_of.get(key, ())]
        return any(len(text) > LONG for text in texts) and all(self._where(text) for text in texts)

    def _beside(
        self, title: str, items: Sequence[tuple[str, Mapping[Path, Sequence[Path]], str]], names: Sequence[Path]
    ) -> TypedTable:
        """The items of a list in columns."""
        rows = []
        for key in names:
            cells = tuple(self._cell(fields_of.get(key, ())) for _, fields_of, _ in items)
            if any(cell.fields for cell in cells):
                rows.append((Cell(_label(key)), *cells))
        rows.append((Cell(Markup("lines")), *(Cell(Markup("{}").format(lines)) for _, _, lines in items)))
        head = (Markup(""), *(Markup("{}").format(owners) for owners, _, _ in items))
        return TypedTable(title, head, tuple(rows), wide=True)

    @staticmethod
    def _with_units(
        head: tuple[Markup, ...], rows: Sequence[tuple[Cell, ...]]
    ) -> tuple[tuple[Markup, ...], tuple[tuple[Cell, ...], ...]]:
        """The unit of a column in its head where all of its values have the same one."""
        columns = list(zip(*rows, strict=True))
        heads = list(head)
        for k, cells in enumerate(columns):
            found = [fullmatch(r"(-?[\d.e-]+) (\S+)", str(cell.text)) for cell in cells if cell.fields]
            units = {one[2] for one in found if one}
            if len(units) == 1 and all(found) and 0 < k < len(heads) - 1:
                unit = units.pop()
                heads[k] = Markup("{}, {}").format(heads[k], Markup(unit))  # noqa: S704 - of an escaped text
                columns[k] = tuple(
                    Cell(Markup(str(cell.text).removesuffix(f" {unit}")), cell.fields)  # noqa: S704 - the same
                    for cell in cells
                )
        return tuple(heads), tuple(zip(*columns, strict=True))

    # Cells

    def _cell(self, paths: Sequence[Path]) -> Cell:
        """The values of some fields as typed, each text once; what is long stands below the table by its letter."""
        groups: dict[Path, list[Markup]] = {}
        for path in paths:
            text, own = self._short(path), groups.setdefault(path if isinstance(path[-1], int) else path[:-1], [])
            own += [text] if text not in own else []
        parts = list(dict.fromkeys(Markup(" ").join(own) for own in groups.values()))
        several = any(len(own) > 1 for own in groups.values())
        return Cell(Markup("; " if several else ", ").join(parts), tuple(paths))

    def _short(self, path: Path) -> Markup:
        """A value as it stands in a cell."""
        text = _printable(self.source.typed_text(path))
        if len(text) <= LONG:
            return Markup("{}").format(text)
        where = self._where(text)
        said = f"text in {where}" if where else " ".join(text.split())
        letter = self._notes.setdefault(said, _letters(len(self._notes)))
        return Markup("<sup>{}</sup>").format(letter)

    def _where(self, text: str) -> str:
        """The chapter in which a text prints."""
        said = " ".join(text.split()).rstrip(".")
        return next((name for name, printed in self.printed if said in printed), "")

    def _lines(self, paths: Sequence[Path], *, span: bool = False) -> str:
        """The lines of some fields: from the first to the last where these are one stretch."""
        lines = sorted({self.source.places[path].line for path in paths})
        if span and len(lines) > 1:
            return f"{lines[0]}–{lines[-1]}"
        groups: list[list[int]] = []
        for line in lines:
            if groups and line - groups[-1][-1] <= (2 if span else 1):
                groups[-1].append(line)
            else:
                groups.append([line])
        return ", ".join(f"{own[0]}–{own[-1]}" if len(own) > 1 else f"{own[0]}" for own in groups)


def plain_text(html: str) -> str:
    """The words of a page without its tags."""
    return " ".join(unescape(sub(r"<[^>]*>", "", sub(r'(?:src|alt)="[^"]*"', "", html))).split())


def _other_page(path: Path) -> tuple[str, str] | None:
    return next(((name, anchor) for at, name, anchor in ELSEWHERE if path[: len(at)] == at), None)


def _parted(path: Path) -> tuple[Path, Path]:
    """Whose a field is, all sections' or one's, and its path below."""
    return (path[:2], path[2:]) if path[0] == "section" else ((), path)


def _table(path: Path) -> str:
    """The table of a field; "" for one that stands in a section itself."""
    below = _parted(path)[1]
    return str(below[0]) if len(below) > 1 else ""


def _list_of(below: Path) -> Path:
    """The path of the list of tables that a field stands in; () for a field of none."""
    place = next((k for k, one in enumerate(below) if isinstance(one, int)), len(below))
    return below[:place] if place < len(below) - 1 else ()


def _label(name: Path) -> Markup:
    """A field in words, or as the symbol of its name."""
    return Markup(" ").join(_word(one) for one in name[-2:] if one != "section" and not isinstance(one, int))


def _word(name: str | int) -> Markup:
    text = str(name)
    if text in NOMENCLATURE:
        return symbol_text(text)
    return Markup("{}").format(text if fullmatch(r"[A-Za-z]{1,2}_.*|.*\d", text) else text.replace("_", " "))


def _letters(index: int) -> str:
    """a, b … z, aa, ab …"""
    before, own = divmod(index, len(ascii_lowercase))
    return (_letters(before - 1) if before else "") + ascii_lowercase[own]


def _printable(text: str) -> str:
    """A text without signs that would steer the layout."""
    return "".join(sign if sign.isprintable() or sign in "\n\t" else "\N{REPLACEMENT CHARACTER}" for sign in text)

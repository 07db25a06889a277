"""The project file as tables: fields in the units of the lines, common ones once, those of a section in its column."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby

from markupsafe import Markup

from calc.engine.typeset import set_quantity
from calc.inputs import Design
from calc.inputs.reading.locate import Path, locate
from calc.inputs.reading.source import Source, text_of
from calc.package.typed_names import (
    ELSEWHERE,
    SUBJECTS,
    WHOLE_PAGE,
    Cell,
    Elsewhere,
    Subject,
    TypedTable,
    as_wide_as_needed,
    halves,
    item_of,
    label_of,
    letters,
    printable,
    table_of,
    with_units,
    word_of,
)
from calc.package.typed_texts import LONG, PrintedTexts

SAME = 3  # items that have a field alike from which it prints once
TELLING = 20  # signs of a text that is no mere name or kind
SMALL = 3  # fields of a table in a list that is set in one cell
ACROSS, HIGH, ALONE = 14, 9, 9  # fields and items with which a list stands in columns; fields of one alone, in a list
FEW = 8  # fields of an item that leave room for the values of several sections in a cell
HEADED = 3  # fields of a table from which its name stands above them
WORDY = 80  # signs of a value that takes a row of the whole width
COLUMNS = 6  # sections that have a column each in any table


BOTH = 2  # sides of a comparison
Item = tuple[str, dict[Path, list[Path]], str]  # sections, paths by field, lines
Group = dict[Path, list[Path]]  # the fields of one row by their owner: () for all sections, ("section", k) for one


@dataclass
class TypedFile:
    """Sets the fields of a project file in tables; `printed` are texts of chapters that are not repeated here."""

    design: Design
    printed: Sequence[tuple[str, str]] = ()
    _notes: dict[str, str] = field(default_factory=dict)
    _users: dict[Path, list[str]] = field(default_factory=dict)
    _known_small: dict[Path, bool] = field(default_factory=dict)

    @cached_property
    def _chapters(self) -> PrintedTexts:
        return PrintedTexts(self.printed)

    @cached_property
    def source(self) -> Source:
        """The file with the places of its fields."""
        return Source(self.design.source, self.design.text, {}, locate(text_of(self.design.text)))

    @cached_property
    def fields(self) -> tuple[Path, ...]:
        """The path of every field that holds a value, in the order of the file."""
        return tuple(path for path, place in self.source.places.items() if place.text)

    def elsewhere(self) -> tuple[Elsewhere, ...]:
        """What prints in full on other pages."""
        by_place: dict[tuple[str, str], list[Path]] = {}
        for path in self.fields:
            if place := _other_page(path):
                by_place.setdefault(place, []).append(path)
        return tuple(Elsewhere(*place, self._lines(paths), tuple(paths)) for place, paths in by_place.items())

    def subjects(self) -> Iterator[Subject]:
        """Every other field once, by subject."""
        tables: dict[str, list[Path]] = {key: [] for _, keys in SUBJECTS for key in keys}
        for path in self.fields:
            if not _other_page(path):
                tables[table_of(path)].append(path)
        for title, keys in SUBJECTS:
            self._notes = {}
            if paths := [path for key in keys for path in tables[key]]:
                unusual = {caution.path for caution in self.design.cautions}
                made = tuple(table.with_mark(unusual) for table in self._tables(paths))
                yield Subject(title, made, tuple((letter, text) for text, letter in self._notes.items()))

    def _tables(self, paths: Sequence[Path]) -> Iterator[TypedTable]:
        """Single values first, then the lists, each as a table."""
        self._users = {}
        single: dict[Path, Group] = {}
        lists: dict[Path, list[Path]] = {}
        for path in paths:
            owner, below = halves(path)
            name = item_of(below)[0]
            if name and not self._small(owner + name):
                lists.setdefault(name, []).append(path)
            else:
                key = name or self._field(owner, below)
                single.setdefault(key, {}).setdefault(owner, []).append(path)
        yield from self._singles(single)
        for name, inside in lists.items():
            yield from self._list(name, inside)

    def _small(self, name: Path) -> bool:
        """Whether the tables of a list are set in one cell."""
        if name not in self._known_small:
            inside = [path for path in self.fields if path[: len(name)] == name]
            self._known_small[name] = len({path[len(name) + 1 :] for path in inside}) <= SMALL and all(
                len(self.source.typed_text(path)) <= LONG for path in inside
            )
        return self._known_small[name]

    # Single values

    def _singles(self, rows: Mapping[Path, Group]) -> Iterator[TypedTable]:
        owners = sorted({owner for row in rows.values() for owner in row if owner}, key=str)
        every: list[Path] = [("section", k) for k in range(len(self.design.stated))]
        if long := [name for name, row in rows.items() if set(row) == {()} and len(self._cell(row[()]).text) > WORDY]:
            own = [(Cell(label_of(name)), *self._with_lines(rows[name][()])) for name in long]
            yield TypedTable("", (), tuple(own), wide=True)
            rows = {name: row for name, row in rows.items() if name not in long}
        if len(every) == 1:  # a single section has no column of its own
            yield self._single(rows, [((), *every)])
            return
        if not owners:
            yield self._single(rows, [((),)])
            return
        common = {name: row for name, row in rows.items() if set(row) == {()}}
        if common:
            yield self._single(common, [((),)])
        rows_of_owners = {name: row for name, row in rows.items() if name not in common}
        if any(() in row for row in rows_of_owners.values()):
            shared = {name: {(): row[()]} for name, row in rows_of_owners.items() if () in row}
        else:
            shared = {}
        for start in range(0, len(every), COLUMNS):
            part = every[start : start + COLUMNS]
            chosen = {name: {k: v for k, v in row.items() if k in part} for name, row in rows_of_owners.items()}
            if not start:
                chosen = {name: shared.get(name, {}) | row for name, row in chosen.items()}
            chosen = {name: row for name, row in chosen.items() if row}
            columns = ([((),)] if shared and not start else []) + [(path,) for path in part]
            if chosen:
                yield self._single(chosen, columns)

    def _single(self, rows: Mapping[Path, Group], columns: Sequence[tuple[Path, ...]]) -> TypedTable:
        """One row a field; every column holds the values of its owners."""
        columns = [column for column in columns if any(owner in row for owner in column for row in rows.values())]
        heads = [self._owner(column[0]) for column in columns] if len(columns) > 1 else [""]
        made: list[tuple[Cell, ...]] = []
        for table, group in groupby(rows.items(), key=lambda item: item[0][:-1]):
            inside = list(group)
            named = len(inside) >= HEADED and bool(table)
            if named:
                title = Markup("<b>{}</b>").format(Markup(" ").join(word_of(part) for part in table[-2:]))
                made.append((Cell(title), *(Cell(Markup("")) for _ in columns), Cell(Markup(""))))
            for name, row in inside:
                cells = [self._cell([path for owner in column for path in row.get(owner, ())]) for column in columns]
                lines = self._lines([path for paths in row.values() for path in paths])
                label = label_of(name[-1:] if named else name)
                made.append((Cell(label), *cells, Cell(Markup("{}").format(lines))))
        head = (Markup(""), *(Markup("{}").format(words) for words in heads), Markup("line"))
        return as_wide_as_needed(TypedTable("", head if len(columns) > 1 else (), tuple(made), wide=False))

    def _owner(self, owner: Path) -> str:
        return self.design.stated[int(owner[1])].key if owner else "all"

    # Lists of tables

    def _list(self, name: Path, paths: Sequence[Path]) -> Iterator[TypedTable]:
        """A list over all sections: an item on a row, or in a column where it has many fields."""
        items = self._items(paths)
        names = list(dict.fromkeys(key for item in items for key in item[1]))
        printed, places = self._printed_keys(names, items)
        short = [key for key in names if key not in printed]
        title = " ".join(word_of(part).striptags() for part in name)
        if len(items) == 1 and len(short) > ALONE:
            yield self._fields_in_rows(title, items[0])
            return
        if len(short) > ACROSS:
            for start in range(0, len(items), HIGH):
                yield from self._items_in_columns(title, items[start : start + HIGH], names)
            return
        if printed and len(short) <= 1:
            yield self._one_row(title, items, short, places)
            return
        rows = []
        for owners, inside, lines in self._join_items(items) if len(short) <= FEW else items:
            texts = tuple(path for key in printed for path in inside.get(key, ()))
            where = dict.fromkeys(self._chapters.place(self.source.typed_text(path)) for path in texts)
            cells = [self._cell(inside.get(key, ())) for key in short]
            # Texts that all print in one chapter are told of once, in the title of the table.
            told_of = [Cell(Markup("{}").format(", ".join(where)), texts)] if len(places) > 1 else []
            last = Cell(Markup("{}").format(lines), () if told_of else texts)
            rows.append((Cell(Markup("{}").format(owners)), *cells, *told_of, last))
        head = (
            Markup(""),
            *(label_of(key) for key in short),
            *([Markup("texts")] if len(places) > 1 else []),
            Markup("lines"),
        )
        said = _with_place(title, printed, places[0]) if len(places) == 1 else title
        table = as_wide_as_needed(TypedTable(said, *with_units(head, rows), wide=False))
        too_many = table.least > WHOLE_PAGE and len(items) <= HIGH
        if too_many:
            yield from self._items_in_columns(title, items, names)
        else:
            yield table

    def _one_row(self, title: str, items: Sequence[Item], short: Sequence[Path], places: Iterable[str]) -> TypedTable:
        """A list that says little beside its texts, on one row."""
        paths = [path for _, inside, _ in items for paths in inside.values() for path in paths]
        named = self._cell([path for _, inside, _ in items for key in short for path in inside.get(key, ())]).text
        text = Markup("{} items, their texts in {}: {}").format(len(items), ", ".join(places), named)
        lines = Cell(Markup("{}").format(self._lines(paths, span=True)))
        return TypedTable("", (), ((Cell(Markup("{}").format(title)), Cell(text, tuple(paths)), lines),), wide=True)

    def _items(self, paths: Sequence[Path]) -> list[Item]:
        """Sections, fields and lines of the items; those of several sections together where they are alike."""
        own_lists = {halves(path)[0] for path in paths}
        common = [section.key for k, section in enumerate(self.design.stated) if ("section", k) not in own_lists]
        users = self._users = {owner: [self._owner(owner)] if owner else common for owner in own_lists}
        items: dict[tuple[Path, int], list[Path]] = {}
        for path in paths:
            owner, below = halves(path)
            items.setdefault((owner, item_of(below)[1]), []).append(path)
        alike: dict[tuple[tuple[Path, str], ...], list[tuple[Path, int]]] = {}
        for item, inside in items.items():
            alike.setdefault(tuple((self._key(path), self.source.typed_text(path)) for path in inside), []).append(item)
        made = []
        for same in alike.values():
            fields_of: dict[Path, list[Path]] = {}
            for item in same:
                for path in items[item]:
                    fields_of.setdefault(self._key(path), []).append(path)
            keys = [key for own, _ in same for key in users[own]]
            owners = "all" if len(keys) == len(self.design.stated) > 1 else ", ".join(dict.fromkeys(keys))
            lines = ", ".join(self._lines(items[item], span=True) for item in same)
            made.append((owners or "not used", fields_of, lines))
        return made

    def _join_items(self, items: Sequence[Item]) -> list[Item]:
        """Items of different sections together in which nothing but one number differs."""
        made: list[Item] = []
        for owners, fields_of, lines in items:
            for k, (others, known, before) in enumerate(made):
                texts = [
                    [{self.source.typed_text(path) for path in fields.get(key, ())} for fields in (known, fields_of)]
                    for key in dict.fromkeys((*known, *fields_of))
                ]
                differ = [values for pair in texts if pair[0] != pair[1] for values in pair]
                digits = [bool(values) and all(text[:1].isdigit() for text in values) for values in differ]
                number = len(digits) == BOTH and all(digits)
                if number and not set(owners.split(", ")) & set(others.split(", ")) and "all" not in {owners, others}:
                    both = {key: [*known.get(key, ()), *fields_of.get(key, ())] for key in known}
                    made[k] = (f"{others}, {owners}", both, f"{before}, {lines}")
                    break
            else:
                made.append((owners, fields_of, lines))
        return made

    def _key(self, path: Path) -> Path:
        """The field of an item; a list or a value with its source in it is one field."""
        below = item_of(halves(path)[1])[2]
        return item_of(below)[0] or self._field(path[: len(path) - len(below)], below)

    def _field(self, before: Path, below: Path) -> Path:
        """The row of a value: a list of values has one, and a value has it with its source."""
        with_source = below[-1] in {"value", "source"} and (*before, *below[:-1], "value") in self.source.places
        return below[:-1] if isinstance(below[-1], int) or with_source else below

    def _printed_keys(self, names: Sequence[Path], items: Sequence[Item]) -> tuple[list[Path], list[str]]:
        """The fields of a list whose texts print in a chapter, some of them long, and the chapters of all of them.

        Where that is one chapter, shorter texts that print there are not repeated either.
        """
        texts = {key: self._texts(key, items) for key in names}
        long = [
            key
            for key in names
            if any(len(text) > LONG for text in texts[key]) and all(map(self._chapters.place, texts[key]))
        ]
        said = [text for key in long for text in texts[key]]
        common = [
            name for name, _ in self.printed if said and all(name in self._chapters.places(text) for text in said)
        ]
        if not common:
            return long, list(dict.fromkeys(map(self._chapters.place, said)))
        # A name or kind among them tells items apart.
        telling = [key for key in names if texts[key] and all(len(text) > TELLING for text in texts[key])]
        there = [key for key in telling if all(common[0] in self._chapters.places(text) for text in texts[key])]
        return [key for key in names if key in long or key in there], common[:1]

    def _texts(self, key: Path, items: Sequence[Item]) -> list[str]:
        """The texts of a field of a list; none of one that has values with their sources, or amounts."""
        paths = [path for _, fields_of, _ in items for path in fields_of.get(key, ())]
        values = any(path[-1] == "value" for path in paths) and any(path[-1] == "source" for path in paths)
        return [] if values else [self.source.typed_text(path) for path in paths]

    def _fields_in_rows(self, title: str, item: Item) -> TypedTable:
        """The fields of one item below each other, as single values are."""
        named = (Cell(Markup("<b>{}</b>").format(title)), Cell(Markup("")), Cell(Markup("")))
        rows = [(Cell(label_of(key)), *self._with_lines(paths)) for key, paths in item[1].items()]
        return TypedTable("", (), (named, *rows), wide=False)

    def _items_in_columns(self, title: str, items: Sequence[Item], names: Sequence[Path]) -> Iterator[TypedTable]:
        """The items of a list in columns; what all have alike stands in a row behind them."""
        printed, places = self._printed_keys(names, items)
        printed = printed if len(places) == 1 else []
        unusual = {caution.path for caution in self.design.cautions}
        rows, alike = [], []
        for key in (key for key in names if key not in printed):
            cells = tuple(self._cell(fields_of.get(key, ())) for _, fields_of, _ in items)
            fields = tuple(path for cell in cells for path in cell.fields)
            if len(items) >= SAME and len({cell.text for cell in cells}) == 1 and not unusual.intersection(fields):
                alike.append((Markup("{} {}").format(label_of(key), cells[0].text), fields))
            elif fields:
                rows.append((Cell(label_of(key)), *cells))
        texts = [tuple(path for key in printed for path in fields_of.get(key, ())) for _, fields_of, _ in items]
        lines = [Cell(Markup("{}").format(own), paths) for (_, _, own), paths in zip(items, texts, strict=True)]
        rows.append((Cell(Markup("lines")), *lines))
        head = (Markup(""), *(Markup("{}").format(owners) for owners, _, _ in items))
        said = _with_place(title, printed, places[0]) if printed else title
        yield TypedTable(said, head, tuple(rows), wide=True, beside=True)
        if alike:
            text = Markup("; ").join(said for said, _ in alike)
            fields = tuple(path for _, paths in alike for path in paths)
            words = Markup("{}, each").format(title)
            yield TypedTable("", (), ((Cell(words), Cell(text, fields), Cell(Markup(""))),), wide=True)

    # Cells

    def _cell(self, paths: Sequence[Path]) -> Cell:
        """The values of some fields as typed, each text once; what is long stands below the table by its letter."""
        groups: dict[Path, list[Markup]] = {}
        for path in paths:
            text, own = self._short(path), groups.setdefault(path if isinstance(path[-1], int) else path[:-1], [])
            own += [text] if text not in own else []
        parts: dict[Markup, list[Path]] = {}
        for group, own in groups.items():
            parts.setdefault(Markup(" ").join(own), []).append(group)
        several = any(len(own) > 1 for own in groups.values())
        owners = {text: self._owners(own) for text, own in parts.items()}
        if len(set(owners.values())) == len(parts) > 1:  # each text is of other sections
            texts = [Markup("{} ({})").format(text, owners[text]) for text in parts]
        else:
            texts = list(parts)
        between = Markup("; ") if several else Markup(", ")
        return Cell(between.join(texts), tuple(paths))

    def _with_lines(self, paths: Sequence[Path]) -> tuple[Cell, Cell]:
        return self._cell(paths), Cell(Markup("{}").format(self._lines(paths)))

    def _owners(self, paths: Sequence[Path]) -> str:
        """The sections that some fields of a list hold for."""
        owners = dict.fromkeys(halves(path)[0] for path in paths)
        return ", ".join(key for owner in owners for key in self._users.get(owner, ()))

    def _short(self, path: Path) -> Markup:
        """A value as it stands in a cell."""
        text = set_quantity(printable(self.source.typed_text(path)))
        if len(text) <= LONG:
            return Markup("{}").format(text)
        where = self._chapters.place(text)
        said = f"text in {where}" if where else " ".join(text.split())
        letter = self._notes.setdefault(said, letters(len(self._notes)))
        return Markup("<sup>{}</sup>").format(letter)

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
        return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in groups)


def _other_page(path: Path) -> tuple[str, str] | None:
    return next(((name, anchor) for at, name, anchor in ELSEWHERE if path[: len(at)] == at), None)


def _with_place(title: str, printed: Iterable[Path], place: str) -> str:
    """The title of a list, with the fields that print in a chapter and not in it."""
    return f"{title} (in {place}: {', '.join(dict.fromkeys(label_of(key).striptags() for key in printed))})"

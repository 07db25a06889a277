"""The lines of a chapter, all sections side by side: one number, one equation, a column of values for each section.

The numbers of an equation are written out for the worked section of a scope: the one whose verdict comes nearest to its
limit. Of the scopes of a chapter with the same equations the one that comes nearest prints them; the others print their
values, and the number of the line whose equation they have.
"""

from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby

from markupsafe import Markup

from calc.engine.figure import symbol_text
from calc.engine.formula import EVIDENCE_MARKS, Source
from calc.engine.sheet import Sheet, Step
from calc.engine.sheet.printing import printed_expression
from calc.engine.symbols import symbol
from calc.numbering import merged_order, own_key
from calc.package.checked import CheckMark
from calc.package.equations import formula_picture
from calc.package.line_places import HERE
from calc.package.references import References, names_publication
from calc.package.room import has_room_for_case, place_row
from calc.package.rows import NOWHERE, Block, Kind, Row, Sign, gathered_rows
from calc.package.scope_heads import common_cases, common_title, short_case
from calc.package.writer import Case, Writer, ending_text, evidence_of, is_near, solution_text

COLUMNS = 4  # sections beside each other
DRAWN = 0.85  # size of an equation on a line over the size in which it is drawn
MM = 96 / 25.4  # CSS pixels
WIDEST = 156.0  # an equation below its title, mm
LONGEST = 11  # signs of a value that stands in a column
LONG_NOTE = 60  # signs of a note that is not printed again
BESIDE = 12  # signs that stand beside a short row


@dataclass(frozen=True, slots=True)
class _Place:
    """One quantity in one section."""

    column: int
    writer: Writer
    step: Step
    case: Case


@dataclass(frozen=True, slots=True)
class _Head:
    """What opens a scope; `known` are the keys of values that each section reads at the case of the scope."""

    title: str
    cases: tuple[tuple[str, str], ...]
    read: tuple[Row, ...]
    worked: int
    columns: tuple[int, ...]
    known: tuple[frozenset[str], ...]


@dataclass
class Told:
    """What the lines of earlier sections of a chapter have said: which quantities, each with its equation and notes."""

    keys: set[str] = field(default_factory=set)
    notes: dict[tuple[str, Hashable], set[Markup]] = field(default_factory=dict)


@dataclass
class Chapter:
    """Writes one chapter of up to `COLUMNS` sections.

    `fold` is False where every chain is to be written out, `draw` where equations are not drawn. `told` is shared by
    all that write the same chapter: what earlier sections have said, these ones do not repeat. `sets` has short names
    of factor sets.
    """

    writers: Sequence[Writer]
    sheets: Sequence[Sheet]
    numbers: Mapping[str, str]
    references: References
    marks: Mapping[str, CheckMark]
    fold: bool = True
    told: Told = field(default_factory=Told)
    draw: bool = True
    sets: Mapping[str, str] = field(default_factory=dict)
    _opened: set[str] = field(default_factory=set)
    _cited: set[int] = field(default_factory=set)
    _noted: dict[Markup, str] = field(default_factory=dict)
    _first: dict[Hashable, tuple[str, str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Keep apart what was said before these sections."""
        self._before = Told(set(self.told.keys), dict(self.told.notes))

    def blocks(self) -> Iterator[Block]:
        """The lines in the order of the calculation, whatever their numbers, grouped by scope."""
        by_key: dict[str, list[_Place]] = {}
        for column, (writer, sheet) in enumerate(zip(self.writers, self.sheets, strict=True)):
            for step in sheet.page.lines:
                case = writer.case(sheet, step.scope)
                by_key.setdefault(own_key(step.key), []).append(_Place(column, writer, step, case))
        order = merged_order([own_key(step.key) for step in sheet.page.lines] for sheet in self.sheets)
        scopes = {key: by_key[key][0].step.scope for key in order}
        heads = {scope: self._head(scope) for scope in dict.fromkeys(scopes.values())}
        self._claim(by_key, heads)
        for scope, keys in groupby(order, key=scopes.__getitem__):
            head = heads[scope]
            self._cited.clear()
            rows = gathered_rows([row for key in keys for row in self._rows(key, by_key[key], head)])
            runs = tuple((kind, tuple(run)) for kind, run in groupby(rows, key=lambda row: row.kind))
            if scope in self._opened:
                title = f"{head.title}, further lines" if head.title else f"{self.sheets[0].title}, chapter as a whole"
                yield Block(title, (), (), head.worked, head.columns, runs, again=True)
            else:
                self._opened.add(scope)
                many, own = len(self.writers) > 1, len(head.columns)
                beside = has_room_for_case(head.title, head.cases, own, many=many, read=bool(head.read))
                yield Block(head.title, head.cases, head.read, head.worked, head.columns, runs, beside=beside)

    def _having(self, scope: str) -> list[tuple[int, Writer, Sheet]]:
        """The sections that have a scope, with their columns."""
        both = enumerate(zip(self.writers, self.sheets, strict=True))
        return [(column, writer, sheet) for column, (writer, sheet) in both if not scope or scope in sheet.scopes]

    def _head(self, scope: str) -> _Head:
        having = self._having(scope)
        titles = [sheet.scopes[scope].title if scope else "" for _, _, sheet in having]
        title = common_title(titles)
        parts: dict[str, list[str]] = {}
        known = [frozenset[str]()] * len(self.writers)
        for (column, writer, sheet), title_of_sheet in zip(having, titles, strict=True):
            # What a section alone has in its title is part of its case.
            own = (title_of_sheet.removeprefix(title).strip(":, "), *short_case(writer.case(sheet, scope), self.sets))
            parts[writer.part.section.key] = [part for part in own if part]
            known[column] = frozenset(step.key for step, _ in writer.read(sheet, scope))
        again = {own_key(key) for keys in known for key in keys}
        columns = tuple(column for column, _, _ in having)
        cases = tuple((self._sections(keys), text) for keys, text in common_cases(parts))
        read = self._read_again(scope, again)
        return _Head(title, cases, read, self.worked_column(scope), columns, tuple(known))

    def _read_again(self, scope: str, again: Collection[str]) -> tuple[Row, ...]:
        """Values of the chapter at the case of a scope, for every section that has the scope."""
        read: dict[str, list[_Place]] = {}
        for column, writer, sheet in self._having(scope):
            case = {**writer.case(sheet, ""), **writer.case(sheet, scope)}
            for step in sheet.page.lines:
                if not step.scope and own_key(step.key) in again:
                    read.setdefault(own_key(step.key), []).append(_Place(column, writer, step, case))
        return tuple(replace(self._short(places, NOWHERE), anchor="", box="↳") for places in read.values())

    def _sections(self, keys: Sequence[str]) -> str:
        """The sections in words; nothing where it is all of them."""
        return "" if len(keys) == len(self.writers) else ", ".join(keys)

    def worked_column(self, scope: str) -> int:
        """The column whose numbers are written out: that whose verdict comes nearest to its limit."""
        ratios = self._ratios(scope)
        return max((column for column, _, _ in self._having(scope)), key=ratios.__getitem__)

    def _ratios(self, scope: str) -> list[float]:
        """How near to its limit the verdict comes which led to the case of a scope, by section; -1 without one."""
        return [
            writer.part.cases_and_ratios[1].get((sheet.key, scope), -1.0)
            for writer, sheet in zip(self.writers, self.sheets, strict=True)
        ]

    def _claim(self, by_key: Mapping[str, Sequence[_Place]], heads: Mapping[str, object]) -> None:
        """Decide which line prints what several lines have alike: the one of the scope nearest to its limit."""
        if not self.fold:
            return
        ranked = sorted(heads, key=lambda scope: max(self._ratios(scope)), reverse=True)
        for key in sorted(by_key, key=lambda key: ranked.index(by_key[key][0].step.scope)):
            for places in _alike(by_key[key]):
                self._first.setdefault(_says(places[0]), (key, self.numbers[key]))

    def _rows(self, key: str, copies: Sequence[_Place], head: _Head) -> Iterator[Row]:
        """The rows of a quantity: one, or one for each equation where sections have different ones."""
        for k, places in enumerate(_alike(copies)):
            row = self._row(key, places, head)
            yield replace(row, anchor="") if k or key in self._before.keys else row
        self.told.keys.add(key)

    def _row(self, key: str, places: Sequence[_Place], head: _Head) -> Row:
        first = places[0]
        if first.step.kind == "given":
            return self._value_from_outside(places, head)
        others = [
            place for place in places if not place.writer.stands_alone(place.step, place.case, head.known[place.column])
        ]
        says = (key, _says(first))
        notes = {note for at in places for note in (*at.writer.beneath(at.step, at.case), *_endings([at]))}
        self.told.notes.setdefault(says, set()).update(notes)
        if says in self._before.notes:
            whole = not others and notes <= self._before.notes[says]
            return self._short(places, NOWHERE) if whole else self._full(places, others, head, _as(self.numbers[key]))
        lead, number = self._first.get(says[1], (key, self.numbers[key]))
        if lead == key:
            return self._full(places, others, head)
        return self._full(places, others, head, _as(number)) if others else self._short(places, _as(number))

    def _values(self, places: Sequence[_Place]) -> tuple[tuple[str, ...], tuple[Markup, ...]]:
        """A value for each column, and below them the words of those that have no number."""
        values = ["–"] * len(self.writers)
        words: dict[str, list[str]] = {}
        for place in places:
            text = place.writer.value(place.step, place.case)
            if len(text) > LONGEST and place.step.value.number(place.case) is None:
                words.setdefault(text, []).append(place.writer.part.section.key)
                text = "–"
            values[place.column] = text
        notes = (Markup("{}: {}").format(self._sections(keys) or "no number", text) for text, keys in words.items())
        return tuple(values), tuple(notes)

    def _plain(self, kind: Kind, places: Sequence[_Place]) -> Row:
        """What every row has."""
        first = places[0]
        quantity = symbol(first.step.symbol)
        values, words = self._values(places)
        keys = {place.column: place.step.key for place in places}
        number = self.numbers[own_key(first.step.key)]
        return Row(
            kind=kind,
            number=number,
            anchor=f"n{number}",
            title=first.step.title,
            symbol=symbol_text(first.step.symbol),
            unit=quantity.unit_text,
            values=values,
            beneath=words,
            signs=(signs := self._signs(places)),
            box="▣" if signs else "□",
            keys=tuple(keys.get(column, "") for column in range(len(self.writers))),
        )

    def _signs(self, places: Sequence[_Place]) -> tuple[Sign, ...]:
        by_mark: dict[CheckMark, list[str]] = {}
        for place in places:
            if mark := self.marks.get(place.step.key):
                by_mark.setdefault(mark, []).append(place.writer.part.section.key)
        return tuple(Sign(self._sections(keys), mark) for mark, keys in by_mark.items())

    def _short(self, places: Sequence[_Place], where: Markup) -> Row:
        return replace(self._plain("short", places), where=where)

    def _value_from_outside(self, places: Sequence[_Place], head: _Head) -> Row:
        """A value from outside: its origin in the project file, or the earlier line that it is taken from."""
        shown = _of(places, head.worked)
        step, row = shown.step, self._plain("given", places)
        origin = step.origin(shown.case)
        evidence = evidence_of(origin)
        if origin and evidence != "inspected":
            cited = f"{origin.kind}: {origin.text or row.title}"
            # A rule of the project stands in words on its line, and a number would lead to the same words.
            if evidence != "derived" or names_publication(cited):
                self.references.use(Source(cited, evidence), row.number)
        path, where, lines = self._origins(places)
        # The symbol of the row stands there already.
        where = Markup(where.removeprefix(f"{row.symbol} "))  # noqa: S704 - part of markup
        notes = (*row.beneath, Markup("{}").format(step.note)) if step.note else row.beneath
        taken = origin is not None and origin.kind == "step"
        # Beneath, because "as 7.83" behind a title would say that the row has the equation of that line.
        if taken and len(where.striptags()) > BESIDE:
            return replace(row, beneath=(where, *notes))
        beside = Markup("line {}").format(lines[0]) if len(lines) == 1 and where == "given" else where
        # Behind values, origins that differ between sections would run over the edge of the page.
        if not notes and len(beside.striptags()) <= BESIDE and (taken or (lines and evidence == "inspected")):
            return replace(row, kind="short", where=beside, outside=True)
        at = f"line{'s' if len(lines) > 1 else ''} {', '.join(map(str, lines))}" if lines else ""
        row = replace(row, path=path, at=at, where=where, mark=EVIDENCE_MARKS[evidence], beneath=notes)
        return place_row(row, len(head.columns), 0.0)

    def _origins(self, places: Sequence[_Place]) -> tuple[Markup, Markup, list[int]]:
        """Field and lines of the project file, in a word or two where a value comes from, and the lines alone."""
        fields: dict[Markup, list[str]] = {}
        sources: dict[Markup, list[str]] = {}
        lines: list[int] = []
        for place in places:
            path, line, source = place.writer.origin(place.step, place.case)
            fields.setdefault(path, []).append(place.writer.part.section.key)
            sources.setdefault(source, []).append(place.writer.part.section.key)
            lines += [line] if line and line not in lines else []
        here = next((text for text in sources if f" {HERE} " in text), None)
        # Where the value of a line is that at its own case too, it is that at the case of the scope as well.
        if here is not None and set(sources) == {here, here.replace(f" {HERE} ", " of ")}:
            sources = {here: []}
        elif len(sources) > 1 and all(
            place.writer.origin(place.step, place.case)[2] == place.case.get("factor_set") for place in places
        ):
            sources = {Markup("factor set of the case"): []}
        where = Markup(", line{} {}").format("s" if len(lines) > 1 else "", ", ".join(map(str, lines)))
        return self._by_section(fields) + where if lines else self._by_section(fields), self._by_section(sources), lines

    def _by_section(self, words: Mapping[Markup, Sequence[str]]) -> Markup:
        """Each text with its sections, unless it is the only one."""
        if len(words) == 1:
            return next(iter(words))
        return Markup("; ").join(Markup("{}: {}").format(", ".join(keys), text) for text, keys in words.items())

    def _full(self, places: Sequence[_Place], others: Sequence[_Place], head: _Head, where: Markup = NOWHERE) -> Row:
        """A line with its equation and numbers; `where` says instead of the equation which line has it."""
        shown, columns = _of(places, head.worked), len(head.columns)
        step, row = shown.step, self._plain("full", places)
        row = replace(
            row,
            where=where,
            beneath=(*row.beneath, *self._solution(places, shown, row.number), *self._notes(places, shown, row.number)),
        )
        if step.source:
            reference = self.references.use(step.source, row.number)
            row = replace(row, reference=reference, cited=reference.number in self._cited)
            if not where:
                self._cited.add(reference.number)
        if step.formula is None:
            return place_row(row, columns, 0.0)
        numbers = {
            place.writer.part.section.key: place.writer.numbers(place.step, place.case)
            for place in places
            if place is shown or place in others
        }
        number = numbers.pop(shown.writer.part.section.key) if shown.column == head.worked else ""
        row = replace(row, numbers=number, others=tuple(numbers.items()))
        if where:
            return place_row(row, columns, 0.0)
        alt = printed_expression(step)
        if not self.draw:
            return replace(row, clause=step.formula.clause, alt=alt)
        drawn = formula_picture(step.formula, step.names, alt).at_scale(DRAWN)
        row = replace(row, clause=step.formula.clause, picture=drawn.source, style=drawn.style(WIDEST * MM), alt=alt)
        return place_row(row, columns, min(drawn.width / MM, WIDEST))

    def _solution(self, places: Sequence[_Place], shown: _Place, number: str) -> Iterator[Markup]:
        """How a value was solved for: in full at the first line of a chapter."""
        if shown.step.procedure is not None:
            words = solution_text(shown.step.procedure)
            first = self._noted.setdefault(words, number)
            yield words if first == number else Markup("solved ") + _as(first)
        yield from _endings(places)

    def _notes(self, places: Sequence[_Place], shown: _Place, number: str) -> Iterator[Markup]:
        """The notes of the section shown, then those of others that differ, with the names of their sections."""
        beneath = list(shown.writer.beneath(shown.step, shown.case))
        notes = dict.fromkeys(self._note_at_first_line(note, number) for note in beneath)
        yield from filter(None, notes)
        others: dict[Markup, list[str]] = {}
        for place in places:
            for note in place.writer.beneath(place.step, place.case):
                short = Markup("") if note in beneath else self._note_at_first_line(note, number)
                if short and short not in notes:
                    others.setdefault(short, []).append(place.writer.part.section.key)
        yield from (Markup("{}: {}").format(", ".join(keys), note) for note, keys in others.items())

    def _note_at_first_line(self, note: Markup, number: str) -> Markup:
        """A note; of a long one that an earlier line of the chapter has nothing, or that line for its origins."""
        text = note.striptags()
        first = self._noted.setdefault(note, number)
        if first == number or len(text) < LONG_NOTE:
            return note
        if not text.startswith("from "):
            return Markup("")
        return Markup('from the same lines as <a class="step" href="#n{}">{}</a>').format(first, first)


def _as(number: str) -> Markup:
    """That a line has the equation of another one."""
    return Markup('as <a class="step" href="#n{}">{}</a>').format(number, number)


def _endings(places: Sequence[_Place]) -> list[Markup]:
    """How well the procedure of a quantity ended, of one that has a procedure."""
    done = [place.step.procedure for place in places if place.step.procedure is not None]
    return [ending_text(done)] if done else []


def _of(places: Sequence[_Place], column: int) -> _Place:
    """The place in a column, or the first one where that has none."""
    return next((place for place in places if place.column == column), places[0])


def _alike(places: Sequence[_Place]) -> list[list[_Place]]:
    """The places of a quantity, those together which have one equation."""
    by_formula: dict[Hashable, list[_Place]] = {}
    for place in places:
        step = place.step
        formula = (step.formula.id, tuple(step.names.items())) if step.formula else (step.kind,)
        by_formula.setdefault((step.title, formula), []).append(place)
    return list(by_formula.values())


def _says(place: _Place) -> Hashable:
    """What a line prints besides values: alike in lines that differ in nothing but their scope."""
    step = place.step
    read = tuple(
        (name, entry.symbol, entry.value.chosen, "" if is_near(step, entry) else own_key(entry.value.step))
        for name, entry in step.inputs.items()
    )
    # A procedure says of itself how often it iterated, and how well it ended.
    key = step.key if step.procedure else ""
    return (step.kind, step.title, step.symbol, step.formula.id if step.formula else "", step.note, read, key)

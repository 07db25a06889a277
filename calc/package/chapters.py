"""A chapter as blocks of a page: headings with their case, given values, numbered lines."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from math import ceil
from re import split

from markupsafe import Markup

from calc.chain import SectionRun
from calc.engine.figure import symbol_text
from calc.engine.formula import EVIDENCE_MARKS, Evidence, Source
from calc.engine.sheet import (
    Origin,
    Sheet,
    Step,
    Value,
    case_words,
    printed_numbers,
    printed_result,
    read_elsewhere,
    value_text,
)
from calc.engine.sheet.printing import printed_expression
from calc.engine.symbols import symbol
from calc.engine.typeset import equation
from calc.package.alike import Earlier, Place, neutral
from calc.package.canvas import advance
from calc.package.checked import CheckMark
from calc.package.equations import Picture, equation_picture
from calc.package.givens import AlikeRows, GivenRow, TakenRows, source_beside, together
from calc.package.places import Places, breakable, field_path, scope_of
from calc.package.references import Reference, References
from calc.package.shown import write_numbers

MM, POINT = 96 / 25.4, 25.4 / 72  # CSS pixels of a millimetre, millimetres of a point
# What templates/package.css gives the columns of a line, less their padding, mm.
TITLE, SIDE = 54.4, 47.4  # a title and the equation beside it
ROW = 103.4  # both together, beside the result
INDENT, GAP = 4.0, 2.8  # before an equation, between it and its numbers
BODY, WHOLE = ROW - INDENT, ROW - INDENT + 32.0  # an equation below its title, one that takes the place of the result
TITLE_SIZE, NUMBERS_SIZE, NOTE_SIZE = 7.8 * POINT, 7.5 * POINT, 6.6 * POINT
TITLE_ROW, NUMBERS_ROW = 3.4, 3.3  # heights of a row of a title and of numbers
MOST_ROWS = 2  # of numbers which stand beside their result
DRAWN = 0.92  # size of an equation on a line over the size in which it is drawn
MANY = 8  # values that a line is read from and that are still named each with the case of its own line


@dataclass(frozen=True, slots=True)
class Line:
    """One derived value; `joined` numbers stand beside the equation, `wide` ones take the place of the result too.

    Where that takes less height the equation stands in a column `beside` the title, or `along` with it in one row.

    `like` links to where its equation and source are printed; `same` sources stand on the line before.
    """

    number: str
    anchor: str
    title: str
    symbol: Markup
    picture: str
    alt: str
    style: str
    numbers: str
    result: str
    also: str
    wide: bool
    joined: bool
    reference: Reference | None
    clause: str
    beneath: tuple[Markup, ...]
    like: Markup | None = None
    same: bool = False
    beside: bool = False
    along: bool = False
    check: CheckMark | None = None

    @property
    def fits_title(self) -> bool:
        """Whether the notes have room behind the title."""
        notes = sum(advance(note.striptags(), NOTE_SIZE) + GAP for note in self.beneath)
        return not self.picture and not self.numbers and advance(self.title, TITLE_SIZE) + notes <= ROW


@dataclass(frozen=True, slots=True)
class Block:
    """Consecutive steps of one scope: either given values or lines.

    `read` holds values of the chapter which the scope reads at its own case and which stand on no other line.
    """

    title: str
    case: str
    read: tuple[Markup, ...]
    given: tuple[GivenRow | AlikeRows | TakenRows, ...] = ()
    lines: tuple[Line, ...] = ()


@dataclass
class Writer:
    """Writes the steps of one section; sources are collected on the way."""

    part: SectionRun
    places: Places
    references: References
    earlier: Earlier
    marks: Mapping[str, CheckMark] = field(default_factory=dict)
    _told: set[str] = field(default_factory=set)
    _open: str | None = None

    def blocks(self, sheet: Sheet) -> Iterator[Block]:
        """The steps of a chapter in order, grouped by scope and kind; a scope states its case when it opens."""
        self._told, self._open = set(), None
        for scope, steps in groupby(sheet.page.lines, key=lambda step: step.scope):
            case = self.part.cases[sheet.key, scope]
            for given, run in groupby(steps, key=lambda step: step.kind == "given"):
                opening = self._opening(sheet, scope, case)
                if given:
                    yield Block(*opening, given=tuple(together([self._given_row(step, case) for step in run])))
                else:
                    yield Block(
                        *opening, lines=_fold_sources([self._refer(step, self._line(step, case)) for step in run])
                    )

    def _opening(self, sheet: Sheet, scope: str, case: Mapping[str, str]) -> tuple[str, str, tuple[Markup, ...]]:
        """Title, case and what is read at it where a scope opens; only title and case where it is taken up again."""
        if scope == self._open:
            return "", "", ()
        self._open = scope
        title = sheet.scopes[scope].title if scope else ""
        if scope in self._told:
            return f"{title or sheet.title}, continued", case_words(case), ()
        self._told.add(scope)
        read = read_elsewhere(sheet, scope, self.part.cases)
        return title, case_words(case), tuple(self.places.value_at(step, at) for step, at in read)

    def _given_row(self, step: Step, case: Mapping[str, str]) -> GivenRow:
        one = symbol(step.symbol)
        origin = step.origin(case)
        words = step.value.number(case) is None
        evidence = _evidence(origin)
        if origin and evidence != "inspected":
            source = Source(f"{origin.kind}: {origin.text or origin.path}", evidence)
            self.references.note(source, self.places.numbers[step.key])
        made = GivenRow(
            number=self.places.numbers[step.key],
            anchor=self.places.anchors[step.key],
            symbol=symbol_text(step.symbol),
            meaning=step.title,
            value=write_numbers(value_text(step.value, case, step.symbol)),
            unit="" if words else one.unit_text,
            origin=self._origin(step, origin, case) if origin else Markup(""),
            mark=EVIDENCE_MARKS[evidence],
            note=step.note,
            check=self.marks.get(step.key),
        )
        if origin and origin.kind == "step" and not step.note:
            (first, *_) = step.inputs.values()
            told = self.places.title(first.value.step) if len(step.inputs) == 1 else ""
            made = replace(made, taken=source_beside(made.symbol, made.meaning, told, made.origin))
        says = (made.symbol, made.meaning, made.value, made.unit, self._neutral(made.origin), made.mark, made.note)
        return replace(made, like=self.earlier.place((_own_key(step), says), made.place))

    def _origin(self, step: Step, origin: Origin, case: Mapping[str, str]) -> Markup:
        match origin.kind:
            case "step":
                return Markup("; ").join(self.places.origin_of(read.value, case) for read in step.inputs.values())
            case "file":
                line = Markup(', <span class="nowrap">line {}</span>').format(origin.line) if origin.line else ""
                return breakable(field_path(origin.path) or origin.text) + line
            case "default":
                return Markup("default of {}").format(breakable(field_path(origin.path) or origin.text))
        return Markup("{}").format(origin.text or origin.kind)

    def _line(self, step: Step, case: Mapping[str, str]) -> Line:
        numbers = write_numbers(printed_numbers(step, case)).replace(" * ", " · ")
        picture, alt, style, wide, joined = "", "", "", _is_wide(numbers), False
        beside, along = False, False
        beneath = tuple(self._beneath(step, case))
        if step.formula is not None:
            alt = printed_expression(step)
            drawn = equation_picture(equation(step.formula.symbol, step.formula.tree, step.names), alt).at_scale(DRAWN)
            wide = wide or drawn.width > BODY * MM
            room = drawn.width / MM + GAP + _numbers_width(numbers)
            along = not wide and advance(step.title, TITLE_SIZE) + INDENT + room <= ROW
            beside = not wide and not along and not beneath and _beside_is_lower(step.title, drawn, numbers)
            joined = along or room <= (SIDE if beside else BODY)
            picture, style = drawn.source, drawn.style((WHOLE if wide else BODY) * MM)
        number = self.places.numbers[step.key]
        result, _, also = write_numbers(printed_result(step, case)).partition(" = ")
        return Line(
            number=number,
            anchor=self.places.anchors[step.key],
            title=step.title,
            symbol=symbol_text(step.symbol),
            picture=picture,
            alt=alt,
            style=style,
            numbers=numbers,
            result=result,
            also=also,
            wide=wide,
            joined=joined,
            beside=beside,
            along=along,
            reference=self.references.use(step.source, number) if step.source else None,
            clause=step.formula.clause if step.formula else "",
            beneath=beneath,
            check=self.marks.get(step.key),
        )

    def _refer(self, step: Step, line: Line) -> Line:
        """The line without what an earlier one prints alike; its own numbers stay.

        An equation is referred to where it is drawn, in whichever scope or section; the notes of a line only where the
        same line of an earlier section has them.
        """
        here = Place(line.number, line.anchor)
        key, citation = _own_key(step), line.reference.citation if line.reference else ""
        known = self.earlier.place((key, line.title, line.alt, citation, line.clause), here)
        drawn = self.earlier.place((line.picture, citation, line.clause), here) if line.picture else None
        notes = tuple(
            note for note in line.beneath if self.earlier.place((key, self._neutral(note)), here) is None
        )  # fmt: skip
        if known is None:
            notes = line.beneath
        place = known if drawn is None or len(notes) < len(line.beneath) else drawn
        if place is None:
            return line
        return replace(
            line,
            picture="",
            alt="",
            style="",
            wide=_is_wide(line.numbers),
            joined=False,
            beside=False,
            along=False,
            beneath=notes,
            like=place.link(),
        )

    def _neutral(self, text: str) -> str:
        return neutral(text, self.part.section.key)

    def _beneath(self, step: Step, case: Mapping[str, str]) -> Iterator[Markup]:
        if step.procedure is not None:
            yield from _procedure(step)
        if step.kind in {"reading", "procedure"} and step.inputs:
            many = len(step.inputs) > MANY
            read = [
                self.places.origin_of(one.value, case, one.symbol)
                if not many or one.value.chosen or one.value.earlier
                else self.places.line_of(one.value, one.symbol)
                for one in step.inputs.values()
            ]
            yield Markup("from {}{}").format("at the case of this line " if many else "", Markup("; ").join(read))
        else:
            for given in step.inputs.values():
                if given.value.chosen or not _is_near(step, given.value):
                    yield self.places.replacement(given.symbol, given.value, case)
        if step.note:
            yield Markup("{}").format(step.note)


def _beside_is_lower(title: str, drawn: Picture, numbers: str) -> bool:
    """Whether a line takes less height with its equation beside the title than below it."""
    width, high, words = _numbers_width(numbers), drawn.height / MM, advance(title, TITLE_SIZE)
    below, beside = (0 if drawn.width / MM + GAP + width <= room else ceil(width / room) for room in (BODY, SIDE))
    stacked = ceil(words / ROW) * TITLE_ROW + high + below * NUMBERS_ROW
    apart = max(ceil(words / TITLE) * TITLE_ROW, high + beside * NUMBERS_ROW)
    return drawn.width <= SIDE * MM and apart < stacked


def _numbers_width(numbers: str) -> float:
    return advance(f"= {numbers}", NUMBERS_SIZE)


def _is_wide(numbers: str) -> bool:
    """Whether numbers take the place of the result too, because they would need more than two rows beside it."""
    return _numbers_width(numbers) > MOST_ROWS * BODY


def _fold_sources(lines: Sequence[Line]) -> tuple[Line, ...]:
    """The lines, with those marked which have the source of the line before."""
    before = [None, *lines[:-1]]
    return tuple(
        replace(line, same=bool(last and not last.like and _source(last) == _source(line)))
        for last, line in zip(before, lines, strict=True)
    )


def _source(line: Line) -> tuple[str, str]:
    return (line.reference.anchor if line.reference else "", line.clause)


def _own_key(step: Step) -> str:
    """The key of a step without its section: the same in every section."""
    return step.key.partition("/")[2]


def _is_near(step: Step, value: Value) -> bool:
    """Whether a step reads a value in its own scope or in the chapter around it, where the same symbol stands."""
    own = scope_of(step.key)
    return not value.step or scope_of(value.step) in {own, f"{scope_of(own)}/-"}


def _evidence(origin: Origin | None) -> Evidence:
    """How a given value was known; a rule of the project is marked like what is derived here."""
    if origin is None:
        return "inspected"
    return "derived" if origin.kind == "project rule" else origin.evidence


def _with_symbols(text: str) -> Markup:
    """A text in which {name} stands for a symbol."""
    parts = split(r"\{(\w+)\}", text)
    return Markup("").join(symbol_text(part) if k % 2 else part for k, part in enumerate(parts))


def _procedure(step: Step) -> Iterator[Markup]:
    done = step.procedure
    if done is None:
        return
    yield Markup("solved: ") + _with_symbols(done.equation)
    yield Markup("{}; tolerance {}; {} iterations over {} cases").format(
        done.method, write_numbers(done.tolerance), done.iterations, done.lanes
    )
    if done.residual is not None:
        unit = symbol(done.residual_symbol).coherent_unit_text
        amount = f"{write_numbers(f'{done.residual:.1e}')} {unit}".strip()
        yield Markup("largest residual {} = {}, recomputed through its formula").format(
            symbol_text(done.residual_symbol), amount
        )

"""Every step of a run in full, as the review page shows it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.engine.figure import symbol_text
from calc.engine.sheet import Sheet, Step, printed_numbers, printed_result
from calc.engine.sheet.printing import printed_expression
from calc.engine.symbols import symbol
from calc.engine.typeset import equation
from calc.package.alike import Earlier, Place
from calc.package.chapters import Block, Line, Writer
from calc.package.givens import AlikeRows, GivenRow, TakenRows
from calc.package.limits import LimitView, collect_limits
from calc.package.places import Places
from calc.package.references import References
from calc.package.verdicts import VerdictView, verdict_view


@dataclass(frozen=True, slots=True)
class StepView:
    """One step; `value` is its unrounded result in `unit`, the unit of the result as printed."""

    key: str
    number: str
    anchor: str
    given: bool
    title: str
    symbol: Markup
    equation: Markup
    numbers: str
    result: str
    also: str
    unit: str
    value: float | None
    source: Markup
    mark: str
    beneath: tuple[Markup, ...]
    failing: bool


@dataclass(frozen=True, slots=True)
class PartView:
    """Steps under one heading of a chapter."""

    title: str
    case: str
    read: tuple[Markup, ...]
    steps: tuple[StepView, ...]


@dataclass(frozen=True, slots=True)
class ChapterPage:
    """One chapter."""

    number: str
    title: str
    section: str
    anchor: str
    parts: tuple[PartView, ...]
    verdicts: tuple[VerdictView, ...]
    limits: tuple[LimitView, ...]

    @property
    def steps(self) -> Iterator[StepView]:
        """The steps in order."""
        return (step for part in self.parts for step in part.steps)


class Nothing(Earlier):
    """Nothing is printed elsewhere: a checker reads every step where it stands."""

    def place(self, what: object, here: Place) -> Place | None:  # noqa: ARG002 - the same call as in the package
        """Nowhere."""
        return None


class InFull(Writer):
    """Writes each step without reference to an earlier one, and without drawing its equation."""

    def _line(self, step: Step, case: Mapping[str, str]) -> Line:
        result, _, also = printed_result(step, case).partition(" = ")
        number = self.places.numbers[step.key]
        return Line(
            number=number,
            anchor=self.places.anchors[step.key],
            title=step.title,
            symbol=symbol_text(step.symbol),
            picture="",
            alt=printed_expression(step),
            style="",
            numbers=printed_numbers(step, case),
            result=result,
            also=also,
            wide=False,
            joined=False,
            beside=False,
            along=False,
            reference=self.references.use(step.source, number) if step.source else None,
            clause=step.formula.clause if step.formula else "",
            beneath=tuple(self._beneath(step, case)),
        )

    def _refer(self, step: Step, line: Line) -> Line:  # noqa: ARG002 - the same call as in the package
        return line


def chapters(run: Run) -> Iterator[ChapterPage]:
    """Every chapter of every section that has steps or verdicts."""
    limits = collect_limits(run)
    for index, part in enumerate(run.sections, start=1):
        anchors = {
            step.key: f"s{index}c{chapter}n{line}"
            for chapter, sheet in enumerate(part.sheets, start=1)
            for line, step in enumerate(sheet.page.lines, start=1)
        }
        printed = {
            step.key: (step, part.cases[sheet.key, step.scope]) for sheet in part.sheets for step in sheet.page.lines
        }
        writer = InFull(part, Places(part.numbers, anchors, printed), References(), Nothing())
        for chapter, sheet in enumerate(part.sheets, start=1):
            yield _chapter(writer, sheet, chapter, f"s{index}c{chapter}", limits)  # type: ignore[arg-type]


def _chapter(
    writer: InFull, sheet: Sheet, chapter: int, anchor: str, limits: Mapping[object, LimitView]
) -> ChapterPage:
    part = writer.part
    return ChapterPage(
        number=f"{part.section.key}.{chapter}",
        title=sheet.title,
        section=part.section.title,
        anchor=anchor,
        parts=tuple(_parts(writer, sheet)),
        verdicts=tuple(
            verdict_view(part, chapter, f"{anchor}v{place}", verdict, writer.places)
            for place, verdict in enumerate(sheet.verdicts, start=1)
        ),
        limits=tuple(limits[limit] for limit in sheet.limitations),
    )


def _parts(writer: InFull, sheet: Sheet) -> Iterator[PartView]:
    """The blocks of a chapter; their rows stand in the order of its steps."""
    steps = iter(sheet.page.lines)
    failing = _failing(writer.part)
    for block in writer.blocks(sheet):
        shown = []
        for row in _rows(block):
            step = next(steps)
            case = writer.part.cases[sheet.key, step.scope]
            make = _given_line if isinstance(row, GivenRow) else _line
            shown.append(make(row, step, case, step.key in failing))  # type: ignore[arg-type]  # told apart above
        yield PartView(block.title, block.case, block.read, tuple(shown))


def _rows(block: Block) -> Iterator[GivenRow | Line]:
    for row in block.given:
        if isinstance(row, AlikeRows | TakenRows):
            yield from row.rows
        else:
            yield row
    yield from block.lines


def _failing(part: SectionRun) -> set[str]:
    """Steps whose results a failing verdict compares."""
    failed = [one for sheet in part.sheets for one in sheet.verdicts if one.state == "fail"]
    return {key for verdict in failed for key in (verdict.step, verdict.resistance_step) if key}


def _given_line(row: GivenRow, step: Step, case: Mapping[str, str], failing: bool) -> StepView:
    one, number = symbol(step.symbol), step.value.number(case)
    return StepView(
        key=step.key,
        number=row.number,
        anchor=row.anchor,
        given=True,
        title=row.meaning,
        symbol=row.symbol,
        equation=Markup(""),
        numbers="",
        result=f"{row.value} {row.unit}".strip(),
        also="",
        unit=row.unit,
        value=None if number is None else number * one.factor,
        source=row.origin,
        mark=row.mark,
        beneath=(Markup("{}").format(row.note),) if row.note else (),
        failing=failing,
    )


def _line(line: Line, step: Step, case: Mapping[str, str], failing: bool) -> StepView:
    value, unit = printed_value(step, case)
    return StepView(
        key=step.key,
        number=line.number,
        anchor=line.anchor,
        given=False,
        title=line.title,
        symbol=line.symbol,
        equation=_equation(step),
        numbers=line.numbers,
        result=line.result,
        also=line.also,
        unit=unit,
        value=value,
        source=_source(line),
        mark=line.reference.mark if line.reference else "",
        beneath=line.beneath,
        failing=failing,
    )


def _equation(step: Step) -> Markup:
    """The equation as a browser draws it, from the tree that the package prints."""
    if step.formula is None:
        return Markup("")
    written = equation(step.formula.symbol, step.formula.tree, step.names)
    return Markup(written)  # noqa: S704 - written by the typesetter, which escapes


def _source(line: Line) -> Markup:
    citation = line.reference.citation if line.reference else ""
    return Markup("{}").format(", ".join(text for text in (citation, line.clause) if text))


def printed_value(step: Step, case: Mapping[str, str]) -> tuple[float | None, str]:
    """The unrounded result in the unit in which a line prints it first."""
    one, number = symbol(step.symbol), step.value.number(case)
    if number is None:
        return None, ""
    if one.shown in {one.unit, "deg"}:
        return number * one.factor, one.unit_text
    return number, one.coherent_unit_text

"""Every step of a run in full, as the review page shows it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.engine.figure import symbol_text
from calc.engine.formula import EVIDENCE_MARKS
from calc.engine.sheet import Limitation, Sheet, Step, case_words, printed_numbers, printed_result, value_text
from calc.engine.symbols import symbol
from calc.engine.typeset import equation, write_numbers
from calc.package.limits import LimitView, collect_limits
from calc.package.verdicts import VerdictGroup, grouped, verdict_view
from calc.package.writer import Writer, evidence_of, writers


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
    verdicts: tuple[VerdictGroup, ...]
    limits: tuple[LimitView, ...]

    @property
    def steps(self) -> Iterator[StepView]:
        """The steps in order."""
        return (step for part in self.parts for step in part.steps)


def chapters(run: Run) -> Iterator[ChapterPage]:
    """Every chapter of every section that has steps or verdicts."""
    limits = collect_limits(run)
    for index, writer in enumerate(writers(run), start=1):
        names = {step: f"s{index}c{number.replace('.', 'n')}" for step, number in writer.places.numbers.items()}
        own = replace(writer, places=replace(writer.places, anchors=names))
        for chapter, sheet in enumerate(own.part.sheets, start=1):
            yield _chapter(own, sheet, chapter, f"s{index}c{chapter}", limits)


def _chapter(
    writer: Writer, sheet: Sheet, chapter: int, anchor: str, limits: Mapping[Limitation, LimitView]
) -> ChapterPage:
    part = writer.part
    return ChapterPage(
        number=f"{part.section.key}.{chapter}",
        title=sheet.title,
        section=part.section.title,
        anchor=anchor,
        parts=tuple(_parts(writer, sheet)),
        verdicts=grouped(
            verdict_view(part, chapter, f"{anchor}v{place}", verdict, writer.places)
            for place, verdict in enumerate(sheet.verdicts, start=1)
        ),
        limits=tuple(limits[limit] for limit in sheet.limitations),
    )


def _parts(writer: Writer, sheet: Sheet) -> Iterator[PartView]:
    """The steps of a chapter in order, grouped by scope; what a scope reads at its case stands where it first opens."""
    failing, told = _failing(writer.part), set[str]()
    for scope, steps in groupby(sheet.page.lines, key=lambda step: step.scope):
        case, title = writer.case(sheet, scope), sheet.scopes[scope].title if scope else ""
        read: tuple[Markup, ...] = ()
        if scope in told:
            title = f"{title or sheet.title}, continued"
        else:
            read = tuple(writer.places.value_at(step, at) for step, at in writer.read(sheet, scope))
        told.add(scope)
        rows = tuple(
            (_given_line if step.kind == "given" else _line)(writer, step, case, step.key in failing) for step in steps
        )
        yield PartView(title, case_words(case), read, rows)


def _failing(part: SectionRun) -> set[str]:
    """Steps whose results a failing verdict compares."""
    failed = [one for sheet in part.sheets for one in sheet.verdicts if one.state == "fail"]
    return {key for verdict in failed for key in (verdict.step, verdict.resistance_step) if key}


def _given_line(writer: Writer, step: Step, case: Mapping[str, str], failing: bool) -> StepView:
    one, number = symbol(step.symbol), step.value.number(case)
    path, line, source = writer.origin(step, case)
    where = Markup("{}, line {}").format(path, line) if line else path or source
    return StepView(
        key=step.key,
        number=f"{writer.part.section.key} {writer.places.numbers[step.key]}",
        anchor=writer.places.anchors[step.key],
        given=True,
        title=step.title,
        symbol=symbol_text(step.symbol),
        equation=Markup(""),
        numbers="",
        result=write_numbers(value_text(step.value, case, step.symbol, unit=True)),
        also="",
        unit="" if number is None else one.unit_text,
        value=None if number is None else number * one.factor,
        source=where,
        mark=EVIDENCE_MARKS[evidence_of(step.origin(case))],
        beneath=(Markup("{}").format(step.note),) if step.note else (),
        failing=failing,
    )


def _line(writer: Writer, step: Step, case: Mapping[str, str], failing: bool) -> StepView:
    value, unit = printed_value(step, case)
    result, _, also = printed_result(step, case).partition(" = ")
    clause = step.formula.clause if step.formula else ""
    citation = step.source.citation if step.source else ""
    return StepView(
        key=step.key,
        number=f"{writer.part.section.key} {writer.places.numbers[step.key]}",
        anchor=writer.places.anchors[step.key],
        given=False,
        title=step.title,
        symbol=symbol_text(step.symbol),
        equation=_equation(step),
        numbers=printed_numbers(step, case),
        result=result,
        also=also,
        unit=unit,
        value=value,
        source=Markup("{}").format(", ".join(text for text in (citation, clause) if text)),
        mark=EVIDENCE_MARKS[step.source.evidence] if step.source else "",
        beneath=tuple(writer.beneath(step, case)),
        failing=failing,
    )


def _equation(step: Step) -> Markup:
    """The equation as a browser draws it, from the tree that the package prints."""
    if step.formula is None:
        return Markup("")
    written = equation(step.formula.symbol, step.formula.tree, step.names)
    return Markup(written)  # noqa: S704 - written by the typesetter, which escapes


def printed_value(step: Step, case: Mapping[str, str]) -> tuple[float | None, str]:
    """The unrounded result in the unit in which a line prints it first."""
    one, number = symbol(step.symbol), step.value.number(case)
    if number is None:
        return None, ""
    if one.shown in {one.unit, "deg"}:
        return number * one.factor, one.unit_text
    return number, one.coherent_unit_text

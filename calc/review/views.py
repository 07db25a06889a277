"""The lines of a run as the review page shows them: those of the package, all sections of a quantity on one line."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.engine.formula import EVIDENCE_MARKS
from calc.engine.sheet import Sheet, Step, printed_numbers, printed_result, value_text
from calc.engine.symbols import symbol
from calc.engine.typeset import equation, write_numbers
from calc.package.limitations import LimitView, collect_limits
from calc.package.lines import Chapter
from calc.package.references import References
from calc.package.rows import Block, Row
from calc.package.verdicts import VerdictView, verdict_groups, verdict_view
from calc.package.writer import Writer, writers
from calc.review.recomputed import recomputes


@dataclass(frozen=True, slots=True)
class StepView:
    """One quantity in one section; `value` is its unrounded result in `unit`, the unit of the result as printed.

    `recomputed` says whether the printed result follows from the printed numbers; None where there is no equation.
    `alike` is the same for steps with the same equation and the same printed numbers, or the same field of the file;
    `taken` is the key of the step whose printed value this one hands on as it is.
    """

    key: str
    section: str
    number: str
    numbers: str
    result: str
    also: str
    unit: str
    value: float | None
    recomputed: bool | None
    alike: tuple[str, ...]
    taken: str
    failing: bool


@dataclass(frozen=True, slots=True)
class LineView:
    """One quantity in all sections: the row of the package, its equation, and its steps by section.

    `like` is the number of the line that prints the equation where this one does not.
    """

    row: Row
    anchor: str
    equation: Markup
    like: str
    source: Markup
    mark: str
    steps: tuple[StepView | None, ...]

    @property
    def failing(self) -> bool:
        """Whether a failing verdict compares it in some section."""
        return any(step.failing for step in self.steps if step)

    @property
    def recomputed(self) -> str:
        """What the evaluation of the printed equation came to, in words; by section where sections differ."""
        names = {True: "recomputed", False: "does not recompute"}
        steps = [step for step in self.steps if step and step.recomputed is not None]
        words = {word: [step.section for step in steps if step.recomputed is is_so] for is_so, word in names.items()}
        return "; ".join(
            word if len(keys) == len(steps) else f"{word}: {', '.join(keys)}" for word, keys in words.items() if keys
        )


@dataclass(frozen=True, slots=True)
class PartView:
    """Consecutive lines of one scope: its cases, values that it reads at its own case, the section written out."""

    title: str
    cases: tuple[tuple[str, str], ...]
    read: tuple[Row, ...]
    worked: str
    lines: tuple[LineView, ...]


@dataclass(frozen=True, slots=True)
class VerdictLine:
    """A verdict of one section with its key in the run, or one answer of all sections; `sections` names them."""

    key: str
    sections: str
    view: VerdictView


@dataclass(frozen=True, slots=True)
class ChapterPage:
    """One chapter with all sections side by side."""

    key: str
    number: str
    title: str
    anchor: str
    parts: tuple[PartView, ...]
    verdicts: tuple[VerdictLine, ...]
    limits: tuple[LimitView, ...]

    @property
    def lines(self) -> Iterator[LineView]:
        """The lines in order."""
        return (line for part in self.parts for line in part.lines)

    @property
    def steps(self) -> Iterator[StepView]:
        """The steps of the lines in order, those of a line in the order of the sections."""
        return (step for line in self.lines for step in line.steps if step)


def chapters(run: Run) -> Iterator[ChapterPage]:
    """Every chapter with its lines, as many sections beside each other as there are."""
    limits, made, references = collect_limits(run), writers(run), References()
    for place, sheets in enumerate(zip(*(part.sheets for part in run.sections), strict=True), start=1):
        chapter = Chapter(made, sheets, run.numbers, references, {}, draw=False)
        lines = _Lines(made, sheets)
        yield ChapterPage(
            key=sheets[0].key,
            number=f"{place}",
            title=sheets[0].title,
            anchor=f"c{place}",
            parts=tuple(lines.part(block) for block in chapter.blocks()),
            verdicts=tuple(_verdicts(made, sheets, place)),
            limits=tuple(dict.fromkeys(limits[limit] for sheet in sheets for limit in sheet.limitations)),
        )


def _verdicts(made: Sequence[Writer], sheets: Sequence[Sheet], chapter: int) -> Iterator[VerdictLine]:
    """The verdicts of a chapter, question by question; what all sections answer alike in words stands once."""
    keys: dict[str, str] = {}

    def views() -> Iterator[VerdictView]:
        for index, (writer, sheet) in enumerate(zip(made, sheets, strict=True), start=1):
            for place, verdict in enumerate(sheet.verdicts, start=1):
                anchor = f"s{index}c{chapter}v{place}"
                keys[anchor] = f"{writer.part.section.key}/{sheet.key}/{verdict.key}"
                yield verdict_view(writer.part, chapter, anchor, verdict, writer.places)

    for group in verdict_groups(views(), sides=False):
        alike = group.alike and not any(view.step for view in group.views)
        for view in group.views[:1] if alike else group.views:
            yield VerdictLine(
                keys[view.anchor], ", ".join(item.section for item in group.views) if alike else view.section, view
            )


class _Lines:
    """Writes the lines of one chapter."""

    def __init__(self, made: Sequence[Writer], sheets: Sequence[Sheet]) -> None:
        self.writers = made
        self.steps = {step.key: (writer, sheet, step)
                      for writer, sheet in zip(made, sheets, strict=True) for step in sheet.page.lines}  # fmt: skip
        self.failing = [_failing(writer.part) for writer in made]
        self.anchors: set[str] = set()

    def part(self, block: Block) -> PartView:
        worked = self.writers[block.worked].part.section.key
        rows = [row for _, rows in block.runs for row in rows]
        return PartView(block.title, block.cases, block.read, worked, tuple(self._line(row) for row in rows))

    def _line(self, row: Row) -> LineView:
        _, _, first = self.steps[next(key for key in row.keys if key)]
        like = re.search(r"^as <[^>]*>(\d+\.\d+)<", row.where)
        cited = first.source if row.kind == "full" else None
        source = row.where
        if cited and not like:
            clause = first.formula.clause if first.formula else ""
            source = Markup("{}").format(", ".join(text for text in (cited.citation, clause) if text))
        return LineView(
            row=row,
            anchor=self._anchor(row),
            equation=_equation(first) if row.kind == "full" and not like else Markup(""),
            like=like[1] if like else "",
            source=source,
            mark=EVIDENCE_MARKS[cited.evidence] if cited and not like else row.mark,
            steps=tuple(self._step(place, key) if key else None for place, key in enumerate(row.keys)),
        )

    def _anchor(self, row: Row) -> str:
        """A name of its own for each row: a quantity with two equations has two with one number."""
        name = f"n{row.number}"
        while name in self.anchors:
            name += "b"
        self.anchors.add(name)
        return name

    def _step(self, place: int, key: str) -> StepView:
        writer, sheet, step = self.steps[key]
        case = writer.case(sheet, step.scope)
        value, unit = printed_value(step, case)
        result, _, also = printed_result(step, case).partition(" = ")
        if step.kind == "given":
            result, also = write_numbers(value_text(step.value, case, step.symbol, unit=True)), ""
            quantity, number = symbol(step.symbol), step.value.number(case)
            value, unit = (None, "") if number is None else (number * quantity.factor, quantity.unit_text)
        numbers = printed_numbers(step, case)
        is_checked = step.formula is not None and value is not None
        return StepView(
            key=key,
            section=writer.part.section.key,
            number=f"{writer.part.section.key} {writer.places.numbers[key]}",
            numbers=numbers,
            result=result,
            also=also,
            unit=unit,
            value=value,
            recomputed=_gives_printed_result(step, numbers, result, also) if is_checked else None,
            alike=_alike(writer, step, case, numbers, result) if value is not None else (),
            taken=_line_taken_from(writer, step, case),
            failing=key in self.failing[place],
        )


def _gives_printed_result(step: Step, numbers: str, result: str, also: str) -> bool:
    """Whether the printed numbers give the printed result: in the coherent unit and, where it is another, as shown."""
    factor = symbol(step.symbol).factor
    return recomputes(numbers, (result, 1.0), (also, factor)) if also else recomputes(numbers, (result, factor))


def _alike(writer: Writer, step: Step, case: Mapping[str, str], numbers: str, result: str) -> tuple[str, ...]:
    """What two steps have in common that say the same with the same numbers; nothing for those that cannot tell."""
    said = (step.title, step.symbol, result)
    if step.formula is not None:
        return (*said, step.formula.id, repr(tuple(step.names.items())), numbers)
    origin = step.origin(case) if step.kind == "given" else None
    if origin is None or origin.kind != "file":
        return ()
    path, line, _ = writer.origin(step, case)
    return (*said, path, f"{line}")


def _line_taken_from(writer: Writer, step: Step, case: Mapping[str, str]) -> str:
    """The line that a value is taken from, where it prints there with the same digits in the same unit."""
    origin = step.origin(case) if step.kind == "given" else None
    keys = {argument.value.step for argument in step.inputs.values()}
    if origin is None or origin.kind != "step" or len(keys) != 1 or not keys <= writer.places.printed.keys():
        return ""
    first, at = writer.places.printed[(key := keys.pop())]
    text = value_text(step.value, case, step.symbol, unit=True)
    return key if value_text(first.value, at, first.symbol, unit=True) == text else ""


def _failing(part: SectionRun) -> set[str]:
    """Steps whose results a failing verdict compares."""
    failed = [verdict for sheet in part.sheets for verdict in sheet.verdicts if verdict.state == "fail"]
    return {key for verdict in failed for key in (verdict.step, verdict.resistance_step) if key}


def _equation(step: Step) -> Markup:
    """The equation as a browser draws it, from the tree that the package prints."""
    if step.formula is None:
        return Markup("")
    written = equation(step.formula.symbol, step.formula.tree, step.names)
    return Markup(written)  # noqa: S704 - written by the typesetter, which escapes


def printed_value(step: Step, case: Mapping[str, str]) -> tuple[float | None, str]:
    """The unrounded result in the unit in which a line prints it first."""
    quantity, number = symbol(step.symbol), step.value.number(case)
    if number is None:
        return None, ""
    if quantity.shown in {quantity.unit, "deg"}:
        return number * quantity.factor, quantity.unit_text
    return number, quantity.coherent_unit_text

"""What the columns of a package say, and whether each of their values follows from the others by its equation."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from calc.chain import Run, SectionRun
from calc.engine.sheet import Sheet, Step
from calc.engine.sheet.printing import _evaluate  # the sides of a condition are compared with unrounded numbers
from calc.engine.symbols import symbol
from calc.engine.typeset import Node, Numbers, with_numbers, write_numbers
from calc.numbering import own_key
from calc.package.lines import Chapter
from calc.package.references import References
from calc.package.writer import writers
from tests.engine.recompute import recomputes
from tests.packages.reading import PrintedRow, printed_rows, typed

CONVERSIONS = {
    "mm": " / 1000",
    "mm/d": " / 1000",
    "mm/s": " / 1000 * 86400",
    "%": " / 100",
    "years": " * 365.25",
    "m²/a": " / 365.25",
    "m/s": " * 86400",
    "1/s": " * 86400",
    "1/(cm·s)": " * 8640000",
    "mPa·s": " / 86400000000",
}
COMPARE = {"<": float.__lt__, "≤": float.__le__, ">": float.__gt__, "≥": float.__ge__}


@dataclass(frozen=True)
class Wrong:
    """A value of a column that does not follow from the printed ones."""

    section: str
    number: str
    numbers: str
    shown: str


def rows_of(run: Run, pdf: Path | bytes) -> list[PrintedRow]:
    """The rows of the package of a run."""
    return printed_rows(pdf, [part.section.key for part in run.sections])


def lines_of(run: Run) -> Iterator[tuple[SectionRun, Sheet, Step, str]]:
    """Every line of every section with its number."""
    for part in run.sections:
        for sheet in part.sheets:
            for step in sheet.page.lines:
                yield part, sheet, step, run.numbers[own_key(step.key)]


def own_values(run: Run, rows: list[PrintedRow]) -> dict[tuple[str, str], str]:
    """The value of each line by section and number."""
    found: dict[tuple[str, str], str] = {}
    for row in (row for row in rows if not row.again):
        for section, text in row.values.items():
            # A quantity with two equations has a row for each; a section has a value on its own one.
            if found.get((section, row.number), "–") == "–":
                found[section, row.number] = text
    return found


def read_values(run: Run, rows: list[PrintedRow]) -> dict[tuple[str, str], dict[tuple[str, str], str]]:
    """By chapter and scope the values which stand at the head of the scope, at its own case."""
    scopes = {number: (sheet.key, step.scope) for _, sheet, step, number in lines_of(run)}
    found: dict[tuple[str, str], dict[tuple[str, str], str]] = {}
    pending: dict[tuple[str, str], str] = {}
    for row in rows:
        if row.again:
            pending |= {(section, row.number): text for section, text in row.values.items() if text != "–"}
            continue
        if pending:
            found.setdefault(scopes[row.number], {}).update(pending)
            pending = {}
    return found


def wrong_columns(run: Run, rows: list[PrintedRow]) -> list[Wrong]:
    """The values which do not recompute, of all sections."""
    own, read = own_values(run, rows), read_values(run, rows)
    worked = worked_sections(run)
    numbers = {
        (section or _worked_in(row, worked[row.number]), row.number): text
        for row in rows
        for section, text in row.numbers.items()
    }
    wrong = []
    for part, sheet, step, number in lines_of(run):
        case = part.cases[sheet.key, step.scope]
        if step.formula is None or step.value.number(case) is None:
            continue
        key = part.section.key
        shown = own[key, number]
        one = symbol(step.symbol)
        result = f"{shown}{'' if one.unit_text == '°' else ' '}{one.unit_text}".strip()
        if (key, number) in numbers:
            text = numbers[key, number]
        else:
            text = _from_column(run, part, sheet, step, own, read.get((sheet.key, step.scope), {}))
        text, _, coherent = text.partition(" = ")
        if not recomputes(text, f"{coherent} = {result}" if coherent else result, {"365.25"}):
            wrong.append(Wrong(key, number, text, result))
    return wrong


def worked_sections(run: Run) -> dict[str, str]:
    """The section whose numbers are written out, by the number of the line."""
    found = {}
    for sheets in zip(*(part.sheets for part in run.sections), strict=True):
        chapter = Chapter(writers(run), sheets, run.numbers, References(), {})
        for sheet in sheets:
            for step in sheet.page.lines:
                column = chapter.worked_column(step.scope)
                assert not step.scope or step.scope in sheets[column].scopes
                found[run.numbers[own_key(step.key)]] = run.sections[column].section.key
    return found


def _worked_in(row: PrintedRow, worked: str) -> str:
    """The worked section, or the first that a row has where that one has another equation."""
    return worked if worked in row.values else next(iter(row.values))


def _from_column(
    run: Run,
    part: SectionRun,
    sheet: Sheet,
    step: Step,
    own: Mapping[tuple[str, str], str],
    read: Mapping[tuple[str, str], str],
) -> str:
    """The numbers of an equation as a reader finds them in the column of a section."""
    assert step.formula is not None
    key, case = part.section.key, part.cases[sheet.key, step.scope]

    def text(name: str, layer: int | None) -> str:
        assert layer is None, "a sum over layers has its numbers written out"
        given = step.inputs[name]
        number = run.numbers[own_key(given.value.step)]
        shown = read.get((key, number)) or own[key, number]
        return _coherent(shown, given.symbol, given.value.symbol)

    def holds(condition: Node, layer: int | None) -> bool:
        left, right = (_evaluate(child, step.inputs, case) for child in condition.children)
        return COMPARE[condition.text](float(left), float(right))

    return typed(write_numbers(with_numbers(step.formula.tree, Numbers(text, holds))))


def _coherent(shown: str, name: str, of: str) -> str:
    """A printed value with what takes it into the coherent unit, as it is put into an equation, in brackets."""
    one = symbol(of)
    if one.shown == "deg":
        text = f"{shown}°"
    else:
        text = f"{shown}{CONVERSIONS[one.unit_text]}" if one.shown != one.unit else shown
    return f"({text})" if text.startswith("-") or " " in text else text

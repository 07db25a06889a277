"""The symbols of lines and tables with unit and meaning, for the end of a package."""

from collections.abc import Iterable
from dataclasses import dataclass
from unicodedata import normalize

from markupsafe import Markup

from calc.chain import Run
from calc.engine.figure import symbol_text
from calc.engine.symbols import symbol
from calc.numbering import own_key


@dataclass(frozen=True, slots=True)
class SymbolView:
    """A symbol; `meaning` where several chapters use it, else the `line` of its only chapter which says it."""

    text: Markup
    unit: str
    meaning: str
    line: str


def symbol_list(run: Run) -> tuple[SymbolView, ...]:
    """Every symbol on the lines and over the columns of tables of a run, Latin letters before Greek ones.

    A symbol of a single chapter is told by the title of its line there, and by no second text that could differ.
    """
    chapters: dict[str, set[int]] = {}
    lines: dict[str, tuple[int, int]] = {}
    for part in run.sections:
        for chapter, sheet in enumerate(part.sheets, start=1):
            for step in sheet.page.lines:
                for name in {step.symbol, *(argument.symbol for argument in step.inputs.values())}:
                    chapters.setdefault(name, set()).add(chapter)
                first, line = map(int, run.numbers[own_key(step.key)].split("."))
                lines[step.symbol] = min(lines.get(step.symbol, (first, line)), (first, line))
            for column in [column for table in sheet.page.tables for column in table.head if column.symbol]:
                chapters.setdefault(column.symbol, set()).add(chapter)
    return tuple(_view(name, chapters[name], lines.get(name)) for name in _in_order(chapters))


def _in_order(names: Iterable[str]) -> list[str]:
    """Names by the letters of their symbols: a before A before α."""
    return sorted(
        names, key=lambda name: [(ord(letter) > 0x2FF, letter.casefold(), letter) for letter in _letters(name)]
    )


def _letters(name: str) -> str:
    return normalize("NFKD", "".join(symbol(name).parts))


def _view(name: str, chapters: set[int], line: tuple[int, int] | None) -> SymbolView:
    quantity = symbol(name)
    local = len(chapters) == 1 and line is not None
    return SymbolView(
        symbol_text(name),
        quantity.unit_text,
        "" if local else quantity.meaning,
        f"{line[0]}.{line[1]}" if local and line else "",
    )

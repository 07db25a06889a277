"""Methods that stand beside the one which governs: their equations and numbers in a table instead of line by line.

What the printed case rests on keeps its numbered lines; only what no verdict at that case goes back to is set aside.
That is known once the cases are.
"""

from collections.abc import Mapping, Sequence

from calc.engine.sheet import Expression, Sheet, Step, Table, TableColumn, case_words, value_text
from calc.engine.sheet.cases import Cases
from calc.engine.symbols import symbol
from calc.engine.words import words_of

say = words_of(__name__)

NOTE = say("note")


def methods_beside(sheet: Sheet, cases: Cases, key: str, title: str, scopes: Sequence[tuple[str, str]]) -> None:
    """Move scopes with equations of their own from the numbered lines into one table, one method below the other.

    ``scopes`` are names of scopes with the words that name the method. Given values, and equations that a line or an
    earlier row prints, are left out.
    """
    names = [name for name, _ in scopes]
    printed = {step.formula for step in sheet.page.lines if step.scope not in names}
    rows: list[list[str]] = []
    for name, words in scopes:
        for step in _steps(sheet, name).values():
            if step.kind != "given" and (step.formula is None or step.formula not in printed):
                printed.add(step.formula)
                first = words if not rows or rows[-1][-1] != name else ""
                rows.append([first, _equation(step), _value(step, cases[sheet.key, name]), _unit(step), name])
    head = [TableColumn(words=words) for words in ("method", "equation", "value", "unit")]
    note = say("methods-beside-note", note=NOTE, cases=case_words(cases[sheet.key, names[0]]))
    sheet.tables.append(Table(key, title, head, [row[:-1] for row in rows], note))
    set_aside(sheet, names)


def variants_beside(sheet: Sheet, cases: Cases, key: str, title: str, scopes: Sequence[tuple[str, str]]) -> None:
    """Move scopes with the same equations from the numbered lines into one table, a column of values for each.

    ``scopes`` are names of scopes with the words over their column.
    """
    steps = {name: _steps(sheet, name) for name, _ in scopes}
    rows = [
        [
            _equation(step),
            *(_value(found[name], cases[sheet.key, scope]) for scope, found in steps.items()),
            _unit(step),
        ]
        for name, step in steps[scopes[0][0]].items()
    ]
    heads = ("equation", *(words for _, words in scopes), "unit")
    head = [TableColumn(words=words) for words in heads]
    note = f"{NOTE} At {case_words(cases[sheet.key, scopes[0][0]])}."
    sheet.tables.append(Table(key, title, head, rows, note))
    set_aside(sheet, list(steps))


def set_aside(sheet: Sheet, names: Sequence[str]) -> None:
    """Take scopes off the numbered lines."""
    sheet.page.aside.update(names)


def rest_on(sheet: Sheet, name: str, kept: str, note: str) -> None:
    """Print of what a line was chosen from what it is at the printed case, with a note on where the rest stands.

    ``kept`` is the scope of the input which stays, empty where none does.
    """
    step = next(one for one in sheet.steps if one.symbol == name and not one.scope)
    own = set(sheet.scopes[kept].values) if kept else set[str]()
    key = f"{sheet.section}/{sheet.key}/{kept}/"
    inputs = {name: one for name, one in step.inputs.items() if one.symbol in own and one.value.step.startswith(key)}
    sheet.page.shortened[step.key] = (inputs, note)


def _steps(sheet: Sheet, name: str) -> dict[str, Step]:
    return {step.symbol: step for step in sheet.steps if step.scope == name}


def _equation(step: Step) -> str:
    return step.title if step.formula is None else Expression(step)


def _value(step: Step, case: Mapping[str, str]) -> str:
    return value_text(step.value, case, step.symbol)


def _unit(step: Step) -> str:
    return symbol(step.symbol).unit_text

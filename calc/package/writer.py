"""One step of one section in words: its numbers, its result, where its values come from."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from re import split

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.engine.figure import symbol_text
from calc.engine.formula import Evidence
from calc.engine.sheet import (
    Input,
    Origin,
    Procedure,
    Sheet,
    Step,
    Value,
    case_words,
    number_text,
    printed_numbers,
    read_elsewhere,
    value_text,
)
from calc.engine.symbols import symbol
from calc.engine.typeset import LAYER_SUMS, Node, set_amount, set_numbers, write_numbers
from calc.numbering import own_key
from calc.package.line_places import Places, breakable, field_path, scope_of
from calc.package.shown import in_powers

Case = Mapping[str, str]

MANY = 8  # values that a line is read from and that are still named each with the case of its own line


@dataclass(frozen=True)
class Writer:
    """Writes the steps of one section."""

    part: SectionRun
    places: Places

    def case(self, sheet: Sheet, scope: str) -> Case:
        """The case at which a scope prints."""
        return self.part.cases[sheet.key, scope]

    def value(self, step: Step, case: Case) -> str:
        """The result in the unit shown, without it; in words where there is no number."""
        return set_amount(in_powers(write_numbers(value_text(step.value, case, step.symbol))))

    def numbers(self, step: Step, case: Case) -> Markup:
        """The right side of an equation with its numbers and, where the unit shown is another, the result inside."""
        text = Markup(printed_numbers(step, case, write=set_numbers))  # noqa: S704 - set_numbers escapes
        quantity, number = symbol(step.symbol), step.value.number(case)
        if not text or number is None or quantity.shown in {quantity.unit, "deg"}:
            return text
        coherent = set_amount(number_text(number, quantity.coherent_decimals, exact=step.value.exact))
        return text + f" = {coherent} {quantity.coherent_unit_text}".rstrip()

    def read(self, sheet: Sheet, scope: str) -> list[tuple[Step, Case]]:
        """Values of the chapter that a scope reads at its own case, at which their own lines do not print."""
        return list(read_elsewhere(sheet, scope, self.part.cases))

    def stands_alone(self, step: Step, case: Case, read: Collection[str]) -> bool:
        """Whether every number of an equation stands in the section's own column, on the line that it names.

        `read` are the keys of values of the chapter that stand at the head of the scope.
        """
        if step.formula is None:
            return True
        return not sums_over_layers(step.formula.tree) and all(
            self._as_printed(argument.value, case)
            or (argument.value.step in read and not argument.value.chosen and not argument.value.earlier)
            for argument in step.inputs.values()
        )

    def _as_printed(self, value: Value, case: Case) -> bool:
        here = value.read_at(case)
        if here is None or value.step not in self.places.printed:
            return False
        step, there = self.places.printed[value.step]
        return all(axis.name in here for axis in step.value.axes) and step.value.number(here) == step.value.number(
            there
        )

    def origin(self, step: Step, case: Case) -> tuple[Markup, int | None, Markup]:
        """The field of the project file that a given value comes from, its line, and in a word or two the source."""
        origin = step.origin(case)
        if origin is None:
            return Markup(""), None, Markup("")
        match origin.kind:
            case "step":
                read = (self.places.origin_of(read.value, case) for read in step.inputs.values())
                return Markup(""), None, Markup("; ").join(read)
            case "file" | "default":
                path = breakable(field_path(origin.path) or origin.text)
                return path, origin.line, Markup("{}").format("given" if origin.kind == "file" else "default")
        rule = "rule: " if origin.kind == "project rule" and origin.text else ""
        return Markup(""), None, Markup("{}{}").format(rule, origin.text or origin.kind)

    def _lines_read(self, step: Step, case: Case) -> Iterator[Markup]:
        """The lines that a step was read from; those whose lines print another case together with that case."""
        keys: list[str] = []
        here: list[Markup] = []
        elsewhere: dict[str, list[Markup]] = {}
        case = {name: label for name, label in case.items() if name not in step.moves}
        many = len(step.inputs) > MANY
        for argument in step.inputs.values():
            value = argument.value
            if (many and not (value.chosen or value.earlier)) or self._as_printed(value, case):
                keys.append(value.step)
                continue
            other = self.places.elsewhere(value, case)
            at = case_words(other)
            if step.moves and not at:
                keys.append(value.step)
            elif value.read_at(case) is None or value.earlier or not at or other.items() & case.items():
                here.append(self.places.origin_of(value, case, argument.symbol))
            else:
                line = Markup("{} of {}").format(symbol_text(argument.symbol), self.places.link(value.step))
                elsewhere.setdefault(at, []).append(line)
        here = [*(self.places.links(keys) if many else map(self.places.link, keys)), *here]
        if here:
            words = "the values at this case of " if many else ""
            yield Markup("from {}{}").format(words, Markup(", ").join(here))
        for at, lines in elsewhere.items():
            yield Markup("from {} at {}").format(Markup(", ").join(lines), at)

    def beneath(self, step: Step, case: Case) -> Iterator[Markup]:
        """What stands below a line: what it was read from, what stands for its symbols."""
        if step.kind in {"reading", "procedure"} and step.inputs:
            yield from self._lines_read(step, case)
        else:
            for argument in step.inputs.values():
                if argument.value.chosen or not is_near(step, argument):
                    yield self.places.replacement(argument.symbol, argument.value, case)
        if step.note:
            yield Markup("{}").format(step.note)


def writers(run: Run) -> tuple[Writer, ...]:
    """A writer for each section; a line has the same place and number in all of them."""
    lines = {
        part.section.key: {
            step.key: (step, part.cases[sheet.key, step.scope]) for sheet in part.sheets for step in sheet.page.lines
        }
        for part in run.sections
    }
    made = []
    for part in run.sections:
        zones = [zone.key for zone in part.section.by_zones()]
        printed = {key: line for name in (part.section.key, *zones) for key, line in lines[name].items()}
        numbers = {key: run.numbers[own_key(key)] for key in printed}
        anchors = {key: f"n{number}" for key, number in numbers.items()}
        made.append(
            Writer(part, Places(numbers, anchors, printed, {key: zone for zone in zones for key in lines[zone]}))
        )
    return tuple(made)


def is_near(step: Step, argument: Input) -> bool:
    """Whether a step reads a value by its own symbol in its own scope or in the chapter around it."""
    scope, read = scope_of(step.key), argument.value.step
    around = {scope, f"{scope.rpartition('/')[0]}/-"}
    return not read or (scope_of(read) in around and read.rpartition("/")[2] == argument.symbol)


def evidence_of(origin: Origin | None) -> Evidence:
    """How a given value was known; a rule of the project is marked like what is derived here."""
    if origin is None:
        return "inspected"
    return "derived" if origin.kind == "project rule" else origin.evidence


def sums_over_layers(tree: Node) -> bool:
    """Whether an equation has a sum over layers, whose numbers stand on no line."""
    return tree.kind in LAYER_SUMS or any(sums_over_layers(child) for child in tree.children)


def _with_symbols(text: str) -> Markup:
    """A text in which {name} stands for a symbol."""
    parts = split(r"\{(\w+)\}", text)
    return Markup("").join(symbol_text(part) if k % 2 else part for k, part in enumerate(parts))


def solution_text(procedure: Procedure) -> Markup:
    """What a procedure solved, and how."""
    tolerance = set_amount(procedure.tolerance)
    return Markup("solved: {} · {}; tolerance {}").format(
        _with_symbols(procedure.equation), procedure.method, tolerance
    )


def ending_text(procedures: Sequence[Procedure]) -> Markup:
    """How well a procedure ended in one section or in several."""
    iterations, cases = max(solved.iterations for solved in procedures), sum(solved.lanes for solved in procedures)
    count = f"{iterations} iterations over {cases} cases"
    worst = max(procedures, key=lambda procedure: procedure.residual or 0.0)
    if worst.residual is None:
        return Markup("{}").format(count)
    unit = symbol(worst.residual_symbol).coherent_unit_text
    amount = f"{set_amount(f'{worst.residual:.1e}')} {unit}".strip()
    name = symbol_text(worst.residual_symbol)
    return Markup("{}, largest residual {} = {} by its formula").format(count, name, amount)

"""The lines of the plan that can be audited, as tables: equation, numbers, and a value for each area and grid."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from calc.engine.figure import symbol_text
from calc.engine.sheet import Expression, Origin, Scope, Sheet, Step, number_text, printed_numbers, value_text
from calc.engine.symbols import symbol
from calc.engine.typeset import set_amount, set_numbers
from calc.engine.words import words_of
from calc.package.equations import Picture, formula_picture
from calc.package.shown import without_fields
from calc.site.plan.plan_reinforcement import REINFORCEMENT
from calc.site.plan.plan_steps import GRIDS, QUANTITIES, SHORTEST, TOE, AreaSheet

say = words_of(__name__)

MOST_COLUMNS = 6
MOST_POINTS = 60
SUMMED = {"N_p", "l_p", "A_lay", "V_p", "V_plp", "V_dp", "l_slp", "A_slp"}
"""Quantities of which the sum of the areas is printed."""
Case = Mapping[str, str]


@dataclass(frozen=True)
class Line:
    """A line: number, symbol, title, equation with the numbers of the first column, values, unit, source."""

    number: str
    symbol: Markup
    title: str
    picture: Picture | None
    numbers: Markup
    values: tuple[str, ...]
    unit: str
    source: str


@dataclass(frozen=True)
class Block:
    """Lines of one scope over some columns, which are areas and their grids."""

    title: str
    heads: tuple[str, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class Answer:
    """A verdict or a limitation of an area as it prints."""

    area: str
    title: str
    effect: Markup
    limit: Markup
    state: str
    note: str


@dataclass(frozen=True)
class Worked:
    """A column of a block: its head, the sheet that it reads, and the case."""

    head: str
    sheet: Sheet
    case: Case


def blocks(sheets: Sequence[AreaSheet]) -> tuple[Block, ...]:
    """Every scope of the sheets, with a column for each area and, of area ratios, for each grid."""
    every, number, places = list[Block](), 0, dict[str, str]()
    for scope in ("", *dict.fromkeys(name for area_sheet in sheets for name in area_sheet.sheet.scopes)):
        columns = [column for area_sheet in sheets for column in _columns(area_sheet, scope)]
        symbols = dict.fromkeys(
            step.symbol for area_sheet in sheets for step in _steps(area_sheet.sheet, scope) if not _again(step)
        )
        numbers = {name: f"P.{number + k}" for k, name in enumerate(symbols, start=1)}
        number += len(numbers)
        places |= {f"{scope}/{name}": text for name, text in numbers.items()}
        for first in range(0, len(columns), MOST_COLUMNS):
            part = columns[first : first + MOST_COLUMNS]
            lines = [_line(numbers[name], name, scope, part, say("measured"), places) for name in symbols]
            titles = [area_sheet.sheet.scopes[scope].title for area_sheet in sheets if scope in area_sheet.sheet.scopes]
            heads = tuple(column.head for column in part)
            heads += (say("sum"),) * (scope == QUANTITIES and len(part) > 1)
            every.append(Block(titles[0] if titles else say("common"), heads, tuple(filter(None, lines))))
    return tuple(every)


def lines_of(columns: Sequence[Worked], letter: str, how: str) -> tuple[Line, ...]:
    """The lines of sheets without scopes."""
    symbols = dict.fromkeys(step.symbol for column in columns for step in _steps(column.sheet, ""))
    lines = [_line(f"{letter}.{k}", name, "", columns, how, {}) for k, name in enumerate(symbols, start=1)]
    return tuple(filter(None, lines))


def _columns(area_sheet: AreaSheet, scope: str) -> list[Worked]:
    letter = area_sheet.area.given.letter
    if scope == REINFORCEMENT and scope in area_sheet.sheet.scopes:
        return [
            Worked(f"{letter}, {label}", area_sheet.sheet, {"mat": label}) for label in area_sheet.sheet.axes["mat"]
        ]
    if scope == GRIDS:
        grids = area_sheet.sheet.axes["grid"]
        return [Worked(f"{letter}, {label}: {worked}" if len(grids) > 1 else f"{letter}: {worked}",
                       area_sheet.sheet, {"grid": label})
                for label, worked in zip(grids, area_sheet.worked, strict=True)]  # fmt: skip
    named = {TOE: f"{letter}: {area_sheet.longest}", SHORTEST: f"{letter}: {area_sheet.shortest}"}
    return [Worked(named.get(scope, letter), area_sheet.sheet, {})]


def _steps(sheet: Sheet, scope: str) -> list[Step]:
    """The steps of a scope that have one value; those over the investigation points stand in a table."""
    return [step for step in sheet.steps if step.scope == scope and "reading" not in _axes(step)]


def _axes(step: Step) -> tuple[str, ...]:
    """Axes along which a value has more than one number."""
    return tuple(axis.name for axis in step.value.axes if len(axis.labels) > 1)


def _again(step: Step) -> bool:
    """Whether a step only takes a value of the sheet over into its scope under the same symbol."""
    origin = step.origins[0] if step.origins else None
    return origin is not None and origin.kind == "step" and origin.path.rpartition("/")[2] == step.symbol


def _line(
    number: str, name: str, scope: str, columns: Sequence[Worked], how: str, places: Mapping[str, str]
) -> Line | None:  # fmt: skip
    steps = [next((step for step in _steps(column.sheet, scope) if step.symbol == name), None) for column in columns]
    worked = next(((step, column.case) for step, column in zip(steps, columns, strict=True) if step), None)
    if worked is None:
        return None
    step, case = worked
    picture, numbers = None, Markup("")
    if step.formula is not None:
        picture = formula_picture(step.formula, step.names, str(Expression(step))).at_scale(0.85)
        if step.formula.summed_axes:
            numbers = Markup("{}").format(say("from-points"))
        else:
            numbers = Markup(printed_numbers(step, case, write=set_numbers))  # noqa: S704 - set_numbers escapes
    values = [
        "–" if own_step is None else set_amount(value_text(own_step.value, _case(own_step, column.case), name))
        for own_step, column in zip(steps, columns, strict=True)
    ]
    if scope == QUANTITIES and len(columns) > 1:
        of_all = [float(own_step.value.array) for own_step in steps if own_step is not None]
        values.append(set_amount(number_text(sum(of_all), symbol(name).decimals)) if name in SUMMED else "")
    return Line(number, symbol_text(name), step.title, picture, numbers, tuple(values), symbol(name).unit_text,
                _source(step, case, how, places))  # fmt: skip


def _case(step: Step, case: Case) -> Case:
    """The case of a column, and the only label of what has one."""
    return {axis.name: case.get(axis.name, axis.labels[0]) for axis in step.value.axes}


def _source(step: Step, case: Case, how: str, places: Mapping[str, str]) -> str:
    """Where a line comes from: a field with its line, a formula with the mark of its evidence, or how it was found."""
    origin: Origin | None = step.origin(_case(step, case)) if step.origins else None
    if origin is not None and origin.kind == "step" and (place := places.get("/".join(origin.path.split("/")[-2:]))):
        return say("as", number=place)
    if origin is not None and origin.path:
        return say("line", line=origin.line) if origin.line else say("default")
    if origin is not None:
        return origin.text
    if step.formula is not None:
        return f"{step.formula.source.citation} {step.formula.source.mark}".strip()
    return how


def points_tables(sheets: Sequence[AreaSheet]) -> list[tuple[tuple[str, ...], ...]]:
    """Investigation points with their level, distance and weight for the longest and shortest column of every area.

    The first row of a table is its head, and a table has some columns only; none without points. Of many points those
    of the largest weights are given.
    """
    worked = [(name, area_sheet.sheet.scopes[scope]) for area_sheet in sheets if SHORTEST in area_sheet.sheet.scopes
              for name, scope in ((area_sheet.longest, TOE), (area_sheet.shortest, SHORTEST))]  # fmt: skip
    return [_points_table(sheets, worked[k : k + MOST_COLUMNS]) for k in range(0, len(worked), MOST_COLUMNS)]


def _points_table(sheets: Sequence[AreaSheet], worked: Sequence[tuple[str, Scope]]) -> tuple[tuple[str, ...], ...]:
    labels = next(area_sheet.sheet.axes["reading"] for area_sheet in sheets if "reading" in area_sheet.sheet.axes)
    order = sorted(range(len(labels)), key=lambda k: -max(float(scope["w_b"].array[k]) for _, scope in worked))
    columns = [(name, key, scope[key].array) for name, scope in worked for key in ("d_i", "w_b")]
    heads = (Markup("{} {}, {}").format(symbol_text(key), name, symbol(key).unit_text) for name, key, _ in columns)
    levels = worked[0][1]["z_i"].array
    rows = [
        (labels[k], set_amount(number_text(float(levels[k]), 2)),
         *(set_amount(number_text(float(values[k]), symbol(key).decimals)) for _, key, values in columns))
        for k in sorted(order[:MOST_POINTS])
    ]  # fmt: skip
    return ((say("point"), symbol_text("z_i") + ", m", *heads), *rows)


def answers(sheets: Sequence[AreaSheet]) -> tuple[Answer, ...]:
    """The verdicts of every area."""
    rows = []
    for area_sheet in sheets:
        for verdict in area_sheet.sheet.verdicts:
            effect = limit = Markup("")
            if verdict.effect is not None and verdict.resistance is not None:
                effect, limit = (
                    Markup("{} = {} {}").format(
                        symbol_text(name), number_text(value * symbol(name).factor, symbol(name).decimals),
                        symbol(name).unit_text,
                    ).strip()
                    for name, value in ((verdict.effect_symbol, verdict.effect),
                                        (verdict.resistance_symbol, verdict.resistance))
                )  # fmt: skip
            state = verdict.stamp if verdict.applies else say("not-applicable")
            note = without_fields(verdict.note)
            rows.append(Answer(area_sheet.area.given.letter, verdict.title, effect, limit, state, note))
    return tuple(rows)


def limits(sheets: Sequence[AreaSheet]) -> tuple[tuple[str, str], ...]:
    """The limitations with the areas that they hold for."""
    by_text: dict[str, list[str]] = {}
    for area_sheet in sheets:
        for limit in area_sheet.sheet.limitations:
            by_text.setdefault(limit.text, []).append(area_sheet.area.given.letter)
    return tuple((", ".join(letters), text) for text, letters in by_text.items())

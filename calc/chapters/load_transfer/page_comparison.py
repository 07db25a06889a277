"""Which models of arching and which membranes the printed case does not rest on: in the record instead of on lines.

What the printed case rests on keeps its numbered lines; the equations of the others stand in recorded tables with
numbers, which print where every chain is written out.
"""

from collections.abc import Mapping, Sequence

from calc.chapters.load_transfer.arching import COEFFICIENT, MODELS
from calc.chapters.load_transfer.membrane import AT_EDGES, LAYERS, PLACING, shapes_used
from calc.chapters.shared.frame import SHORT
from calc.chapters.shared.mats import reinforced_directions
from calc.engine.sheet import Expression, Page, Step, Table, TableColumn, case_words, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.formulas.membrane import SHAPES
from calc.inputs import Section

say = words_of(__name__)

NOTE = say("note")
Named = Sequence[tuple[str, str]]  # names of scopes with the words for them


def set_beside_governing(of: Page, section: Section) -> None:
    """Print line by line only what the case of the chapter rests on; what stands beside it becomes tables."""
    sheet = of.sheet
    case = {"load": "G+Q", "stiffness": SHORT, **of.case()}
    won = sheet.won(sheet["sigma_sX"], case)  # none where the fill is too low for arching
    model = won.scope if won else ""
    tags = [tag for _, tag in reinforced_directions(section)]
    shape = next((free_shape for tag in tags if (free_shape := _free_shape(of, tag, case))), "")
    _equations(of, section, model, shape)
    for name, kept in (("sigma_sX", model), *((f"T_m{tag}F", shape) for tag in tags)):
        _shorten(of, name, kept, say("rest"))
    shown = {"", AT_EDGES, model, shape, "surface", PLACING}
    of.aside.update(name for name in sheet.scopes if name not in shown and not name.startswith(("compatible_", LAYERS)))


def _free_shape(of: Page, tag: str, case: dict[str, str]) -> str:
    """Scope of the shape at full arching which the design rests on, empty where it rests on compatible settlement."""
    sheet = of.sheet
    edge_scope = sheet.scopes.get(AT_EDGES, sheet)
    full = edge_scope[f"T_m{tag}F"]
    used = edge_scope[f"T_m{tag}D"] if f"T_m{tag}D" in edge_scope.values else sheet[f"T_m{tag}D"]
    if used.step in sheet.winners and (won := sheet.won(used, case)) and won.key != full.step:
        return ""
    shape = sheet.won(full, case)
    return shape.scope if shape else ""


def _equations(of: Page, section: Section, model: str, shape: str) -> None:
    scopes = of.sheet.scopes
    keys = [other.key for other in (*MODELS, COEFFICIENT) if other.key in scopes and other.key != model]
    _methods(of, "beside-models", say("models"), [(key, scopes[key].title) for key in keys])
    directions = reinforced_directions(section)
    if not directions:
        return
    free = [
        (f"free_{load_shape.key}", load_shape.title)
        for load_shape in SHAPES.values()
        if f"free_{load_shape.key}" != shape
    ]
    _factor_sets(of, "beside-free", say("free"), free)
    for used in shapes_used(section):
        on_ground = [(f"supported_{used.key}_{words}", words) for words, _ in directions]
        _factor_sets(of, f"beside-ground-{used.key}", say("on-ground", shape=used.title), on_ground)


def _methods(of: Page, key: str, title: str, scopes: Named) -> None:
    """Scopes with equations of their own in one table, one method below the other.

    Given values, and equations that a line or an earlier row prints, are left out.
    """
    names = [name for name, _ in scopes]
    printed = {step.formula for step in of.lines if step.scope not in names}
    rows: list[list[str]] = []
    for name, words in scopes:
        heading = words
        for step in _steps(of, name).values():
            if step.kind != "given" and (step.formula is None or step.formula not in printed):
                printed.add(step.formula)
                rows.append([heading, _equation(step), _value(step, of.case(name)), _unit(step)])
                heading = ""
    head = [TableColumn(words=words) for words in (say("method"), say("equation"), say("value"), say("unit"))]
    of.record(Table(key, title, head, rows, say("methods-note", note=NOTE, case=case_words(of.case(names[0])))))
    of.aside.update(names)


def _factor_sets(of: Page, key: str, title: str, scopes: Named) -> None:
    """Scopes with the same equations in one table, a column of values for each."""
    steps = {name: _steps(of, name) for name, _ in scopes}
    rows = [
        [_equation(step), *(_value(same[name], of.case(scope)) for scope, same in steps.items()), _unit(step)]
        for name, step in steps[scopes[0][0]].items()
    ]
    head = [TableColumn(words=words) for words in (say("equation"), *(words for _, words in scopes), say("unit"))]
    note = say("at", note=NOTE, case=case_words(of.case(scopes[0][0])))
    of.record(Table(key, title, head, rows, note))
    of.aside.update(steps)


def _shorten(of: Page, name: str, kept: str, note: str) -> None:
    """Print of what a line was chosen from what it is at the printed case, with a note on where the rest stands.

    ``kept`` is the scope of the input which stays, empty where none does.
    """
    sheet = of.sheet
    step = next(step for step in sheet.steps if step.symbol == name and step.scope in ("", AT_EDGES))
    symbols = set(sheet.scopes[kept].values) if kept else set[str]()
    key = f"{sheet.section}/{sheet.key}/{kept}/"
    inputs = {
        name: argument
        for name, argument in step.inputs.items()
        if argument.symbol in symbols and argument.value.step.startswith(key)
    }
    of.shortened[step.key] = (inputs, note)


def _steps(of: Page, name: str) -> dict[str, Step]:
    return {step.symbol: step for step in of.sheet.steps if step.scope == name}


def _equation(step: Step) -> str:
    return step.title if step.formula is None else Expression(step)


def _value(step: Step, case: Mapping[str, str]) -> str:
    return value_text(step.value, case, step.symbol)


def _unit(step: Step) -> str:
    return symbol(step.symbol).unit_text

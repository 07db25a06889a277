"""results.json: every step, verdict and limitation with unrounded values, so that a reader needs nothing else."""

import json
from collections.abc import Callable, Mapping
from hashlib import sha256
from re import sub
from typing import Any

from calc import __version__
from calc.chain import Run, SectionRun
from calc.engine.figure import Chart, Figure, Profile, Scene, TimeChart
from calc.engine.sheet import Sheet, Step, Table, Value, Verdict, printed_numbers, printed_result, value_text
from calc.engine.sheet.printing import printed_expression
from calc.engine.sheet.values import FORMER_AXES, SUMMED
from calc.engine.symbols import symbol
from calc.engine.typeset import LAYER_SUMS, Node, equation
from calc.numbering import own_key
from calc.package.limitations import collect_limits
from calc.resources import program_fingerprint

SCHEMA = 1
Json = dict[str, Any]
FIGURE_KINDS: dict[type[Figure], str] = {
    Scene: "scene", Profile: "profile", Chart: "chart", TimeChart: "time chart",
}  # fmt: skip


def results(run: Run) -> Json:
    """The whole run as plain data."""
    design = run.design
    return {
        "schema": SCHEMA,
        "software": {
            "name": "sandsleeve", "version": __version__, "commit": None, "fingerprint": program_fingerprint(),
        },
        "date": design.project.revisions[-1].date.isoformat(),
        "inputs_sha256": design.sha256,
        **({"data_sha256": design.results_file.sha256} if design.results_file else {}),
        "outcome": run.outcome,
        "governing": _governing(run),
        "sections": [
            {
                "key": part.section.key,
                "title": part.section.title,
                "checks": [_check(run, part, sheet) for sheet in part.sheets],
            }
            for part in run.sections
        ],
        "limitations": [
            {"number": view.number, "key": limit.key, "text": limit.text, "source": limit.source,
             "chapters": list(view.chapters)}
            for limit, view in collect_limits(run).items()
        ],
        "provenance": {
            path: {"text": origin.text, "line": origin.line, "origin": origin.origin}
            for path, origin in design.provenance.items()
        },
    }  # fmt: skip


def results_text(run: Run) -> str:
    """The same as text; a number that is not finite is refused."""
    return json.dumps(results(run), ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n"


def _governing(run: Run) -> Json | None:
    if run.governing is None:
        return None
    part, sheet, verdict = run.governing
    return {
        "section": part.section.key,
        "check": sheet.key,
        "verdict": verdict.key,
        "case": dict(verdict.case),
        "utilisation": verdict.utilisation,
    }


def _check(run: Run, part: SectionRun, sheet: Sheet) -> Json:
    return {
        "key": sheet.key,
        "title": sheet.title,
        "scopes": [{"key": name, "title": scope.title} for name, scope in sheet.scopes.items()],
        "steps": [_step(run, part, sheet, step) for step in sheet.steps],
        "verdicts": [_verdict(verdict) for verdict in sheet.verdicts],
        "limitations": [
            {"key": limit.key, "text": limit.text, "source": limit.source, "turns": list(limit.turns)}
            for limit in sheet.limitations
        ],
        "rests_on": [{"title": rest.title, "text": rest.text, "proof": rest.proof} for rest in sheet.rests],
        "tables": [_table(table) for table in sheet.page.tables],
        "figures": [
            {"key": figure.key, "kind": FIGURE_KINDS[type(figure)], "title": figure.title, "alt": figure.alt}
            for figure in sheet.page.figures
        ],
    }  # fmt: skip


def _step(run: Run, part: SectionRun, sheet: Sheet, step: Step) -> Json:
    case = part.cases[sheet.key, step.scope]
    formula = step.formula
    made: Json = {
        "number": run.numbers[own_key(step.key)] if step.scope not in sheet.page.aside else None,
        "key": step.key,
        "kind": step.kind,
        "scope": step.scope,
        "symbol": step.symbol,
        "title": step.title,
        "source": step.source.citation if step.source else None,
        "evidence": step.source.evidence if step.source else None,
        "formula": {"id": formula.id, "hash": formula.hash} if formula else None,
        "expression": printed_expression(step) or None,
        "equation": equation(formula.symbol, formula.tree, step.names) if formula else None,
        "axes": [{"name": axis.name, "labels": list(axis.labels)} for axis in step.value.axes],
        "inputs": _inputs(step),
        "chosen": {name: chosen for name, chosen in _by_symbol(step, _selection).items() if any(chosen)},
        "values": _values(step, case),
        "result": {
            "value": step.value.lanes(),
            "unit": symbol(step.symbol).unit,
            "reason": step.value.reason or None,
        },
        "governing": {axis.name: case[axis.name] for axis in step.value.axes},
        "shown": _print_texts(step, case),
        "procedure": _procedure(step),
        "note": step.note,
    }
    return made | {"fingerprint": _fingerprint(made)}


def _selection(value: Value) -> dict[str, str]:
    """Labels selected of an input; "before" on an axis along which it is read one label earlier."""
    return dict(value.chosen) | ({value.earlier.name: "before"} if value.earlier else {})


def _inputs(step: Step) -> dict[str, Any]:
    """What the step rests on: keys of steps, and under its own symbol where its fields were typed."""
    places = [origin.path or origin.text for origin in step.origins]
    typed = {step.symbol: places[0] if len(places) == 1 else places} if places else {}
    return (typed if step.kind == "given" and typed else _by_symbol(step, lambda value: value.step)) | typed


def _by_symbol(step: Step, read: Callable[[Value], Any]) -> Json:
    """Something of each input under its symbol; a list where several inputs have one symbol."""
    made: dict[str, list[Any]] = {}
    for argument in step.inputs.values():
        made.setdefault(argument.symbol, []).append(read(argument.value))
    return {name: values[0] if len(values) == 1 else values for name, values in made.items()}


def _values(step: Step, case: Mapping[str, str]) -> Json:
    """The inputs at the printed case; all layers or readings where the formula sums over them."""
    summed = step.formula is not None and _sums(step.formula.tree)
    read = _by_symbol(step, lambda value: _at(value, case, summed))
    return {name: {"value": numbers, "unit": symbol(name).unit} for name, numbers in read.items()}


def _sums(tree: Node) -> bool:
    return tree.kind in LAYER_SUMS or any(_sums(child) for child in tree.children)


def _at(value: Value, case: Mapping[str, str], summed: bool) -> Any:
    """The numbers at a case: whole along an axis that the case leaves open, and along one that is summed over."""
    chosen = {
        axis.name: case[axis.name]
        for axis in value.axes
        if case.get(axis.name) in axis.labels and not (summed and axis.name in SUMMED)
    }
    return value.lanes(**chosen)


def _print_texts(step: Step, case: Mapping[str, str]) -> dict[str, str]:
    """What the page prints: the line with numbers and the result; for given values the value."""
    if step.kind == "given":
        return {step.symbol: value_text(step.value, case, step.symbol, unit=True)}
    numbers = printed_numbers(step, case)
    return ({"numbers": numbers} if numbers else {}) | {step.symbol: printed_result(step, case)}


def _procedure(step: Step) -> Json | None:
    done = step.procedure
    if done is None:
        return None
    return {
        "equation": sub(r"\{(\w+)\}", lambda match: symbol(match[1]).plain, done.equation),
        "method": done.method,
        "tolerance": done.tolerance,
        "iterations": done.iterations,
        "lanes": done.lanes,
        "residual": done.residual,
        "residual_symbol": done.residual_symbol,
    }


def _fingerprint(made: Json) -> str:
    """Changes when the formula, what it rests on, or any value changes; not when only the number of the line does."""
    facts = {name: made[name] for name in ("key", "formula", "axes", "inputs", "values", "result")}
    facts["axes"] = [axis | {"name": FORMER_AXES.get(axis["name"], axis["name"])} for axis in facts["axes"]]
    text = json.dumps(facts, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return sha256(text.encode()).hexdigest()[:16]


def _verdict(verdict: Verdict) -> Json:
    return {
        "key": verdict.key,
        "title": verdict.title,
        "state": verdict.state,
        "stamp": verdict.stamp,
        "effect": verdict.effect,
        "resistance": verdict.resistance,
        "unit": verdict.unit,
        "utilisation": verdict.utilisation,
        "limit": verdict.limit,
        "case": dict(verdict.case),
        "factor_set": verdict.factor_set,
        "step": verdict.step,
        "resistance_step": verdict.resistance_step,
        "note": verdict.note,
        "required": verdict.required,
        "utilisations": verdict.table(),
    }


def _table(table: Table) -> Json:
    head = [
        {"symbol": column.symbol, "words": column.name,
         "unit": column.unit or (symbol(column.symbol).unit_text if column.symbol else "")}
        for column in table.head
    ]  # fmt: skip
    return {
        "key": table.key,
        "title": table.title,
        "head": head,
        "rows": [list(row) for row in table.rows],
        "note": table.note,
    }

"""calc/terminal/descent.json: the fields that verdicts of the examples descend from, back through their steps."""

import re
from collections.abc import Iterable, Iterator

from calc.chain import CHAPTERS, Run, SectionRun
from calc.engine.sheet import Step, Verdict
from calc.inputs.reading.field_list import list_headers
from calc.terminal.descent import Descent, VerdictOf
from tests.projects.verdict_list import ENDING, LAYER

LISTS = list_headers()


def field_of(path: str) -> str:
    """The path of a field without the keys or numbers of tables and values in lists."""
    parts: list[str] = []
    in_list = False
    for part in path.split("."):
        if in_list:
            in_list = False
        elif not part.isdigit():
            parts.append(part)
            in_list = ".".join(parts) in LISTS
    return ".".join(parts)


def descent_of(runs: Iterable[Run], known: Descent | None = None) -> Descent:
    """What some runs say after what is known."""
    verdicts = dict(known.verdicts) if known else {}
    reads = {name: dict.fromkeys(by) for name, by in known.reads.items()} if known else {}
    for run in runs:
        for part in run.sections:
            steps = {step.key: step for sheet in part.sheets for step in sheet.steps}
            for chapter, step in _given(part):
                for path in paths_of(step):
                    reads.setdefault(path, {})[chapter, step.symbol] = None
            for sheet in part.sheets:
                for verdict in sheet.verdicts:
                    key = (sheet.key, ENDING.sub("", verdict.key))
                    verdicts[key] = _joined(verdicts.get(key), verdict, steps)
    order = [chapter.key for chapter in CHAPTERS]
    return Descent(
        dict(sorted(verdicts.items(), key=lambda item: (order.index(item[0][0]), item[0][1]))),
        {name: tuple(sorted(by, key=lambda one: (order.index(one[0]), one[1]))) for name, by in reads.items()},
    )


def _given(part: SectionRun) -> Iterator[tuple[str, Step]]:
    return ((sheet.key, step) for sheet in part.sheets for step in sheet.steps if paths_of(step))


def paths_of(step: Step) -> set[str]:
    """The fields of the project file that a step reads."""
    return {field_of(origin.path) for origin in step.origins if origin.path and origin.kind in {"file", "default"}}


def _joined(before: VerdictOf | None, verdict: Verdict, steps: dict[str, Step]) -> VerdictOf:
    """A verdict with all the fields of the runs; one with numbers says what is compared."""
    fields = _fields(verdict, steps)
    if before is not None and (before.effect or not verdict.effect_symbol):
        return VerdictOf(before.title, before.effect, before.resistance, before.limit, before.fields | fields)
    held = steps.get(verdict.resistance_step)
    limit = ", ".join(sorted(paths_of(held))) if held is not None and held.kind == "given" else ""
    title = re.sub(r"\s+", " ", LAYER.sub("", verdict.title))
    more = before.fields if before else frozenset()
    return VerdictOf(title, verdict.effect_symbol, verdict.resistance_symbol, limit, more | fields)


def _fields(verdict: Verdict, steps: dict[str, Step]) -> frozenset[str]:
    waiting = [key for key in (verdict.step, verdict.resistance_step) if key]
    seen: set[str] = set()
    found: set[str] = set()
    while waiting:
        key = waiting.pop()
        if key not in seen and key in steps:
            seen.add(key)
            found |= paths_of(steps[key])
            waiting += [given.value.step for given in steps[key].inputs.values()]
    return frozenset(found)

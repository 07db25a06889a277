"""What each line of a run was calculated from, and the lines that verdicts compare."""

from collections.abc import Iterator, Mapping

from calc.chain import Run
from calc.engine.sheet import Step


def read_lines(run: Run, printed: Mapping[str, int]) -> dict[str, tuple[int, ...]]:
    """The lines that each printed step reads, by their places; through steps that stand in tables to the lines behind.

    `printed` has the place of every step that has a line.
    """
    lines: dict[str, tuple[int, ...]] = {}
    for part in run.sections:
        steps = {step.key: step for sheet in part.sheets for step in sheet.steps}
        behind: dict[str, frozenset[int]] = {}
        for key, step in steps.items():  # each stands behind those that it reads
            read: set[int] = set()
            for source in _steps_read(step):
                read |= {printed[source]} if source in printed else behind.get(source, frozenset())
            if key in printed:
                lines[key] = tuple(sorted(read))
            else:
                behind[key] = frozenset(read)
    return lines


def _steps_read(step: Step) -> Iterator[str]:
    return (argument.value.step for argument in step.inputs.values() if argument.value.step != step.key)


def order_of(run: Run) -> dict[str, int]:
    """The place of each step in the calculation of its section: every step stands behind those that it reads."""
    return {
        step.key: place
        for part in run.sections
        for place, step in enumerate(step for sheet in part.sheets for step in sheet.steps)
    }


def compared_lines(run: Run, printed: Mapping[str, int]) -> Iterator[tuple[str, tuple[int, ...]]]:
    """Each verdict as `section/chapter/verdict`, and the places of the lines that it compares."""
    for part in run.sections:
        steps = {step.key: step for sheet in part.sheets for step in sheet.steps}
        for sheet in part.sheets:
            for verdict in sheet.verdicts:
                keys = [key for key in (verdict.step, verdict.resistance_step) if key]
                places = {place for key in keys for place in _lines(key, steps, printed)}
                yield f"{part.section.key}/{sheet.key}/{verdict.key}", tuple(sorted(places))


def _lines(key: str, steps: Mapping[str, Step], printed: Mapping[str, int]) -> Iterator[int]:
    """The line of a step, or those behind it where it stands in a table."""
    if key in printed:
        yield printed[key]
    elif key in steps:
        for source in _steps_read(steps[key]):
            yield from _lines(source, steps, printed)

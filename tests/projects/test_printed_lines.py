"""Every equation on the pages of every example package recomputes from what is printed, read from the PDF itself."""

from pathlib import Path

import pytest

from calc.chain import Run, run_checks
from calc.inputs import read_design
from calc.package import write_package
from calc.sheet import coherent_text, printed_numbers, printed_result
from tests.engine.recompute import recomputes
from tests.packages.reading import printed_lines
from tests.projects.store import EXAMPLES


@pytest.mark.slow
@pytest.mark.parametrize("project", EXAMPLES, ids=lambda project: project.name)
def test_every_line_of_the_package_is_there_and_recomputes(project: Path, tmp_path: Path) -> None:
    """Inputs and result may be off by half a unit of their last printed digit; typed inputs are exact."""
    run = run_checks(read_design(project))
    computed, typed = lines_of(run)
    read = {line.number: line for line in printed_lines(write_package(run, tmp_path).pdf)}

    # A sign before a bracket is set with a little room, which the reader takes for a space.
    shown = {number: (line.numbers.replace("(- (", "(-("), line.shown) for number, line in read.items()}
    assert shown == computed
    wrong = [line for number, line in read.items() if not recomputes(line.numbers, line.shown, exact=typed[number])]
    assert wrong == []


def lines_of(run: Run) -> tuple[dict[str, tuple[str, str]], dict[str, tuple[str, ...]]]:
    """Line with numbers and result of every equation as the engine prints them, and the numbers that were typed."""
    computed, typed = {}, {}
    for part in run.sections:
        for sheet in part.sheets:
            for step in sheet.steps:
                case = part.cases[sheet.key, step.scope]
                if step.formula is None or step.value.number(case) is None:
                    continue
                number = part.numbers[step.key]
                computed[number] = (printed_numbers(step, case), printed_result(step, case))
                exact = (one for one in step.inputs.values() if one.value.exact and "layer" not in one.value.axis_names)
                typed[number] = tuple(coherent_text(one.value, case, one.symbol) for one in exact)
    return computed, typed

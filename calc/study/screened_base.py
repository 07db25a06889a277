"""The closed verdicts of combinations of one form: runs at the ends of their values, a replay between these."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np

from calc.chain import CalculationError, Run
from calc.engine.sheet import Sheet
from calc.inputs import Design, InputErrors, read_design
from calc.inputs.tables.size import SETTLEMENT as BY_SETTLEMENT
from calc.study.changed import with_numbers
from calc.study.objectives import charges
from calc.study.size_grid import Axis, Floats, Grid, Places, SizeError
from calc.study.whole_section import SETTLEMENT, Rated, rated, run_one

SAME = 1e-7  # relative difference between a replay and a run


class Replayed(Protocol):
    """Verdicts of a finished run as functions of inputs."""

    def __call__(self, values: Mapping[str, Floats]) -> Mapping[str, Floats]:
        """Utilisation of every verdict, one number a set of inputs."""


Follow = Callable[[Run, Design, str, Sequence[str], Sequence[str]], tuple[Replayed | None, frozenset[str]]]
"""What replays verdicts of a section over inputs, and the verdicts among them that it does not follow.

None where nothing can be replayed."""


@dataclass(frozen=True)
class Base:
    """What the closed verdicts say of combinations: utilisation over its limit by verdict, objectives by name.

    ``lost`` are verdicts that are not followed; without ``ratios`` and ``objectives`` none of the combinations that
    were run has a solution.
    """

    ratios: Mapping[str, Floats] = field(default_factory=dict)
    objectives: Mapping[str, Floats] = field(default_factory=dict)
    titles: Mapping[str, str] = field(default_factory=dict)
    lost: frozenset[str] = frozenset()


def screened_base(grid: Grid, numbers: Places, followed: frozenset[str], follow: Follow) -> Base:
    """Combinations of one form by runs at the ends of their values, and a replay that must agree with all of these.

    Where the division into sublayers differs between the runs, the least utilisation by any of the divisions counts.
    A verdict that the replay does not give as a run does is lost: only runs of all chapters judge it.
    """
    inputs = sorted({path for axis in grid.axes if axis.name in followed for path in varied_in(axis, grid, numbers)})
    runs = dict(_probes(grid, inputs, numbers))
    if not runs:
        return Base()
    ratios, lost = _ratios(grid, runs, inputs, numbers, follow)
    titles = {one.key: one.title for probe in runs.values() for one in probe.compared}
    sheets = next(iter(runs.values())).run.sections[0].sheets
    return Base(ratios, _objectives(grid, sheets, numbers, ratios), titles, frozenset(lost))


def _objectives(
    grid: Grid, sheets: Sequence[Sheet], numbers: Places, ratios: Mapping[str, Floats]
) -> dict[str, Floats]:  # fmt: skip
    columns = next(sheet for sheet in sheets if sheet.key == "columns")
    limit = grid.design.basis.limits.settlement_total
    found = {}
    for objective in grid.size.objective:
        if objective != BY_SETTLEMENT:
            found[objective] = charges(grid, objective, columns, numbers)
        elif limit is not None and SETTLEMENT in ratios:
            found[objective] = ratios[SETTLEMENT] * limit
        else:
            message = "the objective settlement needs the limit basis.limits.settlement_total, and a replay of it"
            raise SizeError(message)
    return found


def first_run(grid: Grid, numbers: Places) -> tuple[Run, Design]:
    """The first combination that has a run, tried from the middle of the grid outward."""
    why = "columns touch in all of it"
    middle = numbers[np.argsort(np.abs(numbers - len(grid) // 2), kind="stable")]
    for number in middle[: 1 + len(middle) // 2 : max(1, len(middle) // 16)]:
        try:
            return run_of(grid, int(number))
        except (InputErrors, CalculationError) as error:
            why = str(error)
    message = f"no combination that was tried of the grid has a run: {why}"
    raise SizeError(message)


def run_of(grid: Grid, number: int) -> tuple[Run, Design]:
    """The run of a combination without slip searches, and the design that was read."""
    design = read_design(grid.design.source.parent, grid.text(number).encode())
    run = run_one(design, grid.section.key, slip=False)
    return run, design


def compared(run: Run) -> list[Rated]:
    """The required verdicts of the section itself that have a number: those that can exclude."""
    return [one for one in rated(run) if one.ratio is not None and one.key.count("/") == 1]


@dataclass(frozen=True)
class _Probe:
    """A run of all chapters but the slip searches at one combination."""

    run: Run
    design: Design
    compared: tuple[Rated, ...]

    @property
    def division(self) -> int:
        """How often its sublayers were halved."""
        return self.run.sections[0].section.halvings


def _probes(grid: Grid, inputs: Sequence[str], numbers: Places) -> Iterator[tuple[int, _Probe]]:
    """Runs in the middle of the values and at their ends: all low or high, and each the other way."""
    base: Design | None = None
    for number in _ends(grid, numbers):
        try:
            if base is None:
                run, base = run_of(grid, number)
            else:
                run = _run_with(base, grid, inputs, number)
        except (InputErrors, CalculationError):
            continue
        yield number, _Probe(run, run.design, tuple(compared(run)))


def _ends(grid: Grid, numbers: Places) -> list[int]:
    places = np.array(grid.places(numbers))
    low, high = places.min(axis=1), places.max(axis=1)
    corners = [(low + high) // 2, low, high]
    for k in np.flatnonzero(low != high):
        for ends, other in ((low, high), (high, low)):
            corner = ends.copy()
            corner[k] = other[k]
            corners.append(corner)
    there = set(numbers.tolist())
    wanted = dict.fromkeys(int(np.ravel_multi_index(tuple(corner), grid.shape)) for corner in corners)
    return [number for number in wanted if number in there]


def _run_with(base: Design, grid: Grid, inputs: Sequence[str], number: int) -> Run:
    """The run of a combination that differs from a design in numbers alone."""
    values = _values(grid, inputs, np.array([number]))
    section = next(one for one in base.sections if one.key == grid.section.key)
    design, changed = with_numbers(base, section, {path: float(value[0]) for path, value in values.items()})
    return run_one(replace(design, sections=(changed,)), grid.section.key, slip=False)


def varied_in(axis: Axis, grid: Grid, numbers: Places) -> list[str]:
    """The inputs of an axis that differ among combinations."""
    places = np.unique(grid.places(numbers)[grid.axis(axis.name)[0]])
    choices = [axis.choices[int(place)] for place in places]
    return [path for path in choices[0].numbers if len({choice.numbers[path] for choice in choices}) > 1]


def _ratios(
    grid: Grid, runs: Mapping[int, _Probe], inputs: Sequence[str], numbers: Places, follow: Follow
) -> tuple[dict[str, Floats], set[str]]:  # fmt: skip
    """Utilisation over its limit of every verdict followed, the least of all divisions, and the verdicts lost."""
    common = set[str].intersection(*({one.key for one in probe.compared} for probe in runs.values()))
    lost = {one.key for probe in runs.values() for one in probe.compared} - common
    first = next(iter(runs.values()))
    if not inputs:
        return {one.key: np.full(len(numbers), one.ratio) for one in first.compared if one.key in common}, lost
    values = _values(grid, inputs, numbers)
    least = dict[str, Floats]()
    for division in sorted({probe.division for probe in runs.values()}):
        of_division = {number: probe for number, probe in runs.items() if probe.division == division}
        probe = next(iter(of_division.values()))
        limits = _limits(probe.run)
        replayed, unfollowed = follow(probe.run, probe.design, grid.section.key, sorted(common - lost), inputs)
        lost |= unfollowed
        made = {} if replayed is None else {key: np.asarray(one) / limits[key] for key, one in replayed(values).items()}
        lost |= _different(made, of_division, numbers)
        for key, ratios in made.items():
            least[key] = np.minimum(least[key], ratios) if key in least else ratios
    return {key: ratios for key, ratios in least.items() if key not in lost}, lost


def _limits(run: Run) -> dict[str, float]:
    sheets = run.sections[0].sheets
    return {f"{sheet.key}/{verdict.key}": verdict.limit for sheet in sheets for verdict in sheet.verdicts}


def _different(made: Mapping[str, Floats], runs: Mapping[int, _Probe], numbers: Places) -> set[str]:
    """The verdicts whose replay is not what the runs say: a branch on a number lies between these."""
    found = set[str]()
    for number, probe in runs.items():
        place = int(np.searchsorted(numbers, number))
        for one in probe.compared:
            if one.key in made and not abs(made[one.key][place] - (one.ratio or 0.0)) <= SAME * max(
                abs(one.ratio or 0.0), SAME
            ):
                found.add(one.key)
    return found


def _values(grid: Grid, inputs: Sequence[str], numbers: Places) -> dict[str, Floats]:
    values = {}
    for axis in grid.axes:
        for path in axis.choices[0].numbers:
            if path in inputs:
                of_choices = np.array([choice.numbers.get(path, np.nan) for choice in axis.choices])
                values[path] = grid.along(axis.name, of_choices, numbers)
    return values

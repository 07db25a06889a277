"""Which combinations of a grid a required verdict of the closed chapters excludes, without a run of each."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Protocol

import numpy as np

from calc.chain import CalculationError, Run
from calc.engine.sheet import Sheet
from calc.inputs import Design, InputErrors, read_design
from calc.inputs.tables.size import SETTLEMENT as BY_SETTLEMENT
from calc.study.objectives import charges
from calc.study.size_grid import DIAMETER, SPACING, Axis, Floats, Grid, Places, SizeError
from calc.study.whole_section import SETTLEMENT, Rated, rated, run_one

KEPT_EXACT = 1e-9  # relative; a utilisation this close to its limit is left to the run of all chapters
SAME = 1e-7  # relative difference between a replay and a run
TOUCHING, NO_SOLUTION = "columns/touching", "no solution"
MUST_FOLLOW = ("sleeve/ring_tension", "sleeve/ring_tension_iso", SETTLEMENT)


class Replayed(Protocol):
    """Verdicts of a finished run as functions of inputs."""

    def __call__(self, values: Mapping[str, Floats]) -> Mapping[str, Floats]:
        """Utilisation of every verdict, one number a set of inputs."""


Follow = Callable[[Run, Design, str, Sequence[str], Sequence[str]], tuple[Replayed | None, frozenset[str]]]
"""What replays verdicts of a section over inputs, and the verdicts among them that it does not follow.

None where nothing can be replayed."""


@dataclass
class Screened:
    """Every combination of the grid as far as the closed verdicts tell of it.

    ``worst`` is the largest utilisation over its limit of those followed, ``by`` the number of that verdict in
    ``keys``; ``objectives`` are NaN where nothing was computed. ``left`` is not excluded.
    """

    grid: Grid
    keys: list[str]
    titles: dict[str, str]
    worst: Floats
    by: Places
    objectives: dict[str, Floats]
    ratios: dict[str, Floats]
    bases: int = 0
    unfollowed: dict[str, str] = field(default_factory=dict)

    @property
    def left(self) -> Places:
        """The combinations that no verdict excludes."""
        return np.flatnonzero(self.worst <= 1 + KEPT_EXACT)

    def excluded(self) -> dict[str, int]:
        """How many combinations are excluded, by the verdict furthest beyond its limit, most first."""
        out = self.worst > 1 + KEPT_EXACT
        counts = np.bincount(self.by[out], minlength=len(self.keys))
        order = np.argsort(-counts, kind="stable")
        return {self.keys[k]: int(counts[k]) for k in order if counts[k]}


def screen(grid: Grid, follow: Follow, tell: Callable[[str], None]) -> Screened:
    """Every combination, by one run without slip searches for each form of the inputs that a replay cannot cross."""
    n = len(grid)
    keys = [TOUCHING, NO_SOLUTION]
    titles = {TOUCHING: "Columns touch: spacing not above the diameter", NO_SOLUTION: "No solution, or inputs refused"}
    found = Screened(grid, keys, titles, np.zeros(n), np.zeros(n, dtype=np.intp), {}, {})
    everything = np.arange(n)
    spacing = grid.along(SPACING, grid.axis(SPACING)[1].numbers("columns.spacing"), everything)
    diameter = grid.along(DIAMETER, grid.axis(DIAMETER)[1].numbers("columns.diameter"), everything)
    found.worst[spacing <= diameter] = np.inf
    followed = _followed_axes(grid, follow, found.worst)
    limit = _settlement_limit(grid)
    for base in _bases(grid, followed):
        apart = base[np.isfinite(found.worst[base])]
        if apart.size:
            tell(f"screening: {int(base[-1]) + 1} of {n} combinations")
            _screen_base(found, apart, followed, follow, limit)
    return found


def _settlement_limit(grid: Grid) -> float | None:
    limit = grid.design.basis.limits.settlement_total
    if limit is None and BY_SETTLEMENT in grid.size.objective:
        message = "the objective settlement needs a limit, basis.limits.settlement_total, by which it is calculated"
        raise SizeError(message)
    return limit


def _bases(grid: Grid, followed: frozenset[str]) -> Iterator[Places]:
    """The combinations that one run stands for: equal in every axis that is not followed, and in form in the others."""
    groups = [_groups(axis, axis.name in followed) for axis in grid.axes]
    for parts in product(*groups):
        yield np.sort(np.ravel_multi_index(np.ix_(*parts), grid.shape), axis=None)


def _groups(axis: Axis, is_followed: bool) -> list[list[int]]:
    if not is_followed:
        return [[k] for k in range(len(axis.choices))]
    by_form: dict[object, list[int]] = {}
    for k, choice in enumerate(axis.choices):
        by_form.setdefault(choice.form, []).append(k)
    return list(by_form.values())


def _inputs(axis: Axis) -> tuple[str, ...]:
    """The inputs that differ between values of an axis that have one form."""
    by_form: dict[object, list[Mapping[str, float]]] = {}
    for choice in axis.choices:
        by_form.setdefault(choice.form, []).append(choice.numbers)
    varied = {path for group in by_form.values() for path in group[0] if len({one[path] for one in group}) > 1}
    return tuple(sorted(varied))


def _followed_axes(grid: Grid, follow: Follow, worst: Floats) -> frozenset[str]:
    """The axes over which ring tension and settlement can be replayed, and those whose values have no number."""
    run, design = _first_run(grid, np.flatnonzero(np.isfinite(worst)))
    key = grid.section.key
    verdicts = [one.key for one in _compared(run) if one.key in MUST_FOLLOW]
    of_axes = {axis.name: _inputs(axis) for axis in grid.axes}
    every = [path for inputs in of_axes.values() for path in inputs]
    if not every or not follow(run, design, key, verdicts, every)[1]:
        return frozenset(of_axes)
    return frozenset(
        name for name, inputs in of_axes.items() if not inputs or not follow(run, design, key, verdicts, inputs)[1]
    )


def _first_run(grid: Grid, numbers: Places) -> tuple[Run, Design]:
    """The first combination that has a run, tried from the middle of the grid outward."""
    why = "columns touch in all of it"
    middle = numbers[np.argsort(np.abs(numbers - len(grid) // 2), kind="stable")]
    for number in middle[: 1 + len(middle) // 2 : max(1, len(middle) // 16)]:
        try:
            return _run_of(grid, int(number))
        except (InputErrors, CalculationError) as error:
            why = str(error)
    message = f"no combination that was tried of the grid has a run: {why}"
    raise SizeError(message)


def _run_of(grid: Grid, number: int) -> tuple[Run, Design]:
    design = read_design(grid.design.source.parent, grid.text(number).encode())
    run = run_one(design, grid.section.key, slip=False)
    return run, design


def _compared(run: Run) -> list[Rated]:
    """The required verdicts of the section itself that have a number: those that can exclude."""
    return [one for one in rated(run) if one.ratio is not None and one.key.count("/") == 1]


def _screen_base(
    found: Screened, numbers: Places, followed: frozenset[str], follow: Follow, limit: float | None
) -> None:  # fmt: skip
    """Screen combinations of one form by runs at the ends of their values.

    Where the division into sublayers differs between these runs, a combination is excluded only if it fails with
    each of the divisions. A verdict that a replay does not give at all of these runs is left to the runs of all
    chapters.
    """
    grid = found.grid
    runs = dict(_probes(grid, numbers))
    if not runs:
        found.worst[numbers] = np.inf
        found.by[numbers] = found.keys.index(NO_SOLUTION)
        return
    found.bases += 1
    inputs = sorted({path for axis in grid.axes if axis.name in followed for path in _varied_in(axis, grid, numbers)})
    ratios, lost = _ratios(grid, runs, inputs, numbers, follow)
    first = next(iter(runs.values())).run
    found.titles |= {one.key: one.title for probe in runs.values() for one in probe.compared}
    found.unfollowed |= {key: found.titles[key] for key in lost}
    for key, values in ratios.items():
        _take_verdict(found, key, values, numbers)
    _take_objectives(found, first.sections[0].sheets, numbers, ratios, limit)


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


def _probes(grid: Grid, numbers: Places) -> Iterator[tuple[int, _Probe]]:
    """Runs in the middle of the values and at their ends: all low or high, and each the other way."""
    places = np.array(grid.places(numbers))
    low, high = places.min(axis=1), places.max(axis=1)
    corners = [(low + high) // 2, low, high]
    for k in np.flatnonzero(low != high):
        for ends, other in ((low, high), (high, low)):
            corner = ends.copy()
            corner[k] = other[k]
            corners.append(corner)
    wanted = dict.fromkeys(int(np.ravel_multi_index(tuple(corner), grid.shape)) for corner in corners)
    there = set(numbers.tolist())
    for number in (number for number in wanted if number in there):
        try:
            run, design = _run_of(grid, number)
        except (InputErrors, CalculationError):
            continue
        yield number, _Probe(run, design, tuple(_compared(run)))


def _varied_in(axis: Axis, grid: Grid, numbers: Places) -> list[str]:
    """The inputs of an axis that differ among combinations."""
    places = np.unique(grid.places(numbers)[grid.axis(axis.name)[0]])
    choices = [axis.choices[int(place)] for place in places]
    return [path for path in choices[0].numbers if len({choice.numbers[path] for choice in choices}) > 1]


def _ratios(
    grid: Grid, runs: Mapping[int, _Probe], inputs: Sequence[str], numbers: Places, follow: Follow
) -> tuple[dict[str, Floats], set[str]]:  # fmt: skip
    """Utilisation over its limit of every verdict followed, the least of all divisions; and the verdicts that are not."""
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


def _take_verdict(found: Screened, key: str, values: Floats, numbers: Places) -> None:
    if key not in found.keys:
        found.keys.append(key)
        found.ratios[key] = np.full(len(found.worst), np.nan)
    found.ratios[key][numbers] = values
    worse = values > found.worst[numbers]
    found.worst[numbers[worse]] = values[worse]
    found.by[numbers[worse]] = found.keys.index(key)


def _take_objectives(
    found: Screened, sheets: Sequence[Sheet], numbers: Places, ratios: Mapping[str, Floats], limit: float | None
) -> None:  # fmt: skip
    columns = next(sheet for sheet in sheets if sheet.key == "columns")
    for objective in found.grid.size.objective:
        values = found.objectives.setdefault(objective, np.full(len(found.worst), np.nan))
        if objective == BY_SETTLEMENT:
            values[numbers] = ratios[SETTLEMENT] * (limit or np.nan)
        else:
            values[numbers] = charges(found.grid, objective, columns, numbers)

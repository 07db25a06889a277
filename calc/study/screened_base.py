"""The closed verdicts of combinations of one form: runs at the ends of their values, replays between these."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Protocol

import numpy as np

from calc.chain import CalculationError, Run
from calc.inputs import Design, InputErrors, read_design
from calc.inputs.tables.sizing import SETTLEMENT as BY_SETTLEMENT
from calc.study.size_grid import Axis, Floats, Grid, Places, SizeError
from calc.study.whole_section import SETTLEMENT, Rated, rated_verdicts, run_one

SAME = 1e-7  # relative difference between a replay and a run
KEPT_EXACT = 1e-9  # relative; a utilisation this close to its limit is left to the run of all chapters
NO_SOLUTION = "no solution"
Cases = Mapping[str, dict[str, tuple[str, ...]]]


class Replayed(Protocol):
    """Verdicts of a finished run as functions of inputs."""

    def __call__(self, values: Mapping[str, Floats]) -> Mapping[str, Floats]:
        """Utilisation of every verdict, one number a set of inputs."""


class Follow(Protocol):
    """What replays verdicts of a section over inputs, all of their cases or ``only`` some."""

    def __call__(
        self, run: Run, section: str, verdicts: Sequence[str], inputs: Sequence[str], only: Cases,
        *, confirmed: bool = False,
    ) -> tuple[Replayed | None, frozenset[str]]:  # fmt: skip
        """The replay, None where nothing can be followed, and the verdicts that it leaves out.

        ``confirmed`` where another replay of these verdicts and inputs has agreed with runs of the chain.
        """


@dataclass(frozen=True)
class Probe:
    """A run of all chapters but the slip searches at one combination, as plain data.

    ``ratios`` are utilisations over their limits, ``cases`` the labels at which these verdicts govern.
    """

    ratios: Mapping[str, float]
    titles: Mapping[str, str]
    cases: Mapping[str, Mapping[str, str]]
    division: int


@dataclass(frozen=True)
class Division:
    """Replays of one division into sublayers: of all cases, and ``quick`` ones of those that govern at the ends."""

    limits: Mapping[str, float]
    whole: Replayed
    quick: Replayed
    settlement: Replayed


@dataclass(frozen=True)
class Base:
    """Combinations that one set of replays stands for; without any, each is run by itself."""

    numbers: Places
    inputs: tuple[str, ...]
    divisions: tuple[Division, ...] = ()
    titles: Mapping[str, str] | None = None
    lost: frozenset[str] = frozenset()


def made_base(
    grid: Grid, numbers: Places, followed: frozenset[str], follow: Follow, probes: Iterator[Probe | None]
) -> Base:  # fmt: skip
    """Replays for combinations of one form, which must agree with the runs at the ends of their values.

    Where the division into sublayers differs between the runs, each has its replay, and the least utilisation of all
    counts. A verdict that is not everywhere, or that a replay does not give as a run does, is lost: only the runs of
    all chapters judge it.
    """
    inputs = inputs_varied(grid, numbers, followed)
    if not inputs:
        return Base(numbers, inputs)
    ends = ends_of(grid, numbers)
    results = {
        number: result for number, result in zip(ends, islice(probes, len(ends)), strict=True) if result is not None
    }
    if not results:
        return Base(numbers, ())
    common = frozenset[str].intersection(*(frozenset(result.ratios) for result in results.values()))
    titles = {key: title for result in results.values() for key, title in result.titles.items()}
    divisions, lost = list[Division](), frozenset(titles) - common
    for division in sorted({result.division for result in results.values()}):
        of_division = {number: result for number, result in results.items() if result.division == division}
        made, unfollowed = _division(grid, of_division, inputs, sorted(common - lost), follow)
        lost |= unfollowed
        if made is None:
            return Base(numbers, ())
        divisions.append(made)
    return Base(numbers, inputs, tuple(divisions), titles, lost)


def inputs_varied(grid: Grid, numbers: Places, followed: frozenset[str]) -> tuple[str, ...]:
    """The inputs on axes that are followed that differ among combinations."""
    return tuple(
        sorted({path for axis in grid.axes if axis.name in followed for path in varied_in(axis, grid, numbers)})
    )


def _division(
    grid: Grid, runs: Mapping[int, Probe], inputs: Sequence[str], verdicts: Sequence[str], follow: Follow
) -> tuple[Division | None, frozenset[str]]:
    run, _ = run_of(grid, next(iter(runs)))
    key, lost = grid.section.key, frozenset[str]()
    whole, unfollowed = follow(run, key, verdicts, inputs, {})
    if whole is None:
        return None, frozenset()
    numbers = np.array(list(runs))
    limits = _limits(run)
    made = whole(inputs_of(grid, inputs, numbers))
    lost = unfollowed | _different({name: made[name] / limits[name] for name in made}, list(runs.values()))
    kept = [name for name in verdicts if name not in lost]
    cases = {name: _governing([result.cases[name] for result in runs.values()]) for name in kept}
    quick, _ = follow(run, key, kept, inputs, cases, confirmed=True)
    if quick is not None:
        at_ends = quick(inputs_of(grid, inputs, numbers))
        if not all(np.allclose(at_ends[name], made[name], rtol=SAME, atol=0) for name in kept):
            quick = None  # fewer cases must give the same where they are those that govern
    settles = [SETTLEMENT] if BY_SETTLEMENT in grid.size.objective and SETTLEMENT in kept else []
    settlement, _ = follow(run, key, settles, inputs, {}, confirmed=True)
    return Division(limits, whole, quick or whole, settlement or whole), lost


def _governing(cases: Sequence[Mapping[str, str]]) -> dict[str, tuple[str, ...]]:
    """The labels at which a verdict governs in some run, by axis; an axis that some run does not name is left whole."""
    axes = [axis for axis in cases[0] if all(axis in case for case in cases)]
    return {axis: tuple(dict.fromkeys(case[axis] for case in cases)) for axis in axes}


def _different(made: Mapping[str, Floats], runs: Sequence[Probe]) -> frozenset[str]:
    """The verdicts whose replay is not what the runs say: a branch on a number lies between these."""
    expected = {name: np.array([result.ratios[name] for result in runs]) for name in made}
    return frozenset(
        name for name, ratios in made.items() if not np.allclose(ratios, expected[name], rtol=SAME, atol=0)
    )


def screened_utilisations(base: Base, grid: Grid, numbers: Places, *, whole: bool) -> tuple[Floats, list[str]]:
    """The largest utilisation over its limit of each combination by its verdicts, and which verdict that is.

    Of all cases where ``whole``, else of those that govern at the ends, which is less at most: what fails at some of
    its cases fails.
    """
    if not base.divisions:
        return _by_runs(grid, numbers)
    return _worst(
        _least(base, grid, numbers, lambda division: division.whole if whole else division.quick), len(numbers)
    )


def ratios(base: Base, grid: Grid, numbers: Places) -> dict[str, Floats]:
    """Utilisation over its limit of every verdict of combinations, over all cases."""
    if base.divisions:
        return _least(base, grid, numbers, lambda division: division.whole)
    results = [probe(grid, int(number)) for number in numbers]
    keys = {key for result in results if result for key in result.ratios}
    return {
        key: np.array([result.ratios.get(key, np.nan) if result else np.nan for result in results])
        for key in sorted(keys)
    }


def settlements(base: Base, grid: Grid, numbers: Places) -> Floats:
    """Utilisation of the settlement alone; infinite where there is no solution."""
    if not base.divisions:
        made = ratios(base, grid, numbers).get(SETTLEMENT, np.full(len(numbers), np.nan))
        return np.where(np.isnan(made), np.inf, made)
    by_verdict = _least(base, grid, numbers, lambda division: division.settlement)
    if SETTLEMENT not in by_verdict:
        message = "the objective settlement needs the limit basis.limits.settlement_total, and that it can be replayed"
        raise SizeError(message)
    return by_verdict[SETTLEMENT]


def _least(base: Base, grid: Grid, numbers: Places, which: Callable[[Division], Replayed]) -> dict[str, Floats]:
    """Utilisations over their limits, the least of all divisions."""
    values = inputs_of(grid, base.inputs, numbers)
    least = dict[str, Floats]()
    for division in base.divisions:
        for key, made in which(division)(values).items():
            ratio = made / division.limits[key]
            least[key] = np.minimum(least[key], ratio) if key in least else ratio
    return {key: ratio for key, ratio in least.items() if key not in base.lost}


def _worst(by_verdict: Mapping[str, Floats], count: int) -> tuple[Floats, list[str]]:
    if not by_verdict:
        return np.zeros(count), [""] * count
    keys, stacked = list(by_verdict), np.array(list(by_verdict.values()))
    worst = stacked.max(axis=0)
    # Infinite is what a replay gives where the chain would have no solution: no verdict fails there.
    by = [
        keys[k] if known else NO_SOLUTION for k, known in zip(stacked.argmax(axis=0), np.isfinite(worst), strict=True)
    ]
    return worst, by


def _by_runs(grid: Grid, numbers: Places) -> tuple[Floats, list[str]]:
    worst, by = np.full(len(numbers), np.inf), [NO_SOLUTION] * len(numbers)
    for place, number in enumerate(numbers):
        result = probe(grid, int(number))
        if result is not None:
            by[place] = max(result.ratios, key=lambda key: result.ratios[key], default="")
            worst[place] = result.ratios.get(by[place], 0.0)
    return worst, by


def probe(grid: Grid, number: int) -> Probe | None:
    """The run of a combination without slip searches; None where its inputs are refused or it has no solution."""
    try:
        run, _ = run_of(grid, number)
    except (InputErrors, CalculationError):
        return None
    ratings = excluding_verdicts(run, grid.hanging)
    by_key = {f"{sheet.key}/{verdict.key}": verdict for sheet in run.sections[0].sheets for verdict in sheet.verdicts}
    return Probe(
        {rating.key: rating.ratio or 0.0 for rating in ratings}, {rating.key: rating.title for rating in ratings},
        {rating.key: dict(by_key[rating.key].case) for rating in ratings}, run.sections[0].section.halvings,
    )  # fmt: skip


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
    design = read_design(grid.design.source.parent, grid.run_text(number).encode())
    run = run_one(design, grid.section.key, slip=False)
    return run, design


def excluding_verdicts(run: Run, hanging: frozenset[str] = frozenset()) -> list[Rated]:
    """The required verdicts of the section itself that have a number: those that can exclude, if they do not hang."""
    return [
        rating
        for rating in rated_verdicts(run)
        if rating.ratio is not None and rating.key.count("/") == 1 and rating.key not in hanging
    ]


def ends_of(grid: Grid, numbers: Places) -> list[int]:
    """Combinations in the middle of the values and at their ends: all low, all high, and each high alone."""
    places = np.array(grid.places(numbers))
    low, high = places.min(axis=1), places.max(axis=1)
    corners = [(low + high) // 2, low, high]
    for k in np.flatnonzero(low != high):
        corner = low.copy()
        corner[k] = high[k]
        corners.append(corner)
    there = set(numbers.tolist())
    wanted = dict.fromkeys(int(np.ravel_multi_index(tuple(corner), grid.shape)) for corner in corners)
    return [number for number in wanted if number in there]


def varied_in(axis: Axis, grid: Grid, numbers: Places) -> list[str]:
    """The inputs of an axis that differ among combinations."""
    places = np.unique(grid.places(numbers)[grid.axis(axis.name)[0]])
    choices = [axis.choices[int(place)] for place in places]
    return [path for path in choices[0].numbers if len({choice.numbers[path] for choice in choices}) > 1]


def _limits(run: Run) -> dict[str, float]:
    sheets = run.sections[0].sheets
    return {f"{sheet.key}/{verdict.key}": verdict.limit for sheet in sheets for verdict in sheet.verdicts}


def inputs_of(grid: Grid, inputs: Sequence[str], numbers: Places) -> dict[str, Floats]:
    """The numbers of inputs for combinations."""
    values = {}
    for axis in grid.axes:
        for path in axis.choices[0].numbers:
            if path in inputs:
                of_choices = np.array([choice.numbers.get(path, np.nan) for choice in axis.choices])
                values[path] = grid.along(axis.name, of_choices, numbers)
    return values

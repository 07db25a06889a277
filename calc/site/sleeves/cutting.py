"""Rolls cut into sleeves with the least length of rolls: patterns, an exact integer programme, and its bound."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, gcd

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, linprog, milp

Array = NDArray[np.float64]
Counts = NDArray[np.int64]
MILLIMETRES, HAIR = 1000, 1e-6
MOST_PATTERNS = 20_000
MOST_ROUNDS = 400
NO_GAIN = 1e-9


class CuttingError(ValueError):
    """Sleeves that no roll is long enough for."""


@dataclass(frozen=True)
class Pattern:
    """How a roll is cut: its length in m, sleeves of every length, and how many rolls are cut so."""

    roll: float
    pieces: tuple[int, ...]
    rolls: int


@dataclass(frozen=True)
class CutPlan:
    """The patterns that are cut, with the length of all rolls and the least length that any plan would need, m."""

    patterns: tuple[Pattern, ...]
    metres: float
    bound: float

    @property
    def optimal(self) -> bool:
        """Whether no plan needs less."""
        return self.metres <= self.bound + 1e-6


def cut_rolls(
    lengths: Sequence[float], counts: Sequence[int], rolls: Sequence[float], loss: float, seconds: float
) -> CutPlan:  # fmt: skip
    """Cut sleeves of lengths (m) and counts from rolls of some lengths, each sleeve with a loss (m).

    Patterns to which no sleeve can be added are enough, because what is cut too often is not cut. Where they are few,
    all of them are given to the integer programme, whose bound holds; else those that the linear programme asks for,
    whose own optimum is the bound. ``seconds`` end the search. Raises ``CuttingError`` where a sleeve fits no roll.
    """
    # Whole millimetres, pieces up and rolls down: what is cut is never shorter than what is asked for.
    pieces = [ceil(MILLIMETRES * (length + loss) - HAIR) for length in lengths]
    stock = [floor(MILLIMETRES * roll + HAIR) for roll in rolls]
    if max(pieces) > max(stock):
        message = f"a sleeve of {max(lengths):g} m is longer than every roll ({max(rolls):g} m)"
        raise CuttingError(message)
    demand = np.array(counts, dtype=float)
    patterns = _every_pattern(pieces, stock)
    whole = patterns is not None
    if patterns is None:
        patterns, bound = _asked_for(pieces, stock, demand)
    cost = np.array([pattern[0] for pattern in patterns], dtype=float)
    matrix = np.array([pattern[1] for pattern in patterns], dtype=float).T
    relaxed = linprog(cost, A_ub=-matrix, b_ub=-demand)
    bound = float(relaxed.fun) if whole else bound
    # Rolls are whole: no plan has a length between two multiples of what their lengths have in common.
    common = gcd(*stock)
    bound = common * np.ceil(bound / common - 1e-6)
    times = _whole_rolls(matrix, cost, demand, relaxed.x, seconds / 4)
    if times @ cost > bound:
        times, lower = _integer_plan(matrix, cost, demand, times, seconds)
        bound = max(bound, common * np.ceil(lower / common - 1e-6)) if whole else bound
    used = tuple(Pattern(patterns[k][0] / MILLIMETRES, patterns[k][1], int(times[k])) for k in np.flatnonzero(times))
    return CutPlan(used, float(times @ cost) / MILLIMETRES, float(bound) / MILLIMETRES)


def _whole_rolls(matrix: Array, cost: Array, demand: Array, relaxed: Array, seconds: float) -> Counts:
    """The whole rolls of the linear programme, and the best plan for the few sleeves that they leave."""
    times = np.floor(relaxed + 1e-9).astype(np.int64)
    left = np.maximum(demand - matrix @ times, 0)
    if not left.any():
        return times
    rest, _ = _integer_plan(matrix, cost, left, _one_by_one(matrix, cost, left), seconds)
    return times + rest


def _integer_plan(matrix: Array, cost: Array, demand: Array, known: Counts, seconds: float) -> tuple[Counts, float]:
    """The better of a known plan and the one of the integer programme, and the bound that its search ended with."""
    solution = milp(cost, constraints=LinearConstraint(matrix, lb=demand), integrality=np.ones(len(cost)),
                 options={"time_limit": seconds, "mip_rel_gap": 0.0})  # fmt: skip
    bound = 0.0 if solution.mip_dual_bound is None else float(solution.mip_dual_bound)
    if solution.x is not None and np.round(solution.x) @ cost < known @ cost:
        return np.round(solution.x).astype(np.int64), bound
    return known, bound


def _every_pattern(pieces: Sequence[int], stock: Sequence[int]) -> list[tuple[int, tuple[int, ...]]] | None:
    """Every pattern of every roll to which no piece can be added; None where there are too many."""
    patterns = []
    for roll in stock:
        if roll < min(pieces):
            continue
        for pattern in _patterns(pieces, roll):
            patterns.append((roll, pattern))
            if len(patterns) > MOST_PATTERNS:
                return None
    return patterns


def _patterns(pieces: Sequence[int], roll: int) -> Iterator[tuple[int, ...]]:
    """The patterns of a roll, each with no room left for another piece."""
    least = min(pieces)

    def fill(k: int, rest: int, taken: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if k == len(pieces) - 1:
            taken = (*taken, rest // pieces[k])
            if rest - taken[-1] * pieces[k] < least:
                yield taken
            return
        for count in range(rest // pieces[k], -1, -1):
            yield from fill(k + 1, rest - count * pieces[k], (*taken, count))

    yield from fill(0, roll, ())


def _asked_for(
    pieces: Sequence[int], stock: Sequence[int], demand: Array
) -> tuple[list[tuple[int, tuple[int, ...]]], float]:  # fmt: skip
    """Patterns by column generation: as long as one lowers the cost of the linear programme, and its optimum, mm."""
    patterns = [
        (min(roll for roll in stock if roll >= piece), tuple(int(k == j) for j in range(len(pieces))))
        for k, piece in enumerate(pieces)
    ]
    worth = 0.0
    for _ in range(MOST_ROUNDS):
        cost = np.array([pattern[0] for pattern in patterns], dtype=float)
        matrix = np.array([pattern[1] for pattern in patterns], dtype=float).T
        relaxed = linprog(cost, A_ub=-matrix, b_ub=-demand)
        prices = -relaxed.ineqlin.marginals
        best = [(roll, *_best_pattern(pieces, prices, roll)) for roll in stock]
        # By duality a plan costs at least the optimum, lessened by the largest gain that is left.
        worth = max(worth, float(relaxed.fun) * min(1.0, *(roll / max(gain, NO_GAIN) for roll, gain, _ in best)))
        new = [(roll, pattern) for roll, gain, pattern in best if gain > roll * (1 + NO_GAIN)]
        if not new:
            break
        patterns += new
    return patterns, worth


def _best_pattern(pieces: Sequence[int], prices: Array, roll: int) -> tuple[float, tuple[int, ...]]:
    """The pattern of a roll whose pieces are worth most, by the programme over its length; and what it is worth."""
    unit = gcd(*pieces)
    sizes = np.array([piece // unit for piece in pieces])
    room = roll // unit
    value, taken = np.zeros(room + 1), np.full(room + 1, -1)
    for length in range(1, room + 1):
        value[length] = value[length - 1]
        fits = np.flatnonzero(sizes <= length)
        if len(fits):
            worth = value[length - sizes[fits]] + prices[fits]
            k = int(np.argmax(worth))
            if worth[k] > value[length] + NO_GAIN:
                value[length], taken[length] = worth[k], fits[k]
    counts, length = [0] * len(pieces), room
    while length > 0:
        k = int(taken[length])
        if k >= 0:
            counts[k] += 1
        length -= int(sizes[k]) if k >= 0 else 1
    return float(value[room]), tuple(counts)


def _one_by_one(matrix: Array, cost: Array, demand: Array) -> Counts:
    """A plan where the time ended before one was found: again and again the pattern with the least length a piece."""
    times, left = np.zeros(len(cost), dtype=np.int64), demand.copy()
    while (left > 0).any():
        useful = np.minimum(matrix, left[:, None]).sum(axis=0)
        k = int(np.argmin(np.where(useful > 0, cost / np.maximum(useful, NO_GAIN), np.inf)))
        times[k] += 1
        left = np.maximum(left - matrix[:, k], 0)
    return times

"""Monte Carlo by scrambled Sobol' points: randomised replicates, their bounds, how the result settles."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from scipy import stats
from scipy.special import ndtri

from calc.run_progress import Tell
from calc.study.chunks import KeptChunks, worked_out
from calc.study.engines import Engine
from calc.study.vary.in_chunks import CHUNK, model_numbers
from calc.study.vary.marginals import Floats, Joint, Model

CONFIDENCE = 0.95
FIRST = 64  # points of a replicate at which the course of the estimate begins
SHOWN = 512  # points of the first replicate that are kept for a figure
HALF_CELL = 2.0**-31  # the points are multiples of 2^-30: moved to the middle of their cells, none lies at 0


@dataclass(frozen=True, slots=True)
class Question:
    """What every replicate asks: one task of an engine is the number of a replicate.

    `centre` moves the points to a design point; their weights are the quotient of both densities then. With `beside`,
    other design points (count, size), a replicate has points around each, weighed by the mean of their densities.
    `stream` keeps the random numbers of different questions apart.
    """

    model: Model
    joint: Joint
    seed: int
    points: int
    verdicts: tuple[str, ...]
    centre: Floats | None = None
    beside: Floats | None = None
    stream: int = 0
    words: str = "replicate {done} of {count}"

    @property
    def places(self) -> list[list[float]]:
        """The points around which a replicate samples; those around the medians have none."""
        both = [*([] if self.centre is None else [self.centre]), *([] if self.beside is None else self.beside)]
        return [centre.tolist() for centre in both]

    @property
    def centres(self) -> int:
        """Around how many points a replicate samples."""
        return max(len(self.places), 1)

    @property
    def each(self) -> int:
        """Points of a replicate around each of them, a power of two."""
        return int(self.points // 2 ** math.ceil(math.log2(self.centres)))


@dataclass(frozen=True, slots=True)
class Probability:
    """A probability of failure with its bounds, from replicates."""

    value: float
    low: float
    high: float
    failures: int
    points: int


@dataclass(frozen=True, slots=True)
class Sampled:
    """What the replicates say of one limit state.

    `course` has rows of points used, estimate, lower and upper bound; `scatter` utilisations of the first points.
    """

    verdict: str
    probability: Probability
    course: Floats
    mean: float
    deviation: float
    unsolved: int
    scatter: Floats


def sobol_points(size: int, seed: int | np.random.Generator, first: int) -> Any:
    """Scrambled Sobol' points of the library from the `first` one on."""
    from scipy.stats import qmc  # noqa: PLC0415 - a second that only sampling needs

    sequence = qmc.Sobol(size, scramble=True, seed=seed)  # under its newer name a number gives other points
    return sequence.fast_forward(first) if first else sequence


def normal_blocks(size: int, points: int, key: tuple[int, ...], first: int = 0) -> Iterator[Floats]:
    """Scrambled Sobol' points (CHUNK, size) as independent standard normal variables; one key, the same points.

    So many from the `first` one on, of which one block is held at a time. Sobol' (1967); scrambling by Owen (1995),
    here by random linear matrices and a digital shift (Matoušek 1998), as the library has it; all from memory.
    """
    sequence = sobol_points(size, np.random.default_rng(key), first)
    for at in range(0, points, CHUNK):
        block: Floats = ndtri(sequence.random(min(CHUNK, points - at)) + HALF_CELL)
        yield block


def first_points(size: int, points: int, seed: int) -> Floats:
    """The points of the first replicate whose utilisations are kept for the scatter."""
    return next(normal_blocks(size, min(SHOWN, points), (seed, 0, 0)))


def ladder(points: int) -> list[int]:
    """Numbers of points of a replicate at which the course is read: powers of two up to all."""
    return [2**k for k in range(int(np.log2(FIRST)), int(np.log2(points)) + 1)]


class Tally:
    """What is kept of the utilisations of a replicate, block by block: the same numbers as of all points at once."""

    def __init__(self, points: int, centres: int = 1) -> None:
        self._ladder, self._centres = np.array(ladder(points)), centres
        self._done, self._failed = 0, 0.0
        self._failing: list[Floats] = []
        self._sums: list[Floats] = []

    def add(self, array: Floats, weights: Floats) -> None:
        """Take the next block, of as many points around each centre."""
        failing = np.where(array > 1.0, weights, 0.0)
        if self._centres > 1:
            failing = failing.reshape(self._centres, -1).mean(axis=0)
        failing[0] += self._failed  # one sum in the order of the points
        course = np.cumsum(failing)
        here = self._ladder[(self._ladder > self._done) & (self._ladder <= self._done + len(course))]
        self._failing.append(course[here - self._done - 1])
        self._done, self._failed = self._done + len(course), float(course[-1])
        solved = np.isfinite(array)
        self._sums.append(np.array([
            np.count_nonzero(array > 1.0), np.count_nonzero(solved), array[solved].sum(), (array[solved] ** 2).sum(),
        ]))  # fmt: skip

    @property
    def failing(self) -> Floats:
        """Weights of the failures up to each point of the ladder."""
        return np.concatenate(self._failing)

    @property
    def sums(self) -> Floats:
        """Failures, points solved, sum of their utilisations and of the squares."""
        sums = np.array(self._sums)
        while len(sums) > 1:  # by halves, as numpy adds a long array; blocks are a power of two
            sums = sums[::2] + sums[1::2]
        return np.asarray(sums[0])


def replicate(question: Question, index: int) -> dict[str, Floats]:
    """One replicate: sums that say all that is needed of it, plain arrays by name; one block of points is held."""
    joint = question.joint
    tallies = {verdict: Tally(question.each, question.centres) for verdict in question.verdicts}
    parts: dict[str, Floats] = {}
    for u, weights in _points_and_weights(question, index):
        by_verdict = model_numbers(question.model, joint.values(u))
        for verdict, tally in tallies.items():
            tally.add(by_verdict[verdict], weights)
        if index == 0 and not parts:
            parts = {f"{verdict} shown": by_verdict[verdict][:SHOWN] for verdict in question.verdicts}
            parts["scores"] = joint.scores(u[:SHOWN])
    for verdict, tally in tallies.items():
        parts |= {f"{verdict} failing": tally.failing, f"{verdict} sums": tally.sums}
    return parts


def _points_and_weights(question: Question, index: int) -> Iterator[tuple[Floats, Floats]]:
    """Blocks of points of a replicate, and how much each counts."""
    centre, key = question.centre, (question.seed, question.stream, index)
    if centre is not None and question.beside is not None:
        yield from _around_several(question, np.concatenate([centre[None], question.beside]), key)
        return
    for u in normal_blocks(question.joint.size, question.points, key):
        if centre is None:
            yield u, np.ones(len(u))
        else:
            # φ(u + c)/φ(u) of points around c, with u counted from c.
            along = np.einsum("nj,j->n", u, centre, optimize=False)
            yield u + centre, np.exp(-along - 0.5 * float(np.sum(centre**2)))


def _around_several(
    question: Question, centres: Floats, key: tuple[int, ...]
) -> Iterator[tuple[Floats, Floats]]:  # fmt: skip
    """Blocks of as many points around each centre, weighed by the mean of the densities around all of them."""
    apart = [normal_blocks(question.joint.size, question.each, (*key, k)) for k in range(len(centres))]
    for blocks in zip(*apart, strict=True):
        u = np.concatenate([centre + block for centre, block in zip(centres, blocks, strict=True)])
        # The density of points around c over that of points around the medians is exp(u c - c²/2).
        along = np.einsum("nj,ij->ni", u, centres, optimize=False) - 0.5 * (centres**2).sum(axis=1)
        yield u, 1.0 / np.exp(along).mean(axis=1)


def sampled_replicates(
    question: Question, replicates: int, engine: Engine, kept: KeptChunks | None = None, tell: Tell | None = None
) -> tuple[dict[str, Sampled], Floats]:
    """Ask all replicates, add up in their order; also the normal scores (points shown, inputs) of the scatter.

    Replicates that `kept` has are not worked out again.
    """
    tasks = list(range(replicates))
    failing = {verdict: list[Floats]() for verdict in question.verdicts}
    sums = {verdict: np.zeros(4) for verdict in question.verdicts}
    shown: dict[str, Floats] = {}
    scores = np.zeros((0, question.joint.size))
    for parts in worked_out(engine, partial(replicate, question), tasks, kept=kept, tell=tell, words=question.words):
        for verdict in question.verdicts:
            failing[verdict].append(parts[f"{verdict} failing"])
            sums[verdict] += parts[f"{verdict} sums"]
            if "scores" in parts:
                shown[verdict] = parts[f"{verdict} shown"]
        scores = parts.get("scores", scores)
    answers = {verdict: _estimate(verdict, np.array(failing[verdict]), sums[verdict], question, shown[verdict])
               for verdict in question.verdicts}  # fmt: skip
    return answers, scores


def _estimate(verdict: str, failing: Floats, sums: Floats, question: Question, shown: Floats) -> Sampled:
    counts = np.array(ladder(question.each))
    plain = question.centre is None
    course = np.array([
        (count * len(failing), *bounds(failing[:, k] / count, count * len(failing), plain=plain))
        for k, count in enumerate(counts)
    ])  # fmt: skip
    failed, solved, total, squares = sums
    mean = total / solved if solved else np.nan
    variance = max(squares / solved - mean**2, 0.0) if solved else np.nan
    whole = question.centres * question.each * len(failing)
    value, low, high = course[-1, 1:]
    probability = Probability(float(value), float(low), float(high), int(failed), whole)
    return Sampled(verdict, probability, course, float(mean), float(np.sqrt(variance)), whole - int(solved), shown)


def bounds(estimates: Floats, points: int, *, plain: bool) -> tuple[float, float, float]:
    """Mean of the estimates of replicates with 95 % bounds.

    Student's, from the scatter of the replicates; of plain counts the wider of these and the exact ones of Clopper &
    Pearson (1934) for so many independent points, because replicates without a failure do not scatter at all.
    """
    count, value = len(estimates), float(estimates.mean())
    half = float(stats.t.ppf(0.5 + CONFIDENCE / 2, count - 1) * estimates.std(ddof=1) / np.sqrt(count))
    low, high = max(value - half, 0.0), min(value + half, 1.0)
    if not plain:
        return value, low, high
    failures = round(value * points)
    exact = clopper_pearson(failures, points)
    return value, min(low, exact[0]), max(high, exact[1])


def clopper_pearson(failures: int, points: int) -> tuple[float, float]:
    """Exact bounds of a probability of which so many of so many points failed."""
    tail = (1 - CONFIDENCE) / 2
    low = stats.beta.ppf(tail, failures, points - failures + 1) if failures else 0.0
    high = stats.beta.isf(tail, failures + 1, points - failures) if failures < points else 1.0
    return float(low), float(high)


def reliability_index(probability: float) -> float:
    """β = -Φ⁻¹(p), infinite for 0 and 1."""
    return float(-ndtri(probability))

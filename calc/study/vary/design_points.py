"""The design point of FORM, and subset simulation for small probabilities."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from calc.study.vary.in_chunks import NoNumberError
from calc.study.vary.marginals import Floats

STEP = 1e-4  # of the central differences in the space of normal variables
ON_SURFACE = 1e-4  # greatest |g| at a design point
ALIGNED = 0.999  # least cosine between the design point and the gradient there
FARTHER, OTHER = 1.0, 0.5
"""By how much a further design point may lie farther away, and how far it lies from the others; project rules."""
ITERATIONS = 200
PER_LEVEL = 2000
LEVEL = 0.1
MOST_LEVELS = 12
"""Points of a level, its conditional probability (Au & Beck 2001) and how many levels at most; project rules."""

TOO_SMALL = "Probability estimate too small"  # what the library says where its levels do not reach

LimitState = Callable[[Floats], Floats]
"""g at points (n, size) of the space of independent standard normal variables; failure is g < 0."""


@dataclass(frozen=True, slots=True)
class DesignPoint:
    """Nearest point of failure: `u` in independent normal variables, `index` its distance, negative where means fail.

    Hasofer & Lind (1974), J. Eng. Mech. Div. ASCE 100, 111-121 (from memory).
    """

    index: float
    u: Floats
    calls: int


@dataclass(frozen=True, slots=True)
class Subset:
    """Probability by subset simulation with its coefficient of variation."""

    value: float
    variation: float
    calls: int


class NoDesignPointError(ArithmeticError):
    """A search for a design point that found none."""


class NoEstimateError(ArithmeticError):
    """A probability that subset simulation does not reach."""


class Counted:
    """A limit state that counts its points and asks for finite numbers."""

    def __init__(self, state: LimitState) -> None:
        self.state, self.calls = state, 0

    def __call__(self, points: Floats) -> Floats:
        """Give g at points."""
        self.calls += len(points)
        margins = self.state(points)
        if not np.isfinite(margins).all():
            message = "the search reached inputs without a solution"
            raise NoDesignPointError(message)
        return margins

    def gradient(self, u: Floats) -> Floats:
        """Central differences at one point, all at once."""
        step = STEP * np.eye(len(u))
        both = self(np.concatenate([u + step, u - step]))
        return np.asarray((both[: len(u)] - both[len(u) :]) / (2 * STEP))


def design_point(state: LimitState, size: int, starts: Sequence[Floats]) -> DesignPoint:
    """The nearest of the design points that are found from the starts; `NoDesignPointError` where none is one.

    A point counts where g is 0 and the gradient points along it, which the search itself does not prove.
    """
    counted = Counted(state)
    origin = float(counted(np.zeros((1, size)))[0])
    points, reasons = list[Floats](), list[str]()
    for start in starts:
        try:
            u = _search(counted, start)
            _refuse_other_points(counted, u)
            points.append(u)
        except NoDesignPointError as error:
            reasons.append(str(error))
    if not points:
        message = "; ".join(dict.fromkeys(reasons))
        raise NoDesignPointError(message)
    nearest = min(points, key=lambda u: float(np.linalg.norm(u)))
    distance = float(np.linalg.norm(nearest))
    return DesignPoint(-distance if origin < 0 else distance, nearest, counted.calls)


def points_beside(state: LimitState, first: DesignPoint, starts: Sequence[Floats], most: int) -> Floats:
    """Design points that are others than the first and hardly farther away, from starts in as many directions."""
    kept = [first.u]
    for start in starts:
        if len(kept) == most:
            break
        with suppress(NoDesignPointError, NoNumberError):
            point = design_point(state, len(start), [start])
            apart = min(float(np.linalg.norm(point.u - u)) for u in kept)
            if 0 < point.index <= first.index + FARTHER and apart > OTHER:
                kept.append(point.u)
    return np.array(kept[1:])


def _search(counted: Counted, start: Floats) -> Floats:
    """One search by the algorithm of Rackwitz with the step of Abdo (1990), as the library has it."""
    import openturns as ot  # noqa: PLC0415 - a second that only this needs

    ot.Log.Show(ot.Log.NONE)  # what it would warn of is asked here
    size, failed = len(start), list[BaseException]()

    def told(call: Callable[[], Floats], otherwise: Floats) -> Floats:
        # The library turns an error of ours, an interruption too, into one of its own without its reason.
        try:
            return call()
        except NoDesignPointError as error:
            failed.append(error)
            return otherwise
        except BaseException as error:
            failed.insert(0, error)
            raise

    def value(u: Sequence[float]) -> Floats:
        return told(lambda: counted(np.array([u])), np.zeros(1))

    def gradient(u: Sequence[float]) -> Floats:
        return told(lambda: counted.gradient(np.array(u)), np.ones(size)).reshape(size, 1)

    function = ot.PythonFunction(size, 1, value, gradient=gradient)
    event = ot.ThresholdEvent(ot.CompositeRandomVector(function, ot.RandomVector(ot.Normal(size))), ot.Less(), 0.0)
    solver = ot.AbdoRackwitz()
    solver.setMaximumIterationNumber(ITERATIONS)
    solver.setCheckStatus(False)
    solver.setMaximumAbsoluteError(1e-8)
    solver.setMaximumRelativeError(1e-8)
    solver.setMaximumResidualError(1e-8)
    solver.setMaximumConstraintError(1e-8)
    solver.setStartingPoint(start)
    form = ot.FORM(solver, event)
    try:
        form.run()
        u = np.array(form.getResult().getStandardSpaceDesignPoint())
    except (RuntimeError, TypeError) as error:
        reason = failed[0] if failed else NoDesignPointError("the search did not end at a point")
        raise reason from error
    if failed:
        raise failed[0]
    return u


def _refuse_other_points(counted: Counted, u: Floats) -> None:
    distance = float(np.linalg.norm(u))
    if abs(float(counted(u[None])[0])) > ON_SURFACE:
        message = "the search did not reach g = 0"
        raise NoDesignPointError(message)
    gradient = counted.gradient(u)
    steep = float(np.linalg.norm(gradient))
    if steep == 0 or (distance > 0 and abs(float(np.sum(gradient * u))) < ALIGNED * steep * distance):
        message = "the point reached is not the nearest one of its surroundings"
        raise NoDesignPointError(message)


def subset(state: LimitState, size: int, seed: int) -> Subset:
    """Subset simulation by Au & Beck (2001), Probab. Eng. Mech. 16, 263-277 (from memory).

    `NoEstimateError` where the probability is smaller than its levels reach.
    """
    import openturns as ot  # noqa: PLC0415 - a second that only this needs

    calls, failed = [0], list[BaseException]()

    def value(points: Sequence[Sequence[float]]) -> Floats:
        u = np.array(points)
        calls[0] += len(u)
        try:
            margins = state(u)
        except BaseException as error:
            failed.append(error)
            raise
        # Without a solution is failure; the search orders points by g and takes no infinite one.
        return np.where(np.isneginf(margins), -1e6, margins).reshape(-1, 1)

    function = ot.PythonFunction(size, 1, func_sample=value)
    event = ot.ThresholdEvent(ot.CompositeRandomVector(function, ot.RandomVector(ot.Normal(size))), ot.Less(), 0.0)
    ot.RandomGenerator.SetSeed(seed)
    algorithm = ot.SubsetSampling(event, 2.0, LEVEL)
    algorithm.setMaximumOuterSampling(PER_LEVEL // 100)
    algorithm.setBlockSize(100)
    algorithm.setMinimumProbability(LEVEL**MOST_LEVELS)
    try:
        algorithm.run()
    except RuntimeError as error:
        if failed:
            raise failed[0] from None
        if TOO_SMALL not in str(error):
            raise
        message = (
            f"it does not reach the limit state in {MOST_LEVELS} levels: a probability below {LEVEL**MOST_LEVELS:.0e}"
        )
        raise NoEstimateError(message) from error
    result = algorithm.getResult()
    probability = float(result.getProbabilityEstimate())
    if probability <= 0:
        message = "its levels come no nearer to the limit state"
        raise NoEstimateError(message)
    return Subset(probability, float(result.getCoefficientOfVariation()), calls[0])

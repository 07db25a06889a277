"""Back-analysis of readings: equal steps by interpolation, parallel lines, a course with two factors fitted."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.formulas.observation import common_slope, error_factor
from calc.procedures.failures import ProcedureError
from calc.procedures.reading_statistics import student_t

Floats = NDArray[np.float64]

PROCEDURE = "fit of a course"
STEPS = 8  # equal steps over a time of constant load, where readings are not at equal steps themselves
MOST_STEPS = 15  # equal intervals of readings that count as they are: of more, scatter would make the slope
EQUAL = 0.02  # of the mean interval, by which intervals may differ and still count as equal steps
ROUNDS = 12  # of the least squares, each at most one interval of the factors
CLOSE = 1e-3  # of the logarithm of the factor on c_h, by which the last round may move it: far less than its range
TOLD = 1e-9  # of its square, what is left of a change with c_h that a factor on all cannot make: less tells nothing
CONFIDENCE = 0.95
ANGLES = 16  # points of the ellipse of the two factors
LARGEST_LAG = 0.95  # with more the readings say nearly nothing, and the range is not told
FEWEST = 5  # readings of a fit: two factors, and what the correlation of residuals takes
MARGIN = 12
"""Places of the factors by which the c_h of two parts may lie above and below their middle; project rule."""
SHAPE_ERROR = 0.0075  # of the last reading: closer to the ground than that no course is taken to be; project rule


@dataclass(frozen=True)
class EqualSteps:
    """Settlements (m) at equal steps of time (day); ``interpolated`` where readings lie at other times."""

    days: Floats
    values: Floats
    step: float
    interpolated: bool

    def from_place(self, first: int) -> "EqualSteps":
        """The steps from a place on."""
        return EqualSteps(self.days[first:], self.values[first:], self.step, self.interpolated)


def equal_steps(days: Floats, values: Floats, step: float | None = None) -> EqualSteps | None:
    """Readings at equal steps, straight lines between them; None for fewer than three readings.

    Without ``step`` (day) it is their own interval where that is constant and long enough, otherwise an eighth of the
    time read, and not less than their mean interval.
    """
    if len(days) < 3 or days[-1] <= days[0]:
        return None
    gaps, span = np.diff(days), float(days[-1] - days[0])
    mean = float(gaps.mean())
    if step is None and len(gaps) <= MOST_STEPS and (np.abs(gaps - mean) <= EQUAL * mean).all():
        return EqualSteps(days, values, mean, interpolated=False)
    width = max(span / STEPS, mean) if step is None else step
    count = int(np.floor(span / width + 1e-9))
    if count < 2:
        return None
    at = days[-1] - width * np.arange(count, -1, -1)
    return EqualSteps(at, np.interp(at, days, values), width, interpolated=True)


def parallel_slope(periods: Sequence[EqualSteps]) -> tuple[Floats, Floats, float]:
    """Starts and ends of all steps from the means of their own period (m), and the common slope."""
    starts = np.concatenate([period.values[:-1] - period.values[:-1].mean() for period in periods])
    ends = np.concatenate([period.values[1:] - period.values[1:].mean() for period in periods])
    return starts, ends, common_slope(starts, ends).item() if (starts != 0).any() else np.nan


@dataclass(frozen=True)
class Fit:
    """Factors on c_h and on the settlement of a course, of any number of histories.

    ``covariance`` (histories, 2, 2) is of the logarithm of the first and of the second over it, with the dependence of
    residuals counted, ``inverse`` that of the normal equations (1/m²); ``error`` (m) is the standard deviation of the
    residuals, ``lag`` their correlation with the one before and ``counted`` what is counted of it: nothing where chance
    alone may make it.
    ``bounded`` where the best factor on c_h lies at an end of those looked at; ``converged`` where the least squares
    came to rest and the readings tell the two factors apart: without that there is no result.
    """

    rate: Floats
    scale: Floats
    covariance: Floats
    inverse: Floats
    error: Floats
    lag: Floats
    counted: Floats
    residuals: Floats
    bounded: NDArray[np.bool_]
    converged: NDArray[np.bool_]
    quantile: float

    def ellipse(self, history: int = 0, squares: float | None = None) -> tuple[Floats, Floats]:
        """Factors on c_h and on settlement at the best fit, and around it at the stated confidence of one result.

        With ``squares`` (m²) around it where the sum of squares is larger by so much.
        """
        matrix = self.quantile**2 * self.covariance[history] if squares is None else squares * self.inverse[history]
        values, vectors = np.linalg.eigh(matrix)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        angle = np.linspace(0.0, 2 * np.pi, ANGLES, endpoint=False)
        away = root @ np.stack([np.cos(angle), np.sin(angle)])
        with np.errstate(over="ignore"):  # readings that tell next to nothing: the end of the range is infinite
            rates, scales = np.exp(np.concatenate([np.zeros((2, 1)), away], axis=1))
        return self.rate[history] * rates, self.scale[history] * scales


def fit_course(factors: Floats, courses: Floats, readings: Floats) -> Fit:
    """Least squares of a course with a factor on c_h and a factor on its values.

    ``courses`` (factors, days) are the values for factors on c_h that rise evenly in their logarithm; ``readings``
    (histories, days). ``ProcedureError`` for too few readings, or for courses that are nothing.
    """
    count = readings.shape[-1]
    square = (courses**2).sum(axis=-1)
    if count < FEWEST or not (square > 0).all():
        message = f"{PROCEDURE}: at least {FEWEST} readings after the start of the works are needed (got {count})"
        raise ProcedureError(message)
    grid = np.log(factors)
    width = float(grid[1] - grid[0])
    product = readings @ courses.T
    # The largest part explained is the least sum of squares.
    explained = np.where(product > 0, product**2 / square, -np.inf)
    best = np.argmax(explained, axis=-1)
    place = grid[best].astype(np.float64)
    moved = np.full(len(place), np.inf)
    for _ in range(ROUNDS):
        course, slope = course_at(grid, courses, place)
        scale = (course * readings).sum(axis=-1) / (course**2).sum(axis=-1)
        step = np.clip(_rate_step(course, slope, scale, readings), -width, width)
        before, place = place, np.clip(place + step, grid[0], grid[-1])
        moved = np.abs(place - before)
    course, slope = course_at(grid, courses, place)
    scale = (course * readings).sum(axis=-1) / (course**2).sum(axis=-1)
    residuals = readings - scale[:, None] * course
    columns = np.stack([scale[:, None] * slope, scale[:, None] * course], axis=-1)
    normal = np.einsum("hni,hnj->hij", columns, columns)
    freedom = count - 2
    variance = (residuals**2).sum(axis=-1) / freedom
    lag = _lag(residuals)
    counted = np.where(lag > 2 / np.sqrt(count), np.minimum(lag, LARGEST_LAG), 0.0)
    widened = error_factor(counted)
    inverse = np.linalg.pinv(normal)
    covariance = (variance * widened**2)[:, None, None] * inverse
    bounded = (place <= grid[0] + width / 2) | (place >= grid[-1] - width / 2)
    told = np.linalg.det(normal) > TOLD * normal[:, 0, 0] * normal[:, 1, 1]
    quantile = student_t((1 + CONFIDENCE) / 2, freedom)
    return Fit(np.exp(place), scale, covariance, inverse, np.sqrt(variance), lag, counted, residuals, bounded,
               (moved <= CLOSE) & told, quantile)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shape:
    """A course of two parts: a share of it with c_h so many places of the factors higher, the rest as many lower."""

    share: float
    steps: int

    def of(self, courses: Floats) -> Floats:
        """The courses (factors, days) of this shape, of those for ``MARGIN`` factors more at either end."""
        count = len(courses) - 2 * MARGIN
        fast, slow = MARGIN + self.steps, MARGIN - self.steps
        return self.share * courses[fast : fast + count] + (1 - self.share) * courses[slow : slow + count]


OWN = Shape(1.0, 0)
"""The shape of the design: one factor on the c_h of all layers."""
SHAPES = (OWN, *(Shape(tenths / 10, steps) for steps in range(2, MARGIN + 1, 2) for tenths in range(1, 10)))


@dataclass(frozen=True)
class Admitted:
    """A shape that the readings admit, with its fit and the factors of its range, the best ones first."""

    shape: Shape
    fit: Fit
    rates: Floats
    scales: Floats

    @property
    def at_the_end(self) -> bool:
        """Whether the parts are as far apart as any that are looked at: those of the ground may be farther."""
        return self.shape.steps == MARGIN


def admitted_shapes(factors: Floats, courses: Floats, readings: Floats) -> list[list[Admitted]]:
    """Of each history the shapes that its readings admit, the one that counts first; nothing where none can be fitted.

    A profile of the likelihood over all of them: a result that lies in the range of no shape has a sum of squares
    above the least one by more than the square of the quantile times the variance of the residuals. The variance is
    that of the best shape, with the dependence of residuals counted, and not less than that of ``SHAPE_ERROR``.
    The design's own shape counts first where the readings admit it, otherwise the best one; its range is always one
    of them, so that the whole reaches over all that lies between.
    """
    every = [(shape, fit_course(factors, shape.of(courses), readings)) for shape in SHAPES]
    return [_admitted(every, readings[history], history) for history in range(len(readings))]


def _admitted(every: Sequence[tuple[Shape, Fit]], readings: Floats, history: int) -> list[Admitted]:
    sound = [(shape, fit) for shape, fit in every if fit.converged[history] and not fit.bounded[history]]
    if not sound:
        return []
    sums = [float((fit.residuals[history] ** 2).sum()) for _, fit in sound]
    best = int(np.argmin(sums))
    fit = sound[best][1]
    variance = max(float(fit.error[history] * error_factor(fit.counted[history])) ** 2,
                   (SHAPE_ERROR * float(readings[-1])) ** 2)  # fmt: skip
    admitted, own = [], []
    for (shape, candidate), squares in zip(sound, sums, strict=True):
        left = candidate.quantile**2 * variance - (squares - sums[best])
        if left >= 0:
            admitted.append(Admitted(shape, candidate, *candidate.ellipse(history, left)))
        if shape == OWN:
            own.append(Admitted(shape, candidate, *candidate.ellipse(history)))
    first = next((entry for entry in admitted if entry.shape == OWN), None) or next(
        entry for entry in admitted if entry.fit is fit
    )  # fmt: skip
    return [first, *(entry for entry in admitted if entry is not first), *own]


def course_at(grid: Floats, courses: Floats, place: Floats) -> tuple[Floats, Floats]:
    """Values and slopes at places between the factors, on parabolas through three of them."""
    width = float(grid[1] - grid[0])
    near = np.clip(np.rint((place - grid[0]) / width).astype(int), 1, len(grid) - 2)
    x = ((place - grid[near]) / width)[:, None]
    before, middle, after = courses[near - 1], courses[near], courses[near + 1]
    first, second = (after - before) / 2, (after + before) / 2 - middle
    return middle + first * x + second * x**2, (first + 2 * second * x) / width


def _rate_step(course: Floats, slope: Floats, scale: Floats, readings: Floats) -> Floats:
    """Change of the logarithm of the factor on c_h by Gauss and Newton, the other factor free."""
    residual = readings - scale[:, None] * course
    part = slope - course * ((slope * course).sum(axis=-1) / (course**2).sum(axis=-1))[:, None]
    own = scale * (part**2).sum(axis=-1)
    return np.asarray(np.divide((part * residual).sum(axis=-1), own, out=np.zeros_like(own), where=own != 0))


def _lag(residuals: Floats) -> Floats:
    """Correlation of residuals with the one before; the estimate itself is too low by (1 + 4 r)/n.

    This bias after Marriott & Pope (1954), Biometrika 41, 390-402, from memory; a test shows that the range holds.
    """
    count = residuals.shape[-1]
    whole = (residuals**2).sum(axis=-1)
    part = (residuals[:, 1:] * residuals[:, :-1]).sum(axis=-1)
    correlation = np.divide(part, whole, out=np.zeros_like(whole), where=whole > 0)
    return np.asarray(np.minimum((count * correlation + 1) / (count - 4), 1.0))

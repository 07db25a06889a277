"""One input after the other from one end of its range to the other, all others as in the project: the tornado."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calc.inputs.tables.vary import VariedInput
from calc.inputs.tables.vary_rules import number_of
from calc.study.engines import Engine
from calc.study.vary.in_chunks import utilisations
from calc.study.vary.marginals import Marginal, Model

LOW, HIGH = 0.05, 0.95
"""Fractiles that are the ends where an input has a distribution and no range; project rule."""


@dataclass(frozen=True, slots=True)
class Ends:
    """Ends between which an input is varied, and whether they are fractiles of its distribution."""

    path: str
    low: float
    high: float
    fractiles: bool


@dataclass(frozen=True, slots=True)
class Swing:
    """Utilisation of a verdict at both ends of an input."""

    path: str
    at_low: float
    at_high: float

    @property
    def size(self) -> float:
        """By how much the utilisation changes; infinite where one end has no solution, nothing where neither has."""
        return 0.0 if self.at_low == self.at_high else abs(self.at_high - self.at_low)


def ends_of(varied: VariedInput, known: Mapping[str, Marginal]) -> Ends:
    """The range of an input, or the fractiles of its distribution."""
    if varied.least is not None and varied.most is not None:
        return Ends(varied.path, number_of(varied.least), number_of(varied.most), fractiles=False)
    from scipy.special import ndtri  # noqa: PLC0415 - only of inputs with distributions

    low, high = known[varied.path].at(ndtri(np.array([LOW, HIGH])))
    return Ends(varied.path, float(low), float(high), fractiles=True)


def largest_first(swings: Iterable[Swing]) -> list[Swing]:
    """In the order of a tornado."""
    return sorted(swings, key=lambda swing: -swing.size)


def tornado(
    model: Model, base: Mapping[str, float], ends: Sequence[Ends], engine: Engine, chunk: int | None = None
) -> tuple[dict[str, float], dict[str, list[Swing]]]:
    """Utilisation with the values of the project, and the swings of each verdict, largest first."""
    count = 1 + 2 * len(ends)
    values = {path: np.full(count, value) for path, value in base.items()}
    for k, end in enumerate(ends):
        values[end.path][1 + 2 * k : 3 + 2 * k] = end.low, end.high
    by_verdict = utilisations(model, values, engine, chunk)
    swings = {
        verdict: largest_first(
            Swing(end.path, float(array[1 + 2 * k]), float(array[2 + 2 * k])) for k, end in enumerate(ends)
        )
        for verdict, array in by_verdict.items()
    }
    return {verdict: float(array[0]) for verdict, array in by_verdict.items()}, swings

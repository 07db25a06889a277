"""Circles that failed at other designs, tried before a search: one that fails again settles a verdict at once.

Every circle that a mass may slide on is an upper bound of the least factor, so that a design in which one fails does
not pass whatever a search would find beside it. Without `stop_at_failure` nothing of this happens.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

import numpy as np

from calc.procedures.slip import Circle, SlipError, factors
from calc.procedures.stage_search import FORM, Asked

SURE = 1e-6  # relative; a factor nearer to the one asked for is left to the search


@dataclass(frozen=True, slots=True)
class Failed:
    """A circle, and the scope of the slip searches that it was found by: state and side."""

    scope: str
    circle: Circle


class Settled(Exception):  # noqa: N818 - no error: what was asked is answered
    """A verdict that fails, with its utilisation and the circle that shows it."""

    def __init__(self, key: str, title: str, utilisation: float, failed: Failed) -> None:
        super().__init__(title)
        self.key, self.title, self.utilisation, self.failed = key, title, utilisation, failed


_tried: ContextVar[tuple[Failed, ...] | None] = ContextVar("tried", default=None)


@contextmanager
def stop_at_failure(tried: Sequence[Failed]) -> Iterator[None]:
    """End a run by ``Settled`` as soon as a circle fails, trying first those that failed elsewhere."""
    token = _tried.set(tuple(tried))
    try:
        yield
    finally:
        _tried.reset(token)


def stops() -> bool:
    """Whether a run ends as soon as a circle fails."""
    return _tried.get() is not None


def tried_circles(scope: str) -> list[Circle]:
    """The circles that failed in a scope at other designs."""
    return [tried.circle for tried in _tried.get() or () if tried.scope == scope]


def least_of_circles(asked: Asked, circles: Sequence[Circle], min_depth: float) -> tuple[float, Circle] | None:
    """The least factor of some circles in a cross-section; None where none of them is admissible there."""
    try:
        safety = factors(
            asked.model, [circle.x for circle in circles], [circle.y for circle in circles],
            [circle.r for circle in circles], asked.method,
            direction=asked.direction, form=FORM, slices=asked.slices, min_depth=min_depth,
        ).factor  # fmt: skip
    except SlipError:
        return None
    if np.isnan(safety).all():
        return None
    place = int(np.nanargmin(safety))
    return float(safety[place]), circles[place]

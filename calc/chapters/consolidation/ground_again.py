"""What a ground in time gives, of any numbers that it is made of: one ground for each sample, all its courses together.

The procedures of the ground work for all scenarios, steps and sublayers at once and for one set of inputs.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import LONG, STIFFNESS
from calc.engine.sheet import Again, Axis, Sheet, Value
from calc.engine.sheet.values import union_axes
from calc.engine.words import words_of
from calc.procedures.failures import ProcedureError
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

Floats = NDArray[np.float64]
Make = Callable[[Any], GroundInTime]
Place = tuple[str, str, str]  # chapter, its scope or nothing, symbol


class GroundAgain:
    """A ground and the recorded values that it was made of; it is made again of others.

    ``make`` makes it of the sheets of the chapters. Readings of it are named by `reading` and worked out together.
    """

    def __init__(self, make: Make, done: Mapping[str, Sheet]) -> None:
        self._make, self._done = make, done
        self._used: dict[Place, Value] = {}
        self.ground = make(_Sheets(done, self._used, {}))
        self._courses: dict[str, Callable[[GroundInTime], Floats]] = {}
        self._asked = set[str]()  # the others cost time and are asked by no verdict so far
        self._known: tuple[int, dict[str, Floats]] | None = None

    def reading(
        self, name: str, axes: Sequence[Axis], course: Callable[[GroundInTime], Floats], *, placed: bool = False
    ) -> Again:
        """How a reading over some axes follows from the ground; ``placed`` where it has a number above zero alone."""
        self._courses[name] = course
        return Again(partial(self._values, name=name, axes=tuple(axes), placed=placed), tuple(self._used.values()))

    def _values(self, *values: Value, name: str, axes: tuple[Axis, ...], placed: bool) -> Value:
        samples = tuple(axis for axis in union_axes(values) if axis.name == "sample")
        self._asked.add(name)
        array = self._all(values, samples, name)[name]
        array = array if samples else array[0]
        mask = array <= 0 if placed and (array <= 0).any() else None
        return Value(name, array, (*samples, *axes), mask=mask)

    def _all(self, values: Sequence[Value], samples: tuple[Axis, ...], name: str) -> dict[str, Floats]:
        """All readings asked so far for the same samples; kept, because each reading asks for them."""
        key = hash(tuple(value.array.tobytes() for value in values))
        if self._known is None or self._known[0] != key or name not in self._known[1]:
            count = len(samples[0].labels) if samples else 1
            rows = [self._of_one([_row(value, k) for value in values]) for k in range(count)]
            self._known = key, {asked: np.stack([row[asked] for row in rows]) for asked in rows[0]}
        return self._known[1]

    def _of_one(self, values: Sequence[Value]) -> dict[str, Floats]:
        others = dict(zip(self._used, values, strict=True))
        ground = self._make(_Sheets(self._done, {}, others))
        # Where the design run has no slack sleeve it has no response for the columns without one either.
        if ground.unloads != self.ground.unloads or (
            ground.slack is None and (ground.tensions[STIFFNESS.index(LONG)] <= 0).any()
        ):
            raise ProcedureError(say("other-model"))
        return {name: np.asarray(self._courses[name](ground), dtype=np.float64) for name in sorted(self._asked)}


def _row(value: Value, sample: int) -> Value:
    if not value.axes or value.axes[0].name != "sample":
        return value
    mask = None if value.mask is None else value.mask[sample]
    return Value(value.symbol, value.array[sample], value.axes[1:], value.step, mask, value.reason)


class _Sheets:
    """The sheets of the chapters as a ground reads them, with other values in some places."""

    def __init__(self, done: Mapping[str, Sheet], used: dict[Place, Value], others: Mapping[Place, Value]) -> None:
        self._done, self._used, self._others = done, used, others

    def __getitem__(self, chapter: str) -> "_Symbols":
        return _Symbols(self._done[chapter], (chapter, ""), self._used, self._others)


class _Symbols:
    """A chapter or a scope of it."""

    def __init__(
        self, real: Any, place: tuple[str, str], used: dict[Place, Value], others: Mapping[Place, Value]
    ) -> None:
        self._real, self._place, self._used, self._others = real, place, used, others

    @property
    def axes(self) -> dict[str, tuple[str, ...]]:
        """The axes of the chapter."""
        axes: dict[str, tuple[str, ...]] = self._real.axes
        return axes

    @property
    def scopes(self) -> "dict[str, _Symbols]":
        """Its scopes by name."""
        chapter = self._place[0]
        return {name: _Symbols(scope, (chapter, name), self._used, self._others)
                for name, scope in self._real.scopes.items()}  # fmt: skip

    def __contains__(self, symbol: str) -> bool:
        return symbol in self._real

    def __getitem__(self, symbol: str) -> Value:
        place = (*self._place, symbol)
        if place in self._others:
            return self._others[place]
        value: Value = self._real[symbol]
        self._used[place] = value
        return value

"""What a ground in time gives, of any numbers that it is made of: one ground for each sample, all its courses together.

The procedures of the ground work for all scenarios, steps and sublayers at once and for one set of inputs.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import LONG, STIFFNESS
from calc.chapters.shared.other_values import OtherSheets, Place, row_of
from calc.engine.sheet import Again, Axis, Sheet, Value
from calc.engine.sheet.values import union_axes
from calc.engine.words import words_of
from calc.procedures.failures import ProcedureError
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

Floats = NDArray[np.float64]
Make = Callable[[Any], GroundInTime]


class GroundAgain:
    """A ground and the recorded values that it was made of; it is made again of others.

    ``make`` makes it of the sheets of the chapters. Readings of it are named by `reading` and worked out together.
    """

    def __init__(self, make: Make, done: Mapping[str, Sheet]) -> None:
        self._make, self._done = make, done
        self._used: dict[Place, Value] = {}
        self.ground = make(OtherSheets(done, self._used, {}))
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
        array = self._all_readings(values, samples, name)[name]
        array = array if samples else array[0]
        mask = array <= 0 if placed and (array <= 0).any() else None
        return Value(name, array, (*samples, *axes), mask=mask)

    def _all_readings(self, values: Sequence[Value], samples: tuple[Axis, ...], name: str) -> dict[str, Floats]:
        """All readings asked so far for the same samples; kept, because each reading asks for them."""
        key = hash(tuple(value.array.tobytes() for value in values))
        if self._known is None or self._known[0] != key or name not in self._known[1]:
            count = len(samples[0].labels) if samples else 1
            rows = [self._readings_of_sample([row_of(value, k) for value in values]) for k in range(count)]
            self._known = key, {asked: np.stack([row[asked] for row in rows]) for asked in rows[0]}
        return self._known[1]

    def _readings_of_sample(self, values: Sequence[Value]) -> dict[str, Floats]:
        others = dict(zip(self._used, values, strict=True))
        ground = self._make(OtherSheets(self._done, {}, others))
        # Where the design run has no slack sleeve it has no response for the columns without one either.
        if ground.unloads != self.ground.unloads or (
            ground.slack is None and (ground.tensions[STIFFNESS.index(LONG)] <= 0).any()
        ):
            raise ProcedureError(say("other-model"))
        return {name: np.asarray(self._courses[name](ground), dtype=np.float64) for name in sorted(self._asked)}

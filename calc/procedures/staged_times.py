"""When a share of the final value of a filling programme has come, for any number of cases and layers."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.procedures.consolidation_response import PROCEDURE, Response
from calc.procedures.failures import ProcedureError, refuse_where
from calc.procedures.staged_course import Programme, walk

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

METHOD = "halving of a bracket"
TOLERANCE = 1e-10  # width of the bracket over the time since the first load
MOST_STEPS = 200  # of doubling and halving each; about 10 and 45 are seen


def time_of_share(
    programme: Programme,
    response: Response,
    final: ArrayLike,
    share: ArrayLike,
    *,
    undrained: ArrayLike = 0.0,
    total: bool = False,
) -> Floats:
    """Time (day, on the calendar of the programme) from which a share of the final value has come.

    ``final`` as in ``follow``; ``share`` lies between 0 and 1, both excluded, and broadcasts with the result: one time
    for each layer, or with ``total`` one for the sum over the layers, shape (..., layers) or (..., 1). A share that
    comes with a load placed at once has the date of that load. ``ProcedureError`` where the values fall in a step, for
    then a share may be reached more than once, where nothing comes, and for an impossible share.
    """
    values, wanted = np.asarray(final, dtype=np.float64), np.asarray(share, dtype=np.float64)
    walked = walk(programme, response, values)
    course = walked.at([])
    shape = np.broadcast_shapes(course.placed.shape[:-2], values.shape[:-2])
    lanes = (*shape, 1 if total else values.shape[-1])
    last = values[..., -1, :].sum(axis=-1, keepdims=True) if total else values[..., -1, :]
    wrong = {
        "the share must lie between 0 and 1, both excluded": ~((wanted > 0) & (wanted < 1)),
        "the final values fall in a step: read the time from the course": np.diff(values, axis=-2, prepend=0.0) < 0,
        "nothing comes of the load in a layer": last <= 0,
    }
    refuse_where(PROCEDURE, wrong)
    target = np.broadcast_to(wanted * last, lanes)
    number = np.arange(target.size).reshape(lanes)[..., None, :]

    def has_come(times: Floats) -> Flags:
        done = walked.at(times)
        value = (done.total() if total else done).value(undrained)
        # Each case and layer has its own time: of all times only that one is looked at.
        at_case = np.take_along_axis(np.broadcast_to(value, (*shape, times.size, lanes[-1])), number, axis=-2)
        return np.asarray(at_case[..., 0, :] >= target)

    slowest = response.slowest.min(axis=-1, keepdims=True) if total else response.slowest
    first, last_end = programme.begin[0], programme.end[-1]
    high = np.broadcast_to(last_end + 1 / slowest, lanes)
    return first + _halve(lambda since: has_come(first + since), _upper_bound(has_come, high, last_end) - first)


def _upper_bound(has_come: Callable[[Floats], Flags], high: Floats, origin: float) -> Floats:
    """A time late enough in every lane."""
    for _ in range(MOST_STEPS):
        late = has_come(high)
        if late.all():
            return high
        high = np.where(late, high, origin + 2 * (high - origin))
    message = f"{PROCEDURE}: a share of the final value is not reached {2.0**MOST_STEPS:.0e} time scales after loading"
    raise ProcedureError(message)


def _halve(has_come: Callable[[Floats], Flags], high: Floats) -> Floats:
    low = np.zeros_like(high)
    for _ in range(MOST_STEPS):
        if (high - low <= TOLERANCE * high).all():
            break
        middle = 0.5 * (low + high)
        there = has_come(middle)
        low, high = np.where(there, low, middle), np.where(there, middle, high)
    return np.asarray(high)

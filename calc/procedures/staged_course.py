"""Staged filling in time: every step consolidates with its own age under the combined response of its layer.

What follows the load (final settlement, ring tension, stress on the soil) is given by its final value after each step,
by whatever law. During a step it grows evenly; what has been placed and not yet consolidated is the *lag*, a sum of
exponentials that is integrated exactly from one begin or end of a step to the next. The work grows with the sum, not
the product, of steps and points.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.procedures.consolidation_response import PROCEDURE, Response
from calc.procedures.failures import refuse_where

Floats = NDArray[np.float64]

METHOD = "exact integration between the starts and ends of the steps"
BLOCK = 128  # points in order: small, so that the terms which have faded for all of them are left out
TOGETHER = 64_000  # numbers of the layers that are followed together: their state stays in the cache
KEPT = 24  # walks kept: the same laws are asked for again and again, a walk takes some 2 MB
GONE = 40.0  # exponent at which a term has faded beyond the last digit


@dataclass(frozen=True)
class Programme:
    """Begin and end of each step of loading or unloading (day), in order; a step may be placed at once."""

    begin: tuple[float, ...]
    end: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse steps that overlap, that run backward or are not dated."""
        dates = [date for step in zip(self.begin, self.end, strict=True) for date in step]
        wrong = not dates or not np.isfinite(dates).all() or any(late < early for early, late in pairwise(dates))
        refuse_where(PROCEDURE, {"steps need finite dates, each end after its start and before the next start": wrong})

    @property
    def steps(self) -> int:
        """Number of steps."""
        return len(self.begin)


@dataclass(frozen=True)
class Course:
    """What follows the load, at times (day): placed so far, of that not yet consolidated, and final after all steps.

    ``placed`` and ``lag`` have the shape (..., times, layers), ``final`` (..., 1, layers); all in the unit of what was
    given.
    """

    times: Floats
    placed: Floats
    lag: Floats
    final: Floats

    def value(self, undrained: ArrayLike = 0.0) -> Floats:
        """What has come so far; the share ``undrained`` (0 to 1) of each step comes with the load."""
        return np.asarray(self.placed - (1 - np.asarray(undrained)) * self.lag)

    def total(self) -> "Course":
        """The sum over the layers, with one layer left."""
        return Course(self.times, *(x.sum(axis=-1, keepdims=True) for x in (self.placed, self.lag, self.final)))

    def degree_of_current_load(self) -> Floats:
        """Degree of consolidation against the load placed so far; 0 before the first load.

        Above 1 after unloading, while more has come than stays.
        """
        return _share(self.placed - self.lag, self.placed)

    def degree_of_last_load(self) -> Floats:
        """Degree of consolidation against the final state of the whole programme; 0 where nothing comes of it."""
        return _share(self.placed - self.lag, np.broadcast_to(self.final, self.placed.shape))


def _share(part: Floats, whole: Floats) -> Floats:
    return np.divide(part, whole, out=np.zeros_like(part), where=whole != 0)


def follow(programme: Programme, response: Response, final: ArrayLike, times: ArrayLike) -> Course:
    """Course of what has the value ``final`` (..., steps, layers) after each step, at ``times`` (day, in any order).

    Leading axes are cases and what is followed; they broadcast with those of the response. A load placed at once counts
    at its own date. ``ProcedureError`` for values that are not finite or shapes that do not fit.
    """
    return walk(programme, response, final).at(times)


@dataclass(frozen=True)
class Walk:
    """A programme walked through once, to be asked for the course at any times, again and again.

    ``final`` has the shape (..., steps, layers), ``shape`` that of its leading axes with those of the response;
    ``parts`` hold some of the layers each, with their response and what stands at the start of every piece.
    """

    final: Floats
    shape: tuple[int, ...]
    parts: tuple["_Part", ...]
    # The same times are asked for again.
    _courses: dict[tuple[int | None, bytes], Course] = field(default_factory=dict, repr=False)

    def at(self, times: ArrayLike, case: int | None = None) -> Course:
        """The course at times (day, in any order); ``ProcedureError`` for times that are not finite.

        ``case`` asks for one of the response's cases alone, where they are the first leading axis; it keeps its axis.
        """
        at = np.array(times, dtype=np.float64).reshape(-1)
        asked = case, at.tobytes()
        if asked not in self._courses:
            if len(self._courses) == KEPT:
                self._courses.clear()
            self._courses[asked] = self._course(at, case)
        return self._courses[asked]

    def _course(self, at: Floats, case: int | None) -> Course:
        refuse_where(PROCEDURE, {"times must be finite": not np.isfinite(at).all()})
        rows = slice(None) if case is None else slice(case, case + 1)
        shape = self.shape if case is None else (1, *self.shape[1:])
        placed = np.zeros((*shape, at.size, self.final.shape[-1]))
        lag = np.zeros_like(placed)
        order = np.argsort(at, kind="stable")
        bounds = [span for piece, _done, _state in self.parts[0].states for span in (piece.start, piece.stop)]
        places = np.searchsorted(at[order], bounds).reshape(-1, 2).tolist()
        reached = [(k, order[first:stop]) for k, (first, stop) in enumerate(places) if first < stop]
        for part in self.parts:
            response = part.response if case is None else part.response.of_case(case)
            for k, inside in reached:
                piece, done, state = part.states[k]
                done, state, growth = done[rows], state[:, rows], piece.growth[rows]
                for block in (inside[k : k + BLOCK] for k in range(0, inside.size, BLOCK)):
                    age = at[block] - piece.start
                    placed[..., block, part.layers] = done[..., None, :] + growth[..., None, :] * age[:, None]
                    lag[..., block, part.layers] = _lag(response, state, growth, age)
        alike = self.final.ndim < 2 + len(shape) or self.final.shape[0] == 1  # for every case
        final = self.final if alike else self.final[rows]
        for array in (at, placed, lag):
            array.flags.writeable = False  # the same course is given again
        return Course(at, placed, lag, final[..., -1:, :])

    def lag_after(self, dates: Floats) -> tuple[Floats, Floats]:
        """The lag of each case and layer at a date of its own (day), not before the last step ends, and its change.

        All have the shape (..., layers), with the leading axes of the course; the change is per day. ``ProcedureError``
        for earlier dates.
        """
        end = self.parts[0].states[-1][0].start
        refuse_where(PROCEDURE, {"dates must not lie before the end of the last step": dates < end})
        shape = np.broadcast_shapes(dates.shape, (*self.shape, self.final.shape[-1]))
        lag, change = np.empty(shape), np.empty(shape)
        for part in self.parts:
            rest, _done, state = part.states[-1]
            age = (dates[..., part.layers] - rest.start)[..., None]
            # The first term stays for ground without vertical flow, whose only rate is 0.
            terms = min(_open_terms(part.response, age.min()), state.shape[-1])
            rate = part.response.radial[..., None] + part.response.vertical[:terms]
            left = state[..., :terms] * np.exp(-rate * age)
            lag[..., part.layers] = left.sum(axis=(0, -1))
            change[..., part.layers] = -(left * rate).sum(axis=(0, -1))
        return lag, change


def walk(programme: Programme, response: Response, final: ArrayLike) -> Walk:
    """Walk through a programme; the same as ``follow`` without the times."""
    values = np.array(final, dtype=np.float64)
    values.flags.writeable = False  # a question that is kept does not change, nor what its courses have of it
    _refuse(programme, response, values)
    return _walk(_Question(programme, response, values))


@dataclass(frozen=True, eq=False)
class _Question:
    """What a walk is a function of; equal where every number is."""

    programme: Programme
    response: Response
    values: Floats

    @property
    def _numbers(self) -> tuple[Programme, list[tuple[tuple[int, ...], bytes]]]:
        response = self.response
        arrays = (self.values, response.radial, response.shares, response.vertical, response.weights)
        return self.programme, [(array.shape, array.tobytes()) for array in arrays]

    def __eq__(self, other: object) -> bool:
        """Tell whether programme, response and values are the same to the last bit."""
        return isinstance(other, _Question) and self._numbers == other._numbers

    def __hash__(self) -> int:
        """Hash of the values alone: they tell most questions apart."""
        return hash((self.values.shape, self.values.tobytes()))


@lru_cache(maxsize=KEPT)
def _walk(question: _Question) -> Walk:
    programme, response, values = question.programme, question.response, question.values
    shape = np.broadcast_shapes(values.shape[:-2], response.cases)
    one_layer = response.radial.shape[0] * int(np.prod(shape)) * response.vertical.size
    step = max(1, TOGETHER // one_layer)
    every = np.broadcast_to(values, (*shape, *values.shape[-2:]))
    parts = []
    for first in range(0, response.layers, step):
        layers = slice(first, first + step)
        part = response.part(layers, len(shape))
        parts.append(_Part(layers, part, tuple(_states(programme, part, every[..., layers]))))
    return Walk(values, shape, tuple(parts))


def _states(programme: Programme, response: Response, values: Floats) -> Iterator["_State"]:
    """Every piece with what has been placed at its start and what is still to come of it, by exponential and term.

    Terms that have gone are not there.
    """
    done = np.zeros((*values.shape[:-2], values.shape[-1]))
    state = np.zeros((response.radial.shape[0], *done.shape, 0))
    for piece in _pieces(programme, np.diff(values, axis=-2, prepend=0.0)):
        done = done + piece.jump
        if piece.jump.any():
            state = _with(state, (response.shares * piece.jump)[..., None] * response.weights)
        yield piece, done, state
        if np.isfinite(piece.stop):
            length = piece.stop - piece.start
            state = _lag_at_end(response, state, piece.growth, length)
            done = done + piece.growth * length


@dataclass(frozen=True)
class _Piece:
    """A stretch of time without a begin or end inside: what jumps at its start, and what grows evenly per day."""

    start: float
    stop: float
    jump: Floats
    growth: Floats


_State = tuple[_Piece, Floats, Floats]


@dataclass(frozen=True)
class _Part:
    """Some of the layers of a programme that was walked through."""

    layers: slice
    response: Response
    states: tuple[_State, ...]


def _pieces(programme: Programme, added: Floats) -> Sequence[_Piece]:
    """Steps and rests one after the other, the last rest without end."""
    pieces = []
    nothing = np.zeros_like(added[..., 0, :])
    following = (*programme.begin[1:], np.inf)
    for k, (begin, end, after) in enumerate(zip(programme.begin, programme.end, following, strict=True)):
        step = added[..., k, :]
        at_once = end == begin
        if not at_once:
            pieces.append(_Piece(begin, end, nothing, step / (end - begin)))
        pieces.append(_Piece(end, after, step if at_once else nothing, nothing))
    return pieces


def _open_terms(response: Response, age: float) -> int:
    """Terms of vertical flow that have not gone at an age."""
    return 1 + int(np.searchsorted(response.vertical[1:] * age, GONE))


def _with(state: Floats, all_terms: Floats) -> Floats:
    """The sum of what is there of the terms and of all of them, which it is written into."""
    all_terms[..., : state.shape[-1]] += state
    return all_terms


def _lag(response: Response, state: Floats, growth: Floats, age: Floats) -> Floats:
    """Lag at rising ages since the start of a piece; written with what has faded, so that a short step keeps digits."""
    open_terms = _open_terms(response, age[0])
    radial = -np.expm1(-age[:, None] * response.radial[..., None, :])  # (exponentials, ..., ages, layers)
    if not growth.any():
        state = state[..., :open_terms]
        faded = -np.expm1(-age[:, None] * response.vertical[: state.shape[-1]])  # (ages, terms)
        change = -np.matmul(faded, np.swapaxes(state, -1, -2))
        settled = state.sum(axis=-1)
        return np.asarray(((1 - radial) * (settled[..., None, :] + change)).sum(axis=0))
    faded = -np.expm1(-age[:, None] * response.vertical[:open_terms])
    source = growth[..., None] * response.lasting
    change = np.matmul(faded, np.swapaxes(_with(-state[..., :open_terms], source[..., :open_terms].copy()), -1, -2))
    settled = state[..., :open_terms].sum(axis=-1) + source[..., open_terms:].sum(axis=-1)
    parts = (1 - radial) * (settled[..., None, :] + change) + radial * source.sum(axis=-1)[..., None, :]
    return np.asarray(parts.sum(axis=0))


def _lag_at_end(response: Response, state: Floats, growth: Floats, length: float) -> Floats:
    """The lag of every exponential and term at the end of a piece; most terms have gone by then."""
    open_terms = _open_terms(response, length)
    state = state[..., :open_terms]
    radial = -np.expm1(-response.radial * length)[..., None]
    vertical = -np.expm1(-response.vertical[:open_terms] * length)
    left = state * (1 - radial) * (1 - vertical[: state.shape[-1]])
    if not growth.any():
        return np.asarray(left)
    grown = growth[..., None] * response.lasting
    grown[..., :open_terms] *= radial + vertical - radial * vertical
    return _with(left, grown)


def hold_on_unloading(programme: Programme, response: Response, final: ArrayLike, swelling: ArrayLike) -> Floats:
    """Final values with which a layer does not go back along the law of loading when load is taken off.

    ``final`` is the law, (..., steps, layers). Where a layer has come further than the law gives under the load then
    left, it swells back only by the share ``swelling`` (0 to 1, an input with its source) of what is beyond, and takes
    later load up along the same line until the law gives more.
    """
    share = np.asarray(swelling, dtype=np.float64)
    refuse_where(PROCEDURE, {"the share of swelling must lie between 0 and 1": ~((share >= 0) & (share <= 1))})
    law = np.asarray(final, dtype=np.float64)
    _refuse(programme, response, law)
    shape = np.broadcast_shapes(law.shape[:-2], response.cases, share.shape[:-1])
    held = np.array(np.broadcast_to(law, (*shape, *law.shape[-2:])))
    peak = np.full((*shape, law.shape[-1]), -np.inf)
    for k in range(1, programme.steps):
        less = law[..., k, :] < law[..., k - 1, :]
        if less.any():
            # What has come when step ``k`` begins.
            before = Programme(programme.begin[:k], programme.end[:k])
            course = follow(before, response, held[..., :k, :], [programme.begin[k]])
            peak = np.where(less, np.maximum(peak, np.asarray(course.value()[..., 0, :])), peak)
        held[..., k, :] += (1 - share) * np.maximum(peak - law[..., k, :], 0.0)
    return held


def _refuse(programme: Programme, response: Response, values: Floats) -> None:
    layers = response.layers
    wrong = {
        f"final values must have the shape (..., {programme.steps} steps, {layers} layers), got {values.shape}": (
            values.ndim < 2 or values.shape[-2:] != (programme.steps, layers)
        ),
        "final values must be finite": not np.isfinite(values).all(),
    }
    refuse_where(PROCEDURE, wrong)

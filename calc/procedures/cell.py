"""Solution of the unit cell: the stress on the soil at which soil and column settle alike, for any number of cases.

The residual of each case (a lane) is the difference of the two settlements, U9 less U10, per thickness of the sublayer.
It grows with the stress on the soil for exponents of the modulus between 0 and 1, is negative without stress on the
soil and positive where the soil alone holds the column: there is one root inside this bracket, however it is found.
Lanes that two steps from the start do not bring there are searched by Newton's method kept inside the bracket.

The equations are fused here for speed; a test holds them to the registered formulas.
"""

# ruff: noqa: N803 - arguments carry the printed symbols

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from math import prod
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.unit_cell import mobilising_load
from calc.procedures.failures import ProcedureError
from calc.procedures.memory import keep_memory

Floats = NDArray[np.float64]

PROCEDURE = "unit cell"
METHOD = "Newton's method, kept inside a bracket where three evaluations do not end it"
TOLERANCE = 1e-11  # residual over strain of the soil at which a lane stops; rounding reaches about 1e-15
ROUNDING = 1e-12  # strain that no settlement of a sublayer can tell from zero
ACCEPTED = 1e-9  # residual over strain that counts as a solution when rounding hides anything smaller
MOST_ITERATIONS = 80  # 53 halvings exhaust the digits of a bracket, whatever Newton's method does
BISECTING_FROM = 25  # Newton's method needs about five steps; a lane still open here is halved to its end
QUICK = 3  # evaluations after which a lane that is still open starts again inside its bracket
BLOCK = 16000  # lanes that stay in the cache together
WHOLE = slice(None)


@dataclass(frozen=True)
class CellSolution:
    """Solution of every lane, in the broadcast shape of the inputs.

    ``unknown`` is the added stress on the soil (kPa); ``strain`` the settlement per thickness; ``residual`` the
    difference of the settlements per thickness at the unknown. They are NaN in lanes that are not ``mobilised``: there
    the load does not bring the column to its active state, column and sleeve do not widen, and the rigid column of the
    method carries the load without settlement.
    """

    unknown: Floats
    strain: Floats
    residual: Floats
    iterations: NDArray[np.int64]
    mobilised: NDArray[np.bool_]
    converged: NDArray[np.bool_]


class _Lanes(NamedTuple):
    """Constants of the lanes; each is one number or one number per lane."""

    drive: Any  # outward pressure with no stress on the soil
    relief: Any  # loss of outward pressure per stress on the soil
    ring: Any  # ring stiffness per oedometer modulus, for the widening strain
    sleeve: Any  # sleeve stiffness for the widening strain
    slack: Any  # slack of the sleeve times its stiffness
    heave: Any  # heave strain of the soil per widening strain of the column
    p_1: Any
    modulus: Any  # oedometer modulus at a mean stress of 1 kPa
    unloaded: Any  # oedometer modulus at the stress before loading
    m: Any

    def at(self, choice: "NDArray[np.bool_] | NDArray[np.intp]") -> "_Lanes":
        return _Lanes(*(value[choice] if value.size > 1 else value for value in self))


class _State(NamedTuple):
    """What a stress on the soil brings about in each lane."""

    residual: Floats  # strain of the soil less that of the column
    soil: Floats  # strain of the soil without heave
    column: Floats
    mean: Floats
    ring: Floats  # ring stiffness of the soil for the widening strain
    held: Floats  # with that of the sleeve
    slack: Floats  # widening strain with a slack sleeve
    taut: Floats
    widening: Floats
    shrink: Floats  # radius before widening over that after it


def solve_cell(
    *,
    Dsigma_0: ArrayLike,
    a_E: ArrayLike,
    r_c: ArrayLike,
    r_geo: ArrayLike,
    J: ArrayLike,
    K_ac: ArrayLike,
    K_0s: ArrayLike,
    K_star: ArrayLike,
    sigma_v0s: ArrayLike,
    sigma_v0c: ArrayLike,
    p_1: ArrayLike,
    E_ref: ArrayLike,
    p_ref: ArrayLike,
    m: ArrayLike,
    nu_s: ArrayLike,
) -> CellSolution:
    """Added stress on the soil at which soil and column settle alike (U1 to U13), in the broadcast shape of the inputs.

    Inputs are in coherent units and of any shapes that broadcast. ``ProcedureError`` for an impossible input and for
    any lane that has a solution and did not reach it.
    """
    numbers = {name: np.asarray(value, dtype=np.float64) for name, value in locals().items()}
    _refuse_impossible(numbers)
    shape = np.broadcast_shapes(*(value.shape for value in numbers.values()))
    axes = shape or (1,)
    inputs = {name: value.reshape((1,) * (len(axes) - value.ndim) + value.shape) for name, value in numbers.items()}
    solution = CellSolution(
        unknown=np.empty(axes),
        strain=np.empty(axes),
        residual=np.empty(axes),
        iterations=np.empty(axes, dtype=np.int64),
        mobilised=np.empty(axes, dtype=np.bool_),
        converged=np.empty(axes, dtype=np.bool_),
    )
    keep_memory()
    with np.errstate(all="ignore"):
        for block in _blocks(axes):
            _solve_block(inputs, solution, block)
    _refuse_unsolved(solution)
    return CellSolution(*(getattr(solution, field.name).reshape(shape) for field in fields(solution)))


def _blocks(shape: tuple[int, ...]) -> Iterator[tuple[slice, ...]]:
    """Parts of an array, at most ``BLOCK`` lanes each: whole along its last axes, one by one along its first ones."""
    inner = prod(shape[1:])
    if inner > BLOCK:
        for row in range(shape[0]):
            yield from ((slice(row, row + 1), *rest) for rest in _blocks(shape[1:]))
        return
    rows = BLOCK // max(inner, 1)
    for start in range(0, shape[0], rows):
        yield (slice(start, start + rows),) + (slice(None),) * (len(shape) - 1)


def _part(value: Floats, block: tuple[slice, ...]) -> Floats:
    if value.size == 1:
        return value
    return value[tuple(WHOLE if size == 1 else piece for size, piece in zip(value.shape, block, strict=True))]


def _solve_block(inputs: dict[str, Floats], solution: CellSolution, block: tuple[slice, ...]) -> None:
    """Solve the lanes of one block and write them into the solution."""
    compact = _lanes(**{name: _part(value, block) for name, value in inputs.items()})
    mobilised = solution.mobilised[block]
    lanes = _Lanes(*(_flat(value, mobilised.shape) for value in compact))
    mobilised[...] = compact.drive > 0
    every = bool(mobilised.all())
    flat = mobilised.reshape(-1)
    arrays = _solve(lanes if every else lanes.at(flat), int(np.count_nonzero(flat)))
    for name, values in zip(("unknown", "strain", "residual", "iterations", "converged"), arrays, strict=True):
        there = getattr(solution, name)[block]
        if every:
            there[...] = values.reshape(there.shape)
        else:
            there[...] = np.nan if there.dtype == np.float64 else 0
            there[mobilised] = values


def _flat(value: Floats, shape: tuple[int, ...]) -> Floats:
    """One number, or one number per lane, close together."""
    # A single number is an array all the same: numpy has other powers for a bare one, which differ in the last bit.
    if value.size == 1:
        return value.reshape(-1)
    lanes = np.empty(shape, dtype=value.dtype)
    lanes[...] = value  # ten times as quick as a view of the shape, for the arrays of a block
    return lanes.reshape(-1)


def _lanes(
    Dsigma_0: Floats, a_E: Floats, r_c: Floats, r_geo: Floats, J: Floats, K_ac: Floats, K_0s: Floats, K_star: Floats,
    sigma_v0s: Floats, sigma_v0c: Floats, p_1: Floats, E_ref: Floats, p_ref: Floats, m: Floats, nu_s: Floats,
) -> _Lanes:  # fmt: skip
    """Gather what does not change during the iteration; lengths are over the column radius, so widening is a strain."""
    threshold = mobilising_load(a_E=a_E, K_star=K_star, sigma_v0s=sigma_v0s, K_ac=K_ac, sigma_v0c=sigma_v0c)
    ring_ratio = (1 / (1 - nu_s) + 1 / (1 + nu_s) / a_E) * (1 + nu_s) * (1 - 2 * nu_s) / (1 - nu_s)
    sleeve = J * r_c / r_geo**2
    modulus = E_ref / p_ref**m
    return _Lanes(
        drive=K_ac / a_E * (Dsigma_0 - threshold),
        relief=K_ac * (1 - a_E) / a_E + K_0s,
        ring=ring_ratio * a_E / (1 - a_E),
        sleeve=sleeve,
        slack=(r_geo - r_c) / r_c * sleeve,
        heave=2 * nu_s / (1 - nu_s) * a_E / (1 - a_E),
        p_1=p_1,
        modulus=modulus,
        unloaded=modulus * p_1**m,
        m=m,
    )


def _solve(lanes: _Lanes, size: int) -> "_Solved":
    """Unknown, strain, residual, iterations and whether it converged, of lanes that are mobilised.

    Three evaluations are enough for nearly all; the others start again inside their bracket. The number of a lane does
    not depend on its neighbours.
    """
    x = _quick(lanes, _start(lanes, size))
    state = _state(lanes, x)
    # Written so that a NaN counts as open; at no stress or a negative one the strain of the soil is not positive.
    is_open = ~(np.abs(state.residual) <= TOLERANCE * state.soil)
    solved = x, state.column, state.residual, np.full(size, QUICK), ~is_open
    if is_open.any():
        rest = np.flatnonzero(is_open)
        for array, values in zip(solved, _careful(lanes.at(rest), rest.size), strict=True):
            array[rest] = values
    return solved


def _quick(lanes: _Lanes, x_0: Floats) -> Floats:
    """Two steps from the start: Newton's, then to the root of the inverse cubic through both points and slopes."""
    first = _state(lanes, x_0)
    inverse_0 = 1 / _slope(lanes, x_0, first)
    x = x_0 - first.residual * inverse_0
    state = _state(lanes, x)
    inverse = 1 / _slope(lanes, x, state)
    apart = 1 / (first.residual - state.residual)
    secant = (x_0 - x) * apart
    bend = secant - inverse - (inverse_0 + inverse - 2 * secant) * first.residual * apart
    return x - state.residual * inverse + state.residual**2 * apart * bend


def _careful(lanes: _Lanes, size: int) -> "_Solved":
    """Newton's method inside the bracket until every lane stops at its own relative residual."""
    low, high = np.zeros(size), np.broadcast_to(lanes.drive / lanes.relief, size)
    x = _start(lanes, size)
    iterations = np.full(size, QUICK + 1)
    for iteration in range(MOST_ITERATIONS):
        state = _state(lanes, x)
        is_open = ~(np.abs(state.residual) <= TOLERANCE * state.soil)
        if not is_open.any():
            break
        iterations += is_open
        negative = state.residual < 0
        low, high = np.where(negative, x, low), np.where(negative, high, x)
        step = x - state.residual / _slope(lanes, x, state)
        inside = (step > low) & (step < high) & (iteration < BISECTING_FROM)
        x = np.where(is_open, np.where(inside, step, 0.5 * (low + high)), x)
    return x, state.column, state.residual, iterations, np.abs(state.residual) <= ACCEPTED * state.soil + ROUNDING


def _state(lanes: _Lanes, x: Floats) -> _State:
    """What a stress ``x`` on the soil brings about; intermediate numbers take each other's place in memory."""
    mean = x / lanes.p_1  # U13, in a form without cancellation at small x
    np.log1p(mean, out=mean)
    np.divide(x, mean, out=mean)
    modulus = mean**lanes.m
    modulus *= lanes.modulus
    ring = modulus * lanes.ring
    held = ring + lanes.sleeve
    outward = lanes.relief * x
    np.subtract(lanes.drive, outward, out=outward)
    slack = outward / ring
    outward += lanes.slack
    taut = np.divide(outward, held, out=outward)
    widening = np.minimum(slack, taut)  # the taut sleeve is the smaller exactly where the slack is used up
    shrink = 1 + widening
    np.divide(1, shrink, out=shrink)
    column = 2 + widening
    column *= widening
    square = shrink * shrink
    column *= square
    soil = np.divide(x, modulus, out=modulus)
    residual = lanes.heave * widening
    np.subtract(soil, residual, out=residual)
    residual -= column
    return _State(residual, soil, column, mean, ring, held, slack, taut, widening, shrink)


def _slope(lanes: _Lanes, x: Floats, state: _State) -> Floats:
    """Derivative of the residual by the stress on the soil."""
    hardening: Floats = lanes.p_1 + x
    np.divide(state.mean, hardening, out=hardening)
    np.subtract(1, hardening, out=hardening)
    hardening *= lanes.m  # d ln(modulus) / d ln(x)
    stiffness = np.where(state.taut < state.slack, state.held, state.ring)
    closing = state.widening * state.ring
    closing *= hardening
    closing /= x
    closing += lanes.relief
    closing /= stiffness
    cube = state.shrink * state.shrink
    cube *= 2 * state.shrink
    cube += lanes.heave
    closing *= cube
    np.subtract(1, hardening, out=hardening)
    hardening *= state.soil
    hardening /= x
    hardening += closing
    return hardening


def _start(lanes: _Lanes, size: int) -> Floats:
    """First stress on the soil: small widening, modulus of half the stress that the initial modulus would give."""
    gain = lanes.heave + 2
    drive, relief = gain * lanes.drive, gain * lanes.relief
    slack = drive / (lanes.ring + relief)
    pushed = gain * (lanes.drive + lanes.slack)

    def linear(modulus: Floats) -> Floats:
        return np.asarray(np.minimum(slack, pushed / (lanes.ring + lanes.sleeve / modulus + relief)))

    first = linear(lanes.unloaded)
    second = linear(lanes.modulus * (lanes.p_1 + first / 2) ** lanes.m)
    start = np.empty(size)
    np.minimum(second, 0.999 * lanes.drive / lanes.relief, out=start)
    return start


_Solved = tuple[Floats, Floats, Floats, NDArray[np.int64], NDArray[np.bool_]]
_RANGES: dict[str, tuple[str, Callable[[Floats], NDArray[np.bool_]]]] = {
    "a_E": ("greater than 0 and less than 1", lambda x: (x > 0) & (x < 1)),
    "r_c": ("greater than 0", lambda x: x > 0),
    "J": ("0 or greater", lambda x: x >= 0),
    "K_ac": ("greater than 0", lambda x: x > 0),
    "K_0s": ("greater than 0", lambda x: x > 0),
    "K_star": ("0 or greater", lambda x: x >= 0),
    "sigma_v0s": ("0 or greater", lambda x: x >= 0),
    "sigma_v0c": ("0 or greater", lambda x: x >= 0),
    "E_ref": ("greater than 0", lambda x: x > 0),
    "p_ref": ("greater than 0", lambda x: x > 0),
    "m": ("between 0 and 1", lambda x: (x >= 0) & (x <= 1)),
    "nu_s": ("0 or greater and less than 0.5", lambda x: (x >= 0) & (x < 0.5)),
}


def _refuse_impossible(values: dict[str, Floats]) -> None:
    """Stop at values for which the equations have no meaning, before any lane is solved."""
    wrong = [
        f"{name} must be finite (got {value[~np.isfinite(value)].flat[0]})"
        for name, value in values.items()
        if not np.isfinite(value).all()
    ]
    for name, (words, holds) in _RANGES.items():
        bad = values[name][~holds(values[name])]
        if bad.size and not wrong:
            wrong.append(f"{name} must be {words} (got {bad.flat[0]:g})")
    if not wrong and (values["r_geo"] < values["r_c"]).any():
        wrong.append("r_geo must not be less than r_c")
    if not wrong and ((values["p_1"] <= 0) & (values["m"] > 0)).any():
        wrong.append("p_1 must be greater than 0 where the modulus depends on stress")
    if wrong:
        message = f"{PROCEDURE}: {'; '.join(wrong)}"
        raise ProcedureError(message)


def _refuse_unsolved(solution: CellSolution) -> None:
    """Stop when a lane that has a solution did not reach it."""
    unsolved = solution.mobilised & ~solution.converged
    if unsolved.any():
        worst = solution.residual[unsolved][np.argmax(np.abs(solution.residual[unsolved]))]
        message = (
            f"{PROCEDURE}: {int(unsolved.sum())} of {unsolved.size} cases did not converge in {MOST_ITERATIONS} "
            f"iterations; worst residual {worst:.3g} of the sublayer thickness"
        )
        raise ProcedureError(message)

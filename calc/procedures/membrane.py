"""Membrane solutions that need a root, and the integral of the concentric hemispheres, for any number of cases.

Each residual rises or falls all the way through its bracket, so halving finds its one root; the registered formulas
are evaluated themselves, so that the printed lines confirm the result.
"""

# ruff: noqa: N803, N806 - arguments carry the printed symbols

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas import load_transfer as lt
from calc.formulas import membrane as mb
from calc.procedures.failures import ProcedureError, refuse_where

Floats = NDArray[np.float64]

METHOD = "halving of a bracket"
HALVINGS = 110  # far more than the 53 digits of a bracket need, as its ends may lie many powers of ten apart
TOLERANCE = 1e-9  # residual over the largest of its terms
SMALLEST = 1e-9  # lower end of a bracket over its upper end
NODES, WEIGHTS = np.polynomial.legendre.leggauss(48)  # exact to rounding for the integrand of the hemispheres


@dataclass(frozen=True)
class Root:
    """The unknown of every case in the broadcast shape of the inputs, its residual, and the halvings used."""

    unknown: Floats
    residual: Floats
    iterations: int


def hemisphere_integral(K_p: ArrayLike) -> Floats:
    """The integral of (1 + t²) to the power K_p − 1 over t from 0 to 1, by Gauss' quadrature.

    It is what remains of the integral of a power of the radius over one eighth of a square.
    """
    values = _finite_arrays("hemispheres", K_p=K_p)["K_p"]
    t = (NODES + 1) / 2
    return np.asarray((1 + t**2) ** (values[..., None] - 1) @ WEIGHTS / 2)


def strain_factor(shape: str, u_m: ArrayLike) -> Floats:
    """Twice the mean strain over the square of load by horizontal force, for a shape of :data:`membrane.SHAPES`."""
    t_m = mb.half_span_tangent(u_m)
    if shape == "uniform":
        return np.asarray(mb.uniform_strain_factor(u_m, t_m))
    if shape == "triangular":
        return np.asarray(mb.triangular_strain_factor(u_m, t_m))
    return np.asarray(mb.inverse_strain_factor(u_m, t_m, mb.quarter_span_tangent(u_m)))


def solve_supported(
    shape: str, *, F_m: ArrayLike, L_m: ArrayLike, b_m: ArrayLike, J_r: ArrayLike, k_s: ArrayLike
) -> Root:
    """Horizontal force (kN) of a strip that rests on the ground, by shape of its load (key of ``SHAPES``).

    The subgrade modulus ``k_s`` (kPa/m) must be positive: a free strip has a closed form. Without load there is no
    force. ``ProcedureError`` for impossible values and for an unknown shape.
    """
    name = "supported membrane"
    _refuse_shape(name, shape)
    values = _finite_arrays(name, F_m=F_m, L_m=L_m, b_m=b_m, J_r=J_r, k_s=k_s)
    _refuse(name, values, positive=("L_m", "b_m", "J_r", "k_s"), least_zero=("F_m",))
    F_m, L_m, b_m, J_r, k_s = np.broadcast_arrays(*values.values())
    # The ground takes load off, so the free strip has the larger force.
    free = J_r * b_m * mb.membrane_strain(F_m=F_m, c_eps=mb.SHAPES[shape].c_eps, J_r=J_r, b_m=b_m)

    def gap(H_m: Floats) -> Floats:
        factor = strain_factor(shape, mb.support_length_ratio(k_s=k_s, b_m=b_m, H_m=H_m, L_m=L_m))
        strain = mb.supported_strain(S_m=factor, F_m=F_m, H_m=H_m)
        return np.asarray(mb.force_gap(H_m=H_m, J_r=J_r, b_m=b_m, eps_m=strain))

    return _solve(name, gap, SMALLEST * free, free, scale=None, idle=F_m == 0)


def solve_compatibility(
    *,
    shape: str,
    sigma_E: ArrayLike,
    sigma_sA: ArrayLike,
    a_E: ArrayLike,
    k_s: ArrayLike,
    k_c: ArrayLike,
    Ds_mob: ArrayLike,
    J_q: ArrayLike,
    J_l: ArrayLike,
    L_m: ArrayLike,
    b_m: ArrayLike,
    A_s: ArrayLike,
) -> Root:
    """Settlement difference (m) of ground and column heads at which arching, ground and membrane carry the load.

    ``sigma_E`` is the mean pressure, ``sigma_sA`` the pressure beside the head at full arching, ``k_s`` and ``k_c`` the
    subgrade moduli of ground and column (kPa/m), ``Ds_mob`` the difference (m) at which arching is complete, ``J_q``
    and ``J_l`` the stiffness across and along (kN/m, 0 for none). Between equal settlement (no difference) and a
    flexible load (no arching, no membrane) there is one solution. ``ProcedureError`` for impossible values.
    """
    name = "settlement difference"
    _refuse_shape(name, shape)
    numbers = _finite_arrays(name, sigma_E=sigma_E, sigma_sA=sigma_sA, a_E=a_E, k_s=k_s, k_c=k_c, Ds_mob=Ds_mob,
                    J_q=J_q, J_l=J_l, L_m=L_m, b_m=b_m, A_s=A_s)  # fmt: skip
    _refuse(name, numbers, positive=("a_E", "k_s", "k_c", "L_m", "b_m", "A_s"),
            least_zero=("sigma_E", "sigma_sA", "Ds_mob", "J_q", "J_l"))  # fmt: skip
    lanes = dict(zip(numbers, np.broadcast_arrays(*numbers.values()), strict=True))
    # The values belong to a soft ground with stiffer columns below an arching fill.
    wrong = {
        "a_E must be less than 1": lanes["a_E"] >= 1,
        "arching must not raise the pressure beside the column heads above the mean": (
            lanes["sigma_sA"] > lanes["sigma_E"]
        ),
        "the column must be at least as stiff as the soft ground": lanes["k_c"] < lanes["k_s"],
    }
    refuse_where(name, wrong)
    # Under a flexible load each settles by itself.
    highest = lanes["sigma_E"] / lanes["k_s"] - lanes["sigma_E"] / lanes["k_c"]

    def gap(Ds_h: Floats) -> Floats:
        return _pressure_gap(shape, Ds_h, lanes)

    idle = gap(np.zeros_like(highest)) <= 0  # equal settlement is held by arching alone
    return _solve(name, lambda x: -gap(x), np.zeros_like(highest), highest, scale=lanes["sigma_E"], idle=idle)


def _pressure_gap(shape: str, Ds_h: Floats, lanes: dict[str, Floats]) -> Floats:
    """The residual through the registered formulas."""

    def take(formula: Any, **made: Any) -> Any:
        return formula(**{name: made.get(name, lanes.get(name)) for name in formula.arguments})

    form = mb.SHAPES[shape]
    f_m = lt.sag_at_difference(Ds_h=Ds_h, eta_f=form.eta_f)
    F_mq, F_ml = (take(mb.load_at_sag, c_f=form.c_f, c_eps=form.c_eps, J_r=lanes[J], f_m=f_m) for J in ("J_q", "J_l"))
    carried = take(lt.membrane_pressure, F_mq=F_mq, F_ml=F_ml)
    pressed = take(lt.soil_pressure, Ds_h=Ds_h)
    least = take(lt.soil_pressure_at_equal_settlement)
    above = take(lt.pressure_on_reinforcement, Ds_h=Ds_h, sigma_sq0=least)
    return np.asarray(lt.pressure_gap(sigma_o=above, sigma_su=pressed, sigma_m=carried))


def _solve(
    name: str,
    gap: Callable[[Floats], Floats],
    low: Floats,
    high: Floats,
    *,
    scale: Floats | None,
    idle: NDArray[np.bool_],
) -> Root:
    """Root of a rising residual in every case; cases that are ``idle`` have the root 0. ``scale`` None: the root's."""
    with np.errstate(all="ignore"):
        first, last = np.array(low, dtype=np.float64), np.array(high, dtype=np.float64)
        count = 0
        while count < HALVINGS and ((last - first) > 4 * np.finfo(float).eps * last).any():
            middle = 0.5 * (first + last)
            below = gap(middle) < 0
            first, last = np.where(below, middle, first), np.where(below, last, middle)
            count += 1
        unknown = np.where(idle, 0.0, 0.5 * (first + last))
        residual = np.where(idle, 0.0, gap(unknown))
    missed = ~(np.abs(residual) <= TOLERANCE * (unknown if scale is None else scale))
    if missed.any():
        message = (
            f"{name}: {int(missed.sum())} of {missed.size} cases found no root in {HALVINGS} halvings; "
            f"worst residual {np.abs(residual[missed]).max():.3g}"
        )
        raise ProcedureError(message)
    return Root(unknown, residual, count)


def _finite_arrays(name: str, **values: ArrayLike) -> dict[str, Floats]:
    """The inputs as arrays; stops at the first that is not a finite number."""
    arrays = {key: np.asarray(value, dtype=np.float64) for key, value in values.items()}
    for key, array in arrays.items():
        bad = array[~np.isfinite(array)]
        if bad.size:
            message = f"{name}: {key} must be finite (got {bad.flat[0]})"
            raise ProcedureError(message)
    return arrays


def _refuse_shape(name: str, shape: str) -> None:
    if shape not in mb.SHAPES:
        message = f"{name}: the shape of the load must be one of {', '.join(mb.SHAPES)} (got {shape!r})"
        raise ProcedureError(message)


def _refuse(name: str, values: dict[str, Floats], *, positive: tuple[str, ...], least_zero: tuple[str, ...]) -> None:
    """Stop at values for which the equations have no meaning."""
    wrong = [
        f"{key} must be greater than 0 (got {values[key].min():g})" for key in positive if (values[key] <= 0).any()
    ]
    wrong += [
        f"{key} must be 0 or greater (got {values[key].min():g})" for key in least_zero if (values[key] < 0).any()
    ]
    if wrong:
        message = f"{name}: {'; '.join(wrong)}"
        raise ProcedureError(message)

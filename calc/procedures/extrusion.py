"""The extruding wedge under a side slope: thickness of least resistance, and the pressure at which it gives way.

The wedge is that of :mod:`calc.formulas.extrusion`; every quantity is in kN and m and broadcasts over cases.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas import bending, extrusion, geometry, squeezing
from calc.procedures.failures import ProcedureError

Floats = NDArray[np.float64]

THINNEST = 1000.0  # the soft ground over the thinnest wedge that is tried
THICKNESSES = 300  # tried first, from thin to thick by equal ratios
ROUNDS, PARTS = 3, 20  # of trying again between the neighbours of the best one
COUNTED_RATIO = 4.0  # largest stress ratio that counts: with it the wedge stays below limit analysis
METHOD = f"{THICKNESSES} thicknesses from a thousandth to the whole of the soft ground, refined around the minimum"


@dataclass(frozen=True)
class Wedge:
    """A wedge with columns: strengths of the soil in kPa and kPa/m, lengths in m, stresses in kPa, angles in rad.

    ``c_u0i`` at the top of the inner plane, ``c_u0f`` along the base in the column field, ``c_u0e`` beyond it and
    beside the columns, all of the soil itself; ``p_cN`` the stress increment of the column at the crest edge; ``L_t``
    the length from the crest edge along which shear acts at the top, the whole slope unless given; ``A_Eb`` and
    ``p_cNb`` stand for ``A_E`` and ``p_cN`` along the base where other columns stand there.
    """

    c_u0i: ArrayLike
    c_u0f: ArrayLike
    c_u0e: ArrayLike
    rho_ud: ArrayLike
    L_S: ArrayLike
    b_g: ArrayLike
    alpha_t: ArrayLike
    a_E: ArrayLike
    A_E: ArrayLike
    d_c: ArrayLike
    phi_c: ArrayLike
    gamma_ceff: ArrayLike
    p_cN: ArrayLike
    L_t: ArrayLike = np.inf
    A_Eb: ArrayLike | None = None
    p_cNb: ArrayLike | None = None

    def resistance(self, D: ArrayLike) -> Floats:  # noqa: N803 - printed symbol
        """Pressure (kPa) at which the wedge of thickness ``D`` (m) is extruded, its inner plane at the crest edge."""
        symbols, raw = {"rho_u": self.rho_ud, "D_sq": D}, {"c_u0": self.c_u0e, "rho_u": self.rho_ud, "D_sq": D}
        within = squeezing.block_length_in_field(self.b_g, self.L_S)
        outside = squeezing.block_length_beyond_field(self.L_S, within)
        top = np.minimum(self.L_t, self.L_S)
        held = squeezing.held_length_in_field(within, top), squeezing.held_length_beyond_field(top, within)
        field = squeezing.column_field_strength(self.a_E, self.c_u0f)
        base = squeezing.column_field_strength(self.a_E, squeezing.base_strength(c_u0=self.c_u0f, **symbols))
        stress = extrusion.column_stress_at_inner_plane(self.gamma_ceff, D, self.p_cN)
        shear, hinge, _ = self._shear(stress, squeezing.mean_block_strength(**raw))
        return np.asarray(
            extrusion.wedge_resistance(
                squeezing.mean_block_strength(c_u0=self.c_u0i, **symbols),
                squeezing.mean_block_strength(**raw),
                np.asarray(extrusion.shear_on_inner_plane(shear, self.A_E, hinge, D)),
                squeezing.strength_along_base(base, within, squeezing.base_strength(**raw), outside),
                self._base(D, squeezing.base_strength(**raw)),
                extrusion.counted_base_length(within, self.rho_ud, D, self.c_u0e),
                self.alpha_t,
                squeezing.strength_along_top(field, held[0], self.c_u0e, held[1]),
                D,
                extrusion.wedge_divisor(self.rho_ud, D, self.c_u0e),
            )
        )

    def _base(self, D: ArrayLike, c_u: Floats) -> Floats:  # noqa: N803 - printed symbol
        left = extrusion.height_left_at_last_column(self.b_g, self.L_S)
        factor = extrusion.mean_stress_factor(left)
        carried, area = (at_base if at_base is not None else other
                         for at_base, other in ((self.p_cNb, self.p_cN), (self.A_Eb, self.A_E)))  # fmt: skip
        shear, _, lateral = self._shear(extrusion.column_stress_at_base(self.gamma_ceff, D, factor, carried), c_u)
        return np.asarray(extrusion.shear_along_base(np.minimum(shear, bending.embedment_shear(lateral, D)), area))

    def _shear(self, stress: Floats, c_u: Floats) -> tuple[Floats, Floats, Floats]:
        force = bending.column_force_at_cut(geometry.column_area(self.d_c), stress)
        moment, lateral = bending.kern_moment(force, self.d_c), bending.lateral_resistance(c_u, self.d_c)
        shear = bending.column_shear(bending.column_friction(force, self.phi_c), bending.bending_shear(moment, lateral))
        return shear, bending.hinge_distance(moment, lateral), lateral


def beyond_columns(
    D: ArrayLike, c_u0: ArrayLike, rho_u: ArrayLike, alpha_t: ArrayLike, L_o: ArrayLike,  # noqa: N803 - printed symbols
    L_to: ArrayLike = np.inf,  # noqa: N803 - printed symbol
) -> Floats:  # fmt: skip
    """Pressure (kPa) at which a wedge of thickness ``D`` and length ``L_o`` (m) without columns is extruded.

    Shear at the top acts along ``L_to`` (m) from its inner plane on, along the whole wedge unless given.
    """
    ground = {"c_u0": c_u0, "rho_u": rho_u, "D_sq": D}
    divisor = extrusion.wedge_divisor(rho_u, D, c_u0)
    mean, base = squeezing.mean_block_strength(**ground), squeezing.base_strength(**ground)
    return np.asarray(
        extrusion.resistance_beyond_columns(mean, base, L_o, alpha_t, c_u0, np.minimum(L_to, L_o), D, divisor)
    )


def critical_thickness(resistance: Callable[[Floats], Floats], t_soft: ArrayLike) -> tuple[Floats, Floats]:
    """Thickness (m) of least resistance between a thousandth and the whole of the soft ground, and that resistance.

    ``resistance`` takes thicknesses whose first axis counts the tries and whose others are those of ``t_soft`` (m),
    which has the shape of all cases. ``ProcedureError`` where a resistance is not finite.
    """
    deepest = np.asarray(t_soft, dtype=np.float64)
    shape = (-1,) + (1,) * deepest.ndim
    tried = deepest * np.geomspace(1 / THINNEST, 1.0, THICKNESSES).reshape(shape)
    for _ in range(ROUNDS):
        low, high = _neighbours(tried, _place(resistance(tried)))
        tried = low + (high - low) * np.linspace(0.0, 1.0, PARTS).reshape(shape)
    values = resistance(tried)
    best = _place(values)
    return np.take_along_axis(tried, best, 0)[0], np.take_along_axis(values, best, 0)[0]


def _place(values: Floats) -> NDArray[np.intp]:
    if not np.isfinite(values).all():
        message = "extruding wedge: the resistance is no finite number"
        raise ProcedureError(message)
    return np.asarray(np.argmin(values, axis=0, keepdims=True))


def _neighbours(tried: Floats, best: NDArray[np.intp]) -> tuple[Floats, Floats]:
    last = tried.shape[0] - 1
    return (
        np.take_along_axis(tried, np.maximum(best - 1, 0), 0)[0],
        np.take_along_axis(tried, np.minimum(best + 1, last), 0)[0],
    )


def rows_needed(
    distance: float, *, p: Floats, L_S: Floats, t_soft: Floats, c_u0: Floats, rho_u: Floats, alpha_t: Floats,  # noqa: N803 - printed symbols
    L_t: Floats, gamma_Re: Floats,  # noqa: N803 - printed symbols
) -> int:  # fmt: skip
    """Least number of column rows beyond the crest edge, ``distance`` (m) apart, beyond which no case is extruded.

    All arrays have the shape of the cases; ``p`` (kPa) is the design pressure at the crest edge, ``L_t`` (m) the length
    from there along which shear acts at the top.
    """
    rows = 0
    while True:
        left = extrusion.height_left_at_last_column(rows * distance, L_S)
        held = squeezing.held_length_beyond_field(L_t, rows * distance)
        wedge = partial(beyond_columns, c_u0=c_u0, rho_u=rho_u, alpha_t=alpha_t, L_o=L_S * left, L_to=held)
        _, least = critical_thickness(wedge, t_soft)
        resistance = extrusion.design_extrusion_resistance(least, gamma_Re)
        if (extrusion.pressure_at_last_column(p, 0.0, left) <= resistance).all():
            return rows
        rows += 1

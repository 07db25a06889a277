"""How the excess pore pressure of each layer fades after a load placed at once: radial and vertical flow together.

By the rule of Carrillo, applied locally, the share left in a layer is that of radial flow times the mean of the
series of Terzaghi over the layer. It is kept as sums of exponentials, which staged loading can integrate exactly.
"""

# ruff: noqa: N803 - arguments carry the printed symbols

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calc.formulas.staged import sublayer_pressure_term, term_argument
from calc.procedures.consolidation_radial import RadialModes
from calc.procedures.failures import ProcedureError, refuse_where

Floats = NDArray[np.float64]

PROCEDURE = "consolidation"
# The last term takes what the others lack of 1, so that the start is exact. From a time factor of 1.5e-5 on the share
# left in a layer is that of the series to 1e-6; below it, where hardly any water has left, a layer of a tenth of the
# path is up to 0.0036 off.
TERMS = 240
KEPT = 256  # layerings whose vertical flow is kept, some tens of kB each
VOLUMES, LEAST_CELLS = 240, 10  # finite volumes of all layers, and at least of one
ARGUMENTS: Floats = np.asarray(term_argument(np.arange(TERMS, dtype=np.float64)))


@dataclass(frozen=True)
class Response:
    """Share of the excess pore pressure left in each layer, as the product of radial and vertical flow.

    Radial: the sum of shares·exp(−radial·t), both of the shape (exponentials, ..., layers), rates in 1/day and rising.
    Vertical: the sum of weights·exp(−vertical·t), one rate (1/day) per term and weights of the shape (layers, terms).
    Shares and weights add up to 1 in each layer.
    """

    radial: Floats
    shares: Floats
    vertical: Floats
    weights: Floats

    @property
    def cases(self) -> tuple[int, ...]:
        """Shape of the leading axes."""
        return self.radial.shape[1:-1]

    @property
    def layers(self) -> int:
        """Number of layers."""
        return int(self.radial.shape[-1])

    def remaining(self, ages: ArrayLike) -> Floats:
        """Share left at ages (day), shape (..., ages, layers)."""
        age = np.asarray(ages, dtype=np.float64)
        vertical = np.exp(-age[:, None] * self.vertical) @ self.weights.T
        radial = self.shares[..., None, :] * np.exp(-age[:, None] * self.radial[..., None, :])
        return np.asarray(radial.sum(axis=0) * vertical)

    def part(self, layers: slice, axes: int) -> "Response":
        """Some of the layers, with at least so many leading axes between the exponentials and the layers."""
        shape = (self.radial.shape[0], *(1,) * (axes - len(self.cases)), *self.radial.shape[1:])
        radial, shares = (array.reshape(shape)[..., layers] for array in (self.radial, self.shares))
        return Response(radial, shares, self.vertical, self.weights[layers])

    def of_case(self, place: int) -> "Response":
        """One of the cases alone, which keeps its axis."""
        rows = slice(place, place + 1)
        return Response(self.radial[:, rows], self.shares[:, rows], self.vertical, self.weights)

    @cached_property
    def lasting(self) -> Floats:
        """What even growth of 1 a day leaves behind for good, by exponential, layer and term."""
        return self.shares[..., None] * self.weights / (self.radial[..., None] + self.vertical)

    @property
    def slowest(self) -> Floats:
        """Rate (1/day) of the slowest exponential of each layer, shape (..., layers)."""
        return np.asarray(self.radial[0] + self.vertical[0])


def radial_response(radial: ArrayLike | RadialModes) -> Response:
    """Radial flow only, with one rate (1/day) for each layer, shape (..., layers), or with several exponentials.

    ``ProcedureError`` where a layer has no flow.
    """
    flow = _radial(radial)
    refuse_where(PROCEDURE, {"without vertical flow every layer needs a radial rate greater than 0": flow.rates <= 0})
    return Response(*flow, np.zeros(1), np.ones((flow.rates.shape[-1], 1)))


def combined_response(
    radial: ArrayLike | RadialModes, zeta_t: ArrayLike, zeta_b: ArrayLike, vertical: float
) -> Response:  # fmt: skip
    """Radial and vertical flow through ground of one kind.

    ``radial`` as in ``radial_response``, 0 where there is none. ``zeta_t`` and ``zeta_b`` are the depths of top and
    bottom of each layer over the drainage path, from a drained surface: 0 to 1 when drained on one side, 0 to 2 when on
    both. ``vertical`` is c_v/H² in 1/day. ``ProcedureError`` for impossible values.
    """
    flow = _radial(radial)
    top, bottom = np.asarray(zeta_t, dtype=np.float64), np.asarray(zeta_b, dtype=np.float64)
    if not (np.isfinite(vertical) and vertical > 0):
        message = f"{PROCEDURE}: the rate of vertical flow must be greater than 0 (got {vertical:g})"
        raise ProcedureError(message)
    # 1e-9 for the sums of thicknesses that make the depths.
    wrong = top.shape != flow.rates.shape[-1:] or not ((top >= 0) & (bottom > top) & (bottom <= 2 + 1e-9)).all()
    refuse_where(PROCEDURE, {"every layer needs a top and a bottom with 0 ≤ ζ_t < ζ_b ≤ 2": wrong})
    weights = np.array(sublayer_pressure_term(ARGUMENTS, top[:, None], bottom[:, None], 0.0))
    weights[:, -1] += 1 - weights.sum(axis=1)
    return Response(*flow, vertical * ARGUMENTS**2, weights)


def layered_response(
    radial: ArrayLike | RadialModes, h: ArrayLike, c_v: ArrayLike, E_oed: ArrayLike, *, both: bool
) -> Response:  # fmt: skip
    """Radial and vertical flow through layers that differ, drained at the top or at top and bottom.

    ``radial`` as in ``radial_response``, 0 where there is none; ``h`` the thickness (m), ``c_v`` the coefficient of
    vertical consolidation (m²/day) and ``E_oed`` the modulus (kPa) of each layer; k/γ_w = c_v/E_oed. Vertical flow is
    solved by finite volumes over all layers, so that pressure and flow are continuous between them, and combined with
    radial flow layer by layer. ``ProcedureError`` for impossible values.
    """
    flow = _radial(radial)
    layers = [np.asarray(argument, dtype=np.float64) for argument in (h, c_v, E_oed)]
    wrong = not all(
        layer.shape == flow.rates.shape[-1:] and ((layer > 0) & np.isfinite(layer)).all() for layer in layers
    )
    refuse_where(PROCEDURE, {"every layer needs a thickness, a coefficient and a modulus greater than 0": wrong})
    return Response(*flow, *_vertical_modes(*(tuple(layer.tolist()) for layer in layers), both))


@lru_cache(maxsize=KEPT)
def _vertical_modes(
    h: tuple[float, ...], c_v: tuple[float, ...], E_oed: tuple[float, ...], both: bool
) -> tuple[Floats, Floats]:  # fmt: skip
    """Rates of vertical flow through layers and their weights; the grounds of one sample ask for the same."""
    number = max(LEAST_CELLS, VOLUMES // len(h))
    width, coefficient, modulus = (np.repeat(layer, number) for layer in (h, c_v, E_oed))
    width = width / number
    stored, resistance = width / modulus, width / 2 * modulus / coefficient
    passing = 1 / np.concatenate([resistance[:1], resistance[:-1] + resistance[1:], resistance[-1:]])
    passing[-1] *= both
    root = np.sqrt(stored)
    matrix = np.diag((passing[:-1] + passing[1:]) / stored)
    between = np.arange(width.size - 1)
    matrix[between, between + 1] = matrix[between + 1, between] = -passing[1:-1] / (root[1:] * root[:-1])
    vertical, modes = np.linalg.eigh(matrix)
    parts = modes / root[:, None] * (root @ modes)
    return vertical, parts.reshape(-1, number, width.size).mean(axis=1)


def vertical_degree(T_v: ArrayLike) -> Floats:
    """Mean degree of consolidation by vertical flow at time factors of any shape, by the series."""
    factor = np.asarray(T_v, dtype=np.float64)
    whole = combined_response(np.zeros(1), [0.0], [1.0], 1.0)
    return np.asarray(1 - whole.remaining(factor.reshape(-1))[:, 0].reshape(factor.shape))


def _radial(radial: ArrayLike | RadialModes) -> RadialModes:
    if isinstance(radial, RadialModes):
        return radial
    rates = np.asarray(radial, dtype=np.float64)
    wrong = rates.ndim == 0 or not (np.isfinite(rates) & (rates >= 0)).all()
    refuse_where(PROCEDURE, {"the rates of radial flow must be 0 or greater, one for each layer": wrong})
    return RadialModes(rates[None], np.ones_like(rates)[None])

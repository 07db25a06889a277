"""Coupled radial consolidation of the unit cell: finite elements for displacement and pore pressure (scikit-fem).

Uniform vertical strain, outer edge held and sealed, column and wall drained. The soil moves freely in radial direction
and its pore pressure differs along the radius: what the closed forms average is solved here. Displacements have
quadratic, pressures linear elements. The system is linear, so its time course is a sum of exponentials: no time steps.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg import eig
from scipy.optimize import brentq
from skfem import Basis, BilinearForm, ElementLineP1, ElementLineP2, LinearForm, MeshLine

ELEMENTS = 60


@dataclass(frozen=True)
class Cell:
    """Lamé constants in kPa; ``column`` None: a column that yields from the first load on, with K_a and k_psi."""

    a_E: float
    r_c: float
    J: float
    soil: tuple[float, float]
    column: tuple[float, float] | None
    K_a: float = 1.0
    k_psi: float = 1.0


@dataclass(frozen=True)
class Outcome:
    """Mean excess pore pressure at the start, vertical strain at start and end, drained stresses, ring tension."""

    pressure: float
    strain_start: float
    strain_end: float
    column_stress: float
    soil_stress: float
    ring_tension: float
    rates: np.ndarray[Any, Any]
    parts: np.ndarray[Any, Any]

    def time(self, degree: float) -> float:
        """Time at which the mean pore pressure has fallen by a degree, for a permeability of 1 by γ_w."""

        def left(t: float) -> float:
            return float(self.parts @ np.exp(-self.rates * t)) - (1 - degree)

        return float(brentq(left, 0, 60 / self.rates.min()))


def consolidate(cell: Cell, p: float) -> Outcome:
    """The cell under a load ``p`` (kPa) placed at once."""
    K, B, H, g = _assembled(cell)
    r_c, area = cell.r_c, cell.r_c**2 / 2 * (1 / cell.a_E - 1)
    n = K.shape[0]
    # Unknowns: widening of every node, vertical strain, radial stress of the column. Rows: radial equilibrium,
    # vertical equilibrium, law of the column.
    A = np.zeros((n + 2, n + 2))
    lam, G = cell.soil
    wall = np.zeros(n)
    wall[0] = 1.0
    A[:n, :n] = K + cell.J / r_c * np.outer(wall, wall)
    A[:n, n] = lam * r_c * wall
    A[:n, n + 1] = -r_c * wall
    A[n, n] = (1 - cell.a_E) * (lam + 2 * G)
    A[n, 0] = (1 - cell.a_E) * lam * r_c / area
    _column_rows(A, cell, n)
    load = np.zeros(n + 2)
    load[n] = p
    pressing = np.vstack([B, -(1 - cell.a_E) * g / area, np.zeros_like(g)])
    unit = np.linalg.solve(A, np.column_stack([load, pressing]))
    # Volume lost by the soil: g·strain − Bᵀ·widening, by load and by pressure.
    volume = np.outer(g, unit[n]) - B.T @ unit[:n]
    C = -volume[:, 1:]
    start = np.linalg.solve(C, volume[:, 0])
    rates, modes = eig(H, C)
    assert np.abs(rates.imag).max() < 1e-6 * np.abs(rates.real).max()
    mean = g / area
    parts = (mean @ modes) * np.linalg.solve(modes, start) / (mean @ start)
    end, first = unit[:, 0], unit[:, 0] + unit[:, 1:] @ start
    column = _column_stress(cell, end, n)
    return Outcome(
        float(mean @ start), first[n], end[n], column, (p - cell.a_E * column) / (1 - cell.a_E),
        cell.J * end[0] / r_c, rates.real, parts.real,
    )  # fmt: skip


def _assembled(cell: Cell) -> tuple[Any, Any, Any, Any]:
    """Stiffness of the soil, coupling, flow and volume of the pressures; edge held, wall drained."""
    lam, G = cell.soil
    r_e = cell.r_c / np.sqrt(cell.a_E)
    radii = cell.r_c + (r_e - cell.r_c) * np.linspace(0, 1, ELEMENTS + 1) ** 1.5  # finer at the wall
    mesh = MeshLine(radii)
    moved, pressed = Basis(mesh, ElementLineP2(), intorder=6), Basis(mesh, ElementLineP1(), intorder=6)

    def widened(u: Any, w: Any) -> Any:
        return u.grad[0] + u / w.x[0]

    def stiffness(u: Any, v: Any, w: Any) -> Any:
        shear = u.grad[0] * v.grad[0] + u * v / w.x[0] ** 2
        return (lam * widened(u, w) * widened(v, w) + 2 * G * shear) * w.x[0]

    K = BilinearForm(stiffness).assemble(moved).toarray()
    B = BilinearForm(lambda u, v, w: u * widened(v, w) * w.x[0]).assemble(pressed, moved).toarray()
    H = BilinearForm(lambda u, v, w: u.grad[0] * v.grad[0] * w.x[0]).assemble(pressed).toarray()
    g = LinearForm(lambda v, w: v * w.x[0]).assemble(pressed)
    edge = moved.get_dofs(lambda x: np.isclose(x[0], r_e)).all()
    free = np.setdiff1d(np.arange(K.shape[0]), edge)
    drained = pressed.get_dofs(lambda x: np.isclose(x[0], cell.r_c)).all()
    wet = np.setdiff1d(np.arange(H.shape[0]), drained)
    assert free[0] == 0  # the node at the wall comes first
    return K[np.ix_(free, free)], B[np.ix_(free, wet)], H[np.ix_(wet, wet)], g[wet]


def _column_rows(A: np.ndarray[Any, Any], cell: Cell, n: int) -> None:
    """Share of the column in vertical equilibrium, and its own law."""
    if cell.column is None:
        A[n, n + 1] = cell.a_E / cell.K_a
        A[n + 1, 0], A[n + 1, n] = 1.0, -cell.k_psi / 2 * cell.r_c
        return
    lam, G = cell.column
    A[n, n] += cell.a_E * (lam + 2 * G)
    A[n, 0] -= cell.a_E * 2 * lam / cell.r_c
    A[n + 1, n + 1] = 1.0
    A[n + 1, n], A[n + 1, 0] = -lam, 2 * (lam + G) / cell.r_c


def _column_stress(cell: Cell, end: np.ndarray[Any, Any], n: int) -> float:
    if cell.column is None:
        return float(end[n + 1] / cell.K_a)
    lam, G = cell.column
    return float((lam + 2 * G) * end[n] - 2 * lam * end[0] / cell.r_c)

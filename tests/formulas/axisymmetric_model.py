"""Finite-element model of the elastic unit cell in axial symmetry, hoop membrane at the wall (scikit-fem)."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, FacetBasis, Functional, MeshQuad, condense, solve
from skfem.helpers import ddot, eye, sym_grad, trace


@dataclass(frozen=True)
class Outcome:
    """Results at the load asked for: settlement, mean vertical stresses, ring tension."""

    settlement: float
    column_stress: float
    soil_stress: float
    ring_tension: float


def _lame(E: float, nu: float) -> tuple[float, float]:
    return E * nu / ((1 + nu) * (1 - 2 * nu)), E / (2 * (1 + nu))


def unit_cell(
    *, a_E: float, r_c: float, h: float, J: float, column: tuple[float, float], soil: tuple[float, float], p: float
) -> Outcome:
    """Elastic cell with smooth rigid plates at both ends; ``column`` and ``soil`` are Young's modulus and Poisson."""
    r_e = r_c / np.sqrt(a_E)
    radii = np.concatenate([np.linspace(0, r_c, 9), np.linspace(r_c, r_e, 17)[1:]])
    mesh = MeshQuad.init_tensor(radii, np.linspace(0, h, 5))
    basis = Basis(mesh, ElementVector(ElementQuad2()))
    lame = (_lame(*column), _lame(*soil))

    def stress(u: Any, w: Any) -> tuple[Any, Any]:
        """Stress in the plane of radius and height, and in ring direction."""
        inside = w.x[0] < r_c
        lam, G = (np.where(inside, one, two) for one, two in zip(*lame, strict=True))
        hoop = u[0] / w.x[0]
        volume = trace(sym_grad(u)) + hoop
        return 2 * G * sym_grad(u) + eye(lam * volume, 2), lam * volume + 2 * G * hoop

    def stiffness(u: Any, v: Any, w: Any) -> Any:
        plane, hoop = stress(u, w)
        return (ddot(plane, sym_grad(v)) + hoop * v[0] / w.x[0]) * w.x[0]

    def membrane(u: Any, v: Any, w: Any) -> Any:
        return J * u[0] * v[0] / w.x[0] ** 2 * w.x[0]

    wall = FacetBasis(mesh, basis.elem, facets=mesh.facets_satisfying(lambda x: np.isclose(x[0], r_c)))
    held = {
        "axis": basis.get_dofs(lambda x: np.isclose(x[0], 0)).all("u^1"),
        "edge": basis.get_dofs(lambda x: np.isclose(x[0], r_e)).all("u^1"),
        "base": basis.get_dofs(lambda x: np.isclose(x[1], 0)).all("u^2"),
        "head": basis.get_dofs(lambda x: np.isclose(x[1], h)).all("u^2"),
    }
    u = basis.zeros()
    u[held["head"]] = -1.0
    whole = BilinearForm(stiffness).assemble(basis) + BilinearForm(membrane).assemble(wall)
    u = solve(*condense(whole, x=u, D=np.concatenate(list(held.values()))))

    def vertical(w: Any) -> Any:
        return -stress(w["u"], w)[0][1, 1] * w.x[0] * ((w.x[0] < r_c) if w["column"] else (w.x[0] > r_c))

    field = basis.interpolate(u)
    # Volume integrals over one radian, by the volume of the part: mean stresses under a unit settlement.
    on_column = Functional(vertical).assemble(basis, u=field, column=True) / (r_c**2 / 2 * h)
    on_soil = Functional(vertical).assemble(basis, u=field, column=False) / ((r_e**2 - r_c**2) / 2 * h)
    widening = Functional(lambda w: w["u"][0]).assemble(wall, u=wall.interpolate(u)) / h
    scale = p / (a_E * on_column + (1 - a_E) * on_soil)
    return Outcome(scale, scale * on_column, scale * on_soil, scale * J * widening / r_c)

"""A conic programme that is put together part by part, and its solution by a general-purpose interior-point solver."""

from dataclasses import dataclass, field
from typing import Any

import clarabel
import numpy as np
from scipy import sparse

from tests.limit_analysis.mesh import Floats, Ints

SOLVED = {"Solved", "AlmostSolved"}
REGULARIZATIONS = (1e-8, 3e-8, 1e-7)  # of the factors; the next where one ends in a numerical error


@dataclass
class Programme:
    """The largest multiplier of the live loads under equations, inequalities and cones; it is variable 0."""

    size: int = 1
    equations: list[sparse.csr_matrix] = field(default_factory=list)
    values: list[Floats] = field(default_factory=list)
    unequal: list[sparse.csr_matrix] = field(default_factory=list)
    limits: list[Floats] = field(default_factory=list)
    cones: list[sparse.csr_matrix] = field(default_factory=list)
    radii: list[Floats] = field(default_factory=list)

    def variables(self, *shape: int) -> Ints:
        """Numbers of new variables in an array of this shape."""
        count = int(np.prod(shape))
        self.size += count
        return np.arange(self.size - count, self.size).reshape(shape)

    def equal(self, terms: list[tuple[Ints, Ints, Floats]], fixed: Floats, live: Floats | None = None) -> None:
        """Rows in which the terms (row, variable, coefficient) add up to fixed + multiplier × live."""
        if live is not None:
            rows = np.arange(len(live))
            terms = [*terms, (rows, np.zeros_like(rows), -live)]
        self.equations.append(_matrix(terms, len(fixed)))
        self.values.append(fixed)

    def at_most(self, terms: list[tuple[Ints, Ints, Floats]], limits: Floats) -> None:
        """Rows in which the terms add up to the limit at most."""
        self.unequal.append(_matrix(terms, len(limits)))
        self.limits.append(limits)

    def in_cones(self, terms: list[tuple[Ints, Ints, Floats]], constants: Floats) -> None:
        """Triples of rows: of the constants less the terms, the first bounds the length of the other two."""
        self.cones.append(_matrix(terms, len(constants)))
        self.radii.append(constants)

    def solve(self) -> float:
        """The largest multiplier; an error when the solver has not found it."""
        blocks = [*self.equations, *self.unequal, *self.cones]
        matrix = sparse.vstack([_widened(block, self.size) for block in blocks]).tocsc()
        constants = np.concatenate([*self.values, *self.limits, *self.radii])
        kinds = [clarabel.ZeroConeT(sum(len(value) for value in self.values))]
        if self.limits:
            kinds.append(clarabel.NonnegativeConeT(sum(len(limit) for limit in self.limits)))
        kinds.extend([clarabel.SecondOrderConeT(3)] * (sum(len(radius) for radius in self.radii) // 3))
        objective = np.zeros(self.size)
        objective[0] = -1.0
        nothing = sparse.csc_matrix((self.size, self.size))
        tried = []
        for regularization in REGULARIZATIONS:
            settings = _settings(regularization)
            found = clarabel.DefaultSolver(nothing, objective, matrix, constants, kinds, settings).solve()
            if str(found.status) in SOLVED:
                return float(found.x[0])
            tried.append(str(found.status))
        message = f"the conic programme has no solution: {', '.join(tried)}"
        raise ArithmeticError(message)


def _settings(regularization: float) -> Any:
    """Close tolerances: stresses are hundreds of kPa at thousands of corners.

    A residual of 1e-6 was worth a third of a multiplier.
    """
    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.max_threads = 1
    settings.max_step_fraction = 0.95  # 0.99 ends in numerical errors now and then
    settings.static_regularization_constant = regularization
    settings.tol_gap_abs = settings.tol_gap_rel = 1e-6
    settings.tol_feas, settings.reduced_tol_feas = 1e-9, 1e-8
    return settings


def _matrix(terms: list[tuple[Ints, Ints, Floats]], rows: int) -> sparse.csr_matrix:
    row, column, value = (np.concatenate([np.ravel(term[k]) for term in terms]) for k in range(3))
    return sparse.csr_matrix((value, (row, column)), shape=(rows, int(column.max()) + 1))


def _widened(block: sparse.csr_matrix, size: int) -> sparse.csr_matrix:
    return sparse.csr_matrix((block.data, block.indices, block.indptr), shape=(block.shape[0], size))

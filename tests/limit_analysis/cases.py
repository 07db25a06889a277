"""Grounds and banks of the tables of bounds, and the command that computed these once.

python -m tests.limit_analysis.cases extrusion NAME…
python -m tests.limit_analysis.cases circles NAME…
"""

import sys
from collections.abc import Callable
from dataclasses import fields
from math import exp, log
from types import SimpleNamespace

from tests.limit_analysis.bank import Bank, bank_bodies
from tests.limit_analysis.circles import circle_safety
from tests.limit_analysis.extrusion import Fineness, Ground, body
from tests.limit_analysis.lower import lower_bound
from tests.limit_analysis.model import Body, Contact
from tests.limit_analysis.upper import upper_bound
from tests.references.reader import rows

Bound = Callable[[Body, Body, Contact], float]
CLOSE = 0.003  # of the share of the undrained strength that is needed, from 1
ROUNDS, STEP = 8, 0.25


def ground_of(row: SimpleNamespace) -> Ground:
    """The ground of a row; what the row leaves out is as in :class:`Ground`."""
    return Ground(**{field.name: getattr(row, field.name) for field in fields(Ground) if hasattr(row, field.name)})


def bank_of(row: SimpleNamespace) -> Bank:
    """The bank of a row, which gives its slope and the field in spacings of the walls (in m without columns)."""
    spacing = getattr(row, "d", 0.8) / (4 * row.a) if row.a else 1.0
    L, x_e = row.slope_cells * spacing, (row.field_cells * spacing if row.a else 0.0)
    ground = ground_of(SimpleNamespace(**vars(row), L=L, x_e=x_e))
    return Bank(ground, L / row.run, T=row.T)


def needed_strength(bound: Bound, bank: Bank, safety: float, fine: Fineness) -> float:
    """Share of the undrained strength that the bank with its strengths divided by a safety asks for."""
    return -bound(*bank_bodies(bank.reduced(safety), fine))


def safety_by(bound: Bound, bank: Bank, start: float, fine: Fineness) -> float:
    """Bound of the safety: the needed share is 1 there; by secants of the logarithms."""
    x, y = log(start), log(needed_strength(bound, bank, start, fine))
    other = x - max(-STEP, min(STEP, y / 1.5))
    for _ in range(ROUNDS):
        value = log(needed_strength(bound, bank, exp(other), fine))
        if abs(value) < CLOSE:
            return exp(other)
        step = value * (other - x) / (value - y)
        x, y, other = other, value, other - max(-STEP, min(STEP, step))
    message = "the safety by limit analysis has not converged"
    raise ArithmeticError(message)


def main(which: str, *names: str) -> None:
    """Write the bounds of the rows named, or of all."""
    for row in rows(f"limit_{which}"):
        if names and row.name not in names:
            continue
        if which == "extrusion":
            made = body(ground_of(row), Fineness(rows=getattr(row, "rows", 8), gap=getattr(row, "gap", 1)))
            text = f"lower = {lower_bound(made):.2f}, upper = {upper_bound(made):.2f}"
        else:
            bank, fine = bank_of(row), Fineness(rows=6)
            circle = circle_safety(bank)
            lower, upper = (safety_by(bound, bank, circle, fine) for bound in (lower_bound, upper_bound))
            text = f"circle = {circle:.3f}, lower = {lower:.3f}, upper = {upper:.3f}"
        sys.stdout.write(f"{row.name}: {text}\n")


if __name__ == "__main__":
    main(*sys.argv[1:])

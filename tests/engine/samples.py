"""Inputs for formulas: drawn from positive ranges of their unit, rounded so that their print is exact."""

from math import radians
from typing import Any

import numpy as np

from calc.engine.formula import REGISTRY, Formula
from calc.engine.sheet import Origin, Sheet
from calc.engine.symbols import symbol
from calc.engine.typeset import LAYER_SUMS, Node, names_in
from tests.once import cached

LAYERS = ("clay 0-2 m", "clay 2-4 m", "peat", "gyttja")

# Ranges of the trade in coherent units; ratios stay below one half so that 1 - 2ν and 1/a - 1 keep their sign.
RANGES = {
    "-": (0.05, 0.45),
    "rad": (15.0, 45.0),  # drawn in degrees
    "m": (0.2, 12.0),
    "m^2": (0.4, 8.0),
    "m^3": (0.4, 8.0),
    "m^2/day": (0.001, 10.0),
    "kPa": (5.0, 900.0),
    "kPa/m": (5.0, 900.0),
    "1/kPa": (0.001, 0.01),
    "1/m": (0.001, 0.01),
    "1/m^2": (0.001, 0.1),
    "1/m^3": (0.5, 50.0),
    "kN/m": (50.0, 6000.0),
    "kN/m^3": (9.0, 23.0),
    "day": (1.0, 900.0),
    "m/day": (0.001, 10.0),
    "kPa*day": (0.01, 10.0),
    "m^3/day": (0.01, 10.0),
    "1/m/day": (0.01, 10.0),
    "1/day": (0.01, 10.0),
    "day/m": (10.0, 5000.0),
    "kN": (5.0, 900.0),
    "kN*m": (5.0, 900.0),
    "kN*m/m": (5.0, 900.0),
}


# Inertia and fall of the crest under which fill is in equilibrium at all, degrees.
OF_SYMBOL = {"theta_u": (0.5, 4.0), "theta_d": (0.5, 4.0), "beta_C": (0.5, 5.7)}


def load_registry() -> list[Formula]:
    """Every formula of the project."""
    import calc.formulas  # noqa: F401 - importing it completes the registry

    return list(REGISTRY)


def draw(name: str, shape: tuple[int, ...], random: np.random.Generator) -> Any:
    """Numbers for one symbol in coherent units, with at most four decimals as shown."""
    unit = symbol(name).unit
    drawn = np.round(random.uniform(*OF_SYMBOL.get(name, RANGES[unit]), size=shape), 4)
    return np.vectorize(radians)(drawn) if unit == "rad" else drawn


@cached
def _summed_in(formula: Formula) -> set[str]:
    return summed_names(formula.tree)


def summed_names(tree: Node) -> set[str]:
    """The symbols that stand behind a sum sign and so need a layer axis."""
    if tree.kind in LAYER_SUMS:
        return names_in(tree)
    return set[str]().union(*(summed_names(child) for child in tree.children))


def sample(formula: Formula, count: int, seed: int, *, negative: float = 0.0) -> dict[str, Any]:
    """Arrays (count, 1), or (count, layers) for what is summed; a share of the columns may be negative."""
    random = np.random.default_rng([seed, *formula.id.encode()])
    layered = _summed_in(formula)
    values = {}
    for name in formula.arguments:
        drawn = draw(name, (count, len(LAYERS) if name in layered else 1), random)
        values[name] = drawn * np.where(random.random((count, 1)) < negative, -1.0, 1.0)
    return values


def sheet_of(formula: Formula, seed: int, *, negative: float = 0.0) -> Sheet:
    """A chapter in which every argument of the formula is given."""
    sheet = Sheet(section="A", key="proof")
    summed = (formula.summed_axes or ("layer",))[-1]
    sheet.axis(summed, LAYERS)
    for name, drawn in sample(formula, 1, seed, negative=negative).items():
        axes = [summed] if drawn.shape[1] > 1 else []
        sheet.given(name, drawn[0] if axes else drawn[0, 0], axes, origin=Origin("default"))
    return sheet

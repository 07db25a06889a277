"""A small reader of dimensions over the tree of a formula, beside pint: force, length and time as exponents."""

import re
from fractions import Fraction
from typing import NamedTuple

from calc.engine.symbols import symbol
from calc.engine.typeset import Node


class Dimension(NamedTuple):
    """Exponents of force, length and time."""

    force: Fraction = Fraction(0)
    length: Fraction = Fraction(0)
    time: Fraction = Fraction(0)

    def times(self, other: "Dimension", power: Fraction = Fraction(1)) -> "Dimension":
        return Dimension(*(one + power * two for one, two in zip(self, other, strict=True)))


NONE = Dimension()
# The number 0 is added to, compared with and returned instead of anything: no lack of a load needs a unit.
ANY = Dimension(*(Fraction(10**6),) * 3)
BASE = {
    "-": NONE,
    "1": NONE,
    "rad": NONE,
    "kN": Dimension(force=Fraction(1)),
    "m": Dimension(length=Fraction(1)),
    "kPa": Dimension(Fraction(1), Fraction(-2)),
    "day": Dimension(time=Fraction(1)),
}


class DimensionError(ValueError):
    """Quantities that cannot be added, compared or put into a function."""


def dimension_of_unit(unit: str) -> Dimension:
    """The dimension of a coherent unit such as ``kN/m^3``."""
    made = NONE
    for slash, name, power in re.findall(r"(/?)([A-Za-z1-]+)(?:\^(\d+))?", unit):
        made = made.times(BASE[name], Fraction(int(power or 1)) * (-1 if slash else 1))
    return made


def dimension_of(tree: Node) -> Dimension:
    """The dimension of an expression; raises where it has none."""
    if not tree.children:
        return _leaf(tree)
    if tree.kind == "binary":
        return _binary(tree)
    if tree.kind == "function" and tree.text not in {"minimum", "maximum"}:
        return _function(tree)
    if tree.kind == "where":
        condition, *branches = tree.children
        alike(condition, *condition.children)
        return alike(tree, *branches)
    return alike(tree, *tree.children)


def _leaf(tree: Node) -> Dimension:
    if tree.kind == "symbol":
        return dimension_of_unit(symbol(tree.text).unit)
    return ANY if tree.kind == "number" and not float(tree.text) else NONE


def alike(tree: Node, *parts: Node) -> Dimension:
    """The one dimension of all parts."""
    found = {dimension_of(part) for part in parts} - {ANY}
    if len(found) > 1:
        message = f"different dimensions in {tree}"
        raise DimensionError(message)
    return found.pop() if found else ANY


def _binary(tree: Node) -> Dimension:
    left, right = tree.children
    if tree.text in "+-":
        return alike(tree, left, right)
    one, other = dimension_of(left), dimension_of(right)
    if tree.text == "**":
        return _power(tree, one)
    if ANY in {one, other}:
        return ANY
    return one.times(other, Fraction(1 if tree.text == "*" else -1))


def _power(tree: Node, base: Dimension) -> Dimension:
    exponent = tree.children[1]
    if exponent.kind == "number":
        return NONE.times(base, Fraction(exponent.text))
    if base != NONE or dimension_of(exponent) != NONE:
        message = f"a power whose dimension depends on a value: {tree}"
        raise DimensionError(message)
    return NONE


def _function(tree: Node) -> Dimension:
    inner = dimension_of(tree.children[0])
    if tree.text == "absolute":
        return inner
    if tree.text == "sqrt":
        return NONE.times(inner, Fraction(1, 2))
    if inner not in {NONE, ANY}:
        message = f"{tree.text} of a quantity with a dimension: {tree}"
        raise DimensionError(message)
    return NONE

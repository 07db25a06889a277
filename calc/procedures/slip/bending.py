"""Shear strength of columns that a slip surface cuts: friction capped by bending, fused over bases.

The registered formulas are those of ``calc.formulas.bending``; a test holds this to them.
"""

from dataclasses import dataclass, fields
from math import pi
from typing import Any

import numpy as np

from calc.procedures.slip.model import Columns


@dataclass(frozen=True)
class Cut:
    """Columns where bases lie in the field below the heads, in the order of these bases.

    ``stress`` effective vertical stress in the column (kPa) under permanent load without factor, ``beside`` that of the
    ground, ``lateral`` the resistance of the ground per length (kN/m), ``above`` and ``below`` the lengths to the head
    and to the firm layer (m), ``held`` what the embedment below the base holds (kN), ``strength`` the shear strength
    over the area of the columns (kPa), ``kappa`` that strength over the friction.
    """

    stress: Any
    beside: Any
    lateral: Any
    above: Any
    below: Any
    held: Any
    strength: Any
    kappa: Any

    def at(self, index: Any) -> "Cut":
        """The columns at some bases."""
        return Cut(*(np.asarray(getattr(self, field.name))[index] for field in fields(self)))


def cut_columns(
    field: Columns, levels: tuple[Any, Any, Any], cosine: Any, stress: Any, soil: tuple[Any, Any, Any, Any],
    sleeve: float, foot: tuple[Any, Any],
) -> Cut:  # fmt: skip
    """Columns cut at a level on a base of an inclination.

    ``levels`` are those of the base, of the firm layer and of the toes, ``stress`` is the effective stress in the
    column with the factor of the model on all weights, ``soil`` of the ground beside it: whether it is undrained, its
    strength (kPa), the tangent of its friction angle and its effective stress,
    with the same factor; ``sleeve`` is the design cohesion from the sleeve (kPa), ``foot`` the embedment in the firm
    layer (m) and the shear force that it holds (kN).
    """
    bend = field.bending
    assert bend is not None  # noqa: S101 - the caller has looked
    y, firm, toes = levels
    area, d = pi * bend.diameter**2 / 4, bend.diameter
    stress = np.maximum(stress, 0.0) / bend.factor
    undrained, c, tangent, beside = soil
    passive = (np.sqrt(1 + tangent**2) + tangent) ** 2
    beside = np.maximum(beside, 0.0) / bend.factor
    lateral = np.where(np.asarray(undrained) > 0, 9 * c, 3 * passive * beside) * d
    above, below = np.maximum(field.y_top - y, 0.0), np.maximum(y - firm, 0.0)
    embedment, force = foot
    with np.errstate(divide="ignore", invalid="ignore"):
        held = np.where(embedment > 0, np.clip((y - toes) / embedment, 0.0, 1.0) * force, 0.0)
    by_bending = np.sqrt(area * stress * d / 4 * lateral)
    limit = np.minimum(by_bending, np.minimum(lateral * above, lateral * below + held)) / area
    friction = stress * np.tan(field.phi)
    inclined = cosine * cosine
    strength = np.minimum(field.reduction * (friction * inclined + sleeve), limit * inclined)
    with np.errstate(divide="ignore", invalid="ignore"):
        kappa = np.where(friction > 0, strength / (friction * inclined), 0.0)
    return Cut(stress, beside, lateral, above, below, held, strength, kappa)

"""Values of varied inputs in the units in which the project types them."""

from collections.abc import Sequence

from calc.inputs.reading import units
from calc.inputs.tables.vary import VariedInput
from calc.inputs.tables.vary_rules import AMOUNTS


def shown_unit(varied: VariedInput) -> str:
    """The unit in which the project types an input, none for a plain number."""
    if varied.unit is not None:
        return varied.unit
    amounts: Sequence[str] = [getattr(varied, name).unit for name in AMOUNTS if getattr(varied, name) is not None]
    return amounts[0] if amounts else ""


def amount_text(varied: VariedInput, value: float) -> str:
    """A value of an input in the unit in which it is typed."""
    unit = shown_unit(varied)
    number = value / float(units.factor_inside(unit)) if unit else value
    return f"{number:.4g} {unit}".rstrip().replace("^2", "²").replace("^3", "³")

"""Values of varied inputs in the units in which the project types them."""

from collections.abc import Sequence

from calc.inputs.reading import units
from calc.inputs.tables.vary import VariedInput
from calc.inputs.tables.vary_rules import AMOUNTS


def shown_unit(one: VariedInput) -> str:
    """The unit in which the project types an input, none for a plain number."""
    if one.unit is not None:
        return one.unit
    amounts: Sequence[str] = [getattr(one, name).unit for name in AMOUNTS if getattr(one, name) is not None]
    return amounts[0] if amounts else ""


def amount_text(one: VariedInput, value: float) -> str:
    """A value of an input in the unit in which it is typed."""
    unit = shown_unit(one)
    number = value / float(units.factor_inside(unit)) if unit else value
    return f"{number:.4g} {unit}".rstrip().replace("^2", "²").replace("^3", "³")

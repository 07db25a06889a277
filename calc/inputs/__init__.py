"""The project file: reading, units, validation, and where each value comes from."""

from calc.inputs.errors import InputError, InputErrors
from calc.inputs.outside import OUTSIDE
from calc.inputs.read import Design, read_design
from calc.inputs.section import Provenance, Section

__all__ = ["OUTSIDE", "Design", "InputError", "InputErrors", "Provenance", "Section", "read_design"]

"""The project file: reading, units, validation, and where each value comes from."""

from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.read import Design, read_design
from calc.inputs.tables.outside import OUTSIDE
from calc.inputs.tables.section import Provenance, Section

__all__ = ["OUTSIDE", "Design", "InputError", "InputErrors", "Provenance", "Section", "read_design"]

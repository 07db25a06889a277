"""The one error of the numerical methods."""


class ProcedureError(ArithmeticError):
    """A numerical method that was given impossible values, or that did not reach its solution."""

"""Numerical methods over the formulas, for any number of cases at once."""

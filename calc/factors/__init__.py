"""Partial-factor sets as data with their source and the evidence for it."""

from calc.factors.sets import BUILT_IN, FACTOR_NAMES, Factors, FactorSet, Kind

__all__ = ["BUILT_IN", "FACTOR_NAMES", "FactorSet", "Factors", "Kind"]

"""Stability of slopes and embankments by slip surfaces: circles, lines of straight pieces, sliding blocks, searches.

The question is a :class:`Model` and a surface or a search; :func:`analyse` answers with the factor of safety and its
slice table, :func:`factors` with the factors of many circles, :func:`required_force` with the force that a horizontal
layer must give. The equations are fused here over circles and slices; tests hold them to the registered formulas.
"""

from calc.procedures.slip.analysis import CircleFactors, analyse, columns_cut, factors
from calc.procedures.slip.bending import Cut
from calc.procedures.slip.model import (
    Bending,
    BlockSearch,
    Circle,
    Columns,
    Crack,
    Grid,
    Layer,
    Lens,
    Model,
    Reinforcement,
    Search,
    SlipError,
    Soil,
    Strip,
    Surface,
    Water,
    stress_shares,
)
from calc.procedures.slip.remarks import Remark
from calc.procedures.slip.required import RequiredForce, required_force
from calc.procedures.slip.result import Contours, LayerForce, Result, SliceTable

__all__ = [
    "Bending",
    "BlockSearch",
    "Circle",
    "CircleFactors",
    "Columns",
    "Contours",
    "Crack",
    "Cut",
    "Grid",
    "Layer",
    "LayerForce",
    "Lens",
    "Model",
    "Reinforcement",
    "Remark",
    "RequiredForce",
    "Result",
    "Search",
    "SliceTable",
    "SlipError",
    "Soil",
    "Strip",
    "Surface",
    "Water",
    "analyse",
    "columns_cut",
    "factors",
    "required_force",
    "stress_shares",
]

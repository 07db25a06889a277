"""Every symbol of the project once, in the modules of this folder; a symbol declared twice is refused at import."""

from calc.nomenclature import (
    bearing,
    below_toe,
    cell,
    column_field,
    drainage,
    filters,
    ground,
    load_transfer,
    mat,
    quantities,
    reinforcement,
    shear_parameters,
    sleeve,
    slip,
    squeezing,
    thrust,
)
from calc.nomenclature.declared import NOMENCLATURE, NomenclatureError, Symbol, symbol

__all__ = [
    "NOMENCLATURE",
    "NomenclatureError",
    "Symbol",
    "bearing",
    "below_toe",
    "cell",
    "column_field",
    "drainage",
    "filters",
    "ground",
    "load_transfer",
    "mat",
    "quantities",
    "reinforcement",
    "shear_parameters",
    "sleeve",
    "slip",
    "squeezing",
    "symbol",
    "thrust",
]

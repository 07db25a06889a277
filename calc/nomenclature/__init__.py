"""Every symbol of the project once, in the modules of this folder; a symbol declared twice is refused at import."""

from calc.nomenclature import cell, ground, sleeve
from calc.nomenclature.declared import NOMENCLATURE, NomenclatureError, Symbol, symbol

__all__ = ["NOMENCLATURE", "NomenclatureError", "Symbol", "cell", "ground", "sleeve", "symbol"]

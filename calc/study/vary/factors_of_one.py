"""The design with every partial factor at 1: reliability asks for effects and resistances as they are expected."""

from dataclasses import replace

from calc.factors import FACTOR_NAMES
from calc.inputs import Design, Section
from calc.inputs.tables.basis import GivenFactorSet, SituationFactors
from calc.inputs.tables.sleeve import GammaM

KEY = "all factors 1"


def with_factors_of_one(design: Design) -> Design:
    """The same design verified by one set of partial factors of 1, strengths of geosynthetics with γ_M = 1.

    What is no partial factor stays: characteristic or mean values as the project gives them, reduction factors of
    geosynthetics, ψ₂, limits of serviceability.
    """
    situation = SituationFactors(**dict.fromkeys(FACTOR_NAMES, 1.0))
    ones = GivenFactorSet.model_construct(
        None, key=KEY, title=KEY, kind="effect", source="study of reliability", persistent=situation,
        transient=situation, accidental=situation,
    )  # fmt: skip
    basis = design.basis.model_copy(update={"factor_set_names": (KEY,), "given_factor_sets": (ones,)})
    return replace(design, basis=basis, sections=tuple(map(_section, design.sections)))


def _section(section: Section) -> Section:
    def of_one(given: GammaM) -> GammaM:
        seismic = None if given.seismic is None else 1.0
        return given.model_copy(update={"persistent": 1.0, "transient": 1.0, "accidental": 1.0, "seismic": seismic})

    mats = tuple(mat.model_copy(update={"gamma_M": of_one(mat.gamma_M)}) for mat in section.reinforcement)
    update: dict[str, object] = {
        "factor_set_names": None,
        "sleeve": section.sleeve.model_copy(update={"gamma_M": of_one(section.sleeve.gamma_M)}),
        "reinforcement": mats,
    }
    if section.earthquake is not None:
        factors = section.earthquake.factors
        ones = {name: 1.0 for name in type(factors).model_fields if name.startswith("gamma_")}
        update["earthquake"] = section.earthquake.model_copy(update={"factors": factors.model_copy(update=ones)})
    return section.model_copy(update=update)

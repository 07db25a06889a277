"""Design strength of a layer of horizontal reinforcement: derived once in a section, where it is needed first."""

from calc.chapters.shared.frame import TRANSIENT, given_of_section, origin_of
from calc.chapters.shared.mats import ISO_FACTORS, REDUCTION
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.reinforcement import lower_layer_strength
from calc.formulas.sleeve import (
    characteristic_resistance,
    design_resistance,
    long_term_strength,
    uncertainty_factor,
)
from calc.inputs import Section
from calc.inputs.tables.sleeve import Factor

say = words_of(__name__)


def layer_strength(sheet: Sheet, section: Section, done: dict[str, Sheet], place: int) -> Scope:
    """Where the strength of a layer stands, with every factor: in this chapter unless an earlier one has derived it.

    ``R_rd`` is by reduction factors, ``T_rDd`` by those of ISO/TS 20432, each where it is given; ``R_rl`` is the lower
    of them. All three are in kN/m over (stage).
    """
    key = f"strength_{place}"
    for other in (*done.values(), sheet):
        if key in other.scopes:
            return other.scopes[key]
    layer, path = section.reinforcement[place], f"reinforcement.{place}"
    scope = sheet.scope(key, say("scope-strength-title", layer_name=layer.name))
    given_of_section(scope, "R_rk0", section, f"{path}.strength", layer.strength)
    _safety(scope, section, place)
    if layer.factors is not None:
        for name in REDUCTION:
            _factor(scope, section, f"{path}.factors.{name}", f"{name[0]}_{name[1]}", getattr(layer.factors, name))
        scope(characteristic_resistance, R_Bk="R_rk", R_Bk0="R_rk0")
        scope(design_resistance, R_Bd="R_rd", R_Bk="R_rk")
    if layer.iso20432 is not None:
        for name in ISO_FACTORS:
            symbol = name if name.startswith("RF") else f"{name[0]}_{name[1]}"
            _factor(scope, section, f"{path}.iso20432.{name}", symbol, getattr(layer.iso20432, name))
        scope(uncertainty_factor)
        scope(long_term_strength, T_D="T_rD", R_Bk0="R_rk0")
        scope(design_resistance, R_Bd="T_rDd", R_Bk="T_rD")
    if layer.factors is not None and layer.iso20432 is not None:
        scope(lower_layer_strength)
    else:
        scope.take("R_rl", scope["R_rd" if layer.factors is not None else "T_rDd"])
    return scope


def _safety(scope: Scope, section: Section, place: int) -> None:
    """The partial factor of the material follows the design situation of the stage; building columns is transient."""
    gamma_M = section.reinforcement[place].gamma_M  # noqa: N806 - printed symbol
    situations = [TRANSIENT, *(stage.situation for stage in section.stages)]
    values = [getattr(gamma_M, situation) for situation in situations]
    origins = [origin_of(section, f"reinforcement.{place}.gamma_M.{situation}") for situation in situations]
    scope.given("gamma_M", values, ["stage"], origin=origins, origin_axis="stage", note=gamma_M.source)


def _factor(scope: Scope, section: Section, path: str, symbol: str, factor: Factor) -> None:
    scope.given(symbol, factor.value, origin=origin_of(section, f"{path}.value"), note=factor.source)

"""The arching models side by side, each in a scope of its own: pressure beside the heads, load on the head, balance."""

from dataclasses import dataclass

from calc.chapters.shared.frame import given_of_section
from calc.engine.formula import Formula, Source
from calc.engine.sheet import Scope, Sheet
from calc.engine.sheet.values import largest_with_first
from calc.engine.words import words_of
from calc.formulas import arching_coefficient as coefficient
from calc.formulas import arching_concentric as concentric
from calc.formulas import arching_domes as domes
from calc.formulas import arching_shaft as shaft
from calc.formulas import arching_shells as shells
from calc.formulas.load_transfer import efficacy, head_load, line_load, pressure_beside_head, strip_load
from calc.formulas.mat import head_load_by_ratio, load_accounted_for
from calc.inputs import Section
from calc.procedures.membrane import hemisphere_integral

say = words_of(__name__)

QUADRATURE = Source("Gauss' quadrature with 48 points", "derived")


@dataclass(frozen=True, slots=True)
class Model:
    """A model of arching: key of its scope, title, its pressure beside the heads, its source."""

    key: str
    title: str
    symbol: str
    source: Source


MODELS: tuple[Model, ...] = (
    Model("domes", "Model of Hewlett & Randolph (1988)", "sigma_sD", domes.DOMES),
    Model("shells", say("models"), "sigma_sS", shells.EBGEO),
    Model("concentric", say("concentric-arches"), "sigma_sC", concentric.CONCENTRIC),
    Model("shaft", say("models-2"), "sigma_sT", shaft.SHAFT),
)
COEFFICIENT = Model("coefficient", say("coefficient"), "", coefficient.BS)


def evaluate_models(sheet: Sheet, section: Section) -> tuple[Model, ...]:
    """Every model that its inputs allow, in a scope of its own; those that serve the design are given back."""
    _by_domes(sheet.scope("domes", say("scope-domes-title", citation=domes.DOMES.citation), load="G+Q"))
    _by_shells(sheet.scope("shells", say("scope-shells-title", citation=shells.EBGEO.citation), load="G+Q"))
    _by_concentric(
        sheet.scope("concentric", say("scope-concentric-title", citation=concentric.CONCENTRIC.citation), load="G+Q")
    )
    chosen = section.load_transfer
    made = MODELS
    if chosen is not None and chosen.K_arching is not None:
        scope = sheet.scope("shaft", say("scope-shaft-title", citation=shaft.SHAFT.citation), load="G+Q")
        given_of_section(scope, "K_T", section, "load_transfer.K_arching", chosen.K_arching)
        _by_shaft(scope)
    else:
        shaft_asked = chosen is not None and chosen.arching == "shaft"
        sheet.not_verified(
            "arching_shaft", say("open-arching-shaft-title"), say("evaluate-models-why"), required=shaft_asked
        )
        made = tuple(model for model in MODELS if model.key != "shaft")
    _by_coefficient(
        sheet.scope("coefficient", say("scope-coefficient-title", citation=coefficient.BS.citation), load="G+Q"),
        section,
    )
    return made


def _balance(scope: Scope, pressure: str) -> None:
    """Load on a strip and vertical equilibrium, from the pressure beside the heads."""
    scope(strip_load, sigma_sA=pressure)
    scope(line_load)
    scope(load_accounted_for)


def _by_domes(scope: Scope) -> None:
    steps: tuple[Formula, ...] = (domes.dome_decay, domes.dome_growth)
    for step in steps:
        scope(step)
    scope(domes.crown_efficacy, H="H_ar")
    for step in (domes.vault_ratio, domes.head_efficacy, domes.governing_efficacy):
        scope(step)
    scope(domes.dome_height)
    scope(pressure_beside_head, sigma_sA="sigma_sD")
    scope(head_load, sigma_sA="sigma_sD")
    _balance(scope, "sigma_sD")


def _by_shells(scope: Scope) -> None:
    _diagonal(scope)
    scope(shells.arch_height, H="H_ar")
    for step in (shells.first_arch_value, shells.second_arch_value, shells.arch_exponent):
        scope(step)
    scope(shells.pressure_below_shells, H="H_ar", sigma_sA="sigma_sS")
    scope(shells.pressure_on_head, sigma_sA="sigma_sS")
    scope(head_load, sigma_sA="sigma_sS")
    scope(efficacy)
    scope(shells.diameter_over_spacing)
    scope(shells.height_over_clear_distance, H="H_ar")
    scope(shells.strip_area)
    scope(shells.strip_load_of_area, sigma_sA="sigma_sS")
    scope(line_load)
    scope(load_accounted_for)


def _diagonal(scope: Scope) -> None:
    for name in ("s_1", "s_2"):
        scope.take(name, scope["s_q"], note=say("equivalent-square-grid"))
    scope(shells.diagonal_spacing)


def _by_concentric(scope: Scope) -> None:
    _diagonal(scope)
    scope(concentric.surface_load_factor, H="H_ar")
    scope(concentric.hemisphere_height, H="H_ar")
    scope(concentric.hemisphere_span_ratio)
    K_p = scope["K_p"]  # noqa: N806 - printed symbol
    scope.reading("I_K", hemisphere_integral(K_p.array), K_p.axis_names, source=QUADRATURE, inputs=[K_p],
                  title=say("reading-i-k-title"))  # fmt: skip
    for step in (concentric.square_mean_of_power, concentric.square_mean_of_radius, concentric.hemisphere_growth):
        scope(step)
    scope(concentric.pressure_on_square, H="H_ar")
    for step in (concentric.load_on_square, concentric.passed_on_pressure):
        scope(step)
    scope(concentric.largest_arch_height, H="H_ar")
    for step in (concentric.arch_span_ratio, concentric.arch_growth):
        scope(step)
    scope(concentric.pressure_on_strip, H="H_ar")
    for step in (concentric.load_on_strip, concentric.head_load_of_arches, efficacy):
        scope(step)
    scope(concentric.mean_pressure_below_arches, sigma_sA="sigma_sC")
    scope(concentric.hemispheres_height)
    _balance(scope, "sigma_sC")


def _by_shaft(scope: Scope) -> None:
    scope(shaft.head_perimeter)
    scope(shaft.shaft_friction, phi="phi_E", H="H_ar")
    scope(shaft.pressure_beside_shaft, H="H_ar", sigma_sA="sigma_sT")
    scope(head_load, sigma_sA="sigma_sT")
    scope(efficacy)
    _balance(scope, "sigma_sT")


def _by_coefficient(scope: Scope, section: Section) -> None:
    """The form of BS 8006-1 gives a load on the strips and not a pressure; it is not in vertical equilibrium."""
    scope(coefficient.coefficient_of_yielding_columns, H="H_ar")
    scope(coefficient.head_pressure_ratio, H="H_ar")
    scope(coefficient.line_load_by_coefficient, H="H_ar")
    scope(coefficient.least_line_load)
    scope(coefficient.governing_line_load)
    scope(head_load_by_ratio)
    scope(load_accounted_for)
    chosen = section.load_transfer
    if chosen is not None and chosen.strain is not None:
        given_of_section(scope, "eps_all", section, "load_transfer.strain", chosen.strain)
        scope(coefficient.tension_at_strain)


def full_arching(sheet: Sheet, section: Section, models: tuple[Model, ...]) -> None:
    """Pressure at full arching used for the design: the model asked for, else the one that leaves most."""
    chosen = section.load_transfer.arching if section.load_transfer is not None else None
    used = [model for model in models if chosen in (None, model.key)] or [*models]
    values = [sheet.scopes[model.key][model.symbol] for model in used]
    title = (
        say("full-arching-title", title=used[0].title)
        if len(used) == 1 else say("full-arching-title-2")
    )  # fmt: skip
    sheet.largest("sigma_sX", values, title=title, mask=~values[0].valid, reason=values[0].reason,
                  by=largest_with_first)  # fmt: skip

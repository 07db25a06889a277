"""Sleeve: design ring tension against the design resistance, strain and creep strain."""

import numpy as np

from calc.chapters.shared.division import TENSION, design_tension, state_change
from calc.chapters.shared.frame import END, LONG, chapter, frame, given_of_section, origin_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.mats import ISO_FACTORS, REDUCTION
from calc.engine.sheet import Sheet, Value
from calc.engine.words import words_of
from calc.formulas.ring_tension import change_of_ring_tension
from calc.formulas.sleeve import (
    characteristic_resistance,
    creep_strain,
    design_resistance,
    design_tension_by_second_method,
    long_term_strength,
    required_strength,
    required_strength_by_reduction,
    uncertainty_factor,
    utilisation,
)
from calc.inputs import Design, Section

say = words_of(__name__)

USUAL_STRAIN = 0.06
SECOND = "second"  # scope of the ring tension by the second method, which stands on no line
NEVER_TAUT = say("never-taut")


def sleeve(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Tensile check of the sleeve in every sublayer, stage and factor set, with each factor and its source."""
    sheet = chapter("sleeve", design, section)
    shared = frame(design, section)
    design_tension(sheet, done["unit_cell"].scopes["ring"], done["basis"])
    given_of_section(sheet, "R_Bk0", section, "sleeve.strength", section.sleeve.strength)
    # The partial factor of the material follows the design situation of the stage.
    gamma_M = section.sleeve.gamma_M  # noqa: N806 - printed symbol
    values = [getattr(gamma_M, situation) for situation in shared.situations]
    origins = [origin_of(section, f"sleeve.gamma_M.{situation}") for situation in shared.situations]
    sheet.given("gamma_M", values, ["stage"], origin=origins, origin_axis="stage", note=gamma_M.source)
    if section.sleeve.factors is not None:
        _by_reduction(sheet, section)
    if section.sleeve.iso20432 is not None:
        _by_iso(sheet, section)
    _strain(sheet, design, section, done["unit_cell"])
    _compare_halved_sublayers(sheet, done["unit_cell"])
    _second_method(sheet, done)
    return sheet


def _compare_halved_sublayers(sheet: Sheet, cell: Sheet) -> None:
    """The largest design ring tension of every stage compared with that for halved sublayers."""
    scope = sheet.scope("halved", say("scope-halved-title"))
    largest = sheet["F_Rd"].largest("factor_set", "stage")
    largest = scope.reading("F_Rdm", largest.array, largest.axis_names, title=say("reading-f-rdm-title"),
                            inputs=[largest])  # fmt: skip
    scope.take("F_Rdh", cell.scopes["halved"]["F_Rdh"])
    change = scope(change_of_ring_tension, F_Rdm=largest.without(largest.array <= 0, say("no-ring-tension")))
    state_change(sheet, TENSION, say("halved-tension"), change, ("ring_tension", "ring_tension_iso"))


def _second_method(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """Beside the verdict: ring tension by the second method, where the sleeve would not hold it."""
    tension = done["unit_cell"].scopes["elastic_plastic"]["T_EP"]
    scope = sheet.scope(SECOND, say("scope-second-title"))
    scope.take("T_EP", tension.largest())
    scope.take("gamma_G", done["basis"]["gamma_G"].largest())
    largest = float(scope(design_tension_by_second_method).array)
    held = {"ring_tension": ("factors", "R_Bd"), "ring_tension_iso": ("iso20432", "R_TD")}
    short = [key for key, (name, symbol) in held.items()
             if name in sheet.scopes and largest > float(sheet.scopes[name][symbol].array.min())]  # fmt: skip
    if short:
        sheet.limitation("second-method", say("limitation-second-method", largest=largest), "project rule", turns=short)


def _by_reduction(sheet: Sheet, section: Section) -> None:
    scope = sheet.scope("factors", say("scope-factors-title"))
    factors = section.sleeve.factors
    for key in REDUCTION:
        factor = getattr(factors, key)
        origin = origin_of(section, f"sleeve.factors.{key}.value")
        scope.given(f"{key[0]}_{key[1]}", factor.value, origin=origin, note=factor.source)
    scope(characteristic_resistance)
    scope(design_resistance)
    scope(required_strength)
    scope(utilisation)
    _verify_tension(sheet, "ring_tension", say("by-reduction-title"), scope["R_Bd"])


def _by_iso(sheet: Sheet, section: Section) -> None:
    scope = sheet.scope("iso20432", say("scope-iso20432-title"))
    factors = section.sleeve.iso20432
    for key in ISO_FACTORS:
        factor = getattr(factors, key)
        name = key if key.startswith("RF") else f"{key[0]}_{key[1]}"
        scope.given(name, factor.value, origin=origin_of(section, f"sleeve.iso20432.{key}.value"), note=factor.source)
    scope(uncertainty_factor)
    scope(long_term_strength)
    scope(design_resistance, R_Bd="R_TD", R_Bk="T_D")
    scope(required_strength_by_reduction, R_req="R_reqRF")
    _verify_tension(sheet, "ring_tension_iso", say("by-iso-title"), scope["R_TD"])
    scope(utilisation, R_Bd="R_TD")
    sheet.limitation("iso-joint", say("limitation-iso-joint", seam=section.sleeve.seam), "ISO/TS 20432:2022 ◦")


def _verify_tension(sheet: Sheet, key: str, title: str, resistance: Value) -> None:
    """The verdict on the ring tension, where the sleeve carries some in every sublayer of the final state."""
    final = sheet["F_GQ"].at(stage=sheet.axes["stage"][-1])
    if (final.array[final.valid] > 0).all():
        sheet.verdict(key, title, effect=sheet["F_Rd"], resistance=resistance)
    else:
        sheet.not_verified(key, title, NEVER_TAUT)


def _strain(sheet: Sheet, design: Design, section: Section, cell: Sheet) -> None:
    """Ring strain and creep strain in the final state at the centre under quasi-permanent load."""
    scope = sheet.scope("strain", say("scope-strain-title"))
    strain = cell.scopes["strain"]["eps_Ri"]
    final = strain.at(stage=frame(design, section).persistent)
    scope.take("eps_long", final.at(stiffness=LONG))
    scope.take("eps_short", final.at(stiffness=END))
    scope(creep_strain)
    limits = design.basis.limits
    optional_limit(scope, design, ("ring_strain", say("ring-strain-title")), scope["eps_long"], limits.ring_strain,
                   symbol="eps_lim", path="basis.limits.ring_strain")  # fmt: skip
    optional_limit(scope, design, ("creep_strain", say("creep-strain-title")), scope["eps_creep"], limits.creep_strain,
                   symbol="eps_crlim", path="basis.limits.creep_strain")  # fmt: skip
    if float(np.nanmax(strain.array)) > USUAL_STRAIN:
        sheet.limitation("strain", say("limitation-strain"))

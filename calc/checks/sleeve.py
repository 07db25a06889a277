"""Sleeve: design ring tension against the design resistance, strain, creep strain, installation state."""

from calc.checks.frame import CENTRE, END, LONG, Frame, against_limit, chapter, frame, given_of_section, origin_of
from calc.checks.tables import envelope_table, layer_table
from calc.figure import Bar, Bars
from calc.formulas.sleeve import (
    characteristic_resistance,
    creep_strain,
    design_resistance,
    design_ring_tension,
    long_term_strength,
    required_strength,
    required_strength_by_reduction,
    uncertainty_factor,
)
from calc.inputs import Design, Section
from calc.sheet import Sheet

REDUCTION = ("A1", "A2", "A3", "A4", "A5")
ISO_FACTORS = ("RF_CR", "RF_ID", "RF_W", "RF_CH", "R1", "R2")
USUAL_STRAIN = 0.06


def sleeve(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Tensile check of the sleeve in every sublayer, stage and factor set, with each factor and its source."""
    sheet = chapter("sleeve", design, section)
    shared = frame(design, section)
    _effect(sheet, done)
    given_of_section(sheet, "R_Bk0", section, "sleeve.strength", section.sleeve.strength)
    _safety(sheet, section, shared)
    if section.sleeve.factors is not None:
        _by_reduction(sheet, section)
    if section.sleeve.iso20432 is not None:
        _by_iso(sheet, section)
    _strain(sheet, design, done["unit_cell"])
    _installation(sheet, done["unit_cell"], shared)
    layer_table(sheet, "utilisation", "Design ring tension by sublayer", "", ("F_G", "F_GQ", "F_Rd"))
    sheet.tables.append(
        envelope_table("stages", "Largest design ring tension by stage and factor set", sheet["F_Rd"], "stage",
                       "variant", note="Largest over the sublayers.")
    )  # fmt: skip
    _bars(sheet)
    return sheet


def _effect(sheet: Sheet, done: dict[str, Sheet]) -> None:
    tension = done["unit_cell"].scopes["tension"]["F_Ri"]
    sheet.take("F_G", tension.at(load="G"))
    sheet.take("F_GQ", tension.at(load="G+Q"))
    for name in ("gamma_G", "gamma_Q"):
        sheet.take(name, done["basis"][name])
    sheet(design_ring_tension)


def _safety(sheet: Sheet, section: Section, shared: Frame) -> None:
    """The partial factor of the material follows the design situation of the stage."""
    gamma_M = section.sleeve.gamma_M  # noqa: N806 - printed symbol
    values = [getattr(gamma_M, situation) for situation in shared.situations]
    origins = [origin_of(section, f"sleeve.gamma_M.{situation}") for situation in shared.situations]
    sheet.given("gamma_M", values, ["stage"], origin=origins, origin_axis="stage", note=gamma_M.source)


def _by_reduction(sheet: Sheet, section: Section) -> None:
    scope = sheet.scope("factors", "Resistance with the factors A1 to A5")
    factors = section.sleeve.factors
    for key in REDUCTION:
        one = getattr(factors, key)
        origin = origin_of(section, f"sleeve.factors.{key}.value")
        scope.given(f"{key[0]}_{key[1]}", one.value, origin=origin, note=one.source)
    scope(characteristic_resistance)
    scope(design_resistance)
    scope(required_strength)
    sheet.verdict("ring_tension", "Ring tension of the sleeve", effect=sheet["F_Rd"], resistance=scope["R_Bd"])


def _by_iso(sheet: Sheet, section: Section) -> None:
    scope = sheet.scope("iso20432", "Resistance with the reduction factors of ISO/TS 20432")
    factors = section.sleeve.iso20432
    for key in ISO_FACTORS:
        one = getattr(factors, key)
        name = key if key.startswith("RF") else f"{key[0]}_{key[1]}"
        origin = origin_of(section, f"sleeve.iso20432.{key}.value")
        scope.given(name, one.value, origin=origin, note=one.source)
    scope(uncertainty_factor)
    scope(long_term_strength)
    scope(design_resistance, R_Bd="R_TD", R_Bk="T_D")
    scope(required_strength_by_reduction, R_req="R_reqRF")
    sheet.verdict(
        "ring_tension_iso", "Ring tension of the sleeve, format of ISO/TS 20432", effect=sheet["F_Rd"],
        resistance=scope["R_TD"],
    )  # fmt: skip


def _strain(sheet: Sheet, design: Design, cell: Sheet) -> None:
    """Ring strain and creep strain in the final state at the centre under quasi-permanent load."""
    scope = sheet.scope("strain", "Strain and creep strain of the sleeve, serviceability")
    strain = cell.scopes["settlement"]["eps_Ri"].at(position=CENTRE, load="G+Q")
    final = strain.at(stage=sheet.axes["stage"][-1])
    scope.take("eps_long", final.at(stiffness=LONG))
    scope.take("eps_short", final.at(stiffness=END))
    scope(creep_strain)
    limits = design.basis.limits
    against_limit(scope, design, "ring_strain", "Ring strain", scope["eps_long"], limits.ring_strain, "eps_lim")
    against_limit(
        scope,
        design,
        "creep_strain",
        "Creep strain of the sleeve",
        scope["eps_creep"],
        limits.creep_strain,
        "eps_crlim",
    )
    if float(strain.array.max()) > USUAL_STRAIN:
        sheet.limitation("strain", "The ring strain exceeds 6 %, beyond which the linear stiffness is doubtful.")


def _installation(sheet: Sheet, cell: Sheet, shared: Frame) -> None:
    """Stage 0: fill weight against soil support in the column just built."""
    tension = cell.scopes["tension"]["F_R"].at(stage=shared.stages[0])
    largest = float(tension.array[tension.valid].max()) if tension.valid.any() else 0.0
    if largest > 0:
        text = f"The column just built stretches its sleeve: up to {largest:.1f} kN/m under the weight of its fill."
    else:
        text = "The column just built does not stretch its sleeve: the soil supports the fill."
    sheet.notes.append(text)


def _bars(sheet: Sheet) -> None:
    rows = tuple(
        Bar(verdict.title, verdict.utilisation, verdict.state, verdict.case.get("stage", ""))
        for verdict in sheet.verdicts
        if verdict.utilisation is not None
    )
    if rows:
        alt = "Utilisation of the sleeve: " + ", ".join(f"{bar.label} {bar.value:.2f}" for bar in rows) + "."
        sheet.figures.append(Bars("utilisation", "Utilisation of the sleeve", alt, rows))

"""Sleeve: design ring tension against the design resistance, strain, creep strain, installation state."""

import numpy as np

from calc.checks.cell_halved import halved_tension
from calc.checks.cell_ring import design_tension
from calc.checks.frame import END, LONG, Frame, against_limit, chapter, frame, given_of_section, origin_of
from calc.checks.tables import envelope_table, layer_table
from calc.figure import Bar, Bars
from calc.formulas.sleeve import (
    characteristic_resistance,
    creep_strain,
    design_resistance,
    long_term_strength,
    required_strength,
    required_strength_by_reduction,
    uncertainty_factor,
    utilisation,
)
from calc.inputs import Design, Section
from calc.sheet import Scope, Sheet, case_words, number_text, value_text
from calc.sheet.cases import Cases

REDUCTION = ("A1", "A2", "A3", "A4", "A5")
ISO_FACTORS = ("RF_CR", "RF_ID", "RF_W", "RF_CH", "R1", "R2")
USUAL_STRAIN = 0.06
NEVER_TAUT = (
    "In some sublayer the sleeve carries no tension in the final state: its slack is not used up, or the column is not "
    "at its active state. The method then gives no support by the sleeve there, and the columns act without one."
)


def sleeve(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Tensile check of the sleeve in every sublayer, stage and factor set, with each factor and its source."""
    sheet = chapter("sleeve", design, section)
    shared = frame(design, section)
    design_tension(sheet, done["unit_cell"].scopes["ring"], done["basis"])
    given_of_section(sheet, "R_Bk0", section, "sleeve.strength", section.sleeve.strength)
    _safety(sheet, section, shared)
    if section.sleeve.factors is not None:
        _by_reduction(sheet, section)
    if section.sleeve.iso20432 is not None:
        _by_iso(sheet, section)
    _strain(sheet, design, section, done["unit_cell"])
    _installation(sheet, done["unit_cell"], shared)
    halved_tension(sheet, done["unit_cell"])
    _second_method(sheet, done)
    return sheet


def _second_method(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """Beside the verdict: ring tension by the second method, where the sleeve would not hold it."""
    tension = done["unit_cell"].scopes["elastic_plastic"]["T_EP"]
    factor = float(done["basis"]["gamma_G"].array.max())
    largest = factor * float(np.max(tension.array, where=tension.valid, initial=0.0))
    held = {"ring_tension": ("factors", "R_Bd"), "ring_tension_iso": ("iso20432", "R_TD")}
    short = [key for key, (name, symbol) in held.items()
             if name in sheet.scopes and largest > float(sheet.scopes[name][symbol].array.min())]  # fmt: skip
    if short:
        sheet.limitation(
            "second-method",
            f"The elastic, plastic column gives a ring tension of up to {largest:.1f} kN/m with the largest factor on "
            "permanent load, more than the least that the sleeve resists.",
            "project rule",
            turns=short,
        )


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
    scope(utilisation)
    title = "Ring tension of the sleeve"
    if _taut(sheet):
        sheet.verdict("ring_tension", title, effect=sheet["F_Rd"], resistance=scope["R_Bd"])
    else:
        sheet.not_verified("ring_tension", title, NEVER_TAUT)
    _pages(sheet, scope, "R_Bd")


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
    title = "Ring tension of the sleeve, format of ISO/TS 20432"
    if _taut(sheet):
        sheet.verdict("ring_tension_iso", title, effect=sheet["F_Rd"], resistance=scope["R_TD"])
    else:
        sheet.not_verified("ring_tension_iso", title, NEVER_TAUT)
    scope(utilisation, R_Bd="R_TD")
    _pages(sheet, scope, "R_TD")
    sheet.limitation(
        "iso-joint",
        "ISO/TS 20432 has no factor for joints: the strength and the tests must hold for the sleeve as made "
        f"({section.sleeve.seam}).",
        "ISO/TS 20432:2022 ◦",
    )


def _taut(sheet: Sheet) -> bool:
    """Whether the sleeve carries tension in every sublayer of the final state."""
    final = sheet["F_GQ"].at(stage=sheet.axes["stage"][-1])
    return bool((final.array[final.valid] > 0).all())


def _strain(sheet: Sheet, design: Design, section: Section, cell: Sheet) -> None:
    """Ring strain and creep strain in the final state at the centre under quasi-permanent load."""
    scope = sheet.scope("strain", "Strain and creep strain of the sleeve under quasi-permanent load")
    strain = cell.scopes["strain"]["eps_Ri"]
    final = strain.at(stage=frame(design, section).persistent)
    scope.take("eps_long", final.at(stiffness=LONG))
    scope.take("eps_short", final.at(stiffness=END))
    scope(creep_strain)
    limits = design.basis.limits
    against_limit(
        scope,
        design,
        "ring_strain",
        "Ring strain under quasi-permanent load",
        scope["eps_long"],
        limits.ring_strain,
        "eps_lim",
    )
    against_limit(
        scope,
        design,
        "creep_strain",
        "Creep strain of the sleeve",
        scope["eps_creep"],
        limits.creep_strain,
        "eps_crlim",
    )
    if float(np.nanmax(strain.array)) > USUAL_STRAIN:
        sheet.limitation("strain", "The ring strain exceeds 6 %, beyond which the linear stiffness is doubtful.")


def _installation(sheet: Sheet, cell: Sheet, shared: Frame) -> None:
    """Stage 0: fill weight against soil support in the column just built."""
    tension = cell.scopes["tension"]["F_R"].at(stage=shared.stages[0])
    if not tension.valid.any() or not (tension.array[tension.valid] > 0).any():
        sheet.notes.append("The column just built does not stretch its sleeve: the soil supports the fill.")
        return
    lane = int(np.argmax(np.where(tension.valid, tension.array, -1.0)))
    case = tension.case_at(lane)
    sheet.notes.append(
        f"The column just built stretches its sleeve under the weight of its fill alone: ring tension up to "
        f"{value_text(tension, case, unit=True)} at {case_words(case)}."
    )


def _pages(sheet: Sheet, scope: Scope, resistance: str) -> None:
    """Utilisation of every sublayer and of every stage, and bars over the sublayers."""
    layer_table(
        sheet, f"utilisation-{scope.name}", "Ring tension and utilisation by sublayer", scope.name,
        ("F_G", "F_GQ", "F_Re", "F_Ra", "F_Rd", resistance, "u_R"),
    )  # fmt: skip
    title = "Largest utilisation by stage and factor set"
    parts = zip(scope[resistance].labels("stage"), scope[resistance].array, strict=True)
    given = ", ".join(f"{label}: {number_text(float(one), 2)}" for label, one in parts)
    note = f"Largest over the sublayers. Design resistance in kN/m by stage: {given}."
    sheet.tables.append(envelope_table(f"stages-{scope.name}", title, scope["u_R"], "stage", "variant", note=note))

    def draw(cases: Cases) -> None:
        case = cases[sheet.key, scope.name]
        rows = []
        used = scope["u_R"].largest(*(axis for axis in scope["u_R"].axis_names if axis != "point"))
        for label in sheet.axes["layer"]:
            ratio = used.number({**case, "layer": label}) or 0.0
            rows.append(Bar(label, ratio, "pass" if ratio <= 1 else "fail"))
        words = case_words({axis: label for axis, label in case.items() if axis not in {"point", "layer"}})
        alt = "Utilisation of the sleeve: " + ", ".join(f"{bar.label} {bar.value:.2f}" for bar in rows) + "."
        title = "Utilisation of the sleeve by sublayer"
        sheet.figures.append(
            Bars(
                f"utilisation-{scope.name}",
                title,
                alt,
                tuple(rows),
                note=f"The larger of mid-depth and top. At {words}.",
            )
        )

    sheet.at_cases.append(draw)

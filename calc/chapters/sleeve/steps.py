"""Sleeve: design ring tension against the design resistance, strain, creep strain, installation state."""

import numpy as np

from calc.chapters.shared.division import design_tension
from calc.chapters.shared.frame import END, LONG, Frame, chapter, frame, given_of_section, origin_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.mats import ISO_FACTORS, REDUCTION
from calc.chapters.shared.tables import envelope_table, layer_table
from calc.chapters.sleeve.halved import halved_tension
from calc.engine.figure import Bar, Bars
from calc.engine.sheet import Scope, Sheet, case_words, number_text, value_text
from calc.engine.sheet.cases import Cases
from calc.engine.words import words_of
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

say = words_of(__name__)

USUAL_STRAIN = 0.06
NEVER_TAUT = say("never-taut")


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
            say("limitation-second-method", largest=largest),
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
    scope = sheet.scope("factors", say("scope-factors-title"))
    factors = section.sleeve.factors
    for key in REDUCTION:
        one = getattr(factors, key)
        origin = origin_of(section, f"sleeve.factors.{key}.value")
        scope.given(f"{key[0]}_{key[1]}", one.value, origin=origin, note=one.source)
    scope(characteristic_resistance)
    scope(design_resistance)
    scope(required_strength)
    scope(utilisation)
    title = say("by-reduction-title")
    if _taut(sheet):
        sheet.verdict("ring_tension", title, effect=sheet["F_Rd"], resistance=scope["R_Bd"])
    else:
        sheet.not_verified("ring_tension", title, NEVER_TAUT)
    _pages(sheet, scope, "R_Bd")


def _by_iso(sheet: Sheet, section: Section) -> None:
    scope = sheet.scope("iso20432", say("scope-iso20432-title"))
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
    title = say("by-iso-title")
    if _taut(sheet):
        sheet.verdict("ring_tension_iso", title, effect=sheet["F_Rd"], resistance=scope["R_TD"])
    else:
        sheet.not_verified("ring_tension_iso", title, NEVER_TAUT)
    scope(utilisation, R_Bd="R_TD")
    _pages(sheet, scope, "R_TD")
    sheet.limitation(
        "iso-joint",
        say("limitation-iso-joint", seam=section.sleeve.seam),
        "ISO/TS 20432:2022 ◦",
    )


def _taut(sheet: Sheet) -> bool:
    """Whether the sleeve carries tension in every sublayer of the final state."""
    final = sheet["F_GQ"].at(stage=sheet.axes["stage"][-1])
    return bool((final.array[final.valid] > 0).all())


def _strain(sheet: Sheet, design: Design, section: Section, cell: Sheet) -> None:
    """Ring strain and creep strain in the final state at the centre under quasi-permanent load."""
    scope = sheet.scope("strain", say("scope-strain-title"))
    strain = cell.scopes["strain"]["eps_Ri"]
    final = strain.at(stage=frame(design, section).persistent)
    scope.take("eps_long", final.at(stiffness=LONG))
    scope.take("eps_short", final.at(stiffness=END))
    scope(creep_strain)
    limits = design.basis.limits
    optional_limit(
        scope, design, ("ring_strain", say("against-limit-strain-text")), scope["eps_long"], limits.ring_strain,
        symbol="eps_lim", path="basis.limits.ring_strain",
    )  # fmt: skip
    optional_limit(
        scope, design, ("creep_strain", say("against-limit-strain-text-2")), scope["eps_creep"], limits.creep_strain,
        symbol="eps_crlim", path="basis.limits.creep_strain",
    )  # fmt: skip
    if float(np.nanmax(strain.array)) > USUAL_STRAIN:
        sheet.limitation("strain", say("limitation-strain"))


def _installation(sheet: Sheet, cell: Sheet, shared: Frame) -> None:
    """Stage 0: fill weight against soil support in the column just built."""
    tension = cell.scopes["tension"]["F_R"].at(stage=shared.stages[0])
    if not tension.valid.any() or not (tension.array[tension.valid] > 0).any():
        sheet.notes.append(say("installation-2"))
        return
    lane = int(np.argmax(np.where(tension.valid, tension.array, -1.0)))
    case = tension.case_at(lane)
    sheet.notes.append(say("installation", tension=value_text(tension, case, unit=True), case=case_words(case)))


def _pages(sheet: Sheet, scope: Scope, resistance: str) -> None:
    """Utilisation of every sublayer and of every stage, and bars over the sublayers."""
    layer_table(
        sheet, f"utilisation-{scope.name}", say("layer-table-pages-text"), scope.name,
        ("F_G", "F_GQ", "F_Re", "F_Ra", "F_Rd", resistance, "u_R"),
    )  # fmt: skip
    title = say("pages-title")
    parts = zip(scope[resistance].labels("stage"), scope[resistance].array, strict=True)
    given = ", ".join(f"{label}: {number_text(float(one), 2)}" for label, one in parts)
    note = say("pages-note", given=given)
    sheet.tables.append(envelope_table(f"stages-{scope.name}", title, scope["u_R"], "stage", "variant", note=note))

    def draw(cases: Cases) -> None:
        case = cases[sheet.key, scope.name]
        rows = []
        used = scope["u_R"].largest(*(axis for axis in scope["u_R"].axis_names if axis != "point"))
        for label in sheet.axes["layer"]:
            ratio = used.number({**case, "layer": label}) or 0.0
            rows.append(Bar(label, ratio, "pass" if ratio <= 1 else "fail"))
        words = case_words({axis: label for axis, label in case.items() if axis not in {"point", "layer"}})
        alt = say("draw-alt") + ", ".join(f"{bar.label} {bar.value:.2f}" for bar in rows) + "."
        title = say("draw-title")
        sheet.figures.append(
            Bars(
                f"utilisation-{scope.name}",
                title,
                alt,
                tuple(rows),
                note=say("bars-utilisation-note", words=words),
            )
        )

    sheet.at_cases.append(draw)

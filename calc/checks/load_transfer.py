"""Load transfer above the column heads: full arching by several models, membrane, compatible settlement, surface.

Later chapters take from the sheet itself, over (variant, stage, load, stiffness): ``T_mqD`` and ``T_mlD``, the tension
across and along from vertical load that the design uses, ``T_mqF`` and ``T_mlF``, the same at full arching without
support of the ground. Directions without reinforcement have none. The axis of factor sets ends with serviceability,
the axis of stiffness has short-term and long-term of the reinforcement.
"""

import numpy as np

from calc.checks.arching import evaluate_models, full_arching
from calc.checks.arching_limits import limits_of_use, model_table
from calc.checks.frame import LONG, SHORT, chapter, frame, given_of_section
from calc.checks.load_transfer_beside import set_beside_governing
from calc.checks.load_transfer_cell import SERVICE, cell, loads, moduli, variants
from calc.checks.membrane import (
    free_membrane,
    largest_free_tension,
    reinforced_directions,
    strips,
    supported_membrane,
)
from calc.checks.membrane_compatibility import compatibility, design_tension
from calc.checks.sketch_membrane import membrane_sketch
from calc.checks.tables import envelopes_table
from calc.formulas.load_transfer import (
    critical_height,
    farthest_distance_in_square_grid,
    farthest_distance_in_triangular_grid,
    full_arching_height,
    surface_difference,
)
from calc.inputs import Design, Section
from calc.levels import above
from calc.sheet import Scope, Sheet, number_text

FARTHEST = {"square": farthest_distance_in_square_grid, "triangular": farthest_distance_in_triangular_grid}
LEAD = {"load": "G+Q"}
HEAD_DISTANCE = {1: 0.15, 2: 0.30}  # m above the heads, by number of layers


def load_transfer(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Pressure between the heads, tension of the membrane and settlement difference for every stage and factor set."""
    sheet = chapter("load_transfer", design, section)
    sheet.axis("variant", variants(design))
    sheet.axis("stiffness", (SHORT, LONG))
    sheet.leads[""] = LEAD
    cell(sheet, done)
    loads(sheet, design, section, done)
    moduli(sheet, section, done)
    models = evaluate_models(sheet, section)
    full_arching(sheet, section, models)
    strips(sheet, section)
    if reinforced_directions(section):
        free_membrane(sheet, section)
        largest_free_tension(sheet, section)
        supported_membrane(sheet, section)
        scopes = compatibility(sheet, section)
        design_tension(sheet, section, scopes)
        _envelope(sheet, section)
    else:
        scopes = []
        why = "No layer of reinforcement is given in [[reinforcement]]; nothing hangs between the column heads."
        sheet.not_verified("membrane", "Reinforcement as a membrane between the column heads", why)
    _surface(sheet, design, section, scopes)
    limits_of_use(sheet, section)
    _placing(sheet, section)
    model_table(sheet)
    sheet.figures.append(membrane_sketch(section))
    set_beside_governing(sheet, design, section, models)
    return sheet


def _envelope(sheet: Sheet, section: Section) -> None:
    note = "Before factors on the effect, largest over loads, short-term stiffness; at equal settlement there is none."
    for words, tag in reinforced_directions(section):
        parts = [
            (limit, sheet[f"T_m{tag}{ending}"].at(stiffness=SHORT, stage=sheet.axes["stage"][1:]))
            for ending, limit in (("D", "as used"), ("F", "full arching, free"))
        ]
        title = f"Tension {words} from vertical load, as the design uses it and at full arching without the ground"
        sheet.tables.append(envelopes_table(f"membrane-{tag}", title, parts, "stage", "variant", note=note))


def _surface(sheet: Sheet, design: Design, section: Section, scopes: list[Scope]) -> None:
    """Critical height of the fill, and what of the settlement difference reaches the surface."""
    scope = sheet.scope("surface", "Critical height and settlement difference at the surface", variant=SERVICE)
    scope(FARTHEST[section.columns.pattern])
    scope(critical_height)
    scope(full_arching_height, H_crit="H_critB")
    final = frame(design, section).persistent
    height = sheet["H_A"].at(stage=final)
    critical = max(float(scope[name].array) for name in ("H_crit", "H_critB"))
    least = float(height.array.min())
    if least >= critical:
        why = (
            f"The fill of {number_text(least, 2)} m is not lower than the critical heights, {number_text(critical, 2)} "
            "m the larger."
        )
        sheet.settled("critical_height", "Columns do not show at the surface by the height of the fill", why)
    else:
        sheet.limitation(
            "critical-height",
            f"The fill of {number_text(least, 2)} m is lower than the larger critical height, "
            f"{number_text(critical, 2)} m: the columns may show at the surface.",
            "McGuire (2011); Filz et al. (2012); BS 8006-1:2010 ◦",
        )
    _difference(sheet, section, scope, scopes, final)


def _difference(sheet: Sheet, section: Section, scope: Scope, scopes: list[Scope], final: tuple[str, ...]) -> None:
    """Settlement difference at the surface under quasi-permanent load against the limit asked for."""
    key, title = "surface_difference", "Settlement difference at the surface between columns and middle"
    if not scopes:
        why = "Without the compatible settlement the difference at the column heads is not known."
        sheet.not_verified(key, title, why)
        return
    at = {"variant": SERVICE, "load": "G+Q", "stiffness": LONG, "stage": final}
    values = [one["Ds_h"].at(**at) for one in scopes]
    if not values[0].valid.any():
        why = "The cell does not settle in a persistent stage, so the difference at the column heads is not known."
        sheet.not_verified(key, title, why)
        return
    scope.take("Ds_hD", max(values, key=lambda one: float(np.nanmax(one.array))))
    scope.take("H_A", sheet["H_A"].at(stage=final))
    scope(surface_difference, Ds_h="Ds_hD", H="H_A")
    chosen = section.load_transfer
    if chosen is None or chosen.surface_difference is None:
        why = "No limit is asked for in load_transfer.surface_difference; the value is printed for judgement."
        sheet.not_verified(key, title, why, required=False)
        return
    path = "load_transfer.surface_difference"
    limit = given_of_section(scope, "Ds_toplim", section, path, chosen.surface_difference)
    sheet.verdict(key, title, effect=scope["Ds_top"], resistance=limit)


def _placing(sheet: Sheet, section: Section) -> None:
    """Reinforcement lies at or little above the heads, in both directions."""
    head = section.ground_level + section.columns.upstand
    found = reinforced_directions(section)
    if len(found) == 1:
        sheet.limitation(
            "one-direction",
            f"Reinforcement is given {found[0][0]} only; the strips of that direction are taken to carry the whole "
            "load between the heads.",
            "project rule ▵",
        )
    levels = [layer.level for layer in section.reinforcement]
    allowed = HEAD_DISTANCE[min(len(levels), 2)] if levels else 0.0
    if levels and above(max(levels) - head, allowed):
        sheet.limitation(
            "above-heads",
            f"The upper layer lies {number_text(max(levels) - head, 2)} m above the column heads; the arching models "
            f"ask for at most {allowed:.2f} m with {'one layer' if len(levels) == 1 else 'two layers'}.",
            "EBGEO (2010), ch. 9 ◦",
        )
    if levels and above(head, min(levels)):
        why = "A layer of reinforcement lies below the column heads and cannot hang between them."
        sheet.not_verified("reinforcement_level", "Reinforcement lies above the column heads", why)
    if section.platform is not None:
        sheet.limitation(
            "platform-friction",
            "The working platform is taken as fill of the same weight with the friction of the embankment fill.",
            "project rule ▵",
        )

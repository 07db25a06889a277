"""Unit cell: ring tension for every factor set and settlement in the serviceability state, two methods side by side."""

from calc.checks import cell_halved, cell_limits, cell_ring, cell_runs, cell_second
from calc.checks.cell_given import given_cell
from calc.checks.cell_ring import G_Q, G
from calc.checks.frame import (
    CENTRE,
    LONG,
    SHOULDER,
    against_limit,
    frame,
)
from calc.checks.sketches import unit_cell_sketch
from calc.checks.tables import case_table, envelope_table, layer_profile, layer_table
from calc.formulas.unit_cell import (
    improvement_factor,
    mean_stress,
    oedometer_modulus,
    settlement_difference,
    stress_after_loading,
    total_settlement,
    untreated_strain,
    untreated_sublayer_settlement,
)
from calc.inputs import Design, Section
from calc.sheet import Scope, Sheet

FROM_GROUND = ("h", "z", "d_w", "p_W", "sigma_v0s", "sigma_v0c", "p_1", "K_0s", "K_star", "E_ref", "p_ref", "m", "nu_s")
FROM_COLUMNS = ("r_c", "a_E", "Dr_gap", "r_geo")
LARGE_STRAIN = 0.3
RING_TABLE = ("z_F", "sigma_v0sz", "sigma_v0cz", "Dsigma_vs", "Dsigma_vc", "E_oed", "Dr_c", "F_Ri")
RING_NOTE = "Two points of a sublayer are evaluated, mid-depth and top; the table has the one that governs."
STANDARD_TABLE = ("sigma_v0s", "sigma_v0c", "Dsigma_vs", "Dsigma_vc", "n", "E_oed", "Dr_c", "F_Ri", "eps_Ri", "s_i")


def unit_cell(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Load sharing, widening, ring tension and settlement per sublayer, stage, load, stiffness and factor set."""
    sheet, shared = given_cell(design, section, done), frame(design, section)
    _design_life(sheet, design, section)
    cell_second.fill_constants(sheet)
    tension = cell_runs.tension(sheet, section, done["basis"])
    ring = cell_ring.ring(sheet, section, shared, tension, done)
    settlement = cell_runs.settlement(sheet, section)
    cell_ring.strain(sheet, settlement, done)
    cell_halved.halved(sheet, design, section, done, settlement)
    _untreated(sheet, settlement)
    plastic = sheet.scope("elastic_plastic", "Elastic, plastic column", stiffness=LONG)
    cell_second.elastic_plastic(plastic, settlement)
    bound = sheet.scope("elastic", "Elastic cell, lower bound of the settlement", stiffness=LONG)
    cell_second.elastic(bound, plastic)
    cell_second.compare(sheet, settlement, plastic, bound)
    _verdicts(sheet, design, section, settlement, plastic)
    cell_limits.least_ratio(sheet, shared, tension, settlement)
    cell_limits.stress_ratios(sheet, section, shared, (tension, settlement))
    cell_limits.range_of_method(sheet, section, tension, settlement)
    _pages(sheet, section, ring, settlement)
    return sheet


def _design_life(sheet: Sheet, design: Design, section: Section) -> None:
    """Final settlement and creep strain rest on a stiffness that must reach to the end of the design life."""
    last, title = section.sleeve.stiffness[-1].time, "Stiffness of the sleeve given to the end of the design life"
    if last >= design.basis.design_life:
        sheet.settled("stiffness_life", title, "The last given time is not before the end of the design life.")
        return
    why = (
        f"The last stiffness is given for {last / 365.25:.0f} years, the design life is "
        f"{design.basis.design_life / 365.25:.0f} years: final settlement, ring strain and creep strain rest on too "
        "high a stiffness."
    )
    sheet.not_verified("stiffness_life", title, why)


def _untreated(sheet: Sheet, settlement: Scope) -> None:
    """Settlement of the ground without columns under the same load, and the improvement."""
    scope = sheet.scope(
        "untreated", "Settlement without columns, improvement", load="G+Q", position=CENTRE, stiffness=LONG
    )
    scope.take("Dsigma_0", settlement["Dsigma_0"])
    scope(stress_after_loading, p_2="p_2u", Dsigma_vs="Dsigma_0")
    scope(mean_stress, p_m="p_mu", p_2="p_2u")
    scope(oedometer_modulus, E_oed="E_oedu", p_m="p_mu")
    scope(untreated_sublayer_settlement)
    scope(total_settlement, s="s_u", s_i="s_iu")
    s = settlement["s"]
    scope.take("s", s.without(s.array <= 0, "no settlement"))
    scope(improvement_factor)
    if (scope(untreated_strain).array > LARGE_STRAIN).any():
        sheet.limitation(
            "large-strain",
            "The settlement without columns exceeds 30 % of the thickness in some sublayer; at small strain it is "
            "overestimated there, and so is the improvement.",
        )


def _verdicts(sheet: Sheet, design: Design, section: Section, settlement: Scope, plastic: Scope) -> None:
    """Primary settlements in the persistent stages against the limits, quasi-permanent load, lower stiffness."""
    limits = design.basis.limits
    final = {"stage": frame(design, section).persistent, "load": "G+Q", "stiffness": LONG}
    centre = settlement["s"].at(position=CENTRE, **final)
    scope = sheet.scope("limits", "Primary settlements against the limits asked for")
    title = "Primary settlement of the treated ground, standard method"
    against_limit(scope, design, "settlement_total", title, scope.take("s", centre), limits.settlement_total, "s_lim")
    if limits.settlement_total is not None:
        effect = scope.take("s_EP", plastic["s_EP"].at(position=CENTRE, **final))
        title = "Primary settlement of the treated ground, elastic, plastic column"
        sheet.verdict("settlement_elastic_plastic", title, effect=effect, resistance=scope["s_lim"])
    scope.take("s_cen", centre)
    scope.take("s_sho", settlement["s"].at(position=SHOULDER, **final))
    scope(settlement_difference)
    key, title = "settlement_difference", "Difference of settlement, centre to crest edge, from compensation fill"
    if section.makeup_fill or limits.settlement_difference is None:
        against_limit(scope, design, key, title, scope["Ds_pos"], limits.settlement_difference, "Ds_lim")
    else:
        why = "Without compensation fill the cell gives centre and crest edge the same settlement, none of the slope."
        sheet.not_verified(key, title, why)


def _pages(sheet: Sheet, section: Section, ring: Scope, settlement: Scope) -> None:
    sheet.figures.append(unit_cell_sketch(section))
    layer_table(sheet, "tension", "Sublayers at the governing ring tension", "ring", RING_TABLE, RING_NOTE)
    layer_profile(
        sheet, "tension", "Stresses, ring tension and widening", "ring", section,
        (
            ("Δσ<sub>v</sub>", "kN/m²", (("soil", "Dsigma_vs"), ("column", "Dsigma_vc"))),
            ("F<sub>R</sub>", "kN/m", (("ring tension", "F_Ri"),)),
            ("Δr<sub>c</sub>", "mm", (("widening", "Dr_c"),)),
        ),
        depth="z_F",
    )  # fmt: skip
    layer_table(sheet, "settlement", "Sublayers at the printed settlement", "settlement", STANDARD_TABLE)
    before = ring["F_Ri"].at(combination=(G, G_Q))
    sheet.tables.append(
        envelope_table("tension-stages", "Largest ring tension by stage, before factors on the effect",
                       before, "stage", "variant", note="Largest over loads, sublayers and their points.")
    )  # fmt: skip
    case_table(
        sheet, "tension-cases", "The governing sublayer under every factor set and combination of actions", "ring",
        ("Dsigma_0", "Dsigma_vs", "Dsigma_vc", "E_oed", "Dr_c", "F_Ri"), ("variant", "combination"),
    )  # fmt: skip
    centre = settlement["s"].at(position=CENTRE, load="G+Q")
    title = "Settlement at the centre by stage and sleeve stiffness"
    note = (
        "Under permanent and quasi-permanent load, drained. Each stage is a solution of its own from the initial "
        "state: a smaller value in a later stage is no recovery."
    )
    sheet.tables.append(envelope_table("settlement-stages", title, centre, "stage", "stiffness", note=note))
    long = settlement["s"].at(stiffness=LONG, load="G+Q")
    sheet.tables.append(
        envelope_table("settlement-positions", "Settlement by stage and position, long-term stiffness", long,
                       "stage", "position", note="Positions under the slope are indicative.")
    )  # fmt: skip

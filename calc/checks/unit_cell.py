"""Unit cell: ring tension for every factor set and settlement in the serviceability state, two methods side by side."""

from calc.checks import cell_limits, cell_second, cell_standard
from calc.checks.frame import (
    CENTRE,
    LONG,
    SHORT,
    SHOULDER,
    against_limit,
    chapter,
    frame,
    given_of_section,
    given_of_stages,
    origin_of,
)
from calc.checks.sketches import unit_cell_sketch
from calc.checks.tables import case_table, envelope_table, layer_profile, layer_table
from calc.formulas.ground import active_coefficient
from calc.formulas.loads import factored_friction_angle, platform_load, traffic_factor
from calc.formulas.sleeve import end_of_construction, stiffness_at_time
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
from calc.sheet import Origin, Scope, Sheet

FROM_GROUND = ("h", "z", "d_w", "p_W", "sigma_v0s", "sigma_v0c", "p_1", "K_0s", "K_star", "E_ref", "p_ref", "m", "nu_s")
FROM_COLUMNS = ("r_c", "a_E", "Dr_gap", "r_geo")
LARGE_STRAIN = 0.3
STANDARD_TABLE = ("sigma_v0s", "sigma_v0c", "Dsigma_vs", "Dsigma_vc", "n", "E_oed", "Dr_c", "F_Ri", "eps_Ri", "s_i")


def unit_cell(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Load sharing, widening, ring tension and settlement per sublayer, stage, load, stiffness and factor set."""
    sheet = chapter("unit_cell", design, section)
    shared = frame(design, section)
    for name in FROM_COLUMNS:
        sheet.take(name, done["columns"][name])
    for name in FROM_GROUND:
        sheet.take(name, done["ground"][name])
    _fill(sheet, section)
    _loads(sheet, design, section)
    _stiffness(sheet, section)
    _design_life(sheet, design, section)
    cell_second.fill_constants(sheet)
    tension = _ring_tension(sheet, section, done["basis"])
    settlement = _settlement(sheet, section)
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
    _pages(sheet, section, tension, settlement)
    return sheet


def _fill(sheet: Sheet, section: Section) -> None:
    fill = section.columns.fill
    for name, attribute in (("phi_ck", "phi"), ("psi_c", "psi"), ("E_c", "E"), ("nu_c", "nu")):
        given_of_section(sheet, name, section, f"columns.fill.{attribute}", getattr(fill, attribute))


def _loads(sheet: Sheet, design: Design, section: Section) -> None:
    """Loads that all factor sets share; the share of height and the make-up fill depend on the position."""
    heights = [0.0, *(stage.fill_height for stage in section.stages)]
    given_of_stages(sheet, "H", section, heights, "fill_height", "the column just built carries no fill")
    given_of_section(sheet, "gamma_E", section, "embankment.gamma", section.embankment.gamma)
    if section.embankment.gamma_sub is not None:
        given_of_section(sheet, "gamma_Esub", section, "embankment.gamma_sub", section.embankment.gamma_sub)
    else:
        sheet.take("gamma_Esub", sheet["gamma_E"], note="no buoyant unit weight is given: buoyancy is not counted")
    _platform(sheet, section)
    if section.traffic and design.basis.psi_2 is not None:
        given_of_section(sheet, "q", section, "traffic.q", section.traffic.q)
        sheet.given("psi_2", design.basis.psi_2, origin=origin_of(design, "basis.psi_2"))
    else:
        for name in ("q", "psi_2"):
            sheet.given(name, 0.0, origin=Origin("project rule", text="no traffic load is given"))
    traffic = [0.0, *(float(stage.traffic) for stage in section.stages)]
    rule = Origin("project rule", text="1 in load case G+Q of the stages with traffic")
    sheet.given("i_Q", [[0.0, one] for one in traffic], ["stage", "load"], origin=rule)


def _platform(sheet: Sheet, section: Section) -> None:
    """The platform lies under the fill; it loads the cell from the first stage on where it is part of the load."""
    if section.platform is None:
        for name in ("gamma_P", "t_P"):
            sheet.given(name, 0.0, origin=Origin("project rule", text="no working platform is given"))
    else:
        given_of_section(sheet, "gamma_P", section, "platform.gamma", section.platform.gamma)
        given_of_section(sheet, "t_P", section, "platform.thickness", section.platform.thickness)
    loads = float(section.platform is not None and section.platform.role == "load")
    rule = Origin("project rule", text="1 where it is part of the load, from the first stage on")
    sheet.given("i_P", [0.0, *(loads for _ in section.stages)], ["stage"], origin=rule)
    sheet(platform_load)


def _stiffness(sheet: Sheet, section: Section) -> None:
    """Short-term, end of construction and long-term stiffness of the sleeve (application of upper and lower values)."""
    given = section.sleeve.stiffness
    last = section.stages[-1]
    at = len(section.stages) - 1
    sheet.given("t_0", last.start, origin=origin_of(section, f"stage.{at}.start"))
    sheet.given("t_f", last.duration, origin=origin_of(section, f"stage.{at}.duration"))
    end = float(sheet(end_of_construction).array)
    later = next((k for k, one in enumerate(given) if one.time > end), len(given) - 1)
    earlier = max(later - 1, 0)
    for name, time, k in (("J_1", "t_1", earlier), ("J_2", "t_2", later)):
        sheet.given(name, given[k].J, origin=origin_of(section, f"sleeve.stiffness.{k}.J"))
        sheet.given(time, given[k].time, origin=origin_of(section, f"sleeve.stiffness.{k}.time"))
    inside = given[earlier].time <= end <= given[later].time and earlier != later
    if inside:
        middle = float(sheet(stiffness_at_time).array)
    else:
        middle = given[0].J if end < given[0].time else given[-1].J
        sheet.limitation(
            "stiffness-time",
            "The end of construction lies outside the times for which the sleeve's stiffness is given; the nearest "
            "given value is used.",
        )
    ends = [("J_sh", 0), ("J_lo", len(given) - 1)]
    for name, k in ends:
        sheet.given(name, given[k].J, origin=origin_of(section, f"sleeve.stiffness.{k}.J"))
    sheet.reading(
        "J", [given[0].J, middle, given[-1].J], ["stiffness"],
        title="Tensile stiffness of the sleeve: first given value, end of construction, last given value",
        inputs=[sheet["J_sh"], *([sheet["J_t"]] if inside else []), sheet["J_lo"]],
    )  # fmt: skip


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


def _ring_tension(sheet: Sheet, section: Section, basis: Sheet) -> Scope:
    """Ring tension at the centre with the upper stiffness, for every factor set."""
    scope = sheet.scope("tension", "Ring tension: factor sets, upper stiffness, centre", load="G+Q")
    for name in ("gamma_phi", "f_G", "gamma_QS"):
        scope.take(name, basis[name])
    scope(factored_friction_angle)
    scope(active_coefficient, K_a="K_ac", phi="phi_c")
    scope(traffic_factor)
    rule = Origin("project rule", text="full height at the centre")
    scope.given("f_H", 1.0, origin=rule)
    if section.makeup_fill:
        rule = Origin("project rule", text="make-up fill keeps the design level at the centre, from the first stage on")
        scope.given("f_M", [0.0, *(1.0 for _ in section.stages)], ["stage"], origin=rule)
    scope.take("J", sheet["J"].at(stiffness=SHORT), note="the upper value gives the larger ring tension")
    cell_standard.load(scope)
    cell_standard.solve(scope, section)
    return scope


def _settlement(sheet: Sheet, section: Section) -> Scope:
    """Settlement with characteristic values, the quasi-permanent share of traffic, at three positions."""
    scope = sheet.scope(
        "settlement", "Settlement: characteristic values, G and G + ψ₂·Q", load="G+Q", position=CENTRE, stiffness=LONG
    )
    scope(active_coefficient, K_a="K_ac", phi="phi_ck")
    scope(traffic_factor, gamma_QS="psi_2")
    scope.given("f_G", 1.0, origin=Origin("project rule", text="serviceability: all factors 1"))
    rule = Origin("project rule", text="full height at centre and shoulder, half at mid-slope")
    scope.given("f_H", [1.0, 1.0, 0.5], ["position"], origin=rule)
    if section.makeup_fill:
        rule = Origin("project rule", text="make-up fill at the centre, none at and beyond the shoulder")
        filled = [[0.0, 0.0, 0.0], *([1.0, 0.0, 0.0] for _ in section.stages)]
        scope.given("f_M", filled, ["stage", "position"], origin=rule)
    cell_standard.load(scope)
    cell_standard.solve(scope, section)
    sheet.limitation(
        "positions",
        "Shoulder and mid-slope lie outside the cell's assumption of a load that is wide compared with the depth of "
        "the soft ground; they serve the differential settlement only.",
    )
    return scope


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
    key, title = "settlement_difference", "Difference of settlement, centre to shoulder, from make-up fill"
    if section.makeup_fill or limits.settlement_difference is None:
        against_limit(scope, design, key, title, scope["Ds_pos"], limits.settlement_difference, "Ds_lim")
    else:
        why = (
            "Without make-up fill the cell gives centre and shoulder the same settlement; it says nothing of the slope."
        )
        sheet.not_verified(key, title, why)


def _pages(sheet: Sheet, section: Section, tension: Scope, settlement: Scope) -> None:
    sheet.figures.append(unit_cell_sketch(section))
    layer_table(sheet, "tension", "Sublayers at the governing ring tension", "tension", STANDARD_TABLE)
    layer_profile(
        sheet, "tension", "Stresses, ring tension and widening", "tension", section,
        (
            ("Δσ<sub>v</sub>", "kN/m²", (("soil", "Dsigma_vs"), ("column", "Dsigma_vc"))),
            ("F<sub>R</sub>", "kN/m", (("ring tension", "F_Ri"),)),
            ("Δr<sub>c</sub>", "mm", (("widening", "Dr_c"),)),
        ),
    )  # fmt: skip
    layer_table(sheet, "settlement", "Sublayers at the printed settlement", "settlement", STANDARD_TABLE)
    sheet.tables.append(
        envelope_table("tension-stages", "Largest ring tension by stage, before factors on the effect",
                       tension["F_Ri"], "stage", "variant", note="Largest over loads and sublayers.")
    )  # fmt: skip
    case_table(
        sheet, "tension-cases", "The governing sublayer under every factor set and load", "tension",
        ("Dsigma_0", "Dsigma_vs", "Dsigma_vc", "E_oed", "Dr_c", "F_Ri"), ("variant", "load"),
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

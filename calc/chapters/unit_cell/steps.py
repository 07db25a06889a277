"""Unit cell: ring tension for every factor set and settlement in the serviceability state, two methods side by side."""

from calc.chapters.shared.frame import CENTRE, LONG, SHOULDER, frame
from calc.chapters.shared.heads import falls
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.ratio_limits import record_given_ratio, state_large_ratios
from calc.chapters.shared.second_cell import fill_constants
from calc.chapters.shared.zones import below_crest
from calc.chapters.unit_cell import borders as cell_borders
from calc.chapters.unit_cell import cross_fall as cell_across
from calc.chapters.unit_cell import floating as cell_floating
from calc.chapters.unit_cell import halved as cell_halved
from calc.chapters.unit_cell import limits as cell_limits
from calc.chapters.unit_cell import ring as cell_ring
from calc.chapters.unit_cell import runs as cell_runs
from calc.chapters.unit_cell import second as cell_second
from calc.chapters.unit_cell.given import given_cell
from calc.engine.sheet import Scope, Sheet
from calc.engine.symbols import YEAR
from calc.engine.words import words_of
from calc.formulas.unit_cell import (
    improvement_factor,
    logarithmic_mean_stress,
    oedometer_modulus,
    stress_after_loading,
    total_settlement,
    untreated_strain,
    untreated_sublayer_settlement,
)
from calc.inputs import Design, Section

say = words_of(__name__)

LARGE_STRAIN = 0.3


def unit_cell(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Load sharing, widening, ring tension and settlement per sublayer, stage, load, stiffness and factor set."""
    sheet, shared = given_cell(design, section, done), frame(design, section)
    _design_life(sheet, design, section)
    fill_constants(sheet)
    tension = cell_runs.tension(sheet, section, done["basis"])
    cell_ring.ring(sheet, section, shared, tension, done)
    settlement = cell_runs.settlement(sheet, section, done)
    cell_ring.strain(sheet, settlement, done)
    cell_halved.record_halved(sheet, design, section, done, settlement)
    _untreated_ground(sheet, settlement)
    plastic = sheet.scope("elastic_plastic", say("elastic-plastic-column"), stiffness=LONG)
    cell_second.elastic_plastic(plastic, settlement)
    bound = sheet.scope("elastic", say("scope-elastic-title"), stiffness=LONG)
    cell_second.elastic(bound, plastic, settlement)
    cell_second.compare(sheet, settlement, plastic, bound)
    _verdicts(sheet, design, section, settlement, plastic, done)
    cell_borders.at_borders(sheet, section, settlement, done)
    cell_borders.differences(sheet, design, section, done)
    cell_across.settlement_across(sheet, design, section, done)
    cell_floating.verify(sheet, settlement, done)
    kept = cell_runs.with_heads_kept(sheet, section, done) if falls(done["ground"]) else []
    cell_limits.least_ratio(sheet, shared, [tension, settlement, *kept])
    record_given_ratio(sheet, section)
    state_large_ratios(sheet, section)
    cell_limits.range_of_method(sheet, section, done, settlement)
    return sheet


def _design_life(sheet: Sheet, design: Design, section: Section) -> None:
    """Final settlement and creep strain rest on a stiffness that must reach to the end of the design life."""
    last, title = section.sleeve.stiffness[-1].time, say("design-life")
    if last >= design.basis.design_life:
        sheet.settled("stiffness_life", title, say("settled-stiffness-life-why"))
        return
    why = say("design-life-why", last=last / YEAR, design_life=design.basis.design_life / YEAR)
    sheet.not_verified("stiffness_life", title, why)


def _untreated_ground(sheet: Sheet, settlement: Scope) -> None:
    """Settlement of the ground without columns under the same load, and the improvement."""
    scope = sheet.scope("untreated", say("scope-untreated-title"), load="G+Q", position=CENTRE, stiffness=LONG)
    scope.take("Dsigma_0", settlement["Dsigma_0"])
    scope(stress_after_loading, p_2="p_2u", Dsigma_vs="Dsigma_0")
    scope(logarithmic_mean_stress, p_m="p_mu", p_2="p_2u")
    scope(oedometer_modulus, E_oed="E_oedu", p_m="p_mu")
    scope(untreated_sublayer_settlement)
    scope(total_settlement, s="s_u", s_i="s_iu")
    s = settlement["s"]
    scope.take("s", s.without(s.array <= 0, say("no-settlement")))
    scope(improvement_factor)
    if (scope(untreated_strain).array > LARGE_STRAIN).any():
        sheet.limitation("large-strain", say("limitation-large-strain"))


def _verdicts(
    sheet: Sheet, design: Design, section: Section, settlement: Scope, plastic: Scope, done: dict[str, Sheet]
) -> None:  # fmt: skip
    """Primary settlements in the persistent stages against the limits, quasi-permanent load, lower stiffness."""
    limits = design.basis.limits
    final = {"stage": frame(design, section).persistent, "load": "G+Q", "stiffness": LONG}
    centre = settlement["s"].at(position=CENTRE, **final)
    scope = sheet.scope("limits", say("scope-limits-title"))
    optional_limit(scope, design, ("settlement_total", say("settlement-title")), scope.take("s", centre),
                   limits.settlement_total, symbol="s_lim", path="basis.limits.settlement_total")  # fmt: skip
    if limits.settlement_total is not None:
        effect = scope.take("s_EP", plastic["s_EP"].at(position=CENTRE, **final))
        title = say("settlement-plastic-title")
        sheet.verdict("settlement_elastic_plastic", title, effect=effect, resistance=scope["s_lim"])
    if section.zone is not None:  # its differences to other grids are those of the section
        return
    scope.take("s_cen", centre)
    edge = settlement["s"].at(position=SHOULDER, **final)
    if section.embankment.is_cored:
        below = settlement["s"].at(position=[SHOULDER, *below_crest(section)], **final)
        edge = below.smallest("stage")
    zoned = cell_borders.centre_to_edge(scope, section, done, edge, final)
    title = say("difference-title-falls") if section.embankment.lower else say("difference-title")
    title = say("difference-title-zones") if zoned else title
    title = say("difference-title-places") if section.embankment.is_cored else title
    key = "settlement_edge_of_zone" if zoned else "settlement_difference"
    may_differ = zoned or section.makeup_fill or section.embankment.lower or section.embankment.is_cored
    optional_limit(
        scope, design, (key, title), scope["Ds_pos"],
        limits.settlement_difference, symbol="Ds_lim", path="basis.limits.settlement_difference",
        never="" if may_differ else say("no-difference"),
    )  # fmt: skip

"""Settlement of the ground below the column toes from the layers that are given there."""

from calc.chapters.bearing.shaft_and_toe import excess_weight
from calc.chapters.shared.column_zones import height_of_zone
from calc.chapters.shared.frame import CENTRE, LONG, frame, given_of_section, origin_of
from calc.chapters.shared.geometry import BERMS
from calc.chapters.shared.limits import optional_limit
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, number_text
from calc.engine.words import words_of
from calc.formulas import floating as fl
from calc.formulas.below_toe import (
    depth_below_toe,
    depth_of_sum,
    half_space_stress,
    larger_settlement_of_soft_ground,
    loaded_width,
    loaded_width_with_berms,
    settlement_below_toe,
    settlement_with_ground_below,
    spread_stress,
    stress_left_below,
    strip_angle,
    sublayer_settlement_below_toe,
)
from calc.formulas.column_field import larger_settlement_below_toe
from calc.inputs import Design, Section
from calc.procedures.sublayers import divide

say = words_of(__name__)

KEY, TITLE = "settlement_below_toe", say("text")
OF_SUM = (KEY, "settlement_life", "settlement_rest")
DEPTH = "below_depth"  # scope of how deep the sum reaches, which stands on no line


def below_toe(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Settlement below the toes by two spreads of the load; the larger one is added to that of the soft ground."""
    if not section.layers_below:
        sheet.not_verified(KEY, TITLE, say("below-toe-why"))
        return
    scope = sheet.scope("below", say("scope-below-title"))
    _common(sheet, scope, design, section, done)
    spread = sheet.scope("below_spread", say("scope-below-spread-title"))
    spread(spread_stress, Dsigma_t=scope["Dsigma_t"], B_t=scope["B_t"], z_b=scope["z_b"])
    _settle(spread, scope, "s_bS")
    half = sheet.scope("below_half_space", say("scope-below-half-space-title"))
    half(strip_angle, B_t=scope["B_t"], z_b=scope["z_b"])
    half(half_space_stress, Dsigma_t=scope["Dsigma_t"])
    _settle(half, scope, "s_bH")
    scope.take("s_bS", spread["s_bS"])
    scope.take("s_bH", half["s_bH"])
    scope(larger_settlement_below_toe)
    scope(settlement_with_ground_below)
    limit, path = design.basis.limits.settlement_total, "basis.limits.settlement_total"
    optional_limit(scope, design, (KEY, TITLE), scope["s_tot"], limit, symbol="s_lim", path=path)
    if limit is not None:  # what counts at the end of the design life is read from here at another stage
        sheet.leads[scope.name] = dict(sheet.verdicts[-1].case)
    sheet.limitation("below-toe", say("limitation-below-toe"), "project rule")
    if (
        section.zone is not None
        and section.columns.floating
        and above(section.embankment.height, float(height_of_zone(done).array[-1]))
    ):
        sheet.limitation("below-toe-beside", say("limitation-beside"), "project rule ◇",
                         turns=lambda verdict: verdict.key in OF_SUM)  # fmt: skip
    _left_out(sheet, design, section)
    # How deep the sum reaches and what it leaves out below.
    depth, lowest = sheet.scope(DEPTH, say("scope-depth-title")), sheet.axes["below"][-1]
    depth.take("h_b", scope["h_b"])
    depth(depth_of_sum)
    stress = (made["Dsigma_b"].at(below=lowest).largest() for made in (spread, half))
    depth.take("Dsigma_b", max(stress, key=lambda value: float(value.array)))
    depth.take("Dsigma_t", scope["Dsigma_t"].largest())
    depth(stress_left_below)
    deep, left, share = (float(depth[name].array) for name in ("z_end", "Dsigma_b", "r_end"))
    sheet.limitation(
        "below-toe-depth",
        say("limitation-below-toe-depth", deep=deep, left=left, left_2=100 * share),
        "project file",
    )


def _left_out(sheet: Sheet, design: Design, section: Section) -> None:
    """The layers below short columns of a zone and those below the toes of the section leave a gap between them."""
    if section.zone is None or section.zone.floating is None:
        return
    whole = next(candidate for candidate in design.sections if candidate.key == section.of)
    if above(whole.columns.embedment, 0.0) and whole.layers_below:
        text = say("limitation-left-out", embedment=number_text(whole.columns.embedment, 2))
        sheet.limitation("below-toe-left-out", text, "project rule ◇", turns=lambda verdict: verdict.key in OF_SUM)


def _common(sheet: Sheet, scope: Scope, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    final = frame(design, section).persistent
    cell = done["unit_cell"].scopes["settlement"]
    at = {"position": CENTRE, "load": "G+Q"}
    scope.take("s", cell["s"].at(**at, stiffness=LONG, stage=final))
    plastic = done["unit_cell"].scopes["elastic_plastic"]["s_EP"]
    scope.take("s_EP", plastic.at(**at, stiffness=LONG, stage=final))
    scope(larger_settlement_of_soft_ground)
    load = cell["Dsigma_0"].at(**at, stage=final)
    load = load.at(stiffness=LONG) if "stiffness" in load.axis_names else load
    if section.columns.floating is None:
        scope.take("Dsigma_t", load)
    else:
        excess_weight(scope, done)
        scope(fl.load_at_toe_level, Dsigma_0=load, Dsigma_wt=scope["Dsigma_wt"].at(stage=final))
    scope.take("H", sheet["H"].at(stage=final))
    given_of_section(scope, "b_K", section, "embankment.crest_width", section.embankment.crest_width)
    given_of_section(scope, "n_L", section, "embankment.slope_left", section.embankment.slope_left)
    given_of_section(scope, "n_R", section, "embankment.slope_right", section.embankment.slope_right)
    given_of_section(scope, "H_F", section, "embankment.height", section.embankment.height)
    berms = [f"A_B{side[0]}" for side in section.embankment.berms]
    for name in berms:
        scope.take(name, done["columns"].scopes[BERMS][name].at(stage=final), note=say("take-a-berm-note"))
    if berms:
        for name in {"A_Bl", "A_Br"} - {*berms}:
            scope.given(name, 0.0, origin=Origin("project rule", text=say("rule-no-berm")))
    scope(loaded_width_with_berms if berms else loaded_width)
    parts = divide([layer.thickness for layer in section.layers_below], [], design.basis.sublayer_max)
    layers = section.layers_below
    sheet.axis("below", parts.labels([layer.key for layer in layers]))
    scope.reading("h_b", parts.thickness, ["below"], title=say("reading-h-b-title"),
                  origins=[*(origin_of(section, f"layer_below.{layer.key}.thickness") for layer in layers),
                           origin_of(design, "basis.sublayer_max")])  # fmt: skip
    moduli = [layers[k].E for k in parts.layer]
    origins = [origin_of(section, f"layer_below.{layers[k].key}.E") for k in parts.layer]
    scope.given("E_oedb", moduli, ["below"], origin=origins, origin_axis="below")
    scope(depth_below_toe)


def _settle(made: Scope, common: Scope, result: str) -> None:
    made(sublayer_settlement_below_toe, E_oedb=common["E_oedb"], h_b=common["h_b"])
    made(settlement_below_toe, s_b=result)

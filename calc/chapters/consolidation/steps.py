"""Consolidation: settlement over the filling programme, residual settlement, strength gained, ring tension in time."""

from collections.abc import Sequence
from functools import partial

from calc.chapters.consolidation import course, limits
from calc.chapters.consolidation import drainage as flow
from calc.chapters.consolidation import residual as rest
from calc.chapters.consolidation import strength_gain as gain
from calc.chapters.consolidation.by_hand import by_hand
from calc.chapters.consolidation.ground_again import GroundAgain
from calc.chapters.consolidation.one_date import one_date
from calc.chapters.consolidation.ratio import RATIO, ratios
from calc.chapters.shared.frame import (
    ENDS,
    LONG,
    SCENARIOS,
    SHORT,
    Frame,
    at_labels,
    chapter,
    frame,
    given_of_layers,
    origin_of,
)
from calc.chapters.shared.ground_in_time import by_plastic_column, ground_in_time
from calc.chapters.shared.least import print_least
from calc.chapters.shared.missing import missing_of_layers, not_given, quoted_names
from calc.chapters.shared.programme import SETTLES, Dates, calendar, dates_of, record_dates, scenarios_of, steps_of
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.consolidation import vertical_path
from calc.inputs import Design, Section
from calc.inputs.tables.consolidation import Consolidation
from calc.procedures.ground_in_time import METHOD, GroundInTime

say = words_of(__name__)

QUESTIONS = (rest.RESIDUAL, rest.WITH_TIME, gain.GAIN, gain.DEGREE, RATIO)


def consolidation(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Settlement and strength in time, for c_h as given and at the ends of its range."""
    sheet, shared = chapter("consolidation", design, section), frame(design, section)
    given, why = section.consolidation, _missing(section, done)
    if given is None or why:
        for key, title in QUESTIONS:
            sheet.not_verified(key, title, why)
        return sheet
    steps = [shared.stages[k + 1] for k in steps_of(section)]
    last = steps[-1]
    _drainage(sheet, section, given, shared, steps, done)
    missing = course.secondary_coefficients(sheet, section, shared, done)
    so_far = {**done, "consolidation": sheet}
    standard = GroundAgain(partial(ground_in_time, design, section), so_far)
    second = GroundAgain(partial(_by_plastic_column, design, section), so_far)
    ground, plastic = standard.ground, second.ground
    if (ground.unloads or plastic.unloads) and given.swelling is None:
        why = say("consolidation-why")
        for key, title in QUESTIONS:
            sheet.not_verified(key, title, why)
        return sheet
    record_dates(sheet, design, section)
    dates = dates_of(section, shared, calendar(so_far))
    sheet.axis("scenario", SCENARIOS)
    sheet.axis("date", dates.labels)
    # Factors on c_h of the scenarios.
    ends = [origin_of(section, f"consolidation.{name}") for name in ("c_h_low", "c_h_high")]
    origins = [Origin("project rule", text=say("as-given")), *ends]
    sheet.given("f_ch", scenarios_of(given), ["scenario"], origin=origins, origin_axis="scenario")
    course.course(sheet, last, section, shared, standard, dates, done)
    by_hand(sheet, section, shared, ground, done)
    one_date(sheet, section, shared, ground, done)
    course.course(sheet, last, section, shared, second, dates, done, course.BY_PLASTIC)
    rest.residual(sheet, design, standard, second, missing, floating=section.columns.floating is not None)
    strength = gain.strength(sheet, section, shared, standard, done)
    gain.credited_gain(strength, section)
    stage = _stage_of_gain(sheet, section, shared)
    print_least(strength, strength["Dc_uz"].at(stage=stage), "position", "scenario", "layer")
    sheet.leads[strength.name]["stage"] = stage
    own = sheet.scopes["gain"]
    print_least(own, own["Dc_un"].at(stage=stage), "layer")
    sheet.leads["gain"]["stage"] = stage
    gain.degrees(strength, section, standard)
    ratios(sheet, section, shared, standard, done)
    _tension(sheet, last, ground, dates, done)
    sheet.limitation("time-model", say("limitation-time-model"))
    sheet.limitation("secondary-definition", say("limitation-secondary-definition"), "UFC 3-220-10N (2005)")
    limits.early_traffic(sheet, section, shared, given)
    limits.risen_water(sheet, section, shared, done["ground"])
    limits.falling_heads(sheet, done["ground"])
    limits.other_secondary(sheet, section, ground)
    sheet.kept.update(ground=ground, plastic=plastic, dates=dates)
    return sheet


def _by_plastic_column(design: Design, section: Section, done: dict[str, Sheet]) -> GroundInTime:
    return by_plastic_column(ground_in_time(design, section, done), design, section, done)


def _stage_of_gain(sheet: Sheet, section: Section, shared: Frame) -> str:
    """Where the gain is printed: the stage that governs, else the last that counts on a gain, else the last of all."""
    governing = [verdict.case["stage"] for verdict in sheet.verdicts if verdict.key == gain.GAIN[0] and verdict.case]
    if governing:
        return governing[0]
    counting = [k for k, stage in enumerate(section.stages, start=1) if stage.c_u_gain is not None]
    return shared.stages[counting[-1] if counting else -1]


def _missing(section: Section, done: dict[str, Sheet]) -> str:
    """What keeps the chapter from its values, in words."""
    if section.consolidation is None:
        return say("missing")
    missing = missing_of_layers(section.layers, ("c_h",))
    if missing:
        return not_given(missing)
    settled = done["unit_cell"].scopes["settlement"]["s"].at(position="centre", load="G+Q")
    steps = [k + 1 for k in steps_of(section)]
    if not settled.array[steps].any():
        return say("missing-2")
    return ""


def _drainage(
    sheet: Sheet, section: Section, given: Consolidation, shared: Frame, steps: Sequence[str], done: dict[str, Sheet]
) -> None:  # fmt: skip
    """Everything that the course of pore pressure needs."""
    flow.drainage(sheet, section, shared, done)
    flow.transfer(sheet, section, done, steps, flow.slowest_sublayer(section, shared))
    flow.rates(sheet, section, shared)
    if any(layer.c_v is None for layer in section.layers):
        names = quoted_names(layer.name for layer in section.layers if layer.c_v is None)
        sheet.limitation("no-vertical", say("drainage-why", names=names))
        return
    flow.plausible_coefficient(sheet, section, shared, done)
    scope = sheet.scope("vertical", say("vertical-flow"), layer=flow.slowest_sublayer(section, shared))
    scope.take("h", done["ground"]["h"])
    given_of_layers(scope, "c_vs", section, shared.sublayers, "c_v")
    scope.given("n_dr", ENDS[given.drainage], origin=origin_of(section, "consolidation.drainage"))
    scope.take("t_soft", done["columns"]["t_soft"])
    scope(vertical_path)


def _tension(sheet: Sheet, last: str, ground: GroundInTime, dates: Dates, done: dict[str, Sheet]) -> Scope:
    """Ring tension and excess pore pressure at every date."""
    scope = sheet.scope("tension", say("scope-tension-title"), scenario=SCENARIOS[0])
    cell = done["unit_cell"].scopes["settlement"]
    rates = course.rates_of(sheet)
    load = at_labels(cell["Dsigma_0"], **SETTLES, stiffness=LONG, stage=last)
    scope.reading("F_Rt", ground.tension_at(dates.days), ["scenario", "date", "layer"], title=say("reading-f-rt-title"),
                  inputs=[at_labels(cell["F_Ri"], **SETTLES, stiffness=SHORT, stage=last), *rates],
                  note=say("reading-f-rt-note", method=METHOD))  # fmt: skip
    scope.reading(
        "u_mt",
        ground.pressure_at(dates.days),
        ["scenario", "date", "layer"],
        title=say("reading-u-mt-title"),
        inputs=[load, sheet.scopes["transfer"]["b_2p"], *rates],
        note=say("reading-u-mt-note"),
    )
    return scope

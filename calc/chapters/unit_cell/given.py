"""What the unit cell is given: values of earlier chapters, fill of the column, loads, stiffness of the sleeve."""

from functools import partial

import numpy as np

from calc.chapters.shared.column_zones import height_of_zone
from calc.chapters.shared.frame import COMBINATIONS, STIFFNESS, chapter, given_of_section, given_of_stages, origin_of
from calc.chapters.shared.zones import HALF, ZONES, positions_of
from calc.chapters.unit_cell.floating import shaft
from calc.chapters.unit_cell.standard import POINTS
from calc.chapters.unit_cell.strip_spread import strips
from calc.engine.sheet import Again, Axis, Origin, Sheet, Value
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.loads import platform_load
from calc.formulas.sleeve import end_of_construction, stiffness_at_time
from calc.inputs import Design, Section

say = words_of(__name__)

FROM_GROUND = ("h", "z", "d_w", "p_W", "sigma_v0s", "sigma_v0c", "p_1", "K_0s", "K_star", "E_ref", "p_ref", "m", "nu_s")
FROM_COLUMNS = ("r_c", "a_E", "Dr_gap", "r_geo")


def given_cell(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """The sheet of the chapter with everything that its runs share."""
    sheet = chapter("unit_cell", design, section)
    sheet.axis("combination", COMBINATIONS)
    sheet.axis("point", POINTS)
    sheet.axis("position", positions_of(section))
    for name in FROM_COLUMNS:
        sheet.take(name, done["columns"][name])
    for name in FROM_GROUND:
        sheet.take(name, done["ground"][name])
    for name, field in (("phi_ck", "phi"), ("psi_c", "psi"), ("E_c", "E"), ("nu_c", "nu")):
        given_of_section(sheet, name, section, f"columns.fill.{field}", getattr(section.columns.fill, field))
    _loads(sheet, design, section, done)
    _stiffness(sheet, section)
    shaft(sheet, design, section, done)
    return sheet


def _loads(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Loads that all factor sets share; the share of height and the compensation fill depend on the position."""
    if section.zone is None:
        heights = [0.0, *(stage.fill_height for stage in section.stages)]
        given_of_stages(sheet, "H", section, heights, "fill_height", say("loads"))
    else:
        sheet.take("H", height_of_zone(done), note=say("take-h-note"))
    given_of_section(sheet, "gamma_E", section, "embankment.gamma", section.embankment.gamma)
    if section.embankment.gamma_sub is not None:
        given_of_section(sheet, "gamma_Esub", section, "embankment.gamma_sub", section.embankment.gamma_sub)
    else:
        sheet.take("gamma_Esub", sheet["gamma_E"], note=say("take-gamma-esub-note"))
    _platform(sheet, section)
    if section.embankment.zones:
        sheet.take("p_Z", done["columns"].scopes[ZONES]["p_Z"])
        if not section.embankment.is_cored:
            sheet.take("p_Zh", done["columns"].scopes[HALF]["p_Zh"])
    if section.traffic and design.basis.psi_2 is not None:
        if section.traffic.strip:
            strips(sheet, section, done)
        else:
            given_of_section(sheet, "q", section, "traffic.q", section.traffic.q)
        sheet.given("psi_2", design.basis.psi_2, origin=origin_of(design, "basis.psi_2"))
    else:
        text = say("rule-loads-zone") if section.zone else say("rule-loads")
        for name in ("q", "psi_2"):
            sheet.given(name, 0.0, origin=Origin("project rule", text=text))
    traffic = [0.0, *(float(stage.traffic) for stage in section.stages)]
    rule = Origin("project rule", text=say("rule"))
    sheet.given("i_Q", [[0.0, load] for load in traffic], ["stage", "load"], origin=rule)


def _platform(sheet: Sheet, section: Section) -> None:
    """The platform lies under the fill; it loads the cell from the first stage on where it is part of the load."""
    if section.platform is None:
        for name in ("gamma_P", "t_P"):
            sheet.given(name, 0.0, origin=Origin("project rule", text=say("rule-platform")))
    else:
        given_of_section(sheet, "gamma_P", section, "platform.gamma", section.platform.gamma)
        given_of_section(sheet, "t_P", section, "platform.thickness", section.platform.thickness)
    loads = float(section.platform is not None and section.platform.role == "load")
    rule = Origin("project rule", text=say("rule-2"))
    sheet.given("i_P", [0.0, *(loads for _ in section.stages)], ["stage"], origin=rule)
    sheet(platform_load)


def _stiffness(sheet: Sheet, section: Section) -> None:
    """Short-term, end of construction and long-term stiffness of the sleeve (application of upper and lower values)."""
    stiffnesses = section.sleeve.stiffness
    last = section.stages[-1]
    at = len(section.stages) - 1
    sheet.given("t_0", last.start, origin=origin_of(section, f"stage.{at}.start"))
    sheet.given("t_f", last.duration, origin=origin_of(section, f"stage.{at}.duration"))
    end = float(sheet(end_of_construction).array)
    later = next((k for k, stiffness in enumerate(stiffnesses) if stiffness.time > end), len(stiffnesses) - 1)
    earlier = max(later - 1, 0)
    for name, time, k in (("J_1", "t_1", earlier), ("J_2", "t_2", later)):
        sheet.given(name, stiffnesses[k].J, origin=origin_of(section, f"sleeve.stiffness.{k}.J"))
        sheet.given(time, stiffnesses[k].time, origin=origin_of(section, f"sleeve.stiffness.{k}.time"))
    inside = stiffnesses[earlier].time <= end <= stiffnesses[later].time and earlier != later
    if inside:
        sheet(stiffness_at_time)
    else:
        sheet.limitation("stiffness-time", say("limitation-stiffness-time"))
    ends = [("J_sh", 0), ("J_lo", len(stiffnesses) - 1)]
    for name, k in ends:
        sheet.given(name, stiffnesses[k].J, origin=origin_of(section, f"sleeve.stiffness.{k}.J"))
    inputs = (sheet["J_sh"], *([sheet["J_t"]] if inside else []), sheet["J_lo"])
    middle = sheet["J_t"] if inside else sheet["J_sh" if end < stiffnesses[0].time else "J_lo"]
    again = Again(
        partial(of_stiffnesses, inside=inside),
        (sheet["J_sh"], middle, sheet["J_lo"], sheet["t"], sheet["t_1"], sheet["t_2"]),
    )
    sheet.reading("J", again.value().array, ["stiffness"], title=say("reading-j-title"), inputs=inputs, again=again)


def of_stiffnesses(*values: Value, inside: bool) -> Value:
    """The stiffness short-term, at the end of construction and long-term.

    After them come that end and the two times between which it lies, or lies not; no number where that is otherwise.
    """
    axes = union_axes(values)
    shape = tuple(len(axis.labels) for axis in axes)
    first, middle, last, end, t_1, t_2 = (
        np.broadcast_to(spread(value.array, value.axes, axes), shape) for value in values
    )
    middle = np.where(((t_1 <= end) & (end <= t_2) & (t_1 < t_2)) == inside, middle, np.nan)
    return Value("J", np.stack([first, middle, last], axis=-1), (*axes, Axis("stiffness", STIFFNESS)))

"""What the tracks press on the platform in every operation, and the strength of the ground below it."""

import numpy as np

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.sheet.values import Mask
from calc.engine.words import words_of
from calc.factors.tracked_plant import TRACKED_PLANT as PUBLISHED
from calc.formulas.working_platform import (
    design_platform_pressure,
    effective_track_length,
    heavier_track,
    long_side,
    pressure_on_platform,
    pressure_on_platform_with_mats,
    ratio_of_bearing,
    rectangle_shape_factor,
    short_side,
    subgrade_bearing_pressure,
    track_pressure,
)
from calc.inputs import Section
from calc.inputs.tables.rig import Rig

say = words_of(__name__)

BEFORE, AFTER = "before the columns", "after the columns"
LENGTH, PRESSURE = say("length-title"), say("pressure-title")
TITLES = {
    "length": LENGTH,
    "pressure": PRESSURE,
    "load": say("load-title"),
    "eccentricity_along": say("along-title"),
    "eccentricity_across": say("across-title"),
}


def track_loads(sheet: Sheet, section: Section, rig: Rig) -> None:
    """Rectangle and pressure of the heavier track in every operation, from the rig sheet or by statics."""
    for name, field in (("W_tr", "track_width"), ("L_tr", "track_length"), ("b_tr", "track_distance")):
        given_of_section(sheet, name, section, f"platform.rig.{field}", getattr(rig, field))
    by_load = np.array([operation.load is not None for operation in rig.operations])
    if by_load.any() and not by_load.all():
        _by_both(sheet, section, rig, by_load)
    elif by_load.any():
        _by_statics(sheet, section, rig, by_load)
    else:
        _by_sheet(sheet, section, rig, by_load)
    if rig.mats is None:
        sheet.take("W_lo", sheet["W_tr"], note=say("no-mats"))
        sheet(pressure_on_platform)
    else:
        given_of_section(sheet, "W_lo", section, "platform.rig.mats.width", rig.mats.width)
        given_of_section(sheet, "p_mat", section, "platform.rig.mats.weight", rig.mats.weight)
        sheet(pressure_on_platform_with_mats)
    sheet(short_side)
    sheet(long_side)
    factor(sheet, section, rig, "f_op", "standing", "extracting")
    sheet(design_platform_pressure)


def factor(scope: Scope, section: Section, rig: Rig, name: str, standing: str, extracting: str) -> Value:
    """The factor of every operation."""
    fields = [extracting if operation.relieves else standing for operation in rig.operations]
    origins = [origin_of(section, f"platform.rig.factors.{field}") for field in fields]
    values = [getattr(rig.factors, field) for field in fields]
    assert None not in values  # noqa: S101 - the low factors are mandatory with the geosynthetic that asks for them
    return scope.given(name, values, ["operation"], origin=origins, origin_axis="operation")


def _by_both(sheet: Sheet, section: Section, rig: Rig, by_load: Mask) -> None:
    """The rig sheet where it gives pressure and length, statics elsewhere; each prints at an operation of its own."""
    stated = sheet.scope("sheet", say("by-sheet"), operation=rig.operations[int(by_load.argmin())].name)
    _by_sheet(stated, section, rig, by_load, length="L_sheet", pressure="q_sheet")
    statics = sheet.scope("statics", say("by-statics"), operation=rig.operations[int(by_load.argmax())].name)
    _by_statics(statics, section, rig, by_load, length="L_stat", pressure="q_stat")
    for name, static, other, title in (("L_eff", "L_stat", "L_sheet", LENGTH), ("q_tr", "q_stat", "q_sheet", PRESSURE)):
        sheet.otherwise(name, statics[static], stated[other], title=title, note=say("either"))


def _by_sheet(
    scope: Scope, section: Section, rig: Rig, by_load: Mask, *, length: str = "L_eff", pressure: str = "q_tr"
) -> None:
    """What the rig sheet gives; the other operations have no number here."""
    _over(scope, section, rig, length, "length", by_load)
    _over(scope, section, rig, pressure, "pressure", by_load)


def _by_statics(
    scope: Scope, section: Section, rig: Rig, by_load: Mask, *, length: str = "L_eff", pressure: str = "q_tr"
) -> None:
    """Rectangle with the same resultant for the operations with a load."""
    for name, field in (("V_rig", "load"), ("e_along", "eccentricity_along"), ("e_cross", "eccentricity_across")):
        _over(scope, section, rig, name, field, ~by_load)
    scope(effective_track_length, L_eff=length)
    scope(heavier_track)
    scope(track_pressure, L_eff=length, q_tr=pressure)


def _over(scope: Scope, section: Section, rig: Rig, name: str, field: str, mask: Mask) -> None:
    """One field of those operations that have it."""
    origins = [
        origin_of(section, f"platform.rig.operation.{k}.{field}") for k, without in enumerate(mask) if not without
    ]
    values = [getattr(operation, field) or 0.0 for operation in rig.operations]
    if not mask.any():
        scope.given(name, values, ["operation"], origin=origins, origin_axis="operation", note=rig.sheet)
        return
    scope.reading(
        name,
        values,
        ["operation"],
        title=TITLES[field],
        origins=origins,
        mask=mask,
        reason=say("other-way"),
        note=rig.sheet,
    )


def ground_strength(sheet: Sheet, section: Section, rig: Rig) -> None:
    """Undrained strength before and after the columns, and what the ground bears under the rectangle."""
    before, after = _before(section, rig), rig.c_u_after
    assert after is not None  # noqa: S101 - without it nothing is verified
    values, origins = [before[0], after], [before[1], origin_of(section, "platform.rig.c_u_after")]
    sheet.given("c_u", values, ["ground"], origin=origins, origin_axis="ground", note=say("strength-note"))
    sheet.given("N_c", PUBLISHED.N_c, origin=Origin("project rule", text=say("rule-n-c")))
    sheet(rectangle_shape_factor)
    sheet(subgrade_bearing_pressure)
    sheet(ratio_of_bearing)
    least = min((layer.weakest[0] for layer in section.layers if layer.has_strength), default=None)
    if rig.c_u is not None and least is not None and rig.c_u > least:
        sheet.limitation("platform-strength", say("limitation-strength", given=rig.c_u, least=least),
                         rig.c_u_source or "", turns=["platform_thickness", "platform_pair"])  # fmt: skip
    if after > before[0]:
        sheet.limitation("platform-after", say("limitation-after"), rig.c_u_after_source or "",
                         turns=["platform_thickness", "platform_pair"])  # fmt: skip


def _before(section: Section, rig: Rig) -> tuple[float, Origin]:
    if rig.c_u is not None:
        return rig.c_u, origin_of(section, "platform.rig.c_u")
    value, path = min((layer.weakest for layer in section.layers), key=lambda strength: strength[0])
    return value, origin_of(section, path)

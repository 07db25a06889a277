"""Lateral extrusion of the soft ground under a side slope, as a wedge with its columns, and beyond the last column.

The soil alone is a sufficient condition: where it bears its share without the columns nothing is left to decide.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from calc.chapters.bearing.loads import (
    as_placed,
    end_of_stage,
    field_strength,
    largest_of_all,
    loaded_stages,
    strength,
    under_new_lift,
)
from calc.chapters.bearing.soft import SETTLES, state_early
from calc.chapters.bearing.wedge_columns import column, counted_ratio, shear_of_columns, stress_on_column
from calc.chapters.bearing.wedge_conditions import THIN_GROUND, circles_may_miss, unmet_conditions
from calc.chapters.bearing.wedge_limits import STATES, inertia_inward, inertia_upward, limits, outside_range
from calc.chapters.bearing.wedge_or_soil import either_counts, with_soil_alone
from calc.chapters.bearing.wedge_reach import held_top, holds, reach
from calc.chapters.bearing.wedge_zones import PLANES, grids_of_wedge, record_planes, take_lengths
from calc.chapters.shared.earthquake import shaken_stages
from calc.chapters.shared.geometry import at_edge
from calc.chapters.shared.missing import quoted_names
from calc.chapters.shared.ratio_limits import unproven
from calc.chapters.shared.rests import COLUMNS, PLACING
from calc.chapters.shared.soft_ground import Side, field_of_stage, slope, without_idle_ratio
from calc.engine.sheet import Again, Origin, Scope, Sheet, Value, number_text, stage_name, stage_names
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas import column_zones as cz
from calc.formulas import earthquake as eq
from calc.formulas import extrusion as ex
from calc.formulas import squeezing as sq
from calc.formulas.column_field import design_strength_with_gain
from calc.formulas.stage_pressure import pressure_of_plant
from calc.inputs import Section
from calc.procedures.extrusion import METHOD, Wedge, beyond_columns, critical_thickness

say = words_of(__name__)

WEDGE = ("c_u0i", "c_u0d", "c_u0e", "rho_ud", "L_S", "b_gs", "alpha_t", "a_E", "A_E", "d_c", "phi_cd", "gamma_ceff",
         "p_cN", "L_t")  # fmt: skip
Floats = NDArray[np.float64]
BLOCK = 1000  # cases whose thicknesses are tried together
GROUND = ("c_u0e", "rho_ud", "alpha_t", "L_o", "L_to")
RELIES = say("relies")
THIN = say("thin")
BEYOND = ("column_rows", say("beyond"))


def squeeze(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, left: Mapping[str, list[str]]
) -> None:  # fmt: skip
    """The wedge with columns in every stage; ``left`` are the stages that the soil alone leaves open, by state."""
    reach(sheet, section, done, side)
    untreated = bare(sheet, section, side, "untreated", say("squeeze-untreated"), 0.0)
    untreated(ex.extrusion_safety, p_sE=driving(untreated))
    if side.extent is None:
        why = say("squeeze-why", extent_path=side.extent_path)
        for key, words in STATES:
            sheet.not_verified(f"{key}{side.ending}", _title(words, side), why)
        return
    record_planes(sheet, section, done, side)
    thin = _record_thin_ground(sheet, section, side)
    either = either_counts(sheet, section, done)
    if thin or either:
        left = dict.fromkeys(left, loaded_stages(sheet))
    # Whole pressure with plant and no column: below floating ones it holds while a lift is placed as well.
    by_bare = {"squeeze", *(["squeeze_lift"] if section.columns.some_float else [])}
    open_by_bare = {key: left[key] for key, _ in STATES
                    if key in by_bare and left[key] and not thin
                    and _bare_holds(sheet, section, untreated, left[key])}  # fmt: skip
    states = [state for state in STATES if state[0] not in open_by_bare]
    left = {key: left[key] for key, _ in states}
    scopes = {key: _wedge(sheet, section, done, side, key, words) for key, words in states
              if left[key] and not section.columns.short}  # fmt: skip
    why = _why_not_counted(sheet, section, done, side, scopes, left, by_numbers=either)
    for key, words in states:
        _verify(sheet, section, scopes, side, (key, words), left[key], why, THIN if thin else "", either=either)
    for key, stages in open_by_bare.items():
        sheet.verdict(f"{key}{side.ending}", _title(dict(STATES)[key], side), note=say("bare-holds"),
                      effect=untreated[driving(untreated)].at(stage=stages),
                      resistance=untreated["p_Rxd"].at(stage=stages))  # fmt: skip
    _lead_conditions(sheet, side)
    if scopes:
        limits(sheet, section, side)
        inertia_upward(sheet, done, scopes, left.get("squeeze", []), side)
        outside_range(sheet, scopes, left, side)
    if "squeeze" in open_by_bare:
        inertia_inward(sheet, untreated, "p_xk", open_by_bare["squeeze"], side)
    elif "squeeze" in scopes:
        inertia_inward(sheet, scopes["squeeze"], "p_sEk", left["squeeze"], side)
    words = say("squeeze-words", side_words=side.words)
    turns = [f"{key}{side.ending}" for key, _ in STATES]
    if section.columns.floating is None:
        state_early(sheet, f"squeeze-early{side.ending}", words, untreated["F_x"], turns)


def _bare_holds(sheet: Sheet, section: Section, untreated: Scope, stages: list[str]) -> bool:
    """Whether the wedge without columns, with its inertia, holds in all open stages, of which one at least shakes.

    Below floating columns, of a zone as well, no wedge has columns: it is the only one, down to firm ground. Stages at
    rest that are open beside it are so for their gain of strength, or fail by the soil alone. The pressure
    has no compensation fill, and shear held back at the top rests on the reinforcement: with one of both it settles
    nothing.
    """
    shaken = set(stages) & set(shaken_stages(section, sheet.axes["stage"]))
    if not shaken and not section.columns.some_float:
        return False
    if holds(section) or (sheet["p_M"].array > 0).any():
        return False
    return all(float(untreated["F_x"].at(stage=label).array.min()) >= 1 for label in stages)


def _lead_conditions(sheet: Sheet, side: Side) -> None:
    """What the columns rely on prints at the case in which the wedge governs."""
    keys = {f"{key}{side.ending}" for key, _ in STATES}
    rated = [verdict for verdict in sheet.verdicts if verdict.key in keys and verdict.utilisation is not None]
    if rated:
        case = max(rated, key=lambda verdict: verdict.utilisation or 0.0).case
        names = {f"{name}{side.ending}" for name in ("ring_reserve", "wedge_held", PLANES)}
        for name in sorted(names & sheet.scopes.keys()):
            sheet.leads[name] = {axis: case[axis] for axis in ("factor_set", "stage", "plane") if axis in case}


def _why_not_counted(
    sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, scopes: Mapping[str, Scope],
    left: Mapping[str, list[str]], *, by_numbers: bool,
) -> str:  # fmt: skip
    """Why the columns do not count in the stages left open, in words; empty where they do."""
    if section.columns.short:
        return say("short", names=quoted_names(zone.key for zone in section.columns.short))
    why = unproven(done)
    if why or not scopes:
        return why
    wanted = [label for label in loaded_stages(sheet) if any(label in stages for stages in left.values())]
    return unmet_conditions(sheet, section, done, side, list(scopes.values())[-1], wanted, by_numbers=by_numbers)


def _record_thin_ground(sheet: Sheet, section: Section, side: Side) -> bool:
    """Record what tells whether circles may miss the mechanism with the least load, and say whether they may."""
    scope = sheet.scope(f"{THIN_GROUND}{side.ending}", say("scope-thin-title", side_words=side.words))
    slope(scope, section, side)
    height = sheet["H"]
    highest = height.array.max(where=height.valid, initial=0.0)
    scope.reading("H_mx", highest, title=say("reading-h-mx-title"), inputs=[height],
                  again=Again(largest_of_all, (height,)))  # fmt: skip
    scope(sq.slope_length, L_S="L_mx", H="H_mx")
    for step in (ex.run_of_thin_ground, ex.growth_over_thickness, ex.fast_growth):
        scope(step)
    return circles_may_miss(sheet, side)


def _title(words: str, side: Side) -> str:
    return say("title-extrusion", words=words, side_words=side.words)


def _verify(
    sheet: Sheet, section: Section, scopes: Mapping[str, Scope], side: Side, state: tuple[str, str], left: list[str],
    why: str, thin: str, *, either: bool,
) -> None:  # fmt: skip
    """The verdict on the wedge with columns in one state, or on it and the soil alone, or why there is none."""
    key, words = f"{state[0]}{side.ending}", _title(state[1], side)
    if not left:
        settles = next(verdict.title for verdict in sheet.verdicts if verdict.key == SETTLES[state[0]])
        sheet.settled(key, words, say("settled-verify-why", settles=settles))
        return
    if why:
        sheet.not_verified(key, words, why)
        return
    scope, lift = scopes[state[0]], state[0] == "squeeze_lift"
    names = ("p_sLp", "p_sLr", "p_sL") if lift else ("p_sEp", "p_sEk", "p_sEr", "p_sE")
    effect = scope[next(name for name in names if name in scope.values)]
    resistance = with_soil_alone(sheet, side, scope, effect.symbol, state[0]) if either else scope["p_Rxd"]
    effect = without_idle_ratio(sheet, effect)
    drains = lift and bool((sheet["U_L"].array > 0).any())
    some = "" if len(left) == len(loaded_stages(sheet)) else say("verify-open-words", left=stage_names(left))
    words = say("title-either", words=words) if either else words
    relies = (say("relies-time") if drains else "") + (say("relies-held") if holds(section) else "") + RELIES
    note = say("note-relies", thin=thin or some, relies=relies).strip()
    sheet.verdict(key, words, effect=effect.at(stage=left), resistance=resistance.at(stage=left), note=note)
    sheet.relies_on(COLUMNS, f"{words}: {stage_names(left)}", _proof(section))
    if drains:
        times = [(label, float(sheet["t_pl"].at(stage=label).array)) for label in left]
        days = ", ".join(f"{stage_name(label)} {number_text(time, 0)} d" for label, time in times)
        sheet.relies_on(PLACING, say("placing-text", title=words, stages=days), say("placing-proof"))


def _proof(section: Section) -> str:
    """What shows that the columns hold; triggers that are not given are named."""
    quantities = {trigger.quantity for trigger in section.monitoring.triggers} if section.monitoring else set()
    missing = [quantity for quantity in ("pore pressure", "lateral rate") if quantity not in quantities]
    text = say("proof-found")
    return say("proof", found=text, missing=say("and").join(missing)) if missing else text


def bare(sheet: Sheet, section: Section, side: Side, name: str, title: str, extent: float) -> Scope:
    """A wedge without columns and without gain from a place beyond the crest edge to the toe, whole pressure on it."""
    scope = sheet.scope(f"{name}{side.ending}", f"{title}, {side.words}")
    at_edge(scope, side.ending)
    as_placed(scope, heavy=extent > 0)
    scope(pressure_of_plant)
    strength(scope, gain=False)
    slope(scope, section, side)
    if extent:
        field_of_stage(scope, section, side)
    else:
        scope.given("b_gs", 0.0, origin=Origin("project rule", text=say("rule-b-gs")))
    scope(sq.slope_length, H="H_q")
    scope(sq.block_length_in_field, b_g="b_gs")
    scope(sq.block_length_beyond_field)
    held_top(scope, section, side)
    without_columns(scope, below_crest=not extent, rises=not extent and _rises(section, side))
    return scope


def _rises(section: Section, side: Side) -> bool:
    """Whether the crest rises inward from the crest edge of a side."""
    return side.ending == f"_{section.embankment.lower}"


def _drives(scope: Scope, pressure: str, risen: str, shaken: str, weight: str, *, rises: bool) -> str:
    """Symbol of what drives a wedge wherever its inner plane stands below the crest.

    ``risen`` is that of the pressure below a crest that rises inward, ``shaken`` with the inertia of a wedge of this
    unit weight, empty without an earthquake.
    """
    if rises:
        scope(ex.pressure_rise)
    if rises or shaken:
        scope(ex.resistance_gained, c_u0="c_u0e")
    if not shaken:
        return scope(ex.pressure_below_rising_crest, p_sEr=risen, p_sE=pressure).symbol if rises else pressure
    if rises:
        step, changes = ex.driving_pressure_with_inertia_below_rising_crest, {"gamma_bl": weight}
    else:
        scope(ex.inertia_gained, gamma_bl=weight)
        step, changes = eq.driving_pressure_with_inertia, {}
    return scope(step, p_sEk=shaken, p_sE=pressure, **changes).symbol


def without_columns(scope: Scope, *, below_crest: bool = False, rises: bool = False) -> None:
    """Resistance and effect of a wedge without columns, from its lengths, its pressure and the strength.

    ``below_crest`` where it begins at a crest edge, ``rises`` where the crest rises from there inward.
    """
    scope(sq.held_length_beyond_field)
    scope(ex.height_left_at_last_column, b_g="b_gs")
    _critical(scope, GROUND, beyond_columns)
    ground = {"c_u0": "c_u0e", "rho_u": "rho_ud"}
    scope(sq.mean_block_strength, **ground)
    scope(sq.base_strength, **ground)
    scope(ex.wedge_divisor, **ground)
    scope(ex.resistance_beyond_columns, c_u0="c_u0e")
    scope(ex.design_extrusion_resistance)
    scope(ex.pressure_at_last_column)
    shakes = "gamma_bl" in scope
    if shakes:
        scope(eq.inertia_of_wedge, gamma_bl="gamma_sx", L_S="L_o")
    if below_crest:
        _drives(scope, "p_x", "p_xr", "p_xk" if shakes else "", "gamma_sx", rises=rises)
    elif shakes:
        scope(eq.driving_pressure_with_inertia, p_sEk="p_xk", p_sE="p_x")


def driving(scope: Scope) -> str:
    """Symbol of what drives a wedge without columns: with its inertia where there is an earthquake."""
    return next(name for name in ("p_xk", "p_xr", "p_x") if name in scope.values)


def _critical(scope: Scope, names: Sequence[str], resistance: Callable[..., Floats]) -> None:
    """Record the thickness of least resistance of every case."""
    inputs = (*(scope[name] for name in names), scope["t_soft"])
    again = Again(partial(thickness_of_least_resistance, resistance=resistance), inputs)
    made = again.value()
    scope.reading("D_sq", made.array, made.axis_names, title=say("reading-d-sq-title"), inputs=inputs,
                  mask=~made.valid, reason=made.reason, note=METHOD, again=again)  # fmt: skip


def with_columns(D: Floats, *values: Floats) -> Floats:  # noqa: N803 - printed symbol
    """Resistance of the wedge with columns of a thickness, of the values of `Wedge` in order."""
    return Wedge(*values).resistance(D)


def thickness_of_least_resistance(*values: Value, resistance: Callable[..., Floats]) -> Value:
    """The thickness at which a wedge resists least, of the values of its resistance and the depth of soft ground."""
    axes = union_axes(values)
    shape = tuple(len(axis.labels) for axis in axes)
    lacks = [np.broadcast_to(spread(~value.valid, value.axes, axes), shape) for value in values]
    mask = np.any(lacks, axis=0)
    lanes = [np.broadcast_to(spread(np.where(value.valid, value.array, 1.0), value.axes, axes), shape).reshape(-1)
             for value in values]  # fmt: skip
    least = np.empty(mask.size)
    for start in range(0, mask.size, BLOCK):
        *block, deepest = (lane[start : start + BLOCK] for lane in lanes)
        least[start : start + BLOCK] = critical_thickness(partial(_resistance_at, resistance, block), deepest)[0]
    reason = next((value.reason for value in values if value.lacks), "")
    return Value("D_sq", least.reshape(shape), axes, mask=mask if mask.any() else None, reason=reason)


def _resistance_at(resistance: Callable[..., Floats], values: Sequence[Floats], tried: Floats) -> Floats:
    return resistance(tried, *values)


def _wedge(sheet: Sheet, section: Section, done: dict[str, Sheet], side: Side, key: str, words: str) -> Scope:
    """The wedge with its columns in one state: loads, lengths, strengths, columns, resistance."""
    scope = sheet.scope(f"{key}{side.ending}", _title(words, side))
    lift = key == "squeeze_lift"
    grids = grids_of_wedge(scope, section, done, side)
    ratio = counted_ratio(scope)
    if lift:
        under_new_lift(scope, section, done, side, ratio)
    else:
        at_edge(scope, side.ending)
        end_of_stage(scope, ratio)
    slope(scope, section, side)
    field_of_stage(scope, section, side)
    scope(sq.slope_length, H="H_q")
    if grids.several:
        take_lengths(scope, side)
    scope(sq.block_length_in_field, b_g=grids.field, L_S=grids.run)
    scope(sq.block_length_beyond_field, L_S=grids.run)
    scope(cz.length_with_gain_from_inner_plane if grids.several else sq.block_length_with_gain)
    scope(sq.mean_gain)
    field_strength(scope, grids.mean)
    gain = scope(cz.gain_at_inner_plane).symbol if grids.several else "Dc_u"
    scope(design_strength_with_gain, c_ud="c_u0i", c_u="c_u0k", Dc_u=gain)
    held_top(scope, section, side, grids.run)
    scope(sq.held_length_in_field)
    scope(sq.held_length_beyond_field)
    scope(sq.strength_along_top)
    scope(ex.height_left_at_last_column, b_g=grids.field, L_S=grids.run)
    scope(ex.mean_stress_factor)
    column(scope, section, done, grids)
    stress_on_column(scope, grids, ratio, lift=lift)
    symbols = {"a_E": grids.mean, "A_E": grids.inner, "p_cN": grids.stress, "L_S": grids.run, "b_gs": grids.field}
    names = [symbols.get(name, name) for name in WEDGE]
    names += [grids.base, grids.stress_below] if grids.several else []
    _critical(scope, names, with_columns)
    _strength_of_block(scope)
    shear_of_columns(scope, grids)
    scope(ex.counted_base_length, c_u0="c_u0e", rho_u="rho_ud")
    scope(ex.wedge_divisor, c_u0="c_u0e", rho_u="rho_ud")
    scope(ex.wedge_resistance)
    scope(ex.design_extrusion_resistance)
    shakes = "gamma_bl" in scope and not lift  # no lift is placed in an earthquake
    if shakes:
        scope(eq.inertia_of_wedge)
    pressure = "p_sL" if lift else "p_sE"
    shaken = "p_sEk" if shakes else ""
    drives = _drives(scope, pressure, f"{pressure}r", shaken, "gamma_bl", rises=_rises(section, side))
    if grids.several:
        drives = scope(cz.pressure_over_inner_plane, p_sEp=f"{pressure}p", p_sE=drives).symbol
    scope(ex.extrusion_safety, p_sE=drives)
    return scope


def _strength_of_block(scope: Scope) -> None:
    scope(sq.mean_block_strength, c_um="c_umi", c_u0="c_u0i", rho_u="rho_ud")
    scope(sq.mean_block_strength, c_um="c_umx", c_u0="c_u0e", rho_u="rho_ud")
    scope(sq.base_strength, c_ub="c_ubf", c_u0="c_u0f", rho_u="rho_uf")
    scope(sq.base_strength, c_ub="c_ube", c_u0="c_u0e", rho_u="rho_ud")
    scope(sq.strength_along_base)


def beyond(sheet: Sheet, section: Section, side: Side) -> None:
    """The wedge beyond the last column: how far the columns must reach."""
    scope = bare(sheet, section, side, "edge_rows", BEYOND[1], side.extent or 0.0)
    key, title = f"{BEYOND[0]}{side.ending}", f"{BEYOND[1]}, {side.words}"
    left = scope["v_e"]
    open_stages = [label for label in loaded_stages(sheet) if (left.at(stage=label).array > 0).any()]
    if not open_stages:
        sheet.settled(key, title, say("settled-beyond-why"))
        return
    sheet.verdict(
        key, title, effect=scope[driving(scope)].at(stage=open_stages), resistance=scope["p_Rxd"].at(stage=open_stages)
    )

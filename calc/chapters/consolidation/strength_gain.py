"""Undrained strength that the soil gains until the start of every stage, and the degree of consolidation by then.

The gain stands twice: with the soil stress of the unit cell, and with that of the stress ratio for stability. Either
belongs to the load on the soil by the same ratio and to no other.
"""

from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from calc.chapters.consolidation.course import rates_of
from calc.chapters.consolidation.ground_again import GroundAgain
from calc.chapters.shared.frame import (
    AS_GIVEN,
    LOW,
    SHORT,
    Frame,
    at_labels,
    origin_of,
    origins_of_layers,
    strength_of_sublayers,
)
from calc.chapters.shared.geometry import lower_height
from calc.chapters.shared.history import preconsolidation
from calc.chapters.shared.least import print_least
from calc.chapters.shared.programme import at_other_stages, begun_before, starts_of, steps_of
from calc.chapters.shared.zones import least_pressure, zones_of
from calc.engine.sheet import Again, Axis, Origin, Scope, Sheet, Value, number_text, stage_name, stage_names
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas import consolidation_strength as cs
from calc.formulas import staged
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.stage_pressure import permanent_pressure, permanent_pressure_with_zones
from calc.inputs import Section
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.stages import COMPUTED
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

GAIN = ("strength_gain", say("gain"))
DEGREE = ("degree_before", say("degree"))
NO_STEP = say("nothing-has-been-placed-before")
NONE_ASKED = say("none-required")
UNDRAINED = ("soft_bearing", "squeeze", "edge_bearing")  # how keys of verdicts on undrained strength begin
MID_SLOPE = 0.5  # height of the fill at mid-slope over the whole: as far out as a gain counts


def strength(sheet: Sheet, section: Section, shared: Frame, again: GroundAgain, done: dict[str, Sheet]) -> Scope:
    """Gain of undrained strength of every sublayer at the start of every stage, for every scenario of c_h."""
    scope = sheet.scope("strength", say("scope-strength-title"))
    before = done["ground"]["sigma_v0s"]
    first = at_labels(before, stage=shared.stages[0])
    preconsolidation(scope, section, shared, done["ground"])
    _ratio(scope, section, shared, first)
    _initial(scope, before)
    axes = _axes(sheet, "stage", "position", "scenario", "layer")
    final, gained = partial(_final_stress, section=section), partial(_gained_stress, section=section)
    cell = done["unit_cell"].scopes["settlement"]["Dsigma_vs"].at(load="G", stiffness=SHORT)
    scope.reading("Dsigma_vs", final(again.ground), ["stage", "position", "layer"], inputs=[cell],
                  title=say("reading-dsigma-vs-title"), note=say("reading-dsigma-vs-note"), moves=("stage",),
                  again=again.reading("Dsigma_vs", (*axes[:2], axes[3]), final))  # fmt: skip
    scope.reading("Dsigma_z", gained(again.ground), ["stage", "position", "scenario", "layer"],
                  title=say("reading-dsigma-z-title"), inputs=[scope["Dsigma_vs"], *rates_of(sheet)],
                  note=say("reading-dsigma-z-note"), moves=("stage",),
                  again=again.reading("Dsigma_z", axes, gained))  # fmt: skip
    scope(cs.degree_at_depth, Dsigma_vs=scope["Dsigma_vs"].without(lambda stress: stress == 0, NO_STEP))
    scope.otherwise("U_zc", scope["U_z"], 0.0, title=say("otherwise-u-zc-title"), note=say("otherwise-u-zc-note"))
    strength_of_sublayers(scope, section, shared, done["ground"])
    scope(cs.largest_stress, sigma_pt="sigma_ph", sigma_vt="sigma_v0s")
    scope(cs.stress_at_time, U_z="U_zc")
    scope(cs.gain_above_given, Dc_u="Dc_uz")
    gain = scope["Dc_uz"]
    scope.reading("Dc_uc", gain.array.min(axis=(1, 2, 3)), ["stage"], inputs=[gain], title=say("reading-dc-uc-title"),
                  again=Again(least_by_stage, (gain,)))  # fmt: skip
    _by_ratio(scope, section, begun_before(section), done)
    _consistency(scope, section, shared, first)
    return scope


def _by_ratio(scope: Scope, section: Section, placed: list[int], done: dict[str, Sheet]) -> None:
    """The same with the soil stress by the stress ratio for stability of the step before, at mid-slope."""
    own = scope.sheet.scope("gain", say("scope-gain-title"))
    steps, cell = steps_of(section), done["unit_cell"]
    before = [steps[k - 1] if k else None for k in placed]  # the stage whose load was placed last
    nothing = Origin("project rule", text=NO_STEP)
    own.take("a_E", done["columns"]["a_E"])
    for name, field, empty in (("n_stb", "n_stability", 1.0), ("H_b", "fill_height", 0.0)):
        if name == "H_b" and section.embankment.lower:  # the gain of the lower side counts for both
            height = lower_height(done["columns"])
            _of_stages_before(own, "H_b", height, before, say("reading-h-b-title"), moves=("stage",))
            continue
        values = [empty if k is None else getattr(section.stages[k], field) for k in before]
        origins = [nothing if k is None else origin_of(section, f"stage.{k}.{field}") for k in before]
        own.given(name, values, ["stage"], origin=origins, origin_axis="stage")
    own(soil_stress_share, mu_s="mu_sb", n_st="n_stb")
    own.take("gamma_E", cell["gamma_E"])
    _of_stages_before(own, "p_Pb", cell["p_P"], before, say("reading-p-pb-title"))
    zones = zones_of(done)
    if zones is None:
        own(permanent_pressure, p_G="p_Gb", H="H_b", p_P="p_Pb")
    else:
        _of_stages_before(own, "p_Zb", least_pressure(done), before, say("reading-p-zb-title"))
        own(permanent_pressure_with_zones, p_G="p_Gb", H="H_b", p_P="p_Pb", p_Z="p_Zb")
    own.given("zeta_p", MID_SLOPE, origin=Origin("project rule", text=say("by-ratio-why")))
    least = scope["U_zc"].at(scenario=LOW)
    _degree_required(own, section, 1.0)
    own(staged.degree_counted, U_z=least.smallest("stage", "layer"))
    for name in ("sigma_v0s", "S_nc", "c_u", "sigma_ph"):
        own.take(name, scope[name])
    own(cs.stress_by_share)
    gain = own(cs.gain_above_given, Dc_u="Dc_un")
    own.reading("Dc_us", gain.array.min(axis=1), ["stage"], inputs=[gain], title=say("reading-dc-us-title"),
                again=Again(least_by_stage, (gain,)))  # fmt: skip


def least_by_stage(value: Value) -> Value:
    """The least number of every stage."""
    return value.smallest("sample", "stage")


def _of_stages_before(
    own: Scope, name: str, value: Value, before: Sequence[int | None], title: str, moves: tuple[str, ...] = ()
) -> None:  # fmt: skip
    """A number of the stage whose load was placed last, 0 where there is none."""
    stages = own.sheet.axes["stage"]
    sources = [None if k is None else stages[k + 1] for k in before]
    again = Again(partial(at_other_stages, stages=stages, sources=sources, nothing=0.0), (value,), whole=("stage",))
    own.reading(name, again.value().array, ["stage"], inputs=[value], title=title, moves=moves, again=again)


def _degree_required(scope: Scope, section: Section, none: float) -> Value:
    """Give the degree that every stage asks for before it begins, another value where it asks for none."""
    rule = Origin("project rule", text=NONE_ASKED)
    asked = [stage.degree_min for stage in section.stages]
    origins = [origin_of(section, f"stage.{k}.degree_min") if degree else rule for k, degree in enumerate(asked)]
    values = [none, *(degree or none for degree in asked)]
    return scope.given("U_min", values, ["stage"], origin=[rule, *origins], origin_axis="stage")


def _consistency(scope: Scope, section: Section, shared: Frame, first: Value) -> None:
    """Strength given, strength at the preconsolidation pressure, and by stress history where its exponent is given."""
    layers = [section.layers[k] for k in shared.sublayers.layer]
    if not any(has_gain(layer) for layer in layers):
        return
    own = scope.sheet.scope("strength_check", say("scope-strength-check-title"))
    label = shared.stages[0]
    for name in ("S_nc", "c_u"):
        own.take(name, scope[name])
    own.take("sigma_ph", at_labels(scope["sigma_ph"], stage=label))
    print_least(own, own(cs.strength_at_preconsolidation), "layer")
    if any(layer.m_shansep is not None for layer in layers):
        own.take("sigma_v0s", first)
        own(cs.overconsolidation_ratio, sigma_pt="sigma_ph", sigma_vt="sigma_v0s")
        exponents = [np.nan if layer.m_shansep is None else layer.m_shansep for layer in layers]
        own.reading("m_oc", exponents, ["layer"], title=say("reading-m-oc-title"),
                    origins=origins_of_layers(section, "m_shansep"), mask=np.isnan(exponents),
                    reason=say("not-given"))  # fmt: skip
        history = own(cs.strength_by_stress_history, c_u="c_uh", sigma_vt="sigma_v0s")
        none = history.without(~(history.valid & (history.array > 0)), say("no-history"))
        _beyond_history(scope.sheet, own(cs.ratio_to_stress_history, c_uh=none))


def _beyond_history(sheet: Sheet, ratio: Value) -> None:
    """Say how far the strength given lies above that by stress history, in the sublayer where it does so most."""
    numbers = np.where(ratio.valid, ratio.array, 0.0)
    worst = int(np.argmax(numbers))
    if numbers[worst] > 1:
        layer = ratio.labels("layer")[worst]
        least = float(ratio.array[ratio.valid].min())
        sheet.leads["strength_check"]["layer"] = layer
        sheet.limitation(
            "strength-history",
            say("limitation-strength-history", ratio=number_text(float(numbers[worst]), 1), layer=layer),
            "Ladd (1991), J. Geotech. Eng. ASCE 117(4), 540–615 ◦",
            # Resistance is proportional to strength where soft ground and wedge carry by it alone.
            turns=lambda verdict: (
                verdict.key.startswith(UNDRAINED) and (verdict.utilisation or 0.0) * least > verdict.limit
            ),
        )


def _initial(scope: Scope, before: Value) -> None:
    """Effective stress without the load, at the higher water of a stage and the one before it."""
    again = Again(partial(at_higher_water, axes=_axes(scope.sheet, "stage", "layer")), (before,), whole=("stage",))
    scope.reading("sigma_v0s", again.value().array, ["stage", "layer"], inputs=[before],
                  title=say("reading-sigma-v0s-title"), note=say("reading-sigma-v0s-note"), again=again)  # fmt: skip


def _axes(sheet: Sheet, *names: str) -> tuple[Axis, ...]:
    return tuple(Axis(name, sheet.axes[name]) for name in names)


def at_higher_water(stress: Value, *, axes: tuple[Axis, ...]) -> Value:
    """The lesser of the numbers of a stage and of the one before it, over stages and sublayers."""
    samples = tuple(axis for axis in stress.axes if axis.name == "sample")
    axes = (*samples, *axes)
    shape = tuple(len(axis.labels) for axis in axes)
    rows = np.broadcast_to(spread(stress.array, stress.axes, axes), shape)
    earlier = np.concatenate([rows[..., :1, :], rows[..., :-1, :]], axis=-2)
    return Value("sigma_v0s", np.minimum(rows, earlier), axes)


def _ratio(scope: Scope, section: Section, shared: Frame, first: Value) -> None:
    """Growth of strength over that of stress; 0 in layers without the data that a gain needs."""
    layers = [section.layers[k] for k in shared.sublayers.layer]
    by_angle = _ratio_of_angles(scope, section, layers) if any(layer.phi_cu is not None for layer in layers) else None
    ratios = np.array([np.nan if layer.S is None else layer.S for layer in layers])
    gains = np.array([has_gain(layer) for layer in layers])
    over = np.broadcast_to(scope["sigma_pc"].array < first.array, (len(layers),))
    rule = partial(growth_of_strength, ratios=ratios, gains=gains, axis=Axis("layer", shared.layers))
    words = "; ".join(f"{layer.name}: {_words(layer)}" for layer in section.soft_layers)
    inputs = [value for value in (scope["sigma_pc"], by_angle) if value is not None]
    again = Again(rule, (scope["sigma_pc"], first, *inputs[1:]), whole=("layer",))
    scope.reading("S_nc", again.value().array, ["layer"], title=say("reading-s-nc-title"),
                  origins=origins_of_layers(section, "S"), inputs=inputs, note=words, again=again)  # fmt: skip
    below = sorted({layer.name for layer, beyond in zip(layers, over, strict=True) if beyond})
    if below:
        scope.sheet.limitation("below-overburden", say("limitation-below-overburden", names=", ".join(below)))
    bare = [layer.name for layer in section.soft_layers if not has_gain(layer)]
    if bare:
        scope.sheet.limitation("no-gain", say("limitation-no-gain", bare=", ".join(bare)))


def growth_of_strength(
    pressure: Value, stress: Value, by_angle: Value | None = None, *, ratios: Floats, gains: Mask, axis: Axis
) -> Value:  # fmt: skip
    """The ratio given, else that by its angle; none without what a gain needs or with less pressure than stress."""
    values = [pressure, stress, *([by_angle] if by_angle else [])]
    axes = union_axes([*values, Value("S_nc", ratios, (axis,))])
    shape = tuple(len(dimension.labels) for dimension in axes)
    rows = [np.broadcast_to(spread(value.array, value.axes, axes), shape) for value in values]
    growth = np.where(np.isnan(ratios), rows[2] if by_angle else 0.0, ratios)
    return Value("S_nc", np.where(gains & ~(rows[0] < rows[1]), growth, 0.0), axes)


def has_gain(layer: Layer) -> bool:
    """Whether a layer has what a gain needs."""
    return layer.has_history and (layer.S is not None or layer.phi_cu is not None)


def _ratio_of_angles(scope: Scope, section: Section, layers: list[Layer]) -> Value:
    """The ratio by the angle phi_cu in the layers that have one."""
    rule = Origin("project rule", text=say("rule-3"))
    origins = [rule if layer.phi_cu is None else origin_of(section, f"layer.{layer.key}.phi_cu") for layer in layers]
    scope.given("phi_cu", [layer.phi_cu or 0.0 for layer in layers], ["layer"], origin=origins, origin_axis="layer")
    return scope(cs.ratio_of_angle)


def _words(layer: Layer) -> str:
    if not has_gain(layer):
        return say("no-gain")
    return f"S = {layer.S:g}" if layer.S is not None else say("s-by-its-angle")


def _final_stress(ground: GroundInTime, *, section: Section) -> Floats:
    """Final soil stress under the steps begun before every stage, shape (stages, positions, layers)."""
    none = np.zeros_like(ground.soil_stress[:, :1])
    law = np.concatenate([none, ground.soil_stress], axis=1)[:, begun_before(section)]
    return law.transpose(1, 0, 2)


def _gained_stress(ground: GroundInTime, *, section: Section) -> Floats:
    """What of it has come by the start of every stage, shape (stages, positions, scenarios, layers)."""
    return ground.stress_gain_at(starts_of(section)).transpose(2, 1, 0, 3)


def credited_gain(scope: Scope, section: Section) -> None:
    """Compare the gain that a stage counts on with the one computed for its start."""
    key, title = GAIN
    sheet = scope.sheet
    typed = [None, *(stage.c_u_gain for stage in section.stages)]
    if not any(typed):
        sheet.not_applicable(key, title, say("settled-credited-why"))
        return
    numbers = np.array([gain if isinstance(gain, float) else 0.0 for gain in typed])
    computed_gain = sheet.scopes["gain"]["Dc_us"]
    rows = list(zip(map(stage_name, sheet.axes["stage"]), typed, numbers, computed_gain.array, strict=True))
    if not numbers.any():
        sheet.settled(
            key,
            title,
            _why_none_compared([(name, number) for name, by, _, number in rows if by == COMPUTED and number > 0]),
        )
        return
    rule = Origin("project rule", text=say("rule-2"))
    fields = [f"stage.{k}.c_u_gain" for k in range(-1, len(section.stages))]
    origins = [origin_of(section, path) if isinstance(by, float) else rule
               for path, by in zip(fields, typed, strict=True)]  # fmt: skip
    gain = sheet.scopes["gain"].given("Dc_u", numbers, ["stage"], origin=origins, origin_axis="stage")
    short = [say("instead", name=name, less=number_text(counted, 2), more=number_text(computed, 2))
             for name, _, counted, computed in rows if counted > computed and counted > 0]  # fmt: skip
    if short:
        sheet.not_verified(key, title, say("credited-why", short=", ".join(short)))
        return
    none = numbers <= 0
    effect, resistance = (value.without(none, say("none-credited")) for value in (gain, computed_gain))
    sheet.verdict(key, title, effect=effect, resistance=resistance)


def _why_none_compared(gained: list[tuple[str, float]]) -> str:
    """Why there is nothing to compare where no stage counts on a number: what is computed is as it is."""
    words = ", ".join(f"{name} {number_text(gain, 2)}" for name, gain in gained)
    return say("settled-credited-why-2", words=words) if gained else say("settled-credited-why-3")


def _final_settlement(ground: GroundInTime, *, section: Section) -> Floats:
    """Final settlement under the steps begun before every stage."""
    return np.concatenate([[0.0], ground.settled.sum(axis=-1)])[begun_before(section)]


def _settled_before(ground: GroundInTime, *, section: Section) -> Floats:
    """What of it has come by the start of every stage, shape (stages, scenarios)."""
    return ground.settlement_at(starts_of(section)).total().value()[..., 0].T


def degrees(scope: Scope, section: Section, again: GroundAgain) -> None:
    """Compare the degree reached at the start of a stage with the one asked for."""
    key, title = DEGREE
    sheet, stages = scope.sheet, section.stages
    scope = sheet.scope("degree", say("scope-degree-title"), scenario=AS_GIVEN)
    final, reached_by = partial(_final_settlement, section=section), partial(_settled_before, section=section)
    law, axes = final(again.ground), _axes(sheet, "stage", "scenario")
    rates = rates_of(sheet, layer=sheet.axes["layer"][-1])
    scope.reading("s_pc", law, ["stage"], title=say("reading-s-pc-title"), inputs=rates, mask=law <= 0, reason=NO_STEP,
                  again=again.reading("s_pc at starts", axes[:1], final, placed=True))  # fmt: skip
    scope.reading("s_pt", reached_by(again.ground), ["stage", "scenario"], title=say("reading-s-pt-title"),
                  inputs=rates, note=say("reading-s-pt-note"),
                  again=again.reading("s_pt at starts", axes, reached_by))  # fmt: skip
    reached = scope(staged.degree_of_current_load, U_cur="U_st")
    if not any(stage.degree_min for stage in stages):
        sheet.not_verified(key, title, say("open-degrees-why"), required=False)
        return
    required = _degree_required(scope, section, 0.0)
    typed_degrees, low = (
        {label: reached.number({"stage": label, "scenario": scenario}) or 0.0 for label in sheet.axes["stage"]}
        for scenario in (AS_GIVEN, LOW)
    )
    wanted = {
        label: degree for label, degree in zip(sheet.axes["stage"], required.array.tolist(), strict=True) if degree > 0
    }
    short = [label for label in wanted if typed_degrees[label] <= 0]
    if short:
        sheet.not_verified(key, title, say("open-degrees-why-2", short=stage_names(short)))
        return
    idle = required.array <= 0
    sheet.verdict(key, title, effect=required.without(idle, NONE_ASKED),
                  resistance=reached.at(scenario=AS_GIVEN).without(idle, NONE_ASKED))  # fmt: skip
    late = [
        f"{stage_name(label)}: {number_text(100 * low[label], 0)} %"
        for label, degree in wanted.items()
        if degree > low[label]
    ]
    if late:
        sheet.limitation("degree-low", say("limitation-degree-low", late=", ".join(late)), turns=[key])

"""Undrained strength that the soil gains until the start of every stage, and the degree of consolidation by then."""

import numpy as np

from calc.checks.consolidation_course import rates_of
from calc.checks.consolidation_model import steps_of
from calc.checks.frame import AS_GIVEN, COURSES, LOW, SHORT, Frame, at_labels, origin_of
from calc.formulas import consolidation_strength as cs
from calc.formulas.staged import preconsolidation_pressure
from calc.inputs import Section
from calc.inputs.ground import Layer
from calc.inputs.stages import COMPUTED
from calc.procedures.ground_in_time import GroundInTime
from calc.sheet import Origin, Scope, Sheet, Value, number_text

GAIN = ("strength_gain", "Gain of strength credited against the gain computed")
DEGREE = ("degree_before", "Degree of consolidation asked for at the start of a stage")
NO_STEP = "nothing has been placed before"


def strength(sheet: Sheet, section: Section, shared: Frame, ground: GroundInTime, done: dict[str, Sheet]) -> Scope:
    """Gain of undrained strength of every sublayer at the start of every stage, for every course of c_h."""
    scope = sheet.scope("strength", "Undrained strength at the start of every stage")
    before = done["ground"]["sigma_v0s"]
    first = at_labels(before, stage=shared.stages[0])
    _history(scope, section, shared, first)
    _ratio(scope, section, shared, first)
    _initial(scope, before, shared)
    placed, law, share = _degrees(section, ground)
    idle = np.broadcast_to(np.array(placed)[None, :, None] == 0, law.shape)
    cell = done["unit_cell"].scopes["settlement"]["Dsigma_vs"].at(load="G", stiffness=SHORT)
    scope.reading(
        "Dsigma_vs", law.transpose(1, 0, 2), ["stage", "position", "layer"], inputs=[cell],
        title="Added stress on the soil under the step before",
        note="of the unit cell, permanent load, short-term stiffness of the sleeve; 0 where the sleeve is not "
        "mobilised; final value",
    )  # fmt: skip
    none = np.broadcast_to(idle | (law == 0), share.shape)
    order = (2, 1, 0, 3)
    scope.reading(
        "U_z", share.transpose(order), ["stage", "position", "course", "layer"],
        title="Degree of consolidation at this depth, by effective stress",
        inputs=[scope["Dsigma_vs"], *rates_of(sheet)], mask=none.transpose(order), reason=NO_STEP,
        note="before the load of the stage itself counts",
    )  # fmt: skip
    scope.otherwise("U_zc", scope["U_z"], 0.0, title="The same, 0 before the first step",
                    note="no consolidation without load")  # fmt: skip
    scope(cs.stress_at_time, U_z="U_zc")
    scope(cs.stress_beyond_preconsolidation)
    scope(cs.gain_by_strength_ratio, Dc_u="Dc_uz")
    gain = scope["Dc_uz"]
    scope.reading(
        "Dc_uc", gain.array.min(axis=(1, 2, 3)), ["stage"], inputs=[gain],
        title="Gain of strength at the start of the stage, the least of all sublayers, positions and courses of c_h",
    )  # fmt: skip
    return scope


def _initial(scope: Scope, before: Value, shared: Frame) -> None:
    """Effective stress without the load, at the higher water of a stage and the one before it."""
    values = np.broadcast_to(before.array, (len(shared.stages), len(shared.layers)))
    least = np.minimum(values, np.concatenate([values[:1], values[:-1]]))
    scope.reading("sigma_v0s", least, ["stage", "layer"], inputs=[before],
                  title="Effective vertical stress in the soil without the load",
                  note="the lower one of this stage and the one before: water may still stand high")  # fmt: skip


def _history(scope: Scope, section: Section, shared: Frame, first: Value) -> None:
    """Preconsolidation pressure of every sublayer, from the ratio or as given."""
    layers = [section.layers[k] for k in shared.sublayers.layer]
    ratios = np.array([1.0 if layer.OCR is None else layer.OCR for layer in layers])
    none = Origin("project rule", text="1 where none is given: such a layer gains no strength here")
    origins = [origin_of(section, f"layer.{one.key}.OCR") if one.OCR is not None else none for one in layers]
    scope.given("OCR", ratios, ["layer"], origin=origins, origin_axis="layer")
    if all(layer.sigma_p is None for layer in layers):
        scope(preconsolidation_pressure, sigma_v0s=first)
        return
    by_ratio = scope(preconsolidation_pressure, sigma_pc="sigma_pO", sigma_v0s=first)
    values = [np.nan if layer.sigma_p is None else layer.sigma_p for layer in layers]
    rows = np.broadcast_to(by_ratio.array, (len(layers),))
    scope.reading(
        "sigma_pc", np.where(np.isnan(values), rows, values), ["layer"], inputs=[by_ratio],
        title="Preconsolidation pressure of the soil", note="as given in sigma_p where it is, else by the ratio",
    )  # fmt: skip


def _ratio(scope: Scope, section: Section, shared: Frame, first: Value) -> None:
    """Growth of strength over that of stress; 0 in layers without the data that a gain needs."""
    layers = [section.layers[k] for k in shared.sublayers.layer]
    if any(layer.phi_cu is not None for layer in layers):
        angles = [layer.phi_cu or 0.0 for layer in layers]
        rule = Origin("project rule", text="0 where S is given, or none")
        origins = [origin_of(section, f"layer.{one.key}.phi_cu") if one.phi_cu is not None else rule for one in layers]
        scope.given("phi_cu", angles, ["layer"], origin=origins, origin_axis="layer")
        growth = np.broadcast_to(scope(cs.ratio_of_angle).array, (len(layers),))
    else:
        growth = np.zeros(len(layers))
    values = [0.0 if not gains(layer) else growth[k] if layer.S is None else layer.S for k, layer in enumerate(layers)]
    over = np.broadcast_to(scope["sigma_pc"].array < first.array, (len(layers),))
    if over.any():
        names = sorted({layer.name for layer, one in zip(layers, over, strict=True) if one})
        scope.sheet.limitation(
            "below-overburden",
            f"The preconsolidation pressure given for {', '.join(names)} lies below the stress before construction in "
            "some sublayer; the soil would still be settling. No gain of strength is credited there.",
        )
    values = list(np.where(over, 0.0, values))
    words = "; ".join(f"{layer.name}: {_words(layer)}" for layer in section.layers)
    scope.reading("S_nc", values, ["layer"], title="Growth of undrained strength over that of effective stress",
                  note=words)  # fmt: skip
    bare = [layer.name for layer in section.layers if not gains(layer)]
    if bare:
        scope.sheet.limitation(
            "no-gain",
            f"No gain of strength is computed in {', '.join(bare)}: it needs OCR or sigma_p, and S or phi_cu.",
        )


def gains(layer: Layer) -> bool:
    """Whether a layer has what a gain needs."""
    return (layer.OCR is not None or layer.sigma_p is not None) and (layer.S is not None or layer.phi_cu is not None)


def _words(layer: Layer) -> str:
    if not gains(layer):
        return "0, no gain"
    return f"S = {layer.S:g}" if layer.S is not None else "tan φ_cu"


def _degrees(section: Section, ground: GroundInTime) -> tuple[list[int], np.ndarray, np.ndarray]:
    """Steps begun before every stage, stage 0 first; their final stress and its share, layers last.

    The stress has the shape (positions, stages, layers), the share the courses before it.
    """
    steps, starts = steps_of(section), [0.0, *(stage.start for stage in section.stages)]
    placed = [0, *(sum(step < k for step in steps) for k in range(len(section.stages)))]
    none = np.zeros_like(ground.soil_stress[:, :1])
    law = np.concatenate([none, ground.soil_stress], axis=1)[:, placed]
    gained = ground.stress_gain_at(starts)
    share = np.divide(gained, law, out=np.zeros_like(gained), where=np.broadcast_to(law != 0, gained.shape))
    return placed, law, share


def credited(scope: Scope, section: Section) -> None:
    """Compare the gain that a stage counts on with the one computed for its start."""
    key, title = GAIN
    stages, sheet = section.stages, scope.sheet
    typed = [None, *(stage.c_u_gain for stage in stages)]
    if not any(typed):
        sheet.settled(key, title, "No stage counts on a gain of strength.")
        return
    numbers = np.array([one if isinstance(one, float) else 0.0 for one in typed])
    if not numbers.any():
        found = scope["Dc_uc"]
        words = ", ".join(
            f"{label} {number_text(float(found.array[k]), 2)}"
            for k, (label, one) in enumerate(zip(sheet.axes["stage"], typed, strict=True)) if one == COMPUTED
        )  # fmt: skip
        sheet.settled(key, title, f"The stages count on the gain computed here, in kN/m²: {words}.")
        return
    rule = Origin("project rule", text="none credited, or the one computed")
    origins = [rule, *(
        origin_of(section, f"stage.{k}.c_u_gain") if isinstance(stage.c_u_gain, float) else rule
        for k, stage in enumerate(stages)
    )]  # fmt: skip
    gain = scope.given("Dc_u", numbers, ["stage"], origin=origins, origin_axis="stage")
    counted = gain.without(numbers <= 0, "none credited")
    found = scope["Dc_uc"]
    short = [label for label, one, other in zip(sheet.axes["stage"], numbers, found.array, strict=True)
             if one > 0 and other <= 0]  # fmt: skip
    if short:
        why = f"A gain is credited where none is computed, at the start of: {', '.join(short)}."
        sheet.not_verified(key, title, why)
        return
    sheet.verdict(key, title, effect=counted, resistance=found.without(numbers <= 0, "none credited"))


def degrees(scope: Scope, section: Section, ground: GroundInTime) -> None:
    """Compare the degree reached at the start of a stage with the one asked for."""
    key, title = DEGREE
    sheet, stages = scope.sheet, section.stages
    scope = sheet.scope("degree", "Degree of consolidation at the start of every stage", course=AS_GIVEN)
    placed, _, _ = _degrees(section, ground)
    starts = [0.0, *(stage.start for stage in stages)]
    law = np.concatenate([[0.0], ground.settled.sum(axis=-1)])[placed]
    done = ground.settlement_at(starts).total().value()[..., 0]
    share = np.divide(done, law, out=np.zeros_like(done), where=np.broadcast_to(law > 0, done.shape))
    scope.reading(
        "U_st", share.T, ["stage", "course"], title="Degree of consolidation under the load placed before",
        mask=np.broadcast_to(law[:, None] <= 0, share.T.shape), reason=NO_STEP,
        inputs=rates_of(sheet, layer=sheet.axes["layer"][-1]),
        note="by settlement, before the load of the stage itself",
    )  # fmt: skip
    reached = share[COURSES.index(AS_GIVEN)]
    if not any(stage.degree_min for stage in stages):
        sheet.not_verified(key, title, "No stage asks for a degree in degree_min.", required=False)
        return
    values = [0.0, *(stage.degree_min or 0.0 for stage in stages)]
    rule = Origin("project rule", text="none asked for")
    typed = [origin_of(section, f"stage.{k}.degree_min") if one.degree_min else rule for k, one in enumerate(stages)]
    asked = scope.given("U_min", values, ["stage"], origin=[rule, *typed], origin_axis="stage")
    idle = np.array(values) <= 0
    short = [label for label, one, other in zip(sheet.axes["stage"], values, reached, strict=True)
             if one > 0 and other <= 0]  # fmt: skip
    if short:
        sheet.not_verified(key, title, f"No load has been placed before the start of: {', '.join(short)}.")
        return
    sheet.verdict(key, title, effect=asked.without(idle, "none asked for"),
                  resistance=scope["U_st"].at(course=AS_GIVEN).without(idle, "none asked for"))  # fmt: skip
    low = share[COURSES.index(LOW)]
    late = [f"{label} {number_text(100 * one, 0)} %" for label, wanted, one in
            zip(sheet.axes["stage"], values, low, strict=True) if wanted > one]  # fmt: skip
    if late:
        sheet.limitation(
            "degree-low",
            f"With c_h at the lower end of its range the degree asked for is not reached at the start of: "
            f"{', '.join(late)}. The stage then waits until it is read on site.",
        )


def credited_gains(section: Section, done: dict[str, Sheet]) -> list[float]:
    """Gain in kPa that every stage counts on, stage 0 first: as typed, or as the chapter on consolidation has it."""
    sheet = done.get("consolidation")
    scope = sheet.scopes.get("strength") if sheet else None
    found = [0.0]
    for k, stage in enumerate(section.stages, start=1):
        if stage.c_u_gain == COMPUTED:
            found.append(float(scope["Dc_uc"].array[k]) if scope else 0.0)
        else:
            found.append(float(stage.c_u_gain or 0.0))
    return found

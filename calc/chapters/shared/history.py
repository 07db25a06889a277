"""Preconsolidation pressure of every sublayer, from the overconsolidation ratio or as given."""

from collections.abc import Sequence

import numpy as np

from calc.chapters.shared.frame import Frame, at_labels, origin_of, origins_of_layers
from calc.chapters.shared.heads import HEADS, MIDDLE, has_heads, names_of_water
from calc.engine.sheet import Again, Axis, Origin, Scope, Sheet, Value
from calc.engine.sheet.values import or_else
from calc.engine.words import words_of
from calc.formulas.staged import preconsolidation_pressure
from calc.inputs import Section
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.profiles import value_at

say = words_of(__name__)


def preconsolidation(scope: Scope, section: Section, shared: Frame, ground: Sheet) -> None:
    """Preconsolidation pressure of every sublayer, from the ratio or as given."""
    layers = [section.layers[k] for k in shared.sublayers.layer]
    depths = ground["z"]
    ratios = _by_points(layers, "OCR", depths)
    if any(layer.OCR_profile for layer in layers):
        scope.reading("OCR", np.where(np.isnan(ratios), 1.0, ratios), ["layer"], inputs=[depths],
                      origins=_origins(section, "OCR"), title=say("ratio-title"), note=say("points-note"))  # fmt: skip
    else:
        none = Origin("project rule", text=say("rule"))
        origins = [origin_of(section, f"layer.{layer.key}.OCR") if layer.OCR is not None else none for layer in layers]
        values = np.where(np.isnan(ratios), 1.0, ratios)
        scope.given("OCR", values, ["layer"], origin=origins, origin_axis="layer")
    first = at_labels(ground["sigma_v0s"], stage=shared.stages[0])
    stated = _of_stated_water(scope, section, layers, ground) if has_heads(ground) else first
    values = _by_points(layers, "sigma_p", depths)
    if np.isnan(values).all():
        scope(preconsolidation_pressure, sigma_v0s=stated)
        return
    by_ratio = scope(preconsolidation_pressure, sigma_pc="sigma_pO", sigma_v0s=stated)
    known = Value("sigma_pc", values, (Axis("layer", shared.layers),), mask=np.isnan(values))
    again = Again(or_else, (known, by_ratio))
    pointed = any(layer.sigma_p_profile for layer in layers)
    scope.reading("sigma_pc", again.value().array, ["layer"], again=again,
                  inputs=[by_ratio, *([depths] if pointed else [])], title=say("reading-sigma-pc-title"),
                  origins=_origins(section, "sigma_p"),
                  note=say("points-note") if pointed else say("reading-sigma-pc-note"))  # fmt: skip


def _by_points(layers: Sequence[Layer], name: str, depths: Value) -> np.ndarray:
    """A value of the layers in the middle of every sublayer, by its points or as given; NaN where there is none."""
    numbers = np.full(len(layers), np.nan)
    for k, (layer, depth) in enumerate(zip(layers, depths.array.tolist(), strict=True)):
        profile, number = getattr(layer, f"{name}_profile"), getattr(layer, name)
        if profile is not None:
            numbers[k] = value_at(profile.line, depth)
        elif number is not None:
            numbers[k] = number
    return numbers


def _origins(section: Section, name: str) -> list[Origin]:
    """Where a value of the layers stands in the file, as a number or by points."""
    origins = []
    for layer in section.soft_layers:
        profile, path = getattr(layer, f"{name}_profile"), f"layer.{layer.key}.{name}"
        points = range(len(profile.points)) if profile is not None else ()
        paths = [f"{path}_profile.points.{k}.{field}" for k in points for field in ("depth", name)]
        paths += [path] if getattr(layer, name) is not None else []
        origins += [origin_of(section, place) for place in paths]
    return origins


def _of_stated_water(scope: Scope, section: Section, layers: Sequence[Layer], ground: Sheet) -> Value:
    """The effective stress that the preconsolidation ratio is stated for: that of its water level, by its own heads."""
    names = names_of_water(section)
    state = scope.sheet.scope("stated_water", say("scope-stated-water-title"))
    stress = ground.scopes[HEADS]["sigma_ep"].at(point=MIDDLE)
    at = [0 if layer.OCR_water is None else names.index(layer.OCR_water) for layer in layers]
    rows = np.broadcast_to(stress.array, (len(names), len(layers)))
    return state.reading("sigma_v0s", [rows[k, i] for i, k in enumerate(at)], ["layer"], inputs=[stress],
                         title=say("reading-stated-title"), origins=origins_of_layers(section, "OCR_water"),
                         note=say("reading-stated-note"), moves=("stage",))  # fmt: skip

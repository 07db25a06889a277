"""Zones whose columns end in soft ground: the ground of their section divided at the toes, and their rules."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import Columns, ColumnZone, Floating, FloatingZone, Shaft
from calc.inputs.tables.consolidation import Consolidation
from calc.inputs.tables.filters import Filters, Plug
from calc.inputs.tables.ground import BearingLayer, Layer, LayerBelow, Water
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.stages import Stage
from calc.inputs.tables.uplift import Uplift

WHERE = "with columns.zone.floating"
COMES_BACK = "what columns in soft ground carry comes back to the soil above their toes"
IN_SOFT_GROUND = "the toes of the zone stand in soft ground"
SHAFT = (*Shaft.model_fields, "source")
SOIL = ("name", "gamma", "gamma_sat", "phi", "c")  # of the layer that the toes stand in, taken for the bearing layer


@dataclass(frozen=True)
class GroundOfZone:
    """What a section has otherwise in a zone whose columns float.

    ``paths`` say which field of the section a value is taken from; ``derived`` say it of what is none, in words.
    """

    changed: dict[str, Any] = field(default_factory=dict)
    paths: dict[str, str] = field(default_factory=dict)
    derived: dict[str, str] = field(default_factory=dict)


def above_the_toes(floating: FloatingZone, layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The soft layers above the toes of a zone."""
    return tuple(layers[: next(k for k, layer in enumerate(layers) if layer.of == floating.toe_in)])


def ground_of_zone(
    zone: ColumnZone, floating: FloatingZone, layers: tuple[Layer, ...], layers_below: tuple[LayerBelow, ...]
) -> GroundOfZone:  # fmt: skip
    """The soft layers divided at the toes of a zone: those below are bearing layer and ground below the toes."""
    kept = above_the_toes(floating, layers)
    below = layers[len(kept) :]
    first, own = below[0], f"columns.zone.{zone.key}.floating"
    paths = {f"bearing_layer.{name}": f"layer.{first.key}.{name}" for name in SOIL}
    paths |= {f"columns.floating.{name}": f"{own}.{name}" for name in SHAFT}
    for layer in below:
        head = f"layer_below.{layer.key}"
        paths |= {f"{head}.{name}": f"layer.{layer.key}.{name}" for name in ("thickness", "gamma_sat", "c_v")}
        paths[f"{head}.E"] = f"{own}.E"
    thickness = sum(layer.thickness for layer in below)
    strength, place = min((c_u, f"{end} of {layer.name}") for layer in below for c_u, end in _strengths(layer))
    soft = tuple(
        LayerBelow.model_construct(key=layer.key, name=layer.name, thickness=layer.thickness, E=floating.E,
                                   gamma_sat=layer.gamma_sat, c_v=layer.c_v)
        for layer in below
    )  # fmt: skip
    soil = BearingLayer.model_construct(
        key=first.key, **{name: getattr(first, name) for name in SOIL}, firm=False, evidence=floating.source
    )
    shaft = {name: getattr(floating, name) for name in SHAFT}
    return GroundOfZone(
        {
            "layers": kept, "bearing_layer": soil, "layers_below": (*soft, *layers_below),
            "floating": Floating.model_construct(**shaft, c_u=strength, soft_below=thickness),
        },
        paths,
        {
            **{f"layer_below.{layer.key}.drains": "false: a soft layer" for layer in below},
            "columns.embedment": "0 m: the toes of the zone stand in soft ground",
            "columns.floating.soft_below": f"{thickness:g} m of soft layers from the toes of the zone down",
            "columns.floating.c_u": f"{strength:g} kPa, least of the soft layers from the toes down, at the {place}",
        },
    )  # fmt: skip


def _strengths(layer: Layer) -> tuple[tuple[float, str], ...]:
    """Undrained strength at the top and at the base of a layer in kPa, with words for the end."""
    top = layer.c_u or 0.0
    return (top, "top"), (top + (layer.c_u_growth or 0.0) * layer.thickness, "base")


def works_of_zone(
    stages: tuple[Stage, ...], consolidation: Consolidation | None, filters: Filters | None
) -> GroundOfZone:  # fmt: skip
    """Stages and drains where columns float: none of the load is taken off the soil for good, no toe drains."""
    derived = {f"stage.{k}.n_stability": f"1: {COMES_BACK}" for k in range(len(stages))}
    none = {"n_stability": 1.0, "c_u_gain": None, "c_u_gain_source": None}
    changed: dict[str, Any] = {"stages": tuple(stage.model_copy(update=none) for stage in stages)}
    if consolidation is not None:
        changed["consolidation"] = consolidation.model_copy(update={"drainage": "top"})
        derived["consolidation.drainage"] = f"top: {IN_SOFT_GROUND}"
    if filters is not None and filters.drainage is not None:
        drainage = filters.drainage.model_copy(update={"ends": "top"})
        changed["filters"] = filters.model_copy(update={"drainage": drainage})
        derived["filters.drainage.ends"] = f"top: {IN_SOFT_GROUND}"
    return GroundOfZone(changed, {}, derived)


def toes_of_zones(columns: Columns, layers: tuple[Layer, ...]) -> Problems:
    """The toes of a zone that floats stand at the top of a soft layer."""
    keys = [layer.key for layer in layers]
    for k, zone in enumerate(columns.zone):
        if zone.floating is None:
            continue
        at = ("columns", "zone", k)
        if zone.embedment is not None:
            yield Problem((*at, "embedment"), f"be left out {WHERE}: the toes do not reach the bearing layer")
        if zone.floating.toe_in not in keys[1:]:
            known = ", ".join(keys[1:]) or "there is none: split the layer at the toes"
            yield Problem((*at, "floating", "toe_in"), f"name a soft layer below the first ({known})")


def layers_of_floating_zones(
    columns: Columns, layers: tuple[Layer, ...], layers_below: tuple[LayerBelow, ...]
) -> Problems:  # fmt: skip
    """Strength along the shafts, and what makes the ground below the toes settle in time."""
    keys = [layer.key for layer in layers]
    named = [zone.floating.toe_in for zone in columns.zone if zone.floating is not None]
    if not named:
        return
    lowest = min((keys.index(key) for key in named if key in keys), default=len(keys))
    for k, layer in enumerate(layers):
        if not layer.has_strength:
            yield Problem(("layer", k, "c_u"), f"be given {WHERE}: it limits the adhesion of the shaft", "nothing")
        if k >= lowest and layer.c_v is None:
            yield Problem(("layer", k, "c_v"), f"be given {WHERE}: the layer settles below the toes", "nothing")
    for k, below in enumerate(layers_below):
        if below.key in keys:
            yield Problem(("layer_below", k, "key"), f"not be that of a soft layer {WHERE}")
        if not below.drains and below.c_v is None:
            yield Problem(("layer_below", k, "c_v"), f"be given {WHERE} unless drains is true", "nothing")


def not_with_floating_zones(
    columns: Columns, makeup_fill: bool, water_table: Water, uplift: Uplift | None,
    plug: Plug | None, consolidation: Consolidation | None,
) -> Problems:  # fmt: skip
    """What would be computed as if the columns of the zone stood in a firm layer is refused."""
    if not columns.short:
        return
    if makeup_fill:
        yield Problem(("makeup_fill",), f"be false {WHERE}: the fill for the settlement is not found for the zone")
    tables: tuple[tuple[Path, object], ...] = (
        (("water", "head"), water_table.heads), (("uplift",), uplift), (("plug",), plug),
    )  # fmt: skip
    for path, table in tables:
        if table:
            yield Problem(path, f"be left out {WHERE}: it is not covered for columns in soft ground", "a table")
    if consolidation is not None and consolidation.secondary_reduction is not None:
        must = f"be left out {WHERE}: within the sharing length the columns take nothing off the soil"
        yield Problem(("consolidation", "secondary_reduction"), must, "a table")


def layers_below_one_plane(columns: Columns, layers_below: tuple[LayerBelow, ...]) -> Problems:
    """One list of layers cannot begin at toes of different depth in the bearing layer."""
    for k, zone in enumerate(columns.zone if layers_below else ()):
        if zone.floating is None and columns.has_length(zone):
            must = (
                f"be that of [columns] ({columns.embedment:g} m) with layer_below, a list that begins at the toes of "
                "the section: below other toes the ground is not given"
            )
            yield Problem(("columns", "zone", k, "embedment"), must)


FLOATING_ZONE_RULES = (toes_of_zones, layers_of_floating_zones, not_with_floating_zones, layers_below_one_plane)

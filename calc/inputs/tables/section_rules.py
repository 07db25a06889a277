"""Rules between the values of a section; each is applied as soon as the values that it names are readable."""

import math
import re
from typing import Any

from calc.engine.levels import above
from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import Columns
from calc.inputs.tables.embankment import SIDES, Embankment, Platform
from calc.inputs.tables.fill_zones import FILL_ZONE_RULES
from calc.inputs.tables.ground import BearingLayer, Layer, LayerBelow
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.sleeve import ReinforcementLayer, Sleeve
from calc.inputs.tables.slip import Slip
from calc.inputs.tables.stages import FirstLift, Stage

MOST_SUBLAYERS = 400


def layer_keys(
    layers: tuple[Layer, ...], bearing_layer: BearingLayer, layers_below: tuple[LayerBelow, ...]
) -> Problems:
    """Keys of layers are unique in a section, because results are recorded under them."""
    yield from unique([layer.key for layer in layers], ("layer",), "key")
    above = {layer.key for layer in layers}
    if bearing_layer.key in above:
        yield Problem(("bearing_layer", "key"), "be used once only")
    for index, layer in enumerate(layers_below):
        if layer.key in above | {bearing_layer.key} | {other.key for other in layers_below[:index]}:
            yield Problem(("layer_below", index, "key"), "be used once only")


def unit_weights_of_layers(layers: tuple[Layer, ...], gamma_w: float) -> Problems:
    """Saturated soil weighs no less than water and no less than the same soil above water."""
    for index, layer in enumerate(layers):
        yield from _unit_weights(layer, ("layer", index), gamma_w)


def unit_weights_of_bearing_layer(bearing_layer: BearingLayer, gamma_w: float) -> Problems:
    """The same for the bearing layer."""
    yield from _unit_weights(bearing_layer, ("bearing_layer",), gamma_w)


def unit_weights_of_fill(columns: Columns, gamma_w: float) -> Problems:
    """The same for the fill of the columns."""
    yield from _unit_weights(columns.fill, ("columns", "fill"), gamma_w)


def unit_weights_below(layers_below: tuple[LayerBelow, ...], gamma_w: float) -> Problems:
    """The same for the layers below the toes, which lie under water."""
    for index, layer in enumerate(layers_below):
        if layer.gamma_sat < gamma_w:
            yield Problem(("layer_below", index, "gamma_sat"), f"be at least gamma_w ({gamma_w:g} kN/m^3)")


def _unit_weights(soil: Any, path: Path, gamma_w: float) -> Problems:
    if soil.gamma_sat < gamma_w:
        yield Problem((*path, "gamma_sat"), f"be at least gamma_w ({gamma_w:g} kN/m^3)")
    elif soil.gamma_sat < soil.gamma:
        yield Problem((*path, "gamma_sat"), f"be at least gamma ({soil.gamma:g} kN/m^3)")


def sublayer_count(layers: tuple[Layer, ...], sublayer_max: float) -> Problems:
    """Keep the arrays of a run bounded."""
    count = sum(layer.thickness for layer in layers) / sublayer_max
    if count > MOST_SUBLAYERS:
        yield Problem(("layer",), f"give at most {MOST_SUBLAYERS} sublayers of basis.sublayer_max", f"{count:.0f}")


def smear_inside(layers: tuple[Layer, ...], columns: Columns) -> Problems:
    """The disturbed zone of a column ends before the edge of its cell."""
    area = math.sqrt(3) / 2 if columns.pattern == "triangular" else 1.0
    ratio = math.sqrt(4 * area / math.pi) * columns.spacing / columns.diameter
    for index, layer in enumerate(layers):
        if layer.smear is not None and 1 < ratio <= layer.smear.ratio:
            must = f"be less than the diameter of the unit cell over that of the column ({ratio:.2f})"
            yield Problem(("layer", index, "smear", "ratio"), must)


def sleeve_radius(columns: Columns, sleeve: Sleeve) -> Problems:
    """One of oversize and installed radius; the sleeve is not smaller than the column."""
    if (sleeve.oversize is None) == (sleeve.installed_radius is None):
        got = "neither" if sleeve.oversize is None else "both"
        yield Problem(("sleeve", "oversize"), "be given, or installed_radius, but not both", got)
    elif sleeve.oversize is not None and sleeve.oversize >= columns.diameter / 4:
        yield Problem(("sleeve", "oversize"), f"be less than half the column radius ({columns.diameter / 4:g} m)")
    elif sleeve.installed_radius is not None and sleeve.installed_radius >= 0.75 * columns.diameter:
        must = f"be less than one and a half times the column radius ({0.75 * columns.diameter:g} m)"
        yield Problem(("sleeve", "installed_radius"), must)
    elif sleeve.installed_radius is not None and sleeve.installed_radius < columns.diameter / 2:
        yield Problem(("sleeve", "installed_radius"), f"be at least the column radius ({columns.diameter / 2:g} m)")


def reinforcement_in_fill(
    reinforcement: tuple[ReinforcementLayer, ...],
    ground_level: float,
    embankment: Embankment,
    platform: Platform | None,
) -> Problems:
    """Reinforcement lies between the ground and the crest."""
    crest = ground_level + embankment.least_height + (platform.thickness if platform else 0.0)
    for index, layer in enumerate(reinforcement):
        if not above(crest, layer.level):
            yield Problem(("reinforcement", index, "level"), f"be below the crest of the final state ({crest:g} m)")
        elif above(ground_level, layer.level):
            must = f"be an elevation not below the ground ({ground_level:g} m), where columns would stand through it"
            yield Problem(("reinforcement", index, "level"), must)


def depth_of_slip_surfaces(slip: Slip | None, layers: tuple[Layer, ...], embankment: Embankment) -> Problems:
    """Some slip surface is deep enough to be looked at."""
    deepest = embankment.least_height + sum(layer.thickness for layer in layers)
    if slip is not None and not above(deepest, slip.min_depth):
        must = f"be less than height of fill and thickness of the soft layers together ({deepest:g} m)"
        yield Problem(("slip", "min_depth"), must)


def plant_of_first_lift(
    first_lift: FirstLift | None,
    stages: tuple[Stage, ...],
    reinforcement: tuple[ReinforcementLayer, ...],
    ground_level: float,
    platform: Platform | None,
) -> Problems:
    """The same machines load soft ground, slip surfaces and reinforcement while the first lift is placed."""
    if first_lift is None or not reinforcement:
        return
    bottom = min(layer.level for layer in reinforcement) - ground_level
    base = platform.thickness if platform else 0.0
    before = 0.0
    for index, stage in enumerate(stages):
        top = base + stage.fill_height
        placed = above(top, before) and above(top, bottom) and above(bottom + first_lift.thickness, before)
        if placed and (stage.plant or 0.0) != first_lift.plant:
            must = (
                f"be that of first_lift.plant ({first_lift.plant:g} kPa), because a slip surface or a block of soft "
                "ground may lie below these machines alone: no mean over a wider lift"
            )
            yield Problem(("stage", index, "plant"), must, "nothing" if stage.plant is None else None)
        before = top


def submerged_fill(makeup_fill: bool, embankment: Embankment) -> Problems:
    """Compensation fill may settle below water."""
    if makeup_fill and embankment.gamma_sub is None:
        yield Problem(("embankment", "gamma_sub"), "be given with makeup_fill, or makeup_fill be false", "nothing")
    if embankment.gamma_sub is not None and embankment.gamma_sub >= embankment.gamma:
        yield Problem(("embankment", "gamma_sub"), f"be less than gamma ({embankment.gamma:g} kN/m^3)")


def chainage_of_three_digits(chainage: str) -> Problems:
    """Places in kilometres and metres have three digits of metres: 12+50 may be 1250 m or 12 050 m."""
    if re.search(r"\d\+(?!\d{3}(?!\d))", chainage):
        yield Problem(("chainage",), "have three digits of metres after each +, such as 0+120 (12+050 is 12.05 km)")


def berms(embankment: Embankment, stages: tuple[Stage, ...]) -> Problems:
    """A berm lies below the fill that it stands beside, is no steeper, and comes with a stage that is given."""
    names = [stage.name for stage in stages]
    for side, berm in embankment.berms.items():
        path, run = ("embankment", f"berm_{side}"), getattr(embankment, f"slope_{side}")
        if berm.slope < run:
            yield Problem((*path, "slope"), f"not be steeper than the side slope (1:{run:g})")
        if berm.stage not in names:
            yield Problem((*path, "stage"), f"name a stage that is given ({', '.join(names)})")
            continue
        least = min(stages[names.index(berm.stage) :], key=lambda stage: stage.fill_height)
        height = min(least.fill_height, embankment.heights[side])
        if not above(height, berm.height):
            must = f"be below the fill of every stage from {berm.stage} on ({height:g} m in {least.name})"
            yield Problem((*path, "height"), must)


def lower_berms(embankment: Embankment) -> Problems:
    """A lower berm, or a further step, lies below what it stands beside, and is no steeper."""
    for side in SIDES:
        berm = getattr(embankment, f"berm_{side}")
        if berm is None:
            continue
        table = ("embankment", f"berm_{side}")
        if berm.further and berm.lower is None:
            yield Problem((*table, "further"), "be left out without a lower berm, below which they stand", "a list")
            continue
        over = berm
        for path, step in berm.lower_steps:
            if step.slope < over.slope:
                must = f"not be steeper than the slope of the berm above it (1:{over.slope:g})"
                yield Problem((*table, *path, "slope"), must)
            if step.height and not above(over.height, step.height):
                yield Problem((*table, *path, "height"), f"be below the berm above it ({over.height:g} m)")
            over = step


SECTION_RULES = (
    layer_keys,
    unit_weights_of_layers,
    unit_weights_of_bearing_layer,
    unit_weights_of_fill,
    unit_weights_below,
    sublayer_count,
    smear_inside,
    sleeve_radius,
    reinforcement_in_fill,
    depth_of_slip_surfaces,
    plant_of_first_lift,
    submerged_fill,
    chainage_of_three_digits,
    berms,
    lower_berms,
    *FILL_ZONE_RULES,
)

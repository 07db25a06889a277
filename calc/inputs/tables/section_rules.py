"""Rules between the values of a section; each is applied as soon as the values that it names are readable."""

import math
import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from calc.engine.levels import above, same
from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import ColumnField, Columns
from calc.inputs.tables.embankment import Embankment, Platform
from calc.inputs.tables.ground import BearingLayer, Layer, LayerBelow, Water
from calc.inputs.tables.sleeve import ReinforcementLayer, Sleeve, StiffnessAt
from calc.inputs.tables.slip import Slip
from calc.inputs.tables.stages import FirstLift, Stage

MOST_SUBLAYERS = 400
LEAST_GROWTH = 0.5  # exponent from which the modulus is judged at the stress below
STRESS = 100.0  # kPa


class Problem(NamedTuple):
    """What is wrong at a path of the file, or in a row of the file of results; without `got` the text as typed."""

    path: Path
    must: str
    got: str | None = None
    row: int | None = None


Problems = Iterator[Problem]


def unique(values: Sequence[Any], path: Path, key: str) -> Problems:
    """No value twice in a list of tables."""
    for index, value in enumerate(values):
        if value in values[:index]:
            yield Problem((*path, index, key), "be used once only")


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


EXCLUDED = (
    ("c_u_profile", "c_u"), ("c_u_profile", "c_u_growth"), ("sigma_p", "OCR"), ("S", "phi_cu"),
    ("sigma_p_profile", "sigma_p"), ("sigma_p_profile", "OCR"), ("sigma_p_profile", "OCR_profile"),
    ("OCR_profile", "sigma_p"), ("OCR_profile", "OCR"),
)  # fmt: skip
PROFILES = ("c_u_profile", "sigma_p_profile", "OCR_profile")


def points_of_layers(layers: tuple[Layer, ...]) -> Problems:
    """Points over depth lead from the top of their layer to its base."""
    top = 0.0
    for index, layer in enumerate(layers):
        base = top + layer.thickness
        for name in PROFILES:
            if (profile := getattr(layer, name)) is not None:
                depths = [depth for depth, _ in profile.line]
                for k, must in _misplaced(depths, top, base):
                    yield Problem(("layer", index, name, "points", k, "depth"), must)
        top = base


def _misplaced(depths: Sequence[float], top: float, base: float) -> Iterator[tuple[int, str]]:
    """The points that do not lie where they must, by index."""
    last = len(depths) - 1
    for k, depth in enumerate(depths):
        if k == 0 and not same(depth, top):
            yield k, f"be that of the top of the layer ({top:.12g} m): nothing is extrapolated"
        elif k == last and not same(depth, base):
            yield k, f"be that of the base of the layer ({base:.12g} m): nothing is extrapolated"
        elif above(depth, base) or above(top, depth):
            yield k, f"lie in the layer ({top:.12g} m to {base:.12g} m)"
        elif k and above(depths[k - 1], depth):
            yield k, f"not be above the point before it ({depths[k - 1]:.12g} m)"
        elif k and same(depth, depths[k - 1]):
            if k in {1, last}:
                yield k, "differ from that before it: a value jumps inside the layer only"
            elif same(depths[k - 2], depth):
                yield k, "be that of two points at most"


def soil_data(layers: tuple[Layer, ...]) -> Problems:
    """Values that exclude or need each other."""
    for index, layer in enumerate(layers):
        for one, other in EXCLUDED:
            if getattr(layer, one) is not None and getattr(layer, other) is not None:
                yield Problem(("layer", index, other), f"be left out where {one} is given")
        # An e-fold of stress would press the layer to nothing; of a nearly constant modulus one stress says nothing.
        if layer.m >= LEAST_GROWTH and layer.E_oed_ref * (STRESS / layer.p_ref) ** layer.m < STRESS:
            must = f"give a modulus of at least {STRESS:g} kPa at a stress of {STRESS:g} kPa, with p_ref and m"
            yield Problem(("layer", index, "E_oed_ref"), must)
        for one, other in (("c_u_growth", "c_u"), ("m_shansep", "S"), ("C_alpha", "e_0")):
            has = layer.has_strength if other == "c_u" else getattr(layer, other) is not None
            if getattr(layer, one) is not None and not has:
                yield Problem(("layer", index, other), f"be given where {one} is given", "nothing")


def sublayer_count(layers: tuple[Layer, ...], sublayer_max: float) -> Problems:
    """Keep the arrays of a run bounded."""
    count = sum(layer.thickness for layer in layers) / sublayer_max
    if count > MOST_SUBLAYERS:
        yield Problem(("layer",), f"give at most {MOST_SUBLAYERS} sublayers of basis.sublayer_max", f"{count:.0f}")


def columns_apart(columns: Columns) -> Problems:
    """Neighbouring columns do not touch: the area ratio stays below 0.9069 (triangular) or 0.7854 (square)."""
    if columns.spacing <= columns.diameter:
        yield Problem(("columns", "spacing"), f"be greater than the diameter ({columns.diameter:g} m)")
    if columns.installation == "displacement" and columns.K_star is None:
        yield Problem(("columns", "K_star"), "be given for displacement columns", "nothing")


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


def sleeve_strength(sleeve: Sleeve) -> Problems:
    """The strength chain of the sleeve is complete and its stiffness falls with time."""
    yield from _geosynthetic(sleeve, ("sleeve",))


def reinforcement_strength(reinforcement: tuple[ReinforcementLayer, ...]) -> Problems:
    """The same for each layer of horizontal reinforcement."""
    yield from unique([layer.name for layer in reinforcement], ("reinforcement",), "name")
    for index, layer in enumerate(reinforcement):
        yield from _geosynthetic(layer, ("reinforcement", index))


def _geosynthetic(material: Sleeve | ReinforcementLayer, path: Path) -> Problems:
    if material.factors is None and material.iso20432 is None:
        yield Problem((*path, "factors"), "be given, or iso20432, or both", "neither")
    at = (*path, "stiffness")
    yield from unique([point.name for point in material.stiffness], at, "name")
    for index, (before, point) in enumerate(pairwise(material.stiffness), start=1):
        yield from _falls(before, point, (*at, index))


def _falls(before: StiffnessAt, point: StiffnessAt, path: Path) -> Problems:
    if point.time <= before.time:
        yield Problem((*path, "time"), f"be later than the time before it ({before.time:g} d)")
    if before.J < point.J:
        yield Problem((*path, "J"), f"not be greater than the stiffness before it ({before.J:g} kN/m)")


def reinforcement_ends(reinforcement: tuple[ReinforcementLayer, ...]) -> Problems:
    """Sheets overlap or are joined; what is folded back has a cover; only layers across are anchored there."""
    for index, layer in enumerate(reinforcement):
        path, ends = ("reinforcement", index), layer.anchorage
        if layer.joint is not None and layer.overlap is not None:
            yield Problem((*path, "joint"), "be left out where overlap is given")
        if ends is None:
            continue
        if layer.direction == "along":
            yield Problem((*path, "anchorage"), "be given for layers across or in both directions only", "a table")
        if (ends.fold_back is None) != (ends.fold_back_cover is None):
            missing, given = ("fold_back", "fold_back_cover")[:: 1 if ends.fold_back is None else -1]
            yield Problem((*path, "anchorage", missing), f"be given where {given} is given", "nothing")


def reinforcement_in_fill(
    reinforcement: tuple[ReinforcementLayer, ...],
    ground_level: float,
    embankment: Embankment,
    platform: Platform | None,
) -> Problems:
    """Reinforcement lies below the crest."""
    crest = ground_level + embankment.least_height + (platform.thickness if platform else 0.0)
    for index, layer in enumerate(reinforcement):
        if not above(crest, layer.level):
            yield Problem(("reinforcement", index, "level"), f"be below the crest of the final state ({crest:g} m)")


def depth_of_slip_surfaces(slip: Slip | None, layers: tuple[Layer, ...], embankment: Embankment) -> Problems:
    """Some slip surface is deep enough to be looked at."""
    deepest = embankment.least_height + sum(layer.thickness for layer in layers)
    if slip is not None and not above(deepest, slip.min_depth):
        must = f"be less than height of fill and thickness of the soft layers together ({deepest:g} m)"
        yield Problem(("slip", "min_depth"), must)


def drag_of_panels(first_lift: FirstLift | None) -> Problems:
    """The drag of the soft ground needs its strength, the number and the width of the panels."""
    names = ("remoulded_strength", "panels", "panel_width")
    missing = [name for name in names if first_lift is not None and getattr(first_lift, name) is None]
    if 0 < len(missing) < len(names):
        for name in missing:
            must = "be given with the other two of " + ", ".join(names)
            yield Problem(("first_lift", name), must, "nothing")


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


def fill_zones(
    embankment: Embankment, makeup_fill: bool, water_table: Water, ground_level: float, platform: Platform | None
) -> Problems:  # fmt: skip
    """Zones follow one another from the bottom up within the fill and above water."""
    yield from unique([one.name for one in embankment.zone], ("embankment", "zone"), "name")
    base = ground_level + (platform.thickness if platform else 0.0)
    water = max((level.level for level in water_table.levels()), default=-math.inf)
    under = 0.0
    for index, zone in enumerate(embankment.zone):
        path = ("embankment", "zone", index)
        if above(under, zone.bottom):
            yield Problem((*path, "bottom"), f"not be below the top of the zone before it ({under:g} m)")
        if not above(zone.top, zone.bottom):
            yield Problem((*path, "top"), f"be above its bottom ({zone.bottom:g} m)")
        if above(zone.top, embankment.least_height):
            yield Problem((*path, "top"), f"not be above the crest ({embankment.least_height:g} m)")
        if above(water, base + zone.bottom):
            least = f"{water - base:g} m, the highest water level"
            yield Problem((*path, "bottom"), f"not be below {least}: the buoyancy of a zone is not calculated")
        if makeup_fill and zone.gamma > embankment.gamma and not above(embankment.least_height, zone.top):
            must = "be below the crest where it is heavier than the fill, which compensation fill is taken as"
            yield Problem((*path, "top"), must)
        under = zone.top


def shear_at_the_top(column_field: ColumnField | None) -> Problems:
    """The ground is either held back at its top or driven outward there."""
    if column_field is not None and column_field.hold_top and column_field.thrust_in_ground:
        yield Problem(("field", "thrust_in_ground"), f"be 0 or left out where hold_top is {column_field.hold_top:g}")


SECTION_RULES = (
    layer_keys,
    unit_weights_of_layers,
    unit_weights_of_bearing_layer,
    unit_weights_of_fill,
    unit_weights_below,
    points_of_layers,
    soil_data,
    sublayer_count,
    columns_apart,
    smear_inside,
    sleeve_radius,
    sleeve_strength,
    reinforcement_strength,
    reinforcement_ends,
    reinforcement_in_fill,
    depth_of_slip_surfaces,
    drag_of_panels,
    plant_of_first_lift,
    submerged_fill,
    chainage_of_three_digits,
    berms,
    fill_zones,
    shear_at_the_top,
)

"""Rules of the zones of the fill: where they lie, and what is not calculated with one that ends within the bank."""

from math import inf

from calc.engine.levels import above
from calc.inputs.tables.columns import ColumnField, Columns
from calc.inputs.tables.embankment import Embankment, Platform
from calc.inputs.tables.ground import Layer, Water
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.stages import Stage

WITH = "with a zone of the fill that ends within the bank"


def fill_zones(
    embankment: Embankment, makeup_fill: bool, water_table: Water, ground_level: float, platform: Platform | None
) -> Problems:  # fmt: skip
    """Zones follow one another from the bottom up within the fill and above water."""
    yield from unique([zone.name for zone in embankment.zone], ("embankment", "zone"), "name")
    base = ground_level + (platform.thickness if platform else 0.0)
    water = max((level.level for level in water_table.levels()), default=-inf)
    for index, zone in enumerate(embankment.zone):
        path = ("embankment", "zone", index)
        left, right = embankment.ends(zone)
        beside = [embankment.ends(other) for other in embankment.zone[:index]]
        below = [other for other, (low, high) in zip(embankment.zone, beside, strict=False)
                 if above(high, left) and above(right, low)]  # fmt: skip
        under = max((other.top for other in below), default=0.0)
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


def ends_of_zones(embankment: Embankment) -> Problems:
    """A zone ends within the bank: no further out than the side slope at its bottom, and above a berm."""
    for index, zone in enumerate(embankment.zone):
        path = ("embankment", "zone", index)
        for side, sign in (("left", -1.0), ("right", 1.0)):
            end, berm = getattr(zone, side), embankment.berms.get(side)
            if end is None:
                continue
            low = max(zone.bottom, berm.height if berm else 0.0)
            most = embankment.face(side, low)
            if above(sign * end, most):
                where = "meets the berm" if berm and low > zone.bottom else "is at the bottom of the zone"
                bound = f"at {'most' if sign > 0 else 'least'} {sign * most:g} m"
                must = f"be {bound}, where the side slope {where}; left out, the zone reaches the slope"
                yield Problem((*path, side), must)
        if zone.left is not None and zone.right is not None and not above(zone.right, zone.left):
            yield Problem((*path, "right"), f"be to the right of its left end ({zone.left:g} m)")


def not_with_ends(
    embankment: Embankment, layers: tuple[Layer, ...], stages: tuple[Stage, ...], columns: Columns,
    column_field: ColumnField | None, makeup_fill: bool,
) -> Problems:  # fmt: skip
    """What would be computed as if the zone lay across the whole bank is refused."""
    if not embankment.is_cored:
        return
    if embankment.lower:
        must = f"be that of the other crest edge {WITH}: its load is calculated under a level crest alone"
        yield Problem(("embankment", f"height_{embankment.lower}"), must)
    for index, layer in enumerate(layers):
        for side in ("left", "right"):
            if getattr(layer, f"thickness_{side}") is not None:
                must = f"be left out {WITH}: the load at the positions across is not calculated"
                yield Problem(("layer", index, f"thickness_{side}"), must)
    if columns.floating is not None:  # with columns that float both of the following are refused anyway
        return
    for index, stage in enumerate(stages):
        if stage.c_u_gain:
            must = f"be left out {WITH}: below it the ground gains less than the load beside it would give"
            yield Problem(("stage", index, "c_u_gain"), must)
    if makeup_fill and column_field is not None and column_field.sleeve_cohesion:
        must = f"be false {WITH} and compensation fill: the ring tension without that fill is not found at its places"
        yield Problem(("field", "sleeve_cohesion"), must)


FILL_ZONE_RULES = (fill_zones, ends_of_zones, not_with_ends)

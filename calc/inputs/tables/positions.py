"""Layers that thicken or thin across a section: what is refused, and the positions at which it is calculated."""

from calc.engine.levels import above, same
from calc.inputs.tables.columns import ColumnField, Columns
from calc.inputs.tables.earthquake import Earthquake
from calc.inputs.tables.embankment import SIDES, Embankment, Platform
from calc.inputs.tables.filters import Plug
from calc.inputs.tables.ground import PROFILES, Layer, Water
from calc.inputs.tables.ground_model import GroundModel
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.section import DERIVED, Position, Provenance, Section
from calc.inputs.tables.stages import COMPUTED, Stage
from calc.inputs.tables.widening import Widening

STEEPEST = 0.25  # of a boundary between layers: the unit cell has level layers
WHERE = "with layers that change their thickness across"


def _slopes(layers: tuple[Layer, ...]) -> bool:
    return any(not same(layer.at_toe(side), layer.thickness) for layer in layers for side in SIDES)


def to_toe(embankment: Embankment, platform: Platform | None, side: str) -> float:
    """Distance in m from the axis to the toe of the side slope, in the final state."""
    height = embankment.heights[side] + (platform.thickness if platform else 0.0)
    return float(embankment.crest_width / 2 + getattr(embankment, f"slope_{side}") * height)


def thickness_of_sides(layers: tuple[Layer, ...], embankment: Embankment, platform: Platform | None) -> Problems:
    """Boundaries between layers are gentle, and soft ground is left at both toes."""
    for side in SIDES:
        reach, rise = to_toe(embankment, platform, side), 0.0
        for index, layer in enumerate(layers):
            before, rise = rise, rise + layer.at_toe(side) - layer.thickness
            if above(abs(rise), STEEPEST * reach):
                least, most = (layer.thickness - before + sign * STEEPEST * reach for sign in (-1, 1))
                must = (
                    f"be {max(least, 0.0):.2f} m to {most:.2f} m, so that the base of the layer slopes by no more than "
                    f"1:{1 / STEEPEST:g} over the {reach:.2f} m from the axis to the toe"
                )
                yield Problem(("layer", index, f"thickness_{side}"), must)
                break
        if not any(above(layer.at_toe(side), 0.0) for layer in layers):
            must = "be greater than 0 of one layer at least: columns end in firm ground below soft ground"
            yield Problem(("layer", len(layers) - 1, f"thickness_{side}"), must)


def not_with_sloping_layers(
    layers: tuple[Layer, ...], columns: Columns, makeup_fill: bool, water_table: Water,
    column_field: ColumnField | None, earthquake: Earthquake | None, widening: Widening | None,
) -> Problems:  # fmt: skip
    """What would be calculated as if the ground at the axis were that of the whole section is refused."""
    if not _slopes(layers):
        return
    if makeup_fill:
        yield Problem(
            ("makeup_fill",), f"be false {WHERE}: fill for a settlement that differs across is not calculated"
        )
    if widening is not None:
        must = f"be left out {WHERE}: an old bank is calculated on level layers alone"
        yield Problem(("widening",), must, "a table")
    if columns.floating is not None:
        yield Problem(
            ("columns", "floating"), f"be left out {WHERE}: the soft ground goes on below the toes", "a table"
        )
    if columns.zone:
        must = f"be left out {WHERE}: each zone of columns is calculated on level layers alone"
        yield Problem(("columns", "zone"), must, "a table")
    if water_table.heads:
        yield Problem(("water", "head"), f"be left out {WHERE}: heads over depth are level", "a list")
    if column_field is not None and column_field.sleeve_cohesion:
        must = f"be false {WHERE}: the ring tension that it rests on differs across"
        yield Problem(("field", "sleeve_cohesion"), must)
    if earthquake is not None and earthquake.screening is not None:
        must = f"be left out {WHERE}: soundings lie at depths below the ground at the axis"
        yield Problem(("earthquake", "screening"), must, "a table")


def values_at_one_depth(
    layers: tuple[Layer, ...], stages: tuple[Stage, ...], ground_model: GroundModel | None, plug: Plug | None,
    columns: Columns,
) -> Problems:  # fmt: skip
    """Values that belong to a depth or to the thickness at the axis are refused as well."""
    if not _slopes(layers):
        return
    for index, layer in enumerate(layers):
        for name in PROFILES:
            if getattr(layer, name) is not None:
                must = f"be left out {WHERE}: points over depth hold at one place across alone"
                yield Problem(("layer", index, name), must, "a table")
    for index, stage in enumerate(stages):
        if stage.c_u_gain == COMPUTED:
            must = f"be a number {WHERE}: it is compared with the gain calculated at every position"
            yield Problem(("stage", index, "c_u_gain"), must)
    if ground_model is not None:
        must = f"be left out {WHERE}: results of tests are told to the layers by their depth below the axis"
        yield Problem(("ground_model",), must, "a table")
    least = min(sum(layer.at_toe(side) for layer in layers) for side in SIDES) + columns.embedment
    if plug is not None and plug.length is not None and above(plug.length, least):
        must = f"not be greater than the shortest column below the ground ({least:g} m), at a toe"
        yield Problem(("plug", "length"), must)


POSITION_RULES = (thickness_of_sides, not_with_sloping_layers, values_at_one_depth)


def with_positions(section: Section) -> tuple[Section, ...]:
    """The section, and where its layers change their thickness its positions from left to right."""
    sides = [side for side in SIDES if section.slopes_on(side)]
    return section, *(section_at(section, Position(side, toe)) for side in sides for toe in (False, True))


def section_at(section: Section, position: Position) -> Section:
    """The section with level ground as it is at a position."""
    side, bank = position.side, section.embankment
    share = 1.0 if position.toe else bank.crest_width / 2 / to_toe(bank, section.platform, side)
    layers, origins = list[Layer](), dict[str, Provenance]()
    for layer in section.layers:
        there = layer.at_toe(side)
        thickness = float(f"{layer.thickness + (there - layer.thickness) * share:.12g}")
        if not above(thickness, 0.0):
            continue
        layers.append(
            layer.model_copy(update={"thickness": thickness, "thickness_left": None, "thickness_right": None})
        )
        if not same(there, layer.thickness):
            path = f"layer.{layer.key}.thickness"
            origins[path] = _origin(section, path, f"{path}_{side}", position, thickness)
    # Quantities are those of the whole section; hold points and triggers stay, because results rely on them.
    built = section.construction and section.construction.model_copy(update={"quantities": None})
    return section.at_position(position, tuple(layers), origins, construction=built)


def _origin(section: Section, axis: str, toe: str, position: Position, thickness: float) -> Provenance:
    """Where the thickness at a position comes from: the field of the toe, or both of which it lies between."""
    at_axis, at_toe = section.origin(axis), section.origin(toe)
    if position.toe:
        return at_toe
    between = f"straight between {at_axis.text} at the axis and {at_toe.text} at the toe"
    text = f"{thickness:.3f} m at the {position.words}, {between}"
    return Provenance(text, None, None, DERIVED)

"""Rules of columns that end in soft ground: what they need, and what is not covered together with them."""

from calc.engine.levels import above
from calc.inputs.reading.locate import Path
from calc.inputs.tables.columns import Columns
from calc.inputs.tables.consolidation import Consolidation
from calc.inputs.tables.earthquake import Earthquake
from calc.inputs.tables.filters import Filters
from calc.inputs.tables.ground import BearingLayer, Layer, LayerBelow, Water
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.stages import Stage
from calc.inputs.tables.uplift import Uplift

WHERE = "with columns.floating"


def soft_ground_at_the_toes(columns: Columns, bearing_layer: BearingLayer, layers: tuple[Layer, ...]) -> Problems:
    """The soft layers end at the toes, and the soft ground there has its undrained strength."""
    if columns.floating is None:
        return
    if columns.embedment:
        must = f"be 0 {WHERE}: the soft layers end at the toes, a layer that reaches deeper is split there"
        yield Problem(("columns", "embedment"), must)
    if bearing_layer.firm:
        yield Problem(("bearing_layer", "firm"), f"be false {WHERE}: it is the soft ground that the toes stand in")
    if bearing_layer.c_u is not None:
        yield Problem(("bearing_layer", "c_u"), f"be left out {WHERE}, whose c_u stands for it")
    for index, layer in enumerate(layers):
        if not layer.has_strength:
            yield Problem(("layer", index, "c_u"), f"be given {WHERE}: it limits the adhesion of the shaft", "nothing")


def ground_below_the_toes(columns: Columns, layers_below: tuple[LayerBelow, ...]) -> Problems:
    """The ground below the toes settles, and consolidates by its own coefficient."""
    if columns.floating is None:
        return
    thickness = sum(layer.thickness for layer in layers_below)
    if not layers_below:
        yield Problem(("layer_below",), f"hold the layers below the toes {WHERE}", "nothing")
    elif above(columns.floating.soft_below, thickness):
        must = f"not be greater than the layers below the toes are thick ({thickness:g} m)"
        yield Problem(("columns", "floating", "soft_below"), must)
    drained = next((k for k, layer in enumerate(layers_below) if layer.drains), len(layers_below))
    soft = sum(layer.thickness for layer in layers_below[:drained])
    if above(soft, columns.floating.soft_below):
        must = f"not be less than the layers below the toes down to the first that drains are thick ({soft:g} m)"
        yield Problem(("columns", "floating", "soft_below"), must)
    for index, layer in enumerate(layers_below):
        if not layer.drains and layer.c_v is None:
            yield Problem(("layer_below", index, "c_v"), f"be given {WHERE} unless drains is true", "nothing")


def not_with_floating_columns(
    columns: Columns, makeup_fill: bool, water_table: Water, uplift: Uplift | None, earthquake: Earthquake | None,
    consolidation: Consolidation | None, filters: Filters | None,
) -> Problems:  # fmt: skip
    """What would be computed as if the columns stood in a firm layer is refused."""
    if columns.floating is None:
        return
    if makeup_fill:
        yield Problem(("makeup_fill",), f"be false {WHERE}: the fill for the settlement is not found for them")
    tables: tuple[tuple[Path, object], ...] = (
        (("water", "head"), water_table.heads), (("uplift",), uplift), (("earthquake",), earthquake),
    )  # fmt: skip
    for path, table in tables:
        if table:
            yield Problem(path, f"be left out {WHERE}: it is not covered for them", "a table")
    if consolidation is not None and consolidation.drainage == "both":
        yield Problem(("consolidation", "drainage"), f'be "top" {WHERE}: the toes stand in soft ground')
    if consolidation is not None and consolidation.secondary_reduction is not None:
        must = f"be left out {WHERE}: within the sharing length the columns take nothing off the soil"
        yield Problem(("consolidation", "secondary_reduction"), must, "a table")
    drainage = filters.drainage if filters else None
    if drainage is not None and drainage.ends == "both":
        yield Problem(("filters", "drainage", "ends"), f'be "top" {WHERE}: the toes stand in soft ground')


def stages_on_floating_columns(columns: Columns, stages: tuple[Stage, ...]) -> Problems:
    """The load of the columns comes back to the soil above the toes: none of it is taken off the soil for good."""
    if columns.floating is None:
        return
    for index, stage in enumerate(stages):
        if stage.n_stability != 1:
            must = f"be 1 {WHERE}: what they carry comes back to the soil above their toes"
            yield Problem(("stage", index, "n_stability"), must)
        if stage.c_u_gain is not None:
            must = f"be left out {WHERE}: surfaces pass below the toes, where no column drains the ground"
            yield Problem(("stage", index, "c_u_gain"), must)


FLOATING_RULES = (
    soft_ground_at_the_toes, ground_below_the_toes, not_with_floating_columns, stages_on_floating_columns,
)  # fmt: skip

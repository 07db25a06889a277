"""The same thing seen from behind the page: a mass that slides to the left becomes one that slides to the right."""

from dataclasses import replace
from typing import Any, TypeVar

from calc.procedures.slip.model import (
    BlockSearch,
    Circle,
    Columns,
    Layer,
    Lens,
    Line,
    Model,
    Range,
    Search,
    Soil,
    Surface,
)

Asked = Circle | Surface | Search | BlockSearch
Extent = TypeVar("Extent")


def mirrored_line(line: Line) -> Line:
    """The line with x reversed, again with growing x."""
    return tuple((-x, y) for x, y in reversed(line))


def mirrored_range(given: Range) -> Range:
    """The range with x reversed."""
    return -given[1], -given[0]


def _mirrored_extent(extent: Extent) -> Extent:
    """Anything that reaches from ``x_left`` to ``x_right``."""
    return replace(extent, x_left=-extent.x_right, x_right=-extent.x_left)  # type: ignore[type-var, attr-defined]


def _mirrored_soil(soil: Soil) -> Soil:
    """The soil with the line that its strength grows from reversed."""
    return replace(soil, c_u_line=mirrored_line(soil.c_u_line)) if soil.c_u_line else soil


def _mirrored_columns(field: Columns) -> Columns:
    """The columns with the lines of their toes and of the firm layer reversed."""
    bend = field.bending
    if bend and bend.firm:
        bend = replace(bend, firm=mirrored_line(bend.firm))
    return replace(_mirrored_extent(field), bending=bend, toes=mirrored_line(field.toes) if field.toes else None)


def mirrored_model(model: Model) -> Model:
    """The cross-section with x reversed."""
    return replace(
        model,
        surface=mirrored_line(model.surface),
        layers=tuple(
            Layer(
                _mirrored_soil(layer.soil),
                mirrored_line(layer.top) if layer.top else None,
                mirrored_line(layer.piezometric) if layer.piezometric else None,
            )
            for layer in model.layers
        ),
        lenses=tuple(
            Lens(_mirrored_soil(lense.soil), tuple((-x, y) for x, y in lense.polygon)) for lense in model.lenses
        ),
        water=replace(model.water, table=mirrored_line(model.water.table)) if model.water else None,
        strips=tuple(_mirrored_extent(strip) for strip in model.strips),
        columns=_mirrored_columns(model.columns) if model.columns else None,
        reinforcement=tuple(_mirrored_extent(mat) for mat in model.reinforcement),
        hard=mirrored_line(model.hard) if model.hard else None,
    )


def mirrored_question(asked: Asked) -> Asked:
    """The surface or search with x reversed."""
    if isinstance(asked, Circle):
        return replace(asked, x=-asked.x)
    if isinstance(asked, Surface):
        return replace(
            asked,
            points=mirrored_line(asked.points),
            interface=tuple(len(asked.points) - 2 - piece for piece in reversed(asked.interface)),
        )
    if isinstance(asked, BlockSearch):
        return replace(
            asked,
            base=mirrored_line(asked.base),
            active=mirrored_range(asked.active),
            passive=mirrored_range(asked.passive),
        )
    return mirrored_search(asked)


def mirrored_search(asked: Search) -> Search:
    """The search with x reversed."""
    ranges: dict[str, Any] = {
        name: mirrored_range(given)
        for name in ("centre_x", "entry", "exit")
        if (given := getattr(asked, name)) is not None
    }
    return replace(asked, **ranges)

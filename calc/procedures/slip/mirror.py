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


def mirrored_range(limits: Range) -> Range:
    """The range with x reversed."""
    return -limits[1], -limits[0]


def _mirrored_extent(extent: Extent) -> Extent:
    """Anything that reaches from ``x_left`` to ``x_right``."""
    return replace(extent, x_left=-extent.x_right, x_right=-extent.x_left)  # type: ignore[type-var, attr-defined]


def _mirrored_soil(soil: Soil) -> Soil:
    """The soil with the line that its strength grows from reversed."""
    return replace(soil, c_u_line=mirrored_line(soil.c_u_line)) if soil.c_u_line else soil


def _mirrored_columns(field: Columns) -> Columns:
    """The columns with their zones, and with the lines of their toes and of the firm layer reversed."""
    bend = field.bending
    if bend and bend.firm:
        bend = replace(bend, firm=mirrored_line(bend.firm))
    return replace(
        _mirrored_extent(field),
        bending=bend,
        toes=mirrored_line(field.toes) if field.toes else None,
        zones=tuple(_mirrored_extent(zone) for zone in reversed(field.zones)),
    )


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


def mirrored_question(question: Asked) -> Asked:
    """The surface or search with x reversed."""
    if isinstance(question, Circle):
        return replace(question, x=-question.x)
    if isinstance(question, Surface):
        return replace(
            question,
            points=mirrored_line(question.points),
            interface=tuple(len(question.points) - 2 - piece for piece in reversed(question.interface)),
        )
    if isinstance(question, BlockSearch):
        return replace(
            question,
            base=mirrored_line(question.base),
            active=mirrored_range(question.active),
            passive=mirrored_range(question.passive),
        )
    return mirrored_search(question)


def mirrored_search(question: Search) -> Search:
    """The search with x reversed."""
    ranges: dict[str, Any] = {
        name: mirrored_range(limits)
        for name in ("centre_x", "entry", "exit")
        if (limits := getattr(question, name)) is not None
    }
    return replace(question, **ranges)

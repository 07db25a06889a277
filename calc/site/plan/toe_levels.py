"""Levels of heads and toes: of the section, or interpolated between investigation points."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from calc.formulas.column_plan import (
    bearing_level_between,
    length_between_levels,
    longer_than_design,
    shorter_than_design,
    sounding_weight,
)
from calc.formulas.places import bearing_layer_level, toe_level
from calc.formulas.quantities import head_level
from calc.inputs.tables.columns import ColumnZone
from calc.inputs.tables.plan import Plan
from calc.site.plan.column_layout import Area, Array, Laid, Marks

AT_POINT = 0.01  # m; nearer than this a column stands on the point and has its level
CENTIMETRE, HAIR = 100, 1e-6  # levels are written to the centimetre; what floating numbers add is no part of them


@dataclass(frozen=True)
class Levels:
    """Levels of head, toe and top of the bearing layer of every column, m, and the distance to the nearest point."""

    head: Array
    toe: Array
    firm: Array
    nearest: Array | None
    design: Array
    """Length of the columns as the section has it, m."""
    design_firm: Array
    """Top of the bearing layer as the section has it, m."""
    design_toe: Array
    """Level of the toe as the section has it, m."""

    @property
    def length(self) -> Array:
        """Length of the columns, m."""
        lengths: Array = length_between_levels(z_H=self.head, z_toe=self.toe)
        return lengths

    @property
    def longer(self) -> Array:
        """What columns are longer than in the design, before levels are rounded, m."""
        excess: Array = longer_than_design(z_firm=self.design_firm, z_fi=self.firm)
        return excess

    @property
    def shorter(self) -> Array:
        """What columns are shorter than in the design, before levels are rounded, m."""
        lack: Array = shorter_than_design(z_firm=self.design_firm, z_fh=self.firm)
        return lack


def firm_level(area: Area, zone: ColumnZone | None) -> float:
    """Top of the bearing layer as the section has it at its axis, m; of columns that float the level of their toes."""
    depth = area.section.toe_depth(zone) - area.section.columns.embedment_of(zone)
    return float(bearing_layer_level(z_g=area.section.ground_level, t_soft=depth))


def of_columns(areas: Sequence[Area], columns: Laid, number: Callable[[Area, ColumnZone | None], float]) -> Array:
    """A number of every column, which its area and its zone there have."""
    numbers = np.zeros(len(columns))
    for area in areas:
        for k, strip in enumerate(area.strips):
            numbers[(columns.area == area.index) & (columns.strip == k)] = number(area, strip.zone)
    return numbers


def float_in(area: Area, zone: ColumnZone | None) -> bool:
    """Whether the columns of a grid of an area end in soft ground."""
    return area.section.columns.floating is not None or (zone is not None and zone.floating is not None)


def floats(areas: Sequence[Area], columns: Laid) -> Marks:
    """The columns that end in soft ground by design."""
    floating: Marks = of_columns(areas, columns, float_in) > 0
    return floating


def levels_of(plan: Plan, areas: Sequence[Area], columns: Laid) -> Levels:
    """Interpolate the top of the bearing layer at every column by the inverse square of the distance on the ground."""
    of = columns.area
    head = np.array([head_level(z_g=area.section.ground_level, t_up=area.section.columns.upstand) for area in areas])[
        of
    ]
    own = of_columns(areas, columns, firm_level)
    embedment = of_columns(areas, columns, lambda area, zone: area.section.columns.embedment_of(zone))
    firm, nearest = own, None
    if plan.investigation:
        distance = distances(plan, columns)
        level = np.array([point.bearing_level for point in plan.investigation])
        weight = sounding_weight(d_i=np.maximum(distance, AT_POINT))
        firm, nearest = bearing_level_between(w_b=weight, z_i=level)[:, 0], distance.min(axis=1)
        firm = np.where(nearest <= AT_POINT, level[distance.argmin(axis=1)], firm)
        # Columns that end in soft ground have the level of the design: no bearing layer was found for them.
        firm = np.where(floats(areas, columns), own, firm)
    # To the centimetre, as they are written, heads up and toes down: lengths and cuts follow from what the site reads,
    # and no column is shorter than its levels ask for.
    up = np.round(np.ceil(CENTIMETRE * head - HAIR) / CENTIMETRE, 2) + 0.0  # and no head at minus nothing
    toe = np.round(np.floor(CENTIMETRE * toe_level(z_firm=firm, t_emb=embedment) + HAIR) / CENTIMETRE, 2)
    design_toe = toe_level(z_firm=own, t_emb=embedment)
    return Levels(up, toe, firm, nearest, length_between_levels(z_H=head, z_toe=design_toe), own, design_toe)


def distances(plan: Plan, columns: Laid) -> Array:
    """From every column to every investigation point on the ground, m."""
    points = np.array([(point.easting, point.northing) for point in plan.investigation])
    e, n = columns.easting[:, None] - points[:, 0], columns.northing[:, None] - points[:, 1]
    apart: Array = np.hypot(e, n) / plan.scale_factor
    return apart

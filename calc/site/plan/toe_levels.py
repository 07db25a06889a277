"""Levels of heads and toes: of the section, or interpolated between investigation points."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.formulas.column_plan import bearing_level_between, sounding_weight
from calc.inputs.tables.plan import Plan
from calc.site.plan.column_layout import Area, Array, Laid

AT_POINT = 0.01  # m; nearer than this a column stands on the point and has its level


@dataclass(frozen=True)
class Levels:
    """Levels of head, toe and top of the bearing layer of every column, m, and the distance to the nearest point."""

    head: Array
    toe: Array
    firm: Array
    nearest: Array | None
    design: Array
    """Length of the columns as the section has it, m."""

    @property
    def length(self) -> Array:
        """Length of the columns, m."""
        return self.head - self.toe


def section_firm(area: Area) -> float:
    """Top of the bearing layer as the section has it at its axis, m."""
    return area.section.ground_level - sum(layer.thickness for layer in area.section.layers)


def levels_of(plan: Plan, areas: Sequence[Area], columns: Laid) -> Levels:
    """Interpolate the top of the bearing layer at every column by the inverse square of the distance on the ground."""
    of = columns.area
    head = np.array([one.section.ground_level + one.section.columns.upstand for one in areas])[of]
    own = np.array([section_firm(one) for one in areas])[of]
    embedment = np.array([one.section.columns.embedment for one in areas])[of]
    firm, nearest = own, None
    if plan.investigation:
        distance = distances(plan, columns)
        level = np.array([one.bearing_level for one in plan.investigation])
        weight = sounding_weight(d_i=np.maximum(distance, AT_POINT))
        firm, nearest = bearing_level_between(w_b=weight, z_i=level)[:, 0], distance.min(axis=1)
        firm = np.where(nearest <= AT_POINT, level[distance.argmin(axis=1)], firm)
        # Columns that end in soft ground have the level of the design: no bearing layer was found for them.
        firm = np.where(np.array([one.section.columns.floating is not None for one in areas])[of], own, firm)
    # To the centimetre, as they are written: lengths and cuts follow from what the site reads.
    toe = np.round(firm - embedment, 2)
    return Levels(np.round(head, 2), toe, firm, nearest, head - own + embedment)


def distances(plan: Plan, columns: Laid) -> Array:
    """From every column to every investigation point on the ground, m."""
    points = np.array([(one.easting, one.northing) for one in plan.investigation])
    e, n = columns.easting[:, None] - points[:, 0], columns.northing[:, None] - points[:, 1]
    found: Array = np.hypot(e, n) / plan.scale_factor
    return found

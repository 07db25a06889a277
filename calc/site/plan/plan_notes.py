"""What the plan has to tell of itself as a whole: zones, footprint and investigation points that meet no column."""

import numpy as np
from scipy.spatial import cKDTree

from calc.engine.words import words_of
from calc.inputs.tables.plan import Plan
from calc.site.plan.column_layout import Laid, Layout, in_corners, in_footprint, in_zone, joined_layout, to_border

say = words_of(__name__)


def plan_notes(plan: Plan, layout: Layout) -> tuple[str, ...]:
    """A sentence for everything that is given and takes no part in the plan, and for what the plan does not reach."""
    every = joined_layout([layout.columns, *(out for _, out in layout.left_out)])
    return (*_idle_zones(plan, layout, every), *_footprint(plan, layout, every), *_far_points(plan, every))


def _idle_zones(plan: Plan, layout: Layout, every: Laid) -> list[str]:
    """Exclusion zones in which no column would stand: most of them are meant to be elsewhere."""
    notes = []
    for zone in plan.exclusion:
        if not in_zone(zone, every, plan.scale_factor, layout.areas).any():
            away = float(to_border(zone.corner, every)[1].min()) / plan.scale_factor
            notes.append(say("idle-zone", name=zone.name, away=f"{away:.1f}"))
    return notes


def _footprint(plan: Plan, layout: Layout, every: Laid) -> list[str]:
    """Parts of the footprint without columns, and where it goes on beyond the field of the design."""
    if plan.footprint is None:
        return []
    footprint = plan.footprint
    notes = [say("idle-part", number=k, name=footprint.name)
             for k, part in enumerate(footprint.part, start=1) if not in_corners(part.corner, every).any()]  # fmt: skip
    over = in_footprint(footprint, layout.beyond)
    notes += [say("goes-on", name=footprint.name, letter=area.given.letter)
              for area in layout.areas if (over & (layout.beyond.area == area.index)).any()]  # fmt: skip
    return notes


def _far_points(plan: Plan, every: Laid) -> list[str]:
    """Investigation points farther from every column than columns may be from them; they count all the same."""
    far = plan.investigation_far
    if far is None:
        return []
    points = np.array([(point.easting, point.northing) for point in plan.investigation])
    middle = points.mean(axis=0)
    tree = cKDTree(np.column_stack([every.easting, every.northing]) - middle)
    away = tree.query(points - middle)[0] / plan.scale_factor
    return [say("far-point", name=point.name, away=f"{distance:.1f}", limit=f"{far:g}")
            for point, distance in zip(plan.investigation, away.tolist(), strict=True) if distance > far]  # fmt: skip

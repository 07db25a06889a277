"""Readings of section A after 200 days, and what they make of the answer on its stage 3."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from calc.engine.sheet import Sheet
from calc.inputs.tables.monitoring import Trigger
from calc.inputs.tables.observed import ColumnsAccepted
from calc.site.observed.columns_there import ColumnsKnown
from calc.site.observed.course_grid import grid_of
from calc.site.observed.crossings import Crossing, UnreadTrigger
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.next_lift import NextLift, next_lift
from calc.site.observed.series import Peak, Series
from calc.site.observed.settlement_analysis import Analysis, analyse
from tests.site.invented_readings import built, design, series, true_settlement

approx = pytest.approx


@cache
def plate() -> Analysis:
    """A plate at the axis, read every three days."""
    course, days = built("A"), np.arange(0.0, 201.0, 3.0)
    return analyse(course, grid_of(course, course.known, days.tolist()),
                   series("A", "SP-1", "settlement", days, true_settlement("A", 0.0, days)))  # fmt: skip


def sensor(last: float, pressure: float, *, name: str = "PP", depth: float = 4.25) -> Series:
    """A sensor, in the organic clay if nothing else is said, that reads the same for ten days."""
    days = np.arange(last - 10, last + 0.5, 2.0)
    return series("A", name, "pore pressure", days, np.full(len(days), pressure), depth=depth)


def vanes(strength: float) -> list[Series]:
    return [series("A", f"VT-{k}", "undrained strength", np.array([178.0]), np.array([strength]), depth=depth)
            for k, depth in enumerate((1.0, 4.25))]  # fmt: skip


def accepted() -> ColumnsKnown:
    """The columns of the section, accepted by a statement before any fill."""
    observed = design().observed
    assert observed is not None
    stated = ColumnsAccepted(section="A", date=dt.date(2025, 5, 23), by="supervision", document="record 31")
    return ColumnsKnown(observed.model_copy(update={"columns": (stated,)}))


def lift_of(pressure: float | None, strength: float | None = 30.0, found: list[Crossing] | None = None,
            *, course: DesignCourse | None = None, plates: bool = True,
            peaks: Sequence[Peak] = ()) -> NextLift:  # fmt: skip
    """Stage 3 of section A after 200 days, without slip searches."""
    own = [] if pressure is None else [sensor(200.0, pressure), sensor(200.0, 0.0, name="PP-0", depth=1.0)]
    own += vanes(strength) if strength is not None else []
    whole = next(one for one in design().sections if one.key == "A")
    made = next_lift(course or built("A"), whole, own, [plate()] if plates else [], found or [], peaks=peaks,
                     slip=False, columns=accepted())  # fmt: skip
    assert made is not None
    return made


def states(lift: NextLift) -> dict[str, str]:
    return {one.key: one.state for one in lift.sheet.verdicts}


def note_of(lift: NextLift, key: str) -> str:
    return next(one.note for one in lift.sheet.verdicts if one.key == key)


def other_lift(own: list[Series], analyses: list[Analysis], *, course: DesignCourse | None = None,
               unread: list[UnreadTrigger] | None = None) -> NextLift:  # fmt: skip
    """Stage 3 of section A by other readings."""
    whole = next(one for one in design().sections if one.key == "A")
    made = next_lift(course or built("A"), whole, own, analyses, [], unread or [], slip=False,
                     columns=accepted())  # fmt: skip
    assert made is not None
    return made


def with_trigger(**changes: object) -> DesignCourse:
    """The section with one more trigger for stage 3."""
    course = built("A")
    plan = course.section.monitoring
    assert plan is not None
    same = {"action": "wait", "decides": "designer", "source": "plan", "stage": "Stage 3", "kind": "stop"}
    trigger = Trigger.model_validate(same | changes)
    plan = plan.model_copy(update={"triggers": (*plan.triggers, trigger)})
    return replace(course, section=course.section.model_copy(update={"monitoring": plan}))


def with_gain(gain: float, state: float) -> DesignCourse:
    """The section with a gain of strength that its chapter on consolidation computes, by ground of more strength."""
    course = built("A")
    own = course.done["consolidation"]
    values = dict(own.scopes["gain"].values)
    alone = np.zeros_like(values["Dc_us"].array)
    alone[4] = gain  # stage 3
    values["Dc_us"] = replace(values["Dc_us"], array=alone)
    values["S_nc"] = replace(values["S_nc"], array=np.full_like(values["S_nc"].array, state))
    sheet = replace_scopes(own, {"gain": replace(own.scopes["gain"], values=values)})
    return replace(course, done={**course.done, "consolidation": sheet})


def replace_scopes(sheet: Sheet, changes: dict) -> Sheet:  # type: ignore[type-arg]
    made = Sheet(section=sheet.section, key=sheet.key)
    made.__dict__.update(sheet.__dict__)
    made.scopes = {**sheet.scopes, **changes}
    made.sheet = made
    return made

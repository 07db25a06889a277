"""Whether the columns of a section stand: by installation records, or by a statement of the project."""

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from calc.engine.sheet import Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.words import words_of
from calc.inputs.tables.observed import ColumnsAccepted, Observed
from calc.site.observed.design_course import DesignCourse
from calc.site.observed.works_dates import calendar_day

if TYPE_CHECKING:  # it needs packages that readings do without
    from calc.site.installed.installed_run import Installation
    from calc.site.installed.recorded_columns import Compared

say = words_of(__name__)

FEW = 5  # ids that are named
KEY = "columns"
FIRST_DAY = dt.date(1970, 1, 1)  # that records count from


@dataclass(frozen=True)
class ColumnsKnown:
    """What is known of the columns of all sections: records that were judged, and what the project states.

    ``on`` is the day of the question, if there is one: what is stated on a later day is not known on it.
    """

    observed: Observed
    records: "Installation | None" = None
    on: dt.date | None = None

    def stated(self, section: str) -> ColumnsAccepted | None:
        """The statement on the columns of a section."""
        return next((statement for statement in self.observed.columns if statement.section == section), None)


def columns_stand(sheet: Sheet, course: DesignCourse, place: int, known: ColumnsKnown | None) -> None:
    """The verdict on the columns before the lift of a stage: a lift is placed on columns that are known to stand."""
    title = say("title")
    stated = None if known is None else known.stated(course.section.of)
    records = None if known is None else known.records
    on = None if known is None else known.on
    unheard = stated is not None and on is not None and stated.date > on
    filled = _first_fill(course)
    by = course.calendar.starts[place] if filled is None else filled
    if records is not None:
        wrong, doubts = _by_records(course, records, by, None if unheard else stated, filled=filled is not None)
        if wrong:
            sheet.verdicts.append(Verdict(KEY, title, "fail", note=" ".join(wrong)))
        elif doubts:
            sheet.not_verified(KEY, title, " ".join(doubts))
        else:
            sheet.settled(KEY, title, say("by-records", count=len(_own(course, records))))
    elif stated is None:
        sheet.not_verified(KEY, title, say("nothing", section=course.section.of))
    elif unheard:
        sheet.not_verified(KEY, title, say("stated-later", date=stated.date.isoformat(), asked=f"{on}"))
    elif _day_of(course, stated.date) > by:
        since = calendar_day(course.design, by)
        sheet.not_verified(KEY, title, say("stated-late", date=stated.date.isoformat(), since=since))
    else:
        sheet.accepted(KEY, title, say("stated", by=stated.by, document=stated.document.rstrip("."),
                                       date=stated.date.isoformat()))  # fmt: skip


def _first_fill(course: DesignCourse) -> float | None:
    """Day on which fill above the working platform was first read; None where none was."""
    rising = [k for k, stage in enumerate(course.section.stages) if stage.fill_height > 0 and course.works.read[k]]
    return course.calendar.starts[rising[0]] if rising else None


def _day_of(course: DesignCourse, day: dt.date) -> float:
    """A day of the calendar as a day from the start of works."""
    assert course.design.observed is not None  # noqa: S101 - without it nothing is observed
    return float((day - course.design.observed.start).days)


def _own(course: DesignCourse, records: "Installation") -> list[int]:
    """The columns of the plan that stand in the section; those left out of the plan are none of it."""
    areas, laid = records.compared.made.layout.areas, records.compared.made.layout.columns
    own = [k for k, area in enumerate(areas) if area.section.of == course.section.of]
    return np.flatnonzero(np.isin(laid.area, own)).tolist()


def _by_records(
    course: DesignCourse, records: "Installation", by: float, stated: ColumnsAccepted | None, *, filled: bool
) -> tuple[list[str], list[str]]:
    """What records say against the lift, and what they leave open.

    ``by`` is the day that the columns are to stand by: of the first fill where that lies, else of the lift.
    """
    compared, own = records.compared, _own(course, records)
    if not own:
        return [], [say("no-plan", section=course.section.of)]
    start = _day_of(course, FIRST_DAY)
    days = {
        k: start + float(np.floor(compared.begun[k])) for k in own if compared.has[k] and np.isfinite(compared.begun[k])
    }
    gone = [k for k in own if compared.missing[k]]
    late = [k for k, day in days.items() if day > by]
    lack = [k for k in own if not compared.has[k] and not compared.missing[k]]
    undated = [k for k in own if compared.has[k] and k not in days]
    wrong, doubts, whole = list[str](), list[str](), len(own)
    against = wrong if filled else doubts
    if gone:
        against.append(say("missing", count=len(gone), whole=whole, ids=_ids_text(compared, gone)))
    if late:
        against.append(
            say("later", count=len(late), day=calendar_day(course.design, by), ids=_ids_text(compared, late))
        )
    if lack:
        doubts.append(say("unrecorded", count=len(lack), whole=whole, ids=_ids_text(compared, lack)))
    if undated:
        doubts.append(say("undated", count=len(undated), ids=_ids_text(compared, undated)))
    waiting = [k for k in own if compared.ids[k] in records.to_decide]
    latest = max(days.values(), default=0.0)
    decided = stated is not None and _day_of(course, stated.date) >= latest
    if waiting and not decided:
        doubts.append(say("to-decide", count=len(waiting), ids=_ids_text(compared, waiting)))
    if compared.installed.limits is None and not decided:
        doubts.append(say("no-limits"))
    short = [grid.name for grid in records.built.grids if grid.area.section.of == course.section.of
             and any(verdict.state == "fail" for verdict in grid.sheet.verdicts)]  # fmt: skip
    if short:
        doubts.append(say("short", grids=", ".join(short)))
    if any(each.turns for each in records.again or () if each.section == course.section.of):
        doubts.append(say("turns"))
    return wrong, doubts


def _ids_text(compared: "Compared", which: list[int]) -> str:
    ids = [compared.ids[k] for k in which]
    return ", ".join(ids[:FEW]) + (say("more") if len(ids) > FEW else "")

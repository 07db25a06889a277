"""Plan, records and readings of a site: the runs that the page shows."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from calc.inputs import Design, InputError, InputErrors
from calc.site.installed.installed_run import Installation, judge_installed
from calc.site.observed.observed_run import Observation, observe
from calc.site.observed.readings_file import read_files
from calc.site.observed.series import instrument_quantities
from calc.site.plan.write_plan import MadePlan, make_plan

WORST = ("fail", "incomplete", "pass")


@dataclass(frozen=True)
class Site:
    """What the page is about; records and readings are None where no file is given."""

    design: Design
    made: MadePlan
    records: Installation | None
    readings: Observation | None

    @property
    def outcome(self) -> str:
        """The worst of both outcomes; pass where nothing was read."""
        known = {run.outcome for run in (self.records, self.readings) if run is not None}
        return next((word for word in WORST if word in known), "pass")


def run_site(
    design: Design, records: Sequence[Path], readings: Sequence[Path], tell: Callable[[str], None], *, again: bool,
    slip: bool, on: dt.date | None = None, latest: dt.date | None = None,
) -> Site:  # fmt: skip
    """Lay the plan out, judge the records, compare the readings.

    ``on`` is the day of the question, ``latest`` the last day that anything can be of.
    ``InputErrors`` where files of either kind cannot be read: those of both together.
    """
    plan, installed, observed = design.plan, design.installed, design.observed
    assert plan is not None  # noqa: S101 - the command asks for it
    errors, taken = list[InputError](), None
    if readings and observed is not None:
        # Read before anything is calculated: what is wrong in them is told with what is wrong in the records.
        try:
            taken = read_files(readings, observed, instrument_quantities(design, observed), latest)
        except InputErrors as wrong:
            errors += wrong.errors
    made, judged, read = make_plan(design, plan), None, None
    if records and installed is not None:
        try:
            judged = judge_installed(design, plan, installed, records, tell, again=again and not errors, slip=slip,
                                     made=made, latest=latest)  # fmt: skip
        except InputErrors as wrong:
            errors += wrong.errors
    if errors:
        raise InputErrors(errors)
    if taken is not None and observed is not None:
        read = observe(design, observed, readings, list(design.sections), tell, slip=slip, taken=taken, on=on,
                       records=judged)  # fmt: skip
    return Site(design, made, judged, read)

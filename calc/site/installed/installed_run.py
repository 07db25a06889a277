"""Files of installation records against the plan and the design: everything that they say."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from calc.engine.words import words_of
from calc.inputs import Design
from calc.inputs.tables.installed import Installed
from calc.inputs.tables.plan import Plan
from calc.run_progress import Progress, Tell
from calc.site.installed.as_built import AsBuilt, as_built
from calc.site.installed.by_depth import judge_by_depth
from calc.site.installed.design_again import Again, design_again
from calc.site.installed.judging import Finding, Item, judge
from calc.site.installed.neighbour_times import judge_neighbours, judge_sequence
from calc.site.installed.progress_forecast import ProgressOfWork, progress_of
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import Compared, compare
from calc.site.installed.weights import by_weight
from calc.site.plan.write_plan import MadePlan, make_plan

say = words_of(__name__)

OF_THE_COLUMN = {
    "plausible", "position", "inclination", "toe", "toe_low", "refusal", "length", "diameter", "volume", "depth",
    "sleeve", "sleeve_length", "serial",
}  # fmt: skip
"""Items for which a column may have to be replaced; the others are about its record or the order of work."""


@dataclass(frozen=True)
class Installation:
    """What all files say; ``again`` is None where the design was not to be calculated again."""

    design: Design
    compared: Compared
    items: tuple[Item, ...]
    built: AsBuilt
    again: tuple[Again, ...] | None
    progress: ProgressOfWork

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """Every non-conformity, by weight."""
        return by_weight([finding for item in self.items for finding in item.findings])

    @cached_property
    def to_decide(self) -> dict[str, tuple[str, ...]]:
        """Columns of the plan of which the designer decides whether they stay, with their items."""
        to_decide: dict[str, tuple[str, ...]] = {}
        known = set(self.compared.ids)
        for finding in self.findings:
            if finding.item in OF_THE_COLUMN and not finding.open and finding.id in known:
                to_decide[finding.id] = tuple(dict.fromkeys((*to_decide.get(finding.id, ()), finding.item)))
        return to_decide

    @property
    def windows_fail(self) -> bool:
        """Whether an area ratio as built is below what is asked."""
        return any(verdict.state == "fail" for grid in self.built.grids for verdict in grid.sheet.verdicts)

    @property
    def outcome(self) -> str:
        """Fail where anything does not conform; incomplete where an item was not judged."""
        if self.findings or self.windows_fail or any(again.turns for again in self.again or ()):
            return "fail"
        open_design = self.again is None or any(again.open for again in self.again)
        unjudged = any(item.why_not for item in self.items) or bool(self.built.why_not or self.built.unjudged)
        return "incomplete" if open_design or unjudged or self.compared.records.refused else "pass"


def judge_installed(
    design: Design, plan: Plan, installed: Installed, files: Sequence[Path], tell: Tell, *, again: bool, slip: bool,
    made: MadePlan | None = None, latest: dt.date | None = None,
) -> Installation:  # fmt: skip
    """Read the files and judge them; ``InputErrors`` where nothing can be read.

    ``latest`` is the last day that a record can be of, tomorrow if it is not given.
    """
    tell(Progress(say("reading"), 0.0, opens=True))
    records = read_records(files, installed, latest)
    compared = compare(made or make_plan(design, plan), installed, records)
    tell(Progress(say("judging"), 0.0, opens=True))
    items = (*judge(compared), judge_by_depth(compared), judge_neighbours(compared), judge_sequence(compared))
    built = as_built(design, compared)
    redone = design_again(design, compared, built, items, tell, slip=slip) if again else None
    return Installation(design, compared, items, built, redone, progress_of(compared))

"""Non-conformities by their weight: what may be wrong with a column before the order of work, many alike as one."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from calc.engine.words import words_of
from calc.site.installed.judging import Finding

say = words_of(__name__)

BY_WEIGHT = (
    "ids", "plausible", "toe", "refusal", "toe_low", "length", "depth", "volume", "diameter", "sleeve", "sleeve_length",
    "position", "inclination", "serial", "sequence", "times", "interruption", "duration", "neighbours",
)  # fmt: skip
"""Items, those by which a column may carry less first, those of the order of work last: project rule."""
OF_THE_WORK = frozenset(BY_WEIGHT[BY_WEIGHT.index("sequence") :])
MANY = 10  # of one item of the order of work, or of records that do not say what is asked, from which one line has all


@dataclass(frozen=True, slots=True)
class Group:
    """Many non-conformities of one item that are no more than the order of work or gaps of records; ``worst`` first."""

    worst: Finding
    count: int
    columns: int
    note: str = ""
    """What all of them are."""

    @property
    def text(self) -> str:
        """How many there are, and the one farthest from its limit."""
        worst = self.worst
        if worst.value is None:
            if self.note:
                return say("alike", note=self.note, columns=self.columns)
            return say("many", count=self.count, columns=self.columns)
        return say("many-worst", count=self.count, columns=self.columns, id=worst.id,
                   value=worst.unit.shown(worst.value),
                   limit=worst.unit.shown(worst.limit))  # fmt: skip


def by_weight(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The heaviest item first; of an item what was recorded before what was not, the farthest from its limit first."""
    return tuple(
        sorted(
            findings, key=lambda finding: (BY_WEIGHT.index(finding.item), finding.open, -_excess(finding), finding.id)
        )
    )


def findings_in_groups(findings: Sequence[Finding]) -> Iterator[Finding | Group]:
    """Findings by weight, and in the place of many light ones of an item one group."""
    alike: dict[tuple[str, bool], list[Finding]] = {}
    for finding in findings:
        alike.setdefault((finding.item, finding.open), []).append(finding)
    for (item, opened), own in alike.items():
        if len(own) > MANY and (opened or item in OF_THE_WORK):
            yield Group(own[0], len(own), len({finding.id for finding in own}),
                        own[0].note if len({finding.note for finding in own}) == 1 else "")  # fmt: skip
        else:
            yield from own


def _excess(finding: Finding) -> float:
    return 0.0 if finding.value is None or finding.limit is None else abs(finding.value - finding.limit)

"""Which verdicts rest on some of the recorded steps: on through what was calculated from them, by stage."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from calc.engine.sheet.steps import Step, Verdict
from calc.engine.sheet.values import Value

STAGE = "stage"
OF_STAGE, OF_ALL = "of the stage that reads it", "of all"  # where a value of no stage rests on them: in their stages
Places = Mapping[str, Collection[str]]
"""By key of the step the stages in which it rests on what is looked for, or one of the two above."""


@dataclass(frozen=True)
class RestsOn:
    """A limitation turns the verdicts that rest on steps which `wanted` tells, with their numbers of some stages.

    A verdict rests on them whatever its key is: nothing has to be said for one that is added to a chapter.
    """

    wanted: Callable[[Step], bool]
    stages: Collection[str]

    def among(self, verdicts: Iterable[Verdict], steps: Iterable[Step]) -> list[str]:
        """The keys of those verdicts; ``steps`` are all on which they may rest, in the order of the record."""
        places: dict[str, Collection[str]] = {}
        for step in steps:
            if at_stages := self._places(step, places):
                places[step.key] = at_stages
        return [
            verdict.key for verdict in verdicts if verdict.utilisations is not None and self._reaches(verdict, places)
        ]

    def _reaches(self, verdict: Verdict, places: Places) -> bool:
        """Whether a verdict with a number has one that rests on them."""
        compared = verdict.utilisations
        assert compared is not None  # noqa: S101 - asked before
        own = _with_numbers(compared) if STAGE in compared.axis_names else ("",)
        return any(self._rests(side, stage, places) for side in verdict.sides or () for stage in own)

    def _places(self, step: Step, places: Places) -> Collection[str]:
        """Where a step rests on them by what it reads, or is one of them."""
        reads = [given.value for given in step.inputs.values() if given.value.step in places]
        wanted = self.wanted(step)
        if not reads and not wanted:
            return ()
        if STAGE not in step.value.axis_names:
            # One number of all stages; what has none either is that of the stage which reads this.
            whole = any(OF_STAGE not in places[value.step] and self._rests(value, "", places) for value in reads)
            there = wanted or any(OF_STAGE in places[value.step] for value in reads)
            return (*([OF_ALL] if whole else []), *([OF_STAGE] if there else []))
        own = _with_numbers(step.value)
        if STAGE in step.moves and any(self._rests(value, "", places) for value in reads):
            return own
        return [
            stage for stage in own
            if (wanted and stage in self.stages) or any(self._rests(value, stage, places) for value in reads)
        ]  # fmt: skip

    def _rests(self, value: Value, stage: str, places: Places) -> bool:
        """Whether a value as it is read in a stage rests on them; in any without a stage."""
        at_stages = places.get(value.step, ())
        if OF_STAGE in at_stages or OF_ALL in at_stages:
            return OF_ALL in at_stages or not stage or stage in self.stages
        chosen = dict(value.chosen).get(STAGE)
        if chosen is not None:
            return chosen in at_stages
        if not stage or STAGE not in value.axis_names:
            return bool(at_stages)
        if value.earlier is not None and value.earlier.name == STAGE:
            every = value.earlier.labels
            stage = every[every.index(stage) - 1] if every.index(stage) else ""
        return stage in at_stages


def _with_numbers(value: Value) -> tuple[str, ...]:
    """The stages in which a value has a number."""
    others = tuple(k for k, axis in enumerate(value.axes) if axis.name != STAGE)
    return tuple(np.array(value.labels(STAGE))[np.any(value.valid, axis=others)].tolist())

"""Which verdicts rest on some of the recorded steps: back through what their lines were calculated from, by stage."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass

from calc.engine.sheet.steps import Step, Verdict
from calc.engine.sheet.values import Value

STAGE = "stage"


@dataclass(frozen=True)
class RestsOn:
    """A limitation turns the verdicts that rest on steps which `wanted` tells, with their numbers of some stages.

    A verdict rests on them whatever its key is: nothing has to be said for one that is added to a chapter.
    """

    wanted: Callable[[Step], bool]
    stages: Collection[str]

    def tells(self, verdict: Verdict, steps: Mapping[str, Step]) -> bool:
        """Whether a verdict with a number rests on them; ``steps`` are those of its section by key."""
        assert verdict.sides is not None  # noqa: S101 - a verdict with a number has both
        assert verdict.utilisations is not None  # noqa: S101 - the same
        compared = verdict.utilisations
        own = _with_numbers(compared, compared.labels(STAGE)) if STAGE in compared.axis_names else ("",)
        pending = [at for side in verdict.sides for stage in own for at in _read(side, stage, steps)]
        seen = set[tuple[str, str]]()
        while pending:
            at = pending.pop()
            if at in seen:
                continue
            seen.add(at)
            key, stage = at
            step = steps[key]
            if (not stage or stage in self.stages) and self.wanted(step):
                return True
            # One number of all stages, or a reading that takes others than its own.
            free = STAGE not in step.value.axis_names or STAGE in step.moves
            reads = [given.value for given in step.inputs.values()]
            pending += [
                before for value in reads
                for before in _read(value, "" if free and STAGE in value.axis_names else stage, steps)
            ]  # fmt: skip
        return False


def _read(value: Value, stage: str, steps: Mapping[str, Step]) -> Iterator[tuple[str, str]]:
    """The step that a value is of and the stages at which it is read; that for which, where it is the same in all."""
    if value.step not in steps:
        return
    whole = steps[value.step].value
    if STAGE not in whole.axis_names:
        yield value.step, stage
        return
    labels = whole.labels(STAGE)
    chosen = dict(value.chosen).get(STAGE)
    if chosen is not None:
        labels = (chosen,)
    elif STAGE in value.axis_names:
        labels = (stage,) if stage in value.labels(STAGE) else value.labels(STAGE)
        if value.earlier is not None and value.earlier.name == STAGE:
            every = value.earlier.labels
            labels = tuple(every[every.index(label) - 1] for label in labels if every.index(label))
    for label in _with_numbers(whole, labels):
        yield value.step, label


def _with_numbers(value: Value, stages: Collection[str]) -> tuple[str, ...]:
    """Those of some stages in which a value has a number."""
    every = value.labels(STAGE)
    return tuple(stage for stage in stages if stage in every and value.at(stage=stage).valid.any())

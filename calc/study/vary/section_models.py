"""Verdicts of a section as functions of its inputs: the recorded steps again, or the chain itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calc.chain import CalculationError, Run, run_section
from calc.engine.sheet import Sheet, Verdict
from calc.inputs import Design
from calc.study.changed import with_numbers
from calc.study.replay import Replay
from calc.study.replay_plan import UnfollowedError
from calc.study.vary.marginals import Floats


class UnknownVerdictError(LookupError):
    """A verdict that the section does not have, or that compares no numbers there."""


def verdict_of(run: Run, section: str, name: str) -> Verdict:
    """The verdict with numbers under "chapter/key" of a section; `UnknownVerdictError` with those that are known."""
    sheets = next(part.sheets for part in run.sections if part.section.key == section)
    known = {f"{sheet.key}/{one.key}": one for sheet in sheets for one in sheet.verdicts if one.utilisation is not None}
    if name not in known:
        raise UnknownVerdictError(", ".join(known))
    return known[name]


@dataclass(frozen=True)
class Followed:
    """Utilisations over their limits by the record of a run."""

    replay: Replay

    def __call__(self, values: Mapping[str, Floats]) -> dict[str, Floats]:
        """Utilisation over its limit of every verdict; infinite where the calculation has no solution."""
        found = self.replay(values)
        return {name: array / self.replay.limits[name] for name, array in found.items()}


@dataclass(frozen=True)
class Chained:
    """The same by a run of all chapters for every point: whatever the inputs do, at a second and more a point."""

    design: Design
    section: str
    verdicts: tuple[str, ...]

    def __call__(self, values: Mapping[str, Floats]) -> dict[str, Floats]:
        """Utilisations over their limits, infinite where a chapter has no solution or the verdict no number."""
        count = len(next(iter(values.values())))
        rows = [self._at({path: float(array[k]) for path, array in values.items()}) for k in range(count)]
        return {name: np.array([row[name] for row in rows]) for name in self.verdicts}

    def _at(self, numbers: Mapping[str, float]) -> dict[str, float]:
        section = next(one for one in self.design.sections if one.key == self.section)
        try:
            part = run_section(*with_numbers(self.design, section, numbers))
        except CalculationError:
            return dict.fromkeys(self.verdicts, np.inf)
        return {name: _ratio(part.sheets, name) for name in self.verdicts}


def _ratio(sheets: Sequence[Sheet], name: str) -> float:
    for sheet in sheets:
        for one in sheet.verdicts:
            if f"{sheet.key}/{one.key}" == name and one.utilisation is not None:
                return one.utilisation / one.limit
    return np.inf


@dataclass(frozen=True)
class SectionModels:
    """What can be followed for many points, and with its reason what only the chain can say."""

    followed: Mapping[str, Followed]
    chained: Mapping[str, str]


def section_models(
    run: Run, design: Design, section: str, verdicts: Sequence[str], paths: Sequence[str]
) -> SectionModels:
    """The models of the verdicts; one whose record does not hold what an input does is left to the chain."""
    followed, chained = dict[str, Followed](), dict[str, str]()
    for name in verdicts:
        try:
            followed[name] = Followed(Replay(run, design, section, [name], paths))
        except UnfollowedError as error:
            chained[name] = str(error)
    return SectionModels(followed, chained)

"""results.json as an archive reads it: only what comparing needs, checked, because a file may come from outside."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from calc.archive.refusals import DamagedArchive
from calc.engine.sheet import FORMER_AXES


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)


class Typed(_Part):
    """A value as typed in the project file, or the default of its field."""

    text: str
    line: int | None
    origin: str


class Axis(_Part):
    """A named axis with its labels; one that earlier programs called otherwise has that name."""

    name: Annotated[str, AfterValidator(lambda name: FORMER_AXES.get(name, name))]
    labels: tuple[str, ...]


class FormulaName(_Part):
    """Which equation, and the hash of what it says."""

    id: str
    hash: str


class StepResult(_Part):
    """The unrounded result: a number, nested lists along the axes, None where there is no number."""

    value: Any
    unit: str


class RecordedStep(_Part):
    """One step; one that stands in a table has no number of a line."""

    number: str | None
    key: str
    kind: str
    symbol: str
    title: str
    formula: FormulaName | None
    axes: tuple[Axis, ...]
    inputs: dict[str, Any]
    result: StepResult
    shown: dict[str, str]
    fingerprint: str


STAMPS_OF = {
    "pass": ("pass", "accepted by statement"), "fail": ("fail",),
    "not verified": ("not verified", "not required", "not applicable"),
}  # fmt: skip


class RecordedVerdict(_Part):
    """One verdict; results of earlier programs have no stamp."""

    key: str
    title: str
    state: str
    stamp: str = ""
    utilisation: float | None
    limit: float
    required: bool

    @property
    def words(self) -> str:
        """The state as pages say it; a stamp that does not go with the state is not believed."""
        return self.stamp if self.stamp in STAMPS_OF.get(self.state, ()) else self.state


class RecordedCheck(_Part):
    """One chapter."""

    key: str
    title: str
    steps: tuple[RecordedStep, ...]
    verdicts: tuple[RecordedVerdict, ...]


class RecordedSection(_Part):
    """One section."""

    key: str
    title: str
    checks: tuple[RecordedCheck, ...]


class Software(_Part):
    """Which program calculated."""

    version: str
    fingerprint: str


class Recorded(_Part):
    """All recorded results of a run."""

    schema_number: Annotated[int, Field(alias="schema", ge=1, le=1)]
    software: Software
    outcome: str
    inputs_sha256: str
    data_sha256: str = ""
    sections: tuple[RecordedSection, ...]
    provenance: dict[str, Typed]

    def chapters(self) -> Iterator[tuple[RecordedSection, RecordedCheck]]:
        """Every chapter with its section."""
        return ((section, check) for section in self.sections for check in section.checks)

    def steps(self) -> dict[str, "Placed"]:
        """Every step by its key, with the chapter that it stands in."""
        return {
            step.key: Placed(step, section.key, check.title)
            for section, check in self.chapters()
            for step in check.steps
        }


@dataclass(frozen=True, slots=True)
class Placed:
    """A step and where it stands."""

    step: RecordedStep
    section: str
    chapter: str


@contextmanager
def _resting_collector() -> Iterator[None]:
    """Keep the garbage collector from walking the growing lists over and over: three quarters of the time."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


def read_recorded(content: bytes, place: str) -> Recorded:
    """Read recorded results; `place` names them in messages."""
    try:
        with _resting_collector():
            return Recorded.model_validate_json(content)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"])[:100] or "the file"
        message = f"{place}: {where}: {first['msg'][:200]}"
        raise DamagedArchive(message) from error

"""What a chapter records: steps, verdicts, limitations and tables. Plain data; the package prints it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from calc.engine.formula import Evidence, Formula, Source
from calc.engine.sheet.values import Value

Kind = Literal["given", "formula", "procedure", "reading"]
State = Literal["pass", "fail", "not verified"]
ACCEPTED, NOT_REQUIRED, NOT_APPLICABLE = "accepted by statement", "not required", "not applicable"
STAMPS = ("pass", "fail", "not verified", ACCEPTED, NOT_REQUIRED, NOT_APPLICABLE)
"""What pages, terminal and JSON say of a verdict. The last three bear their reason and are never counted as pass."""
INFORMATION = "for information"
"""Where pages list what was evaluated although nothing requires it; its stamp is `NOT_REQUIRED`."""
Cases = dict[tuple[str, str], dict[str, str]]
"""The case at which a scope prints, by the keys of its chapter and of the scope (``""`` is the chapter itself)."""


@dataclass(frozen=True)
class Origin:
    """Where a given value comes from.

    ``kind`` is one of file, default, factor set, step, project rule. ``path`` is the field of the project file or the
    key of the earlier step; ``line`` its line in the file; ``typed`` the text as typed.
    """

    kind: Literal["file", "default", "factor set", "step", "project rule"]
    text: str = ""
    path: str = ""
    line: int | None = None
    typed: str = ""
    evidence: Evidence = "inspected"


@dataclass(frozen=True)
class Procedure:
    """A numerical method as it is printed: what was solved, how, how well.

    In ``equation`` a name in braces stands for its symbol.
    ``residual_symbol`` names the symbol whose registered formula gives the residual; ``residual`` is its largest
    magnitude over all lanes once it has been confirmed.
    """

    equation: str
    method: str
    tolerance: str
    iterations: int
    lanes: int
    residual_symbol: str
    residual: float | None = None


@dataclass(frozen=True)
class Input:
    """One argument of a step: the symbol it prints as, and its value."""

    symbol: str
    value: Value


@dataclass(frozen=True)
class Again:
    """How what is no equation follows from recorded values, so that it can follow from others again.

    ``function`` takes values in the order of ``inputs``, which may have the axis of samples besides their own, and
    gives a value. ``whole`` are axes of the result along which it needs all labels of its inputs.
    """

    function: Callable[..., Value]
    inputs: tuple[Value, ...]
    whole: tuple[str, ...] = ()

    def value(self) -> Value:
        """What follows from the recorded values."""
        return self.function(*self.inputs)


@dataclass(frozen=True, eq=False)
class Winner:
    """Which of several values was taken: for each lane of the result the place of its step's key in ``keys``."""

    index: NDArray[np.int_]
    keys: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Step:
    """One numbered line of the calculation.

    ``moves`` are the axes along which a reading takes other labels of its inputs than its own; its note says which.
    ``again`` says how a reading or the unknown of a procedure follows from recorded values, where it is known.
    ``inputs`` maps the formula's own argument names to what they print as, those of a reading by symbol, by key of the
    step where several have one symbol; ``origins`` of a given run along the axis
    ``origin_axis`` where each layer or stage has its own.
    """

    key: str
    kind: Kind
    scope: str
    symbol: str
    title: str
    value: Value
    inputs: Mapping[str, Input] = field(default_factory=dict)
    formula: Formula | None = None
    source: Source | None = None
    origins: tuple[Origin, ...] = ()
    origin_axis: str = ""
    note: str = ""
    procedure: Procedure | None = None
    moves: tuple[str, ...] = ()
    again: Again | None = None

    @property
    def names(self) -> dict[str, str]:
        """Renaming of the formula's symbols as printed."""
        renamed = {name: argument.symbol for name, argument in self.inputs.items()}
        return renamed | ({self.formula.symbol: self.symbol} if self.formula else {})

    def origin(self, case: Mapping[str, str]) -> Origin | None:
        """The origin of a given at a case."""
        if not self.origins:
            return None
        if not self.origin_axis:
            return self.origins[0]
        return self.origins[self.value.labels(self.origin_axis).index(case[self.origin_axis])]


@dataclass(frozen=True)
class Verdict:
    """What a chapter settles: effect against resistance or limit at the governing case.

    ``effect_case`` and ``resistance_case`` are where the steps of the two print: the governing case, and the labels
    that were selected from them for the comparison. ``utilisations`` are those of all cases, over the axes of the two,
    ``sides`` effect and resistance as they were compared.

    ``accepted``: the project states it, and nothing was computed or compared. ``applies`` is False where the question
    cannot arise, ``required`` where nothing asks it, ``informs`` where it was evaluated all the same.
    """

    key: str
    title: str
    state: State
    effect: float | None = None
    resistance: float | None = None
    effect_symbol: str = ""
    resistance_symbol: str = ""
    unit: str = ""
    utilisation: float | None = None
    limit: float = 1.0
    case: Mapping[str, str] = field(default_factory=dict)
    factor_set: str = ""
    step: str = ""
    resistance_step: str = ""
    note: str = ""
    required: bool = True
    informs: bool = False
    accepted: bool = False
    applies: bool = True
    effect_case: Mapping[str, str] = field(default_factory=dict)
    resistance_case: Mapping[str, str] = field(default_factory=dict)
    utilisations: Value | None = None
    sides: tuple[Value, Value] | None = None

    @property
    def stamp(self) -> str:
        """The state in the one vocabulary of pages, terminal and JSON, `STAMPS`."""
        if self.accepted:
            return ACCEPTED
        if not self.applies:
            return NOT_APPLICABLE
        return NOT_REQUIRED if self.state == "not verified" and not self.required else self.state

    def table(self) -> dict[str, Any] | None:
        """The largest utilisation of each stage and factor set, as plain data; None without numbers."""
        if self.utilisations is None:
            return None
        largest = self.utilisations.largest("factor_set", "stage")
        axes = [{"name": axis.name, "labels": list(axis.labels)} for axis in largest.axes]
        return {"axes": axes, "values": largest.lanes()}


@dataclass(frozen=True)
class Rest:
    """A decision or a proof that the results rest on, and without which they do not hold.

    ``title`` says of what kind it is, ``text`` which one, ``proof`` how it is shown or who answers for it, empty where
    nobody has said so.
    """

    title: str
    text: str
    proof: str = ""


@dataclass(frozen=True)
class Limitation:
    """A sentence with a reason: outside the range of a source, source not inspected, method not applicable.

    ``turns`` names the verdicts of the section that would turn if it were otherwise; it prints beside them.
    """

    key: str
    text: str
    source: str = ""
    turns: tuple[str, ...] = ()


@dataclass(frozen=True)
class TableColumn:
    """Head of one column: a declared symbol or plain words, and the unit; columns of a `group` stand under its name."""

    symbol: str = ""
    words: str = ""
    unit: str = ""
    group: str = ""

    @property
    def name(self) -> str:
        """The words that tell it from the other columns."""
        return f"{self.group} {self.words}".strip()


@dataclass(frozen=True)
class Table:
    """A table of text cells; ``mark`` is the row that the governing case prints, if any."""

    key: str
    title: str
    head: Sequence[TableColumn]
    rows: Sequence[Sequence[str]]
    note: str = ""
    mark: int | None = None

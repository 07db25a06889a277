"""The states of the ground in which slip surfaces are searched."""

from dataclasses import dataclass

from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of

say = words_of(__name__)


@dataclass(frozen=True, slots=True)
class State:
    """A state of the ground: ending of the keys, words, whether drained, and which stress shares the columns have.

    ``cell`` takes load and gain of strength by the stress ratio of the cell; ``given`` is then the ending of the same
    state by the ratio for stability.
    """

    ending: str
    words: str
    drained: bool
    lift: bool
    cell: bool = False
    given: str = "none"
    shares: tuple[str, ...] = ()  # name and title of the scope of its stress shares, none for that of the chapter

    @property
    def share_names(self) -> tuple[str, str]:
        """Symbols of the stress shares of soil and column."""
        return ("mu_sL", "mu_cL") if self.lift else ("mu_s", "mu_c")

    @property
    def makeup(self) -> str:
        """Symbol of the compensation fill: while a lift is placed that of the stage before."""
        return "p_Mb" if self.lift else "p_M"

    @property
    def fill(self) -> str:
        """The scope of its fill in the slip model."""
        return f"slip_fill{LIFT.ending if self.lift else END.ending}"

    @property
    def gain(self) -> str:
        """The scope of its strength with gain in the slip model."""
        return f"slip_gain{END_CELL.ending if self.cell else END.ending}"

    @property
    def by_given(self) -> "State":
        """The same state by the ratio for stability."""
        return (LIFT if self.lift else END) if self.cell else self

    def of(self, sheet: Sheet) -> Scope:
        """Where its stress shares and loads stand."""
        return sheet.scopes[self.shares[0]] if self.shares else sheet

    def sleeve(self, sheet: Sheet) -> Value | None:
        """Design value of the cohesion from the sleeve where it is counted: not while a lift is placed."""
        scope = sheet.scopes.get("sleeve")
        return None if scope is None or self.lift else scope["c_rd"]


END = State("", say("end"), drained=False, lift=False)
LIFT = State(
    "_lift", say("lift"), drained=False, lift=True,
    shares=("lift_shares", say("lift-2")),
)  # fmt: skip
LIFT_CELL = State(
    "_lift_cell", say("lift-cell"), drained=False,
    lift=True, cell=True, given=LIFT.ending,
    shares=("cell_lift", say("lift-cell-2")),
)  # fmt: skip
END_CELL = State(
    "_cell", say("end-cell"), drained=False, lift=False,
    cell=True, given=END.ending, shares=("cell_ratio", say("end-cell-2")),
)  # fmt: skip
DRAINED = State("_drained", "drained", drained=True, lift=False)

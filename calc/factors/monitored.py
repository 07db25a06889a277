"""What a trigger of the monitoring may be of: one record a quantity, for the input, the symbols and the chapter."""

from dataclasses import dataclass
from typing import Literal

When = Literal["in a stage", "at the start of a stage", "from hand-over"]
IN_STAGE: When = "in a stage"
AT_START: When = "at the start of a stage"
AFTER: When = "from hand-over"


@dataclass(frozen=True, slots=True)
class Symbols:
    """The symbols of a quantity that is judged: trigger level, what is expected, up to where the design holds.

    Their names are the key with _T, _E and _D; base and index are printed; ``shown`` is the unit shown, if another.
    """

    key: str
    base: str
    index: str
    decimals: int
    words: str
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Monitored:
    """A quantity of a trigger.

    ``unit`` is that of its level, inside; ``read_by`` names what instruments have to read. A quantity that ``falls``
    triggers below its level. ``when`` is the time that a level of it holds for. A level may be for one layer
    (``by_layer``), is at most 1 (``share``) or an elevation of any sign. Without ``symbols`` nothing is expected of it.
    """

    name: str
    unit: str
    read_by: tuple[str, ...]
    symbols: Symbols | None = None
    falls: bool = False
    when: When = IN_STAGE
    by_layer: bool = False
    share: bool = False
    elevation: bool = False

    @property
    def typed_unit(self) -> str:
        """The unit as a project file writes it."""
        return self.unit.replace("day", "d")


_ALL = (
    Monitored("settlement", "m", ("settlement",), Symbols("s", "s", "", 1, "settlement", "mm")),
    Monitored("settlement rate", "m/day", ("settlement",), Symbols("v", "v", "", 2, "rate of settlement", "mm/day")),
    Monitored(
        "residual settlement", "m", ("settlement",),
        Symbols("s_r", "s", "res,", 1, "settlement after hand-over", "mm"), when=AFTER,
    ),
    Monitored("lateral displacement", "m", ("lateral displacement",)),
    Monitored("lateral rate", "m/day", ("lateral displacement",)),
    Monitored("displacement ratio", "-", ("lateral displacement", "settlement")),
    Monitored("displacement increment ratio", "-", ("lateral displacement", "settlement")),
    Monitored("heave", "m", ("heave",)),
    Monitored(
        "pore pressure", "kPa", ("pore pressure",), Symbols("u", "u", "", 2, "excess pore pressure"), by_layer=True
    ),
    Monitored(
        "degree of consolidation", "-", ("settlement",), Symbols("U", "U", "", 1, "degree of consolidation", "%"),
        falls=True, when=AT_START, share=True,
    ),
    Monitored("ring strain", "-", ("ring strain",), Symbols("eps", "ε", "R,", 2, "ring strain", "%"), share=True),
    Monitored("ring tension", "kN/m", ("ring strain",), Symbols("F", "F", "R,", 2, "ring tension")),
    Monitored(
        "pressure on soil", "kPa", ("pressure on soil",), Symbols("sigma_s", "Δσ", "s,", 2, "pressure on the soil")
    ),
    Monitored(
        "pressure on columns", "kPa", ("pressure on columns",),
        Symbols("sigma_c", "Δσ", "c,", 2, "pressure on the columns"),
    ),
    Monitored(
        "stress ratio", "-", ("pressure on soil", "pressure on columns"), Symbols("n", "n", "", 2, "stress ratio"),
        falls=True,
    ),
    Monitored(
        "undrained strength", "kPa", ("undrained strength",), Symbols("c_u", "c", "u,", 2, "undrained strength"),
        falls=True, when=AT_START, by_layer=True,
    ),
    Monitored(
        "groundwater", "m", ("groundwater",), Symbols("h_w", "h", "w,", 2, "groundwater above the toes"), elevation=True
    ),
    Monitored(
        "aquifer head", "m", ("aquifer head",),
        Symbols("h_a", "h", "a,", 2, "head of the aquifer above the toes"), elevation=True,
    ),
    Monitored("tilt", "deg", ("tilt",)),
)  # fmt: skip

QUANTITIES = {monitored.name: monitored for monitored in _ALL}
"""By the name that stands in a project file."""

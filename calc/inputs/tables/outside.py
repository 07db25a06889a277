"""The table [outside]: matters outside this calculation, each answered or left open on purpose."""

from typing import Annotated

from calc.inputs.reading.kinds import Table, field
from calc.inputs.reading.texts import Text

Answer = Annotated[str, Text(begins=("not relevant because ", "see "))]
EXAMPLE = "not relevant because there is no structure within 100 m"


class Outside(Table):
    """Matters outside this calculation.

    An answer begins with "not relevant because " or "see "; a line without an answer makes the run incomplete.
    """

    structures: Answer | None = field("Transitions to structures and to untreated ground.", EXAMPLE, default=None)
    end_slopes: Answer | None = field(
        "End slopes of the embankment: their stability, and the force of the reinforcement along required by it.",
        "not relevant because the embankment runs on beyond both ends of its sections",
        default=None,
    )
    lateral_pressure: Answer | None = field("Lateral pressure on piles, abutments and services.", EXAMPLE, default=None)
    neighbours: Answer | None = field(
        "Neighbours: heave, vibration and pore pressure during installation.", EXAMPLE, default=None
    )
    seismic: Answer | None = field("Seismic action and liquefaction.", EXAMPLE, default=None)
    dynamic: Answer | None = field("Railway and other dynamic load.", EXAMPLE, default=None)
    platform_rig: Answer | None = field("Working platform and rig loads.", EXAMPLE, default=None)
    deep_ground: Answer | None = field("Ground below the investigated depth.", EXAMPLE, default=None)
    contamination: Answer | None = field("Contamination and aquifer protection.", EXAMPLE, default=None)
    flood: Answer | None = field(
        "Flood, seepage, internal erosion and rapid drawdown.",
        "not relevant because the embankment retains no water",
        default=None,
    )
    durability: Answer | None = field("Durability beyond the tests cited.", EXAMPLE, default=None)

    def answers(self) -> dict[str, str]:
        """The answers given, by key."""
        return {key: text for key, text in self if text is not None}


OUTSIDE = {key: str(item.description) for key, item in Outside.model_fields.items()}
"""The matters to be answered, by key, as they are printed."""

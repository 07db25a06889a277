"""The table [field]: how far the columns reach, and what the checks around them may count on."""

from calc.inputs.reading.table import Length, Share, Table, field
from calc.inputs.reading.texts import Flag


class ColumnField(Table):
    """The column field across the embankment, and options of extrusion, thrust and stability."""

    beyond_left: Length | None = field(
        "Horizontal distance from the left crest edge out to the axis of the outermost column; "
        "without it the chapter on bearing leaves the edge of the columns open.",
        "8.0 m",
        default=None,
    )
    beyond_right: Length | None = field("The same from the right crest edge.", "8.0 m", default=None)
    hold_top: Share | None = field(
        "Share of the strength of the soft ground at its top by which the reinforcement holds the ground back under "
        "the side slope; the reinforcement carries this shear in addition to the thrust. Without it none is counted.",
        0.5,
        default=None,
    )
    thrust_in_ground: Share | None = field(
        "Share of the strength of the soft ground at its top that carries thrust of the embankment; the ground is then "
        "driven outward. Without it the reinforcement carries all thrust. Not together with hold_top.",
        0.0,
        default=None,
    )
    sleeve_cohesion: Flag = field(
        "Whether the apparent cohesion of the columns from the ring tension of their sleeves is handed over for "
        "stability. Never together with a substitute friction angle.",
        False,
        default=False,
    )

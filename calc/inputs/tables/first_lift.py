"""The table [first_lift]: the first lift over the reinforcement, for its load and for the works alike."""

from typing import Annotated

from calc.inputs.reading.scalars import Whole
from calc.inputs.reading.table import Length, PressureOrNone, Strength, Table, field
from calc.inputs.reading.texts import Words


class FirstLift(Table):
    """The first lift over the reinforcement while it is placed: thin cover, the machines on it, how it is placed."""

    thickness: Length = field(
        "Thickness of the first lift over the lowest reinforcement; over the heads of the columns where none is given.",
        "0.4 m",
    )
    machines: Words = field("The machines that drive on it.", "tracked dozer up to 45 kN/m2 under the tracks")
    plant: PressureOrNone = field(
        "Pressure of these machines at the level of the reinforcement, spread over the cell, without a factor. Where "
        "the first lift is placed, stage.plant is their mean over the whole lift and not larger.",
        "15 kPa",
    )
    machine_cover: Length = field("Fill over the heads of the columns before these machines drive over them.", "0.4 m")
    placing: Words = field("How the lift is placed.", "tipped on the lift and pushed forward, no tipping on the heads")
    remoulded_strength: Strength | None = field(
        "Undrained strength of the remoulded soft ground that is pushed forward, with panels and panel_width.",
        "4 kPa",
        default=None,
    )
    panels: Annotated[int, Whole(ge=1, le=100)] | None = field(
        "Number of panels that the soft ground drags in front of the fill.", 3, default=None
    )
    panel_width: Length | None = field("Width of a panel of reinforcement.", "5 m", default=None)
    source: Words = field("Where the values come from.", "method statement of the contractor, section 4")

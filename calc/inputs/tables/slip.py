"""The table [slip]: what the slip search of the chapter on stability looks at, and what it may count on."""

from typing import Annotated

from calc.inputs.reading.kinds import Fraction, Length, LengthOrNone, Table, field
from calc.inputs.reading.scalars import Whole
from calc.inputs.reading.texts import Flag, OneOf, Words

WATER_MODES = ("vertical", "seepage")


class Crack(Table):
    """Tension crack at the crest end of the slip surfaces."""

    depth: Length = field("Depth of the crack below the surface.", "0.5 m")
    water: LengthOrNone = field("Depth of water in the crack.", "0 m")
    source: Words = field("Where the depth comes from.", "cohesion of the capping layer, report 12")


class PlaneReduction(Table):
    """Reduction of the shear resistance of single columns where a plane model smears them over their rows."""

    value: Fraction = field("Factor on the shear resistance of the columns.", 0.9)
    source: Words = field("Where the factor comes from.", "numerical study of this project, report 14")


class Slip(Table):
    """Search for the slip surface with the least safety in every stage, on both sides."""

    drained: Flag = field(
        "Whether stages of persistent situations are considered with drained soft ground as well; undrained they are "
        "considered always.",
        True,
    )
    water_mode: Annotated[str, OneOf(words=WATER_MODES)] = field(
        'Pore pressure below the water level: "vertical" from the depth below it, "seepage" for steady flow along it.',
        "vertical",
    )
    min_depth: LengthOrNone = field(
        "Least depth of the deepest point of a slip circle below the surface of the ground; shallower ones are "
        "surficial and judged by the infinite slope alone.",
        "1.0 m",
    )
    plane_reduction: PlaneReduction | None = field(
        "Reduction for the plane model of single columns; without it none is made and the package says so.",
        "[slip.plane_reduction]",
        default=None,
    )
    crack: Crack | None = field("Tension crack; without it none is counted.", "[slip.crack]", default=None)
    centres: Annotated[int, Whole(ge=4, le=60)] = field(
        "Number of centres of circles in each direction of the first grid.", 10, default=10
    )
    levels: Annotated[int, Whole(ge=4, le=60)] = field(
        "Number of levels of the lowest point of the circles in the first grid.", 8, default=8
    )
    slices: Annotated[int, Whole(ge=10, le=500)] = field("Number of slices of a slip surface.", 30, default=30)

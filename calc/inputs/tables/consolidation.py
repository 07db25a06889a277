"""The table [consolidation]: where the water leaves, when the works are handed over, how well c_h is known."""

from typing import Annotated

from calc.inputs.reading.kinds import Fraction, Share, Table, TimeAfter, field
from calc.inputs.reading.scalars import Number
from calc.inputs.reading.texts import OneOf, Words

FACES = ("top", "both")


class SecondaryReduction(Table):
    """Reduction of the secondary compression of the soil by the columns."""

    value: Fraction = field("Factor on the coefficient of secondary compression of every layer.", 0.8)
    source: Words = field("Where the factor comes from.", "trial embankment, report 15")


class Swelling(Table):
    """What comes back where a step of the programme takes load off."""

    value: Share = field("Share of the settlement beyond that of the load left which comes back.", 0.1)
    source: Words = field("Where the share comes from.", "oedometer tests with unloading, report L-121")


class Consolidation(Table):
    """Consolidation of the soft ground under the filling programme."""

    drainage: Annotated[str, OneOf(words=FACES)] = field(
        'Faces of the soft ground at which water leaves vertically: "top", or "both" where the bearing layer drains. '
        "The columns drain in either case.",
        "top",
    )
    hand_over: TimeAfter = field("Date of handing over, counted from the start of works.", "500 d")
    early_traffic: Words | None = field(
        "Why traffic before hand-over settles the ground for good, so that what comes under it until then is no "
        "residual settlement. Without it that settlement belongs to the residual settlement.",
        "construction traffic of the same load runs on the crest until then",
        default=None,
    )
    c_h_low: Annotated[float, Number(gt=0, le=1)] = field(
        "Lower end of the range of c_h, as a factor on the values of the layers.",
        0.5,
        default=0.5,
        usual=(0.1, 1),
    )
    c_h_high: Annotated[float, Number(ge=1, le=100)] = field(
        "Upper end of the range of c_h, as a factor on the values of the layers.",
        2.0,
        default=2.0,
        usual=(1, 10),
    )
    secondary_reduction: SecondaryReduction | None = field(
        "Reduction of the secondary compression by the columns; without it none is made.",
        "[consolidation.secondary_reduction]",
        default=None,
    )
    swelling: Swelling | None = field(
        "Swelling where a step takes load off; mandatory then.", "[consolidation.swelling]", default=None
    )

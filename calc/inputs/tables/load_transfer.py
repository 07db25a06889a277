"""The table [load_transfer]: what the load transfer above the column heads may count on, and limits asked for."""

from typing import Annotated

from calc.inputs.reading.kinds import Fraction, Length, Table, field
from calc.inputs.reading.scalars import Quantity
from calc.inputs.reading.texts import OneOf, Words

Subgrade = Annotated[float, Quantity(unit="kPa/m", gt=0, le=1e6)]
ARCHING = ("domes", "shells", "concentric", "shaft")
SHAPES = ("uniform", "triangular", "inverse")
MEMBRANE = ("compatibility", "full arching")


class LoadTransfer(Table):
    """Load transfer above the column heads; every value is the user's, with its source."""

    arching: Annotated[str, OneOf(words=ARCHING)] | None = field(
        "Model of full arching used for the design; without it the one that leaves most load beside the heads.",
        "concentric",
        default=None,
    )
    K_arching: Fraction | None = field(
        "Coefficient of lateral pressure on the vertical faces above the heads, for the model shaft; without it that "
        "model is left out.",
        0.75,
        default=None,
    )
    load_shape: Annotated[str, OneOf(words=SHAPES)] | None = field(
        "Shape of the load along a strip used for the design: even, with its peak at mid-span, or with its peaks at "
        "the heads; without it the one with the largest tension.",
        "inverse",
        default=None,
    )
    membrane: Annotated[str, OneOf(words=MEMBRANE)] = field(
        'Membrane tension used for the design: "compatibility" of ground, columns and reinforcement, or "full '
        'arching" without support of the ground, where that is larger.',
        "compatibility",
        default="compatibility",
    )
    full_arching_difference: Length | None = field(
        "Difference of settlement between ground and column heads at which arching is complete; the compatibility "
        "of ground, columns and reinforcement needs it.",
        "40 mm",
        default=None,
        usual=("1 mm", "300 mm"),
    )
    subgrade_modulus: Subgrade | None = field(
        "Subgrade modulus of the soft ground between the heads; without it stress over settlement of the unit cell.",
        "60 kPa/m",
        default=None,
    )
    strain: Fraction | None = field(
        "Strain allowed for the reinforcement under quasi-permanent load; also the strain of the form of BS 8006-1, "
        "and that at which stability counts its tension at most.",
        0.05,
        default=None,
    )
    creep_strain: Fraction | None = field("Creep strain allowed for the reinforcement.", 0.02, default=None)
    surface_difference: Length | None = field(
        "Greatest difference of settlement at the surface between columns and middle.", "10 mm", default=None
    )
    source: Words = field("Where the values of this table come from.", "basis of design, section 6")

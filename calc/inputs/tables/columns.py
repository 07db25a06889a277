"""The table [columns]: grid, geometry, installation and fill of the sand columns."""

from typing import Annotated

from calc.inputs.reading.table import (
    Coefficient,
    ColumnDiameter,
    Dilatancy,
    Friction,
    Length,
    LengthOrNone,
    Modulus,
    Permeability,
    Poisson,
    Table,
    UnitWeight,
    Upstand,
    field,
)
from calc.inputs.reading.texts import OneOf, Words


class Fill(Table):
    """The fill of the columns."""

    gamma: UnitWeight = field("Unit weight above water.", "18 kN/m^3")
    gamma_sat: UnitWeight = field("Saturated unit weight; at least that of water.", "20 kN/m^3")
    phi: Friction = field("Characteristic effective friction angle.", "32.5 deg")
    psi: Dilatancy = field("Angle of dilatancy, for the second method only.", "0 deg")
    E: Modulus = field("Modulus of elasticity, for the second method only.", "40 MPa")
    nu: Poisson = field("Poisson ratio, for the second method only.", 0.3)
    k: Permeability | None = field("Permeability.", "1e-4 m/s", default=None)
    grading: Words | None = field("Grading and fines content.", "0/8 mm sand, fines below 5 %", default=None)


class Columns(Table):
    """The columns of a section."""

    pattern: Annotated[str, OneOf(words=("triangular", "square"))] = field("Pattern of the grid.", "triangular")
    spacing: Length = field("Distance between the axes of neighbouring columns.", "2.0 m")
    diameter: ColumnDiameter = field("Diameter of the column as installed (inside of the casing).", "0.80 m")
    installation: Annotated[str, OneOf(words=("displacement", "excavation"))] = field(
        "How the column is made: the soil is displaced, or excavated from the casing.", "displacement"
    )
    K_star: Coefficient | None = field(
        "Coefficient of earth pressure on the initial stress after installation. Mandatory for displacement; without "
        "it "
        "excavated columns use the coefficient at rest of the layer.",
        1.0,
        default=None,
    )
    embedment: LengthOrNone = field("Depth of the toe below the top of the bearing layer.", "0.5 m")
    upstand: Upstand = field("Height of the column head above the ground.", "0 m")
    fill: Fill = field("Fill of the columns.", "[columns.fill]")

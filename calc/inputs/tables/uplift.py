"""The table [uplift]: factors against uplift and hydraulic failure, and states in which the ground is lightened."""

from typing import Annotated

from calc.inputs.reading.scalars import Number
from calc.inputs.reading.table import FactorValue, Fraction, Length, LengthOrNone, Table, WaterName, field
from calc.inputs.reading.texts import Flag, Words

Adhesion = Annotated[float, Number(ge=0, le=1)]


class Excavation(Table):
    """A pit in the soft ground over the aquifer."""

    water: WaterName = field("Name of the water level whose heads act meanwhile.", "mean")
    depth: Length = field("Depth of the pit below ground level.", "1.2 m")
    water_depth: LengthOrNone = field(
        "Depth of the water in the pit below ground level, that of the pit where it is dry.", "1.2 m"
    )


class Casing(Table):
    """A casing driven open for a column, with soil and water left in it over the aquifer."""

    water: WaterName = field("Name of the water level whose heads act meanwhile.", "mean")
    soil: Length = field("Length of the soil left in the casing, above the base of the soft layers.", "3.5 m")
    water_over: LengthOrNone = field("Height of the water kept in the casing over this soil: a hold point.", "2.0 m")
    adhesion: Adhesion = field(
        "Adhesion of the soil in the casing over its undrained strength; 0 where driving remoulded it.", 0.5
    )
    gamma_cu: FactorValue = field("Partial factor on its undrained strength.", 1.4)


class Uplift(Table):
    """What uplift by a head above the water level is verified with."""

    seals: Flag = field(
        "Whether the soft layers seal the aquifer. If not, water flows up through them and hydraulic failure is "
        "verified too.",
        True,
    )
    gamma_dst: FactorValue = field("Partial factor on the water pressure below the soft layers, permanent.", 1.0)
    gamma_stb: Fraction = field("Partial factor on the weight that holds them down.", 0.9)
    rise: Length | None = field(
        "Rise of the head above the points given that is a variable action; with gamma_Q_dst.", "0.3 m", default=None
    )
    gamma_Q_dst: FactorValue | None = field("Partial factor on that rise.", 1.5, default=None)
    gamma_S_dst: FactorValue | None = field(
        "Partial factor on the seepage force; needed unless soft layers and plugs of the columns stop the flow.",
        1.35,
        default=None,
    )
    gamma_S_stb: Fraction | None = field("Partial factor on the submerged weight against it.", 0.9, default=None)
    excavation: Excavation | None = field("A pit.", "[uplift.excavation]", default=None)
    casing: Casing | None = field("An open casing.", "[uplift.casing]", default=None)
    source: Words = field("Where the factors come from.", "basis of design, section 7 (EN 1997-1 Annex A)")

"""The table [uplift]: factors against uplift and hydraulic failure, and states in which the ground is lightened."""

from typing import Annotated

from calc.inputs.reading.kinds import (
    FactorValue,
    Fraction,
    Length,
    LengthOrNone,
    Level,
    PressureOrNone,
    Table,
    WaterName,
    field,
)
from calc.inputs.reading.scalars import Number
from calc.inputs.reading.texts import Flag, Words

Adhesion = Annotated[float, Number(ge=0, le=1)]


ONLY = "Name of the only water level that can hold meanwhile, such as a lowered one; without it all states are run."
DST, STB = (1.0, 1.35), (0.85, 1.0)  # usual bands, those of several national annexes


class Excavation(Table):
    """A pit in the soft ground over the aquifer."""

    water: WaterName | None = field(ONLY, "mean", default=None)
    depth: Length = field("Depth of the pit below ground level.", "1.2 m")
    water_depth: LengthOrNone = field(
        "Depth of the water in the pit below ground level, that of the pit where it is dry.", "1.2 m"
    )
    source: Words = field("What the pit is, and where its depths come from.", "ditch along the toe, drawing 12")


class Casing(Table):
    """A casing that is opened over the aquifer, with water and, meanwhile, soil kept in it."""

    water: WaterName | None = field(ONLY, "mean", default=None)
    top: Level = field("Level of the top of the casing, an elevation.", "2.3 m")
    water_level: Level = field("Least level of the water kept in the casing, an elevation: a hold point.", "1.8 m")
    soil: LengthOrNone = field(
        "Least length of the soil left in the casing, above the base of the soft layers; 0 where all is excavated.",
        "0 m",
        default=0.0,
    )
    adhesion: Adhesion = field(
        "Adhesion of the soil in the casing over its undrained strength; 0 where none is counted.", 0.0, default=0.0
    )
    strength: PressureOrNone | None = field(
        "Undrained strength of the soil on the casing, as driving leaves it; with adhesion.", "4 kPa", default=None
    )
    gamma_cu: FactorValue | None = field(
        "Partial factor on that strength; with adhesion.", 1.4, default=None, usual=(1.25, 2.0)
    )
    source: Words = field("Where level, soil and strength come from.", "works specification, clause 6.4")


class Uplift(Table):
    """What uplift by a head above the water level is verified with."""

    seals: Flag = field(
        "Whether the soft layers seal the aquifer. If not, water flows up through them and hydraulic failure is "
        "verified too.",
        True,
    )
    gamma_dst: FactorValue = field(
        "Partial factor on the water pressure below the soft layers, permanent.", 1.0, usual=DST
    )
    gamma_stb: Fraction = field("Partial factor on the weight that holds them down.", 0.9, usual=STB)
    rise: Length | None = field(
        "Rise of the head of the aquifer above the points given that is a variable action; with gamma_Q_dst.",
        "0.3 m",
        default=None,
        usual=("0.05 m", "3 m"),
    )
    gamma_Q_dst: FactorValue | None = field("Partial factor on that rise.", 1.5, default=None, usual=(1.0, 1.5))
    gamma_S_dst: FactorValue | None = field(
        "Partial factor on the seepage force; needed unless soft layers and plugs of the columns stop the flow.",
        1.35,
        default=None,
        usual=(1.2, 2.0),
    )
    gamma_S_stb: Fraction | None = field(
        "Partial factor on the submerged weight against it.", 0.9, default=None, usual=STB
    )
    excavation: Excavation | None = field("A pit.", "[uplift.excavation]", default=None)
    casing: Casing | None = field("An open casing.", "[uplift.casing]", default=None)
    source: Words = field("Where the factors come from.", "basis of design, section 7 (EN 1997-1 Annex A)")

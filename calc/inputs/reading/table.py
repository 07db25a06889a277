"""What every table of the project file has in common, and the kinds of values that several tables use."""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from calc.inputs.reading.scalars import AtRest, Number, Quantity, Slope
from calc.inputs.reading.texts import Key, OneOf, Text


class Table(BaseModel):
    """One table of the project file: never changed once read, and no keys beside its own."""

    model_config = ConfigDict(frozen=True, extra="forbid")


def field(description: str, example: object, **more: Any) -> Any:
    """Describe a field of a table: what it means, an example as typed, and (as `name`) its name in the file."""
    alias = more.pop("name", None)
    return Field(description=description, examples=[example], alias=alias, **more)


# Bounds are those of what is possible or what keeps a run bounded, never those of good practice.
Level = Annotated[float, Quantity(unit="m", ge=-500, le=9000)]
Length = Annotated[float, Quantity(unit="m", gt=0, le=500)]
ColumnDiameter = Annotated[float, Quantity(unit="m", ge=0.3, le=3)]
Upstand = Annotated[float, Quantity(unit="m", ge=0, le=2)]
LengthOrNone = Annotated[float, Quantity(unit="m", ge=0, le=500)]
UnitWeight = Annotated[float, Quantity(unit="kN/m^3", gt=0, le=50)]
Friction = Annotated[float, Quantity(unit="deg", gt=0, lt=60)]
Dilatancy = Annotated[float, Quantity(unit="deg", ge=0, lt=30)]
Cohesion = Annotated[float, Quantity(unit="kPa", ge=0, le=10_000)]
Strength = Annotated[float, Quantity(unit="kPa", gt=0, le=10_000)]
Growth = Annotated[float, Quantity(unit="kPa/m", ge=0, le=1000)]
Modulus = Annotated[float, Quantity(unit="kPa", gt=0, le=1e8)]
Pressure = Annotated[float, Quantity(unit="kPa", gt=0, le=10_000)]
PressureOrNone = Annotated[float, Quantity(unit="kPa", ge=0, le=10_000)]
LineForce = Annotated[float, Quantity(unit="kN/m", gt=0, le=100_000)]
Permeability = Annotated[float, Quantity(unit="m/s", gt=0, le=10)]
Consolidation = Annotated[float, Quantity(unit="m^2/a", gt=0, le=1e6)]
Time = Annotated[float, Quantity(unit="d", ge=0, le=200_000)]
TimeAfter = Annotated[float, Quantity(unit="d", gt=0, le=200_000)]
Life = Annotated[float, Quantity(unit="a", gt=0, le=500)]
Gradient = Annotated[float, Slope()]

Poisson = Annotated[float, Number(ge=0, le=0.49)]
Fraction = Annotated[float, Number(gt=0, le=1)]
Share = Annotated[float, Number(ge=0, le=1)]
Coefficient = Annotated[float, Number(gt=0, le=10)]
Ratio = Annotated[float, Number(ge=1, le=1000)]
FactorValue = Annotated[float, Number(ge=1, le=100)]
KZero = Annotated[float | str, AtRest(gt=0, le=5)]

Name = Annotated[str, Text(longest=120)]
LayerKey = Annotated[str, Key()]
SectionKey = Annotated[str, Key(capitals=True)]
WATER_LEVELS = ("low", "mean", "high", "flood")
SITUATIONS = ("persistent", "transient", "accidental")
Situation = Annotated[str, OneOf(words=SITUATIONS)]
WaterName = Annotated[str, OneOf(words=WATER_LEVELS)]

"""What every table of the project file has in common, and the kinds of values that several tables use."""

from typing import Annotated, Any, NamedTuple

from pydantic import BaseModel, ConfigDict, Field
from pydantic.fields import FieldInfo

from calc.inputs.reading.scalars import AtRest, Number, Quantity, Slope
from calc.inputs.reading.texts import Key, OneOf, Text


class Table(BaseModel):
    """One table of the project file: never changed once read, and no keys beside its own."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Band(NamedTuple):
    """Where the values of a field usually lie, as typed; what lies outside is used all the same, with a caution."""

    low: str | float
    high: str | float
    origin: str = "common practice, no source"


def field(description: str, example: object, **more: Any) -> Any:
    """Describe a field of a table: what it means, an example as typed, and (as `name`) its name in the file.

    `usual` are the ends of the band in which its values usually lie, as they would be typed.
    """
    alias, usual = more.pop("name", None), more.pop("usual", None)
    extra: Any = {"usual": Band(*usual)} if usual else None
    return Field(description=description, examples=[example], alias=alias, json_schema_extra=extra, **more)


def band_of(info: FieldInfo) -> Band | None:
    """The band in which the values of a field usually lie."""
    extra = info.json_schema_extra
    return extra.get("usual") if isinstance(extra, dict) else None  # type: ignore[return-value]  # set above


# Bounds are those of what is possible or what keeps a run bounded, never those of good practice.
Level = Annotated[float, Quantity(unit="m", ge=-500, le=9000)]
Length = Annotated[float, Quantity(unit="m", gt=0, le=500)]
Offset = Annotated[float, Quantity(unit="m", ge=-250, le=250)]
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
SITUATIONS = ("persistent", "transient", "accidental", "seismic")
Situation = Annotated[str, OneOf(words=SITUATIONS)]
WaterName = Annotated[str, OneOf(words=WATER_LEVELS)]

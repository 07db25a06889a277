"""The table [platform.rig]: the rig that installs the columns, its tracks, and the platform that carries it."""

from typing import Annotated

from calc.inputs.reading.kinds import (
    FactorValue,
    Friction,
    Gradient,
    Length,
    LengthOrNone,
    LineForce,
    Name,
    Pressure,
    Strength,
    Table,
    field,
)
from calc.inputs.reading.locate import Path
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Flag, Words

Load = Annotated[float, Quantity(unit="kN", gt=0, le=20_000)]
Spread = Annotated[float, Number(gt=0, le=0.5)]
Share = Annotated[float, Number(ge=0, le=5)]
Punching = Annotated[float, Number(gt=0, le=12)]


class Operation(Table):
    """What the rig does, with the pressure of its tracks from the rig sheet or the load to work it out from."""

    name: Name = field("Name as printed.", "extracting the casing")
    relieves: Flag = field(
        "Whether the operator can relieve the ground at once when it gives way: installing and extracting. Standing, "
        "travelling and handling cannot.",
        True,
    )
    pressure: Pressure | None = field(
        "Pressure of the heavier track, uniform over its width and `length`; this or `load`.",
        "140 kPa",
        default=None,
        usual=("20 kPa", "800 kPa"),
    )
    length: Length | None = field("Length of the track that this pressure acts on.", "3.2 m", default=None)
    load: Load | None = field(
        "Vertical load of the rig with extraction force and what hangs on it, at the worst slew angle; with both "
        "eccentricities.",
        "600 kN",
        default=None,
        usual=("50 kN", "3 MN"),
    )
    eccentricity_along: LengthOrNone | None = field("Eccentricity of the load along the tracks.", "0.8 m", default=None)
    eccentricity_across: LengthOrNone | None = field(
        "Eccentricity of the load across the tracks.", "0.3 m", default=None
    )


class Sourced(Table):
    """A value and where it comes from; none is ever assumed."""

    value: Share = field("Value.", 0.5)
    source: Words = field("Document, with its number and date.", "basis of design, section 5")


class PunchingCoefficient(Sourced):
    """Coefficient of passive pressure times tan δ."""

    value: Punching = field("Value.", 5.5)


class LoadSpread(Sourced):
    """The load spread."""

    value: Spread = field("Horizontal over vertical; published values are 1/3 to 1/2, never 1.", 0.333)


class LeastThickness(Table):
    """The least thickness of any platform."""

    thickness: Length = field("Thickness.", "0.3 m")
    over_track_width: Share = field("Thickness over the width of a track.", 0.5)
    source: Words = field("Document, with its number and date.", "basis of design, section 5")


class Mats(Table):
    """Stiff mats under the tracks."""

    width: Length = field("Width across one track over which the mats spread its pressure.", "2.4 m")
    weight: Pressure = field(
        "Weight of the mats over the area that they load; hardwood 0.3 m thick weighs about 3 kPa.",
        "3 kPa",
        usual=("0.5 kPa", "6 kPa"),
    )
    source: Words = field("How it is proven that they are stiff and strong enough.", "mat note M-2")


class PlatformGeosynthetic(Table):
    """A geosynthetic at the base of the platform."""

    strength: LineForce = field("Design strength, all reduction and partial factors included.", "20 kN/m")
    source: Words = field("Document, with its number and date.", "geosynthetic note G-4")


class RigFactors(Table):
    """Factors on the track pressure. They are all of the safety there is: the ground is not factored."""

    standing: FactorValue = field("Platform, where the operator cannot relieve.", 1.6)
    extracting: FactorValue = field("Platform, where the operator can.", 1.2)
    standing_low: FactorValue | None = field(
        "Platform without its geosynthetic, where the operator cannot relieve; mandatory with a geosynthetic.",
        1.25,
        default=None,
    )
    extracting_low: FactorValue | None = field(
        "Platform without its geosynthetic, where the operator can; mandatory with a geosynthetic.", 1.05, default=None
    )
    source: Words = field("Document, with its number and date.", "basis of design, section 5")


class Rig(Table):
    """The rig on the working platform; without this table the project says in `outside` who verifies it."""

    machine: Words = field("The machine.", "tracked casing rig, 60 t")
    sheet: Words = field(
        "The rig sheet (EN 16228) that tracks and operations are taken from, with its number and date.", "RS-14 (2025)"
    )
    track_width: Length = field("Width of a track.", "0.8 m", usual=("0.4 m", "1.2 m"))
    track_length: Length = field("Length of a track on the ground.", "4.5 m", usual=("2 m", "9 m"))
    track_distance: Length = field("Distance of the two tracks, centre to centre.", "3.2 m", usual=("1.5 m", "7 m"))
    operations: tuple[Operation, ...] = field(
        "What the rig does, at least one operation of either kind.", "[[platform.rig.operation]]", name="operation",
        min_length=2, max_length=12,
    )  # fmt: skip
    mats: Mats | None = field("Mats under the tracks.", "[platform.rig.mats]", default=None)
    edge_distance: LengthOrNone = field(
        "Distance from the outer edge of the nearest track to the crest of the platform edge; mats, with their middle "
        "under the track, reach nearer by half of what they are wider.",
        "1.5 m",
    )
    edge_slope: Gradient = field("Slope of the platform edge, vertical:horizontal.", "1:1.5")
    edge_proof: Words | None = field(
        "Proof of the edge where a track or its mat comes nearer to it than the thickness: slip circles with the "
        "track as load.",
        "edge note E-1",
        default=None,
    )
    phi: Friction = field(
        "Friction angle of the platform material as placed, from tests.", "40 deg", usual=("30 deg", "48 deg")
    )
    phi_source: Words = field("The tests.", "shear box tests, report L-118")
    punching: PunchingCoefficient = field(
        "Coefficient of passive pressure times tan δ on the faces punched out of the platform.",
        '{ value = 5.5, source = "…" }',
    )
    spread: LoadSpread = field("Load spread in the platform.", '{ value = 0.333, source = "…" }')
    least: LeastThickness = field("The least thickness.", "[platform.rig.least]")
    geosynthetic: PlatformGeosynthetic | None = field(
        "Geosynthetic at the base of the platform.", "[platform.rig.geosynthetic]", default=None
    )
    c_u: Strength | None = field(
        "Undrained strength below the platform before the columns; without it the least c_u of the soft layers.",
        "22 kPa",
        default=None,
        usual=("5 kPa", "100 kPa"),
    )
    c_u_source: Words | None = field("Where it comes from.", "vane tests, report G-7", default=None)
    c_u_after: Strength | None = field(
        "Undrained strength between the columns as the installation leaves it, a cautious value of its own: without it "
        "the platform is not verified, because first_lift.remoulded_strength is an upper value.",
        "14 kPa",
        default=None,
        usual=("2 kPa", "100 kPa"),
    )
    c_u_after_source: Words | None = field("Where it comes from.", "vane tests at the trial columns", default=None)
    proof: Words | None = field(
        "Proof of the platform on ground below 20 kPa, where the published method does not apply: trial loading, "
        "numerical limit analysis, or mats.",
        "trial loading TL-1",
        default=None,
    )
    factors: RigFactors = field("Factors on the track pressure.", "[platform.rig.factors]")


Problems = list[tuple[Path, str, str | None]]
STATED = ("load", "eccentricity_along", "eccentricity_across")
PAIRS = (("c_u", "c_u_source"), ("c_u_after", "c_u_after_source"))


def problems_of_rig(rig: Rig) -> Problems:
    """What does not go together in the table, by the path within it: what it must be and what it is."""
    problems: Problems = []
    for index, operation in enumerate(rig.operations):
        problems += _operation(rig, operation, ("operation", index))
        if operation.name in [other.name for other in rig.operations[:index]]:
            problems.append((("operation", index, "name"), "be used once only", None))
    if len({operation.relieves for operation in rig.operations}) < 2:
        must = "hold an operation that the operator can relieve and one that he cannot"
        problems.append((("operation",), must, "one kind only"))
    problems += _tracks(rig)
    if rig.geosynthetic is not None:
        low = [name for name in ("standing_low", "extracting_low") if getattr(rig.factors, name) is None]
        problems += [(("factors", name), "be given with a geosynthetic", "nothing") for name in low]
    for value, source in PAIRS:
        if getattr(rig, value) is not None and getattr(rig, source) is None:
            problems.append(((source,), f"be given where {value} is given", "nothing"))
    return problems


def _tracks(rig: Rig) -> Problems:
    if rig.track_distance <= rig.track_width:
        return [(("track_distance",), f"be greater than track_width ({rig.track_width:g} m)", None)]
    if rig.mats is not None and not rig.track_width <= rig.mats.width <= rig.track_distance:
        must = f"lie between track_width and track_distance ({rig.track_width:g} m and {rig.track_distance:g} m)"
        return [(("mats", "width"), must, None)]
    beyond = 0.0 if rig.mats is None else (rig.mats.width - rig.track_width) / 2
    if rig.edge_distance < beyond:
        return [(("edge_distance",), f"be at least {beyond:g} m, or the mats reach beyond the crest", None)]
    return []


def _operation(rig: Rig, operation: Operation, path: Path) -> Problems:
    by_load = [name for name in STATED if getattr(operation, name) is not None]
    if (operation.pressure is None) == (not by_load):
        got = "neither" if operation.pressure is None else "both"
        return [((*path, "pressure"), "be given, or load with its eccentricities, but not both", got)]
    if operation.pressure is not None:
        if operation.length is None:
            return [((*path, "length"), "be given where pressure is given", "nothing")]
        return (
            [((*path, "length"), f"not be greater than track_length ({rig.track_length:g} m)", None)]
            if operation.length > rig.track_length
            else []
        )
    missing: Problems = [
        ((*path, name), "be given with the other two of " + ", ".join(STATED), "nothing")
        for name in STATED if name not in by_load
    ]  # fmt: skip
    if operation.length is not None:
        missing.append(((*path, "length"), "be left out where load is given", None))
    if 2 * (operation.eccentricity_along or 0.0) >= rig.track_length:
        must = f"be less than half of track_length ({rig.track_length / 2:g} m)"
        missing.append(((*path, "eccentricity_along"), must, None))
    if 2 * (operation.eccentricity_across or 0.0) > rig.track_distance:
        must = f"not be greater than half of track_distance ({rig.track_distance / 2:g} m)"
        missing.append(((*path, "eccentricity_across"), must, None))
    return missing

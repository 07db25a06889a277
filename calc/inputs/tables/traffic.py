"""The table [traffic]: uniform load and strips of rail or road load on the crest, and their rules."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated

from calc.engine.levels import above
from calc.inputs.reading.kinds import (
    FactorValue,
    Length,
    LengthOrNone,
    LineForce,
    Name,
    Offset,
    PressureOrNone,
    Table,
    field,
)
from calc.inputs.reading.scalars import Number
from calc.inputs.reading.texts import Words
from calc.inputs.tables.columns import Columns
from calc.inputs.tables.embankment import Embankment, Platform
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.stages import Stage

LoadClass = Annotated[float, Number(ge=0.5, le=2)]
Run = Annotated[float, Number(ge=0, le=1)]


class Strip(Table):
    """A strip of load along the embankment: a track, or a lane of a road."""

    name: Name = field("Name as printed.", "Track 1")
    position: Offset = field("Distance of its axis from the axis of the crest, to the right positive.", "-2.0 m")
    width: Length = field("Width over which it acts.", "3.0 m", usual=("2 m", "4 m"))
    line_load: LineForce = field(
        "Characteristic vertical load per length of embankment, without the factor of the load class and without a "
        "dynamic factor; for a lane its pressure times its width, for a group of axles its load over its length.",
        "156.25 kN/m",
        usual=("5 kN/m", "300 kN/m"),
    )
    length: Length | None = field(
        "Length along the embankment over which it acts, such as that of a group of axles, which may stand on another "
        "strip; without it it has no end. At the column heads it spreads lengthwise too; thrust and slip surfaces take "
        "every strip without end, an upper value, unless there is a plane_length.",
        "2.2 m",
        default=None,
        usual=("1 m", "20 m"),
    )
    plane_length: Length | None = field(
        "Length along the embankment over which its load is shared out in thrust and slip surfaces, a decision of the "
        "owner; no less than length.",
        "10 m",
        default=None,
        usual=("5 m", "20 m"),
    )
    plane_length_source: Words | None = field(
        "Who decided the plane_length and where; mandatory with it.", "owner's letter, clause 2", default=None
    )
    class_factor: LoadClass = field("Factor α of the load class, 1.0 for a load that has none.", 1.0)
    depth: LengthOrNone = field(
        "Depth below the crest at which it acts over this width.", "0.7 m", usual=("0 m", "1 m")
    )
    source: Words = field("Where the load comes from.", "basis of design, section 4: EN 1991-2, 6.3.6.4")


class SpreadWithDepth(Table):
    """How a strip widens with depth, one of two methods."""

    slope: Run = field("Horizontal run per depth on either side: 0.5 for 2:1, 0 for none.", 0.5)
    source: Words = field("Where it comes from.", "basis of design, section 4")


class DynamicFactor(Table):
    """A dynamic factor on the strips, if the owner asks for one."""

    factor: FactorValue = field("Factor at the level where the strips act.", 1.2, usual=(1.0, 2.0))
    depth: Length = field("Depth below that level at which nothing of the dynamic part is left.", "4.0 m")
    source: Words = field("Where it comes from.", "owner's rule, clause 3.2")


class Traffic(Table):
    """The variable load on the crest."""

    q: PressureOrNone = field(
        "Characteristic uniform load on the crest, beside that of the strips.", "20 kPa", usual=("0 kPa", "80 kPa")
    )
    note: Words | None = field("Where the load comes from.", "from the basis of design, section 4", default=None)
    strip: tuple[Strip, ...] = field(
        "Tracks or lanes, from left to right.", "[[traffic.strip]]", default=(), max_length=6
    )
    spread: SpreadWithDepth | None = field("How the strips widen with depth.", "[traffic.spread]", default=None)
    dynamic: DynamicFactor | None = field("The dynamic factor on the strips.", "[traffic.dynamic]", default=None)


def strips_spread(traffic: Traffic | None) -> Problems:
    """Strips have their spread, and nothing of theirs is given without them."""
    if traffic is None:
        return
    if traffic.strip and traffic.spread is None:
        yield Problem(("traffic", "spread"), "be given where traffic has strips", "nothing")
    for name in ("spread", "dynamic"):
        if not traffic.strip and getattr(traffic, name) is not None:
            yield Problem(("traffic", name), "be left out where traffic has no strip", f"a table {name}")


def lengths_of_strips(traffic: Traffic | None) -> Problems:
    """The load of a length is shared out over no less."""
    for index, strip in enumerate(traffic.strip if traffic is not None else ()):
        path = ("traffic", "strip", index, "plane_length")
        source = (*path[:-1], "plane_length_source")
        if strip.plane_length is None:
            if strip.plane_length_source is not None:
                yield Problem(source, "be left out without a plane_length")
            continue
        if strip.plane_length_source is None:
            yield Problem(source, "be given with a plane_length", "nothing")
        if strip.length is None:
            yield Problem(path, "be left out without a length")
        elif above(strip.length, strip.plane_length):
            yield Problem(path, f"not be less than length ({strip.length:g} m)")


def strips_on_crest(traffic: Traffic | None, embankment: Embankment) -> Problems:
    """Strips lie on the crest, from left to right, none without end on another nor one with a length, each named."""
    strips: Sequence[Strip] = traffic.strip if traffic is not None else ()
    yield from unique([strip.name for strip in strips], ("traffic", "strip"), "name")
    half = embankment.crest_width / 2
    for index, strip in enumerate(strips):
        if above(abs(strip.position) + strip.width / 2, half):
            must = f"leave the strip of {strip.width:g} m on the crest of {embankment.crest_width:g} m"
            yield Problem(("traffic", "strip", index, "position"), must)
    for endless in (True, False):
        places = [index for index, strip in enumerate(strips) if (strip.length is None) == endless]
        for (_, left), (index, right) in pairwise((place, strips[place]) for place in places):
            if above(left.position + left.width / 2, right.position - right.width / 2):
                must = f"lie to the right of strip {left.name!r}, which ends at {left.position + left.width / 2:g} m"
                yield Problem(("traffic", "strip", index, "position"), must)


def strips_above_heads(
    traffic: Traffic | None, stages: tuple[Stage, ...], platform: Platform | None, columns: Columns
) -> Problems:
    """In every stage with traffic the strips act above the column heads."""
    base = (platform.thickness if platform is not None else 0.0) - columns.upstand
    for index, stage in enumerate(stages):
        for strip in traffic.strip if traffic is not None and stage.traffic else ():
            if not above(stage.fill_height + base, strip.depth):
                must = (
                    f"be false while strip {strip.name!r}, {strip.depth:g} m below the crest, acts not above the heads"
                )
                yield Problem(("stage", index, "traffic"), must)


def strips_on_surcharge(traffic: Traffic | None, stages: tuple[Stage, ...], embankment: Embankment) -> Problems:
    """A surcharge is narrower than the crest: strips in their places could stand over its slopes."""
    for index, stage in enumerate(stages if traffic is not None and traffic.strip else ()):
        if stage.traffic and above(stage.fill_height, embankment.height):
            must = f"be false while a surcharge stands above the crest ({embankment.height:g} m), which has the strips"
            yield Problem(("stage", index, "traffic"), must, "true")


TRAFFIC_RULES = (strips_spread, lengths_of_strips, strips_on_crest, strips_above_heads, strips_on_surcharge)

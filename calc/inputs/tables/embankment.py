"""The tables [embankment] and [platform]: what rests on the ground."""

from itertools import takewhile
from math import inf, isfinite
from typing import Annotated

from calc.engine.levels import above, same
from calc.inputs.reading.kinds import (
    Cohesion,
    Friction,
    Gradient,
    Length,
    LengthOrNone,
    Name,
    Offset,
    Table,
    UnitWeight,
    field,
)
from calc.inputs.reading.locate import Path
from calc.inputs.reading.texts import OneOf
from calc.inputs.tables.rig import Rig

SIDES = ("left", "right")
"""Of the embankment, in the direction of chainage."""
MOST_STEPS = 6
"""Of a berm, the berm itself counted; symbols are declared for so many."""


class LowerBerm(Table):
    """A second, lower berm beside the slope of a berm; it comes with that berm."""

    width: Length = field(
        "Width of its top, from the slope above it to its outer edge.", "4.0 m", usual=("1 m", "30 m")
    )
    height: LengthOrNone = field(
        "Height of its top above the working platform (or ground), lower than the berm above it. 0 is no lower berm.",
        "0.8 m",
        usual=("0.3 m", "5 m"),
    )
    slope: Gradient = field("Its outer slope, vertical:horizontal, no steeper than the slope above it.", "1:3")


class FurtherStep(LowerBerm):
    """A further step beside the slope of the one above it; it comes with the berm."""

    height: LengthOrNone = field(
        "Height of its top above the working platform (or ground), lower than the step above it. 0 is none.",
        "0.4 m",
        usual=("0.2 m", "5 m"),
    )


class Berm(Table):
    """A berm of the same fill beside a side slope."""

    width: Length = field("Width of its top, from the side slope to its outer edge.", "6.0 m", usual=("1 m", "30 m"))
    height: LengthOrNone = field(
        "Height of its top above the working platform (or ground), lower than the fill in every stage that has the "
        "berm. 0 is no berm.",
        "1.5 m",
        usual=("0.5 m", "5 m"),
    )
    slope: Gradient = field("Its outer slope, vertical:horizontal, no steeper than the side slope.", "1:2")
    stage: Name = field(
        "Name of the stage from whose end on the berm is there; it stays. While the lift of that stage is placed it "
        "is not counted.",
        "Stage 1",
    )
    lower: LowerBerm | None = field(
        "A second step beside its slope, there from the same stage on.", "[embankment.berm_left.lower]", default=None
    )
    further: tuple[FurtherStep, ...] = field(
        "Further steps beside the slope of the lower berm, from there outwards, there from the same stage on.",
        "[[embankment.berm_left.further]]",
        default=(),
        max_length=MOST_STEPS - 2,
    )

    @property
    def lower_steps(self) -> tuple[tuple[Path, "LowerBerm | FurtherStep"], ...]:
        """Path within the table and values of every step below the berm itself, from the bank outwards."""
        lower = () if self.lower is None else ((("lower",), self.lower),)
        return *lower, *((("further", k), step) for k, step in enumerate(self.further))

    @property
    def steps(self) -> tuple["Berm | LowerBerm | FurtherStep", ...]:
        """The berm itself and the lower ones, from the bank outwards; one without height is none."""
        return self, *takewhile(lambda step: step.height > 0, (step for _, step in self.lower_steps))

    def out(self, run: float, base: float) -> float:
        """How far its toe lies beyond that of the side slope of this run, on a platform as thick as ``base``."""
        beyond = 0.0
        for step in self.steps:
            beyond += step.width + (step.slope - run) * (step.height + base)
            run = step.slope
        return beyond


class Zone(Table):
    """A zone of other fill between two levels: across the whole width of the bank there, or between two verticals."""

    name: Name = field("Name as printed.", "Light core")
    bottom: LengthOrNone = field("Height of its bottom above the working platform (or ground).", "1.0 m")
    top: Length = field("Height of its top above the working platform (or ground).", "3.0 m")
    gamma: UnitWeight = field("Unit weight above water.", "8 kN/m^3", usual=("3 kN/m^3", "24 kN/m^3"))
    phi: Friction = field("Characteristic effective friction angle.", "35 deg", usual=("25 deg", "45 deg"))
    c: Cohesion = field("Characteristic effective cohesion.", "0 kPa", usual=("0 kPa", "30 kPa"))
    left: Offset | None = field(
        "Distance of its left end, a vertical, from the axis of the crest, to the right positive; without it the zone "
        "reaches the left side slope. No further out than the slope at its bottom, nor than the inner end of a berm. "
        "An inclined end is drawn as steps of several zones. Not with columns.zone, crest edges of two heights, "
        "layers that change across, a gain of strength (stage.c_u_gain), or makeup_fill with field.sleeve_cohesion.",
        "-5.0 m",
        default=None,
    )
    right: Offset | None = field(
        "The same of its right end; without it the zone reaches the right side slope.", "5.0 m", default=None
    )


class Embankment(Table):
    """The embankment in its final state."""

    height: Length = field(
        "Height of the fill from the top of the working platform (or, without one, from the ground) "
        "to the crest, in the final state.",
        "6.0 m",
        usual=("0.5 m", "20 m"),
    )
    height_left: Length | None = field(
        "The same at the left crest edge of a crest with cross-fall: height is that of the higher edge, with a "
        "straight crest between both. It falls by no more than 10 % and a quarter of the gentler side slope, the lower "
        "edge has more than half of height, the crest is at least a third of height wide; no surcharge, no "
        "traffic.strip, no columns.floating. A section with a height of its own states it anew. A lower platform is a "
        "berm, or lies under a level crest over both.",
        "5.7 m",
        default=None,
        usual=("0.5 m", "20 m"),
    )
    height_right: Length | None = field(
        "The same at the right crest edge, by the same rules.", "5.7 m", default=None, usual=("0.5 m", "20 m")
    )
    crest_width: Length = field("Width of the crest.", "12.0 m", usual=("2 m", "80 m"))
    slope_left: Gradient = field("Left side slope, vertical:horizontal.", "1:2")
    slope_right: Gradient = field("Right side slope, vertical:horizontal.", "1:2")
    gamma: UnitWeight = field("Unit weight of the fill above water.", "19 kN/m^3", usual=("12 kN/m^3", "24 kN/m^3"))
    gamma_sub: UnitWeight | None = field(
        "Submerged unit weight of the fill, for compensation fill that settles below water.",
        "10 kN/m^3",
        default=None,
        usual=("5 kN/m^3", "14 kN/m^3"),
    )
    phi: Friction = field(
        "Characteristic effective friction angle of the fill.", "32.5 deg", usual=("25 deg", "45 deg")
    )
    c: Cohesion = field("Characteristic effective cohesion of the fill.", "0 kPa", usual=("0 kPa", "30 kPa"))
    berm_left: Berm | None = field("The berm on the left.", "[embankment.berm_left]", default=None)
    berm_right: Berm | None = field("The berm on the right.", "[embankment.berm_right]", default=None)

    zone: tuple[Zone, ...] = field(
        "Zones of other fill, from the bottom up, such as a drainage layer, a light core or a capping; "
        "between and beside them lies the fill of the embankment.",
        "[[embankment.zone]]",
        default=(),
        max_length=10,
    )

    @property
    def heights(self) -> dict[str, float]:
        """Heights at the crest edges by side, "left" and "right"."""
        heights = {"left": self.height_left, "right": self.height_right}
        return {side: self.height if height is None else height for side, height in heights.items()}

    def path_of_height(self, side: str) -> str:
        """Where the height at the crest edge of a side stands in the file."""
        return "embankment.height" if getattr(self, f"height_{side}") is None else f"embankment.height_{side}"

    def path_of_step(self, side: str, place: int) -> str:
        """Where a step of a berm stands in the file; 0 is the berm itself."""
        berm, path = self.berms[side], ("embankment", f"berm_{side}")
        return ".".join(map(str, (*path, *(berm.lower_steps[place - 1][0] if place else ()))))

    @property
    def lower(self) -> str:
        """The side with the lower crest edge; "" where the crest is level."""
        left, right = self.heights["left"], self.heights["right"]
        return "" if same(left, right) else "left" if left < right else "right"

    @property
    def least_height(self) -> float:
        """Height at the lower crest edge."""
        return min(self.heights.values())

    @property
    def fall(self) -> float:
        """Fall of the crest over its width, 0 where it is level."""
        return (self.height - self.least_height) / self.crest_width if self.lower else 0.0

    @property
    def zones(self) -> tuple[tuple[int, Zone], ...]:
        """The zones with their places in the file; one of the values of the fill is none."""
        soil = self.gamma, self.phi, self.c
        return tuple((k, zone) for k, zone in enumerate(self.zone) if (zone.gamma, zone.phi, zone.c) != soil)

    def face(self, side: str, height: float) -> float:
        """Distance of a side slope from the axis at a height above the platform."""
        run = self.slope_left if side == "left" else self.slope_right
        return self.crest_width / 2 + run * (self.heights[side] - height)

    def ends(self, zone: Zone) -> tuple[float, float]:
        """The verticals that a zone ends at; infinite where it reaches the side slope."""
        left, right = zone.left, zone.right
        reaches = (
            left is None or not above(left, -self.face("left", zone.bottom)),
            right is None or not above(self.face("right", zone.bottom), right),
        )
        return -inf if left is None or reaches[0] else left, inf if right is None or reaches[1] else right

    @property
    def is_cored(self) -> bool:
        """Whether a zone ends within the bank."""
        return any(isfinite(end) for _, zone in self.zones for end in self.ends(zone))

    @property
    def berms(self) -> dict[str, Berm]:
        """The berms by side, "left" and "right"; one without height is none."""
        berms = {"left": self.berm_left, "right": self.berm_right}
        return {side: berm for side, berm in berms.items() if berm is not None and berm.height > 0}


class Platform(Table):
    """The working platform, which stays under the embankment."""

    thickness: Length = field("Thickness.", "0.8 m", usual=("0.2 m", "3 m"))
    gamma: UnitWeight = field("Unit weight.", "18.5 kN/m^3", usual=("14 kN/m^3", "24 kN/m^3"))
    role: Annotated[str, OneOf(words=("load", "initial"))] = field(
        '"load": part of the added load; "initial": part of the stress state before the columns carry anything.', "load"
    )
    rig: Rig | None = field(
        "The rig that works on it, with the platform as its foundation.", "[platform.rig]", default=None
    )

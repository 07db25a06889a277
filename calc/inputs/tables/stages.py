"""The list [[stage]], each a design situation of its own, and the table [first_lift]: how the fill is placed."""

from typing import Annotated

from calc.inputs.reading.kinds import (
    Length,
    LengthOrNone,
    Name,
    PressureOrNone,
    Share,
    Situation,
    Strength,
    Table,
    Time,
    WaterName,
    field,
)
from calc.inputs.reading.scalars import Number, QuantityOrWord, Whole
from calc.inputs.reading.texts import Flag, Words
from calc.inputs.tables.problem import Problem, Problems

COMPUTED = "consolidation"


class Stage(Table):
    """A stage of filling; the last one is the final state."""

    name: Name = field("Name as printed.", "Stage 1")
    situation: Situation = field("Design situation.", "transient")
    water: WaterName = field(
        "Name of the water level. Another level at the same fill is a stage of its own, with consolidates = false.",
        "mean",
    )
    fill_height: LengthOrNone = field(
        "Height of fill above the working platform (or ground) at the end of the stage. What is higher than the "
        "embankment is a surcharge on its slopes, which a later stage takes off.",
        "2.0 m",
    )
    traffic: Flag = field("Whether the traffic load acts.", False)
    plant: PressureOrNone | None = field(
        "Pressure of the plant on the lift while it is placed, on soil and columns alike, for bearing and lateral "
        "extrusion of the soft ground and for slip surfaces. Without it none is counted. In a stage with part of the "
        "first lift it is first_lift.plant; on higher lifts, a mean over the lift; heavier plant on a higher lift is a "
        "stage of its own.",
        "5 kPa",
        default=None,
        usual=("0 kPa", "60 kPa"),
    )
    start: Time = field("Start of filling, counted from the start of works.", "30 d")
    duration: Time = field("Time that the filling of this stage takes.", "14 d")
    n_stability: Annotated[float, Number(ge=1, le=100)] = field(
        "Stress ratio of column to soil to be used for stability, lateral extrusion and bearing of the soft ground. A "
        "judgement on the safe side: low, and never above the least ratio of the unit cell in the stage or above 6.5, "
        "the largest measured under embankments: what relies on more is not verified. Before consolidation it is near "
        "1.",
        1.5,
    )
    consolidates: Flag = field(
        "Whether the ground consolidates under the load of this stage. A state that passes, such as a high water, "
        "does not count in the settlement over time.",
        True,
        default=True,
    )
    degree_min: Share | None = field(
        "Least degree of consolidation under the load placed before, at the start of this stage. Without it none is "
        "asked for.",
        0.6,
        default=None,
    )
    c_u_gain: Annotated[float | str, QuantityOrWord(unit="kPa", ge=0, le=10_000, word=COMPUTED)] | None = field(
        "Gain of the undrained strength of the soft ground under the embankment that is credited in this stage, for "
        'bearing, extrusion and stability; with c_u_gain_source. "consolidation" credits the gain that the chapter on '
        "consolidation computes for the start of the stage with n_stability; a larger one is not verified. Without it "
        "none is credited.",
        "4 kPa",
        default=None,
    )
    c_u_gain_source: Words | None = field(
        "Where the gain comes from and how it is proven before this stage is filled.",
        "vane tests before the stage, hold point 3",
        default=None,
    )


class FirstLift(Table):
    """The first lift over the reinforcement while it is placed: thin cover, the machines on it, how it is placed."""

    thickness: Length = field(
        "Thickness of the first lift over the lowest reinforcement; over the heads of the columns where none is given.",
        "0.4 m",
        usual=("0.2 m", "2 m"),
    )
    machines: Words = field("The machines that drive on it.", "tracked dozer up to 45 kN/m2 under the tracks")
    plant: PressureOrNone = field(
        "Pressure of these machines at the level of the reinforcement, a mean over their working lane, without a "
        "factor. Where the first lift is placed, stage.plant is the same.",
        "15 kPa",
        usual=("0 kPa", "100 kPa"),
    )
    machine_cover: Length = field("Fill over the heads of the columns before these machines drive over them.", "0.4 m")
    placing: Words = field("How the lift is placed.", "tipped on the lift and pushed forward, no tipping on the heads")
    remoulded_strength: Strength | None = field(
        "Undrained strength of the remoulded soft ground that is pushed forward, its upper value, with panels and "
        "panel_width.",
        "4 kPa",
        default=None,
        usual=("0.1 kPa", "20 kPa"),
    )
    panels: Annotated[int, Whole(ge=1, le=100)] | None = field(
        "Number of panels that the soft ground drags in front of the fill.", 3, default=None
    )
    panel_width: Length | None = field("Width of a panel of reinforcement.", "5 m", default=None)
    source: Words = field("Where the values come from.", "method statement of the contractor, section 4")


def drag_of_panels(first_lift: FirstLift | None) -> Problems:
    """The drag of the soft ground needs its strength, the number and the width of the panels."""
    names = ("remoulded_strength", "panels", "panel_width")
    missing = [name for name in names if first_lift is not None and getattr(first_lift, name) is None]
    if 0 < len(missing) < len(names):
        for name in missing:
            must = "be given with the other two of " + ", ".join(names)
            yield Problem(("first_lift", name), must, "nothing")


LIFT_RULES = (drag_of_panels,)

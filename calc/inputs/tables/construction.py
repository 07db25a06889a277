"""The table [construction]: quantities, tolerances, hold points, tests on site, head of the columns."""

from typing import Annotated

from calc.inputs.reading.kinds import LengthOrNone, Level, Name, Table, field
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Flag, Line, OneOf, Words

SectionLength = Annotated[float, Quantity(unit="m", gt=0, le=20_000)]
RollWidth = Annotated[float, Quantity(unit="m", gt=0, le=20)]
Excess = Annotated[float, Number(ge=1, le=3)]
Waste = Annotated[float, Number(ge=0, le=1)]
TEST_KINDS = ("trial columns", "column density", "sleeve tension", "as-built levels", "other")


class RollWaste(Table):
    """What becomes waste of the reinforcement delivered, and where that comes from."""

    value: Waste = field("Waste over the reinforcement laid with its overlaps.", 0.05, usual=(0, 0.2))
    source: Words = field("What it counts, such as cuttings and ends of rolls, and its document.", "quantity note Q-3")


class Quantities(Table):
    """What the quantities of a section need beside the design."""

    length: SectionLength = field("Length of the section along the embankment.", "360 m")
    sleeve_top: LengthOrNone = field("Sleeve above the head of the column, for tying and trimming.", "0.5 m")
    sleeve_toe: LengthOrNone = field("Sleeve used up in closing the toe.", "0.3 m")
    fill_excess: Excess = field("Volume of fill delivered over the theoretical volume of the columns.", 1.15)
    roll_width: RollWidth | None = field("Width of the rolls of the reinforcement.", "5.0 m", default=None)
    roll_overlap: LengthOrNone | None = field("Overlap of neighbouring rolls.", "0.3 m", default=None)
    roll_ends: LengthOrNone | None = field(
        "Reinforcement beyond the width of the embankment on each side, of a layer without anchorage.",
        "1.5 m",
        default=None,
    )
    roll_waste: RollWaste | None = field(
        "Waste of the reinforcement; without it the package says that overlaps are counted and waste is not.",
        '{ value = 0.05, source = "…" }',
        default=None,
    )
    source: Words = field("Where the allowances come from.", "quantity note Q-3")


class Tolerance(Table):
    """A tolerance of the works; none is ever assumed."""

    item: Line = field("What it holds for.", "position of the column axis at working level")
    value: Line = field("The tolerance.", "100 mm in any direction")
    casing_level: Level | None = field(
        "Where it is that of the water in open casings: the least level it asks for, an elevation.",
        "1.8 m",
        default=None,
    )
    source: Words = field("Where it comes from.", "works specification, clause 4.3")


class HoldPoint(Table):
    """Work that does not go on before somebody has released it."""

    name: Name = field("Name as printed.", "HP 3")
    before: Line = field("What may not begin before.", "filling of stage 2")
    stage: Name | None = field(
        "Name of the stage of filling that waits for it; a stage that relies on a gain of strength needs one.",
        "Stage 2",
        default=None,
    )
    casing: Flag = field(
        "Whether it holds the level of the water in an open casing, and the soil left in it where some is.",
        False,
        default=False,
    )
    proof: Words = field("What has to be shown.", "vane tests in both layers, three places")
    release: Line = field("Who releases it.", "designer")


class SiteTest(Table):
    """A test to be made on site."""

    kind: Annotated[str, OneOf(words=TEST_KINDS)] = field("Kind of test.", "column density")
    what: Words = field("What is tested, and how.", "light cone soundings in the axis of the column, full depth")
    frequency: Line = field("How often.", "1 in 50 columns, at least 5")
    accept: Words = field("When it is accepted.", "number of blows of the trial columns or more")
    source: Words = field("Where it is laid down.", "works specification, clause 6.2")


class Head(Table):
    """The head of the columns."""

    trim: Words = field("How the head is trimmed and the sleeve finished.", "trimmed 0.3 m to sound fill, sleeve tied")
    cover: LengthOrNone = field(
        "Least cover from the head of the column to the lowest reinforcement; 0 where it may lie on the heads.",
        "0.15 m",
    )
    source: Words = field("Where it comes from.", "drawing D-021")


class Construction(Table):
    """What the site needs to build what was calculated."""

    quantities: Quantities | None = field("For the quantities.", "[construction.quantities]", default=None)
    tolerances: tuple[Tolerance, ...] = field(
        "Tolerances.", "[[construction.tolerance]]", name="tolerance", default=(), max_length=60
    )
    hold_points: tuple[HoldPoint, ...] = field(
        "Hold points in the order of the works.", "[[construction.hold_point]]", name="hold_point", default=(),
        max_length=60,
    )  # fmt: skip
    tests: tuple[SiteTest, ...] = field(
        "Tests on site.", "[[construction.test]]", name="test", default=(), max_length=60
    )
    head: Head | None = field("Head of the columns.", "[construction.head]", default=None)

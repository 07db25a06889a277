"""The table [neighbours]: what stands beside the embankment, what it bears, and values of the methods."""

from typing import Annotated

from calc.engine.levels import above
from calc.inputs.reading.kinds import Fraction, Friction, Length, LengthOrNone, Name, Share, Strength, Table, field
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Line, OneOf, Words
from calc.inputs.tables.columns import ColumnField, Columns
from calc.inputs.tables.embankment import SIDES, Embankment, Platform
from calc.inputs.tables.outside import Outside
from calc.inputs.tables.problem import Problem, Problems, unique

KINDS = ("piles", "abutment", "pipe", "building")
HEADS = ("held", "free")
PLANTS = ("vibratory driving", "vibro replacement")
CLOSEST = 1.0  # m, from the axis of a column
NOT_RELEVANT = "not relevant because "

Velocity = Annotated[float, Quantity(unit="mm/s", gt=0, le=1000)]
Displacement = Annotated[float, Quantity(unit="mm", gt=0, le=10_000)]
Moment = Annotated[float, Quantity(unit="kN*m", gt=0, le=100_000)]
FlowFactor = Annotated[float, Number(ge=7, le=10)]
Widths = Annotated[float, Number(ge=1, le=10)]
Safety = Annotated[float, Number(gt=0, le=10)]
Inclination = Annotated[float, Quantity(unit="deg", ge=0, lt=90)]


class Piles(Table):
    """The piles of a neighbour in the soft ground."""

    diameter: Length = field("Diameter or width of a pile.", "0.60 m", usual=("0.15 m", "2.5 m"))
    spacing: Length = field("Spacing of the piles along the embankment.", "2.4 m")
    length: Length = field("Length of a pile in the soft ground.", "6.0 m")
    c_u: Strength = field("Mean undrained strength of the soft ground at the piles.", "15 kPa")
    moment_max: Moment | None = field(
        "Bending moment that the owner allows for a pile from lateral soil pressure.", "150 kN*m", default=None
    )
    head: Annotated[str, OneOf(words=HEADS)] | None = field(
        'Whether a structure holds the pile heads against displacement ("held") or not ("free"), for the moment.',
        "held",
        default=None,
    )


class Neighbour(Table):
    """A structure beside the embankment."""

    name: Name = field("Name as printed, used once.", "Pumping station")
    kind: Annotated[str, OneOf(words=KINDS)] = field("What it is.", "piles")
    side: Annotated[str, OneOf(words=SIDES)] = field("Side of the embankment, in the direction of chainage.", "right")
    distance: LengthOrNone = field("Distance from the toe of the final slope, or of its berm.", "20 m")
    owner: Line = field("Who answers for it and decides on what the screen leaves open.", "Water board")
    analysis: Words | None = field(
        "Document of an analysis of its own that stands in place of what the screen leaves open.",
        "report S-12, piles beside the bank",
        default=None,
    )
    acceptance: Words | None = field(
        "Record of the owner's acceptance of this analysis; without it the analysis does not count.",
        "letter of the Water board, 2027-05-03",
        default=None,
    )
    piles: Piles | None = field("Its piles.", "[neighbours.neighbour.piles]", default=None)
    vibration_max: Velocity | None = field("Peak particle velocity allowed at it.", "5 mm/s", default=None)
    heave_max: Displacement | None = field("Heave allowed at it.", "20 mm", default=None)
    lateral_max: Displacement | None = field("Lateral displacement allowed at it.", "20 mm", default=None)
    limits_source: Words | None = field("Where the limits come from.", "agreement with the owner", default=None)

    @property
    def limits(self) -> tuple[float | None, ...]:
        """The limits that its owner may give."""
        piles = self.piles.moment_max if self.piles else None
        return self.vibration_max, self.heave_max, self.lateral_max, piles


class Surcharge(Table):
    """The share of the surcharge that acts on a pile."""

    slope: Inclination = field("Inclination of the substitute slope, from the published construction.", "35 deg")
    phi: Friction = field("Friction angle of the soft ground in this method.", "20 deg")
    safety: Safety = field("Factor of safety of the bank without piles and columns, in the sense of the method.", 1.7)
    safety_min: Safety = field("Factor of safety from which the method holds.", 1.6)
    source: Words = field("Where the method and its values come from.", "design note N-4 with a copy of the paper")


class PileMethods(Table):
    """Values of the methods for lateral pressure; none is assumed."""

    adhesion: Share = field("Adhesion on the piles over undrained strength: 0 smooth, 1 rough.", 0.5)
    flow_factor: FlowFactor = field("Factor of ground flowing round a pile, by its position in the group.", 7.0)
    width_factor: Widths = field("Greatest width of ground that loads a pile, in diameters.", 3.0)
    source: Words = field("Where the values come from.", "EA-Pfähle (2012), ch. 4.5, copy in the project file")
    surcharge: Surcharge | None = field(
        "A share of the surcharge.", "[neighbours.pile_methods.surcharge]", default=None
    )


class HeaveShare(Table):
    """Share of the displaced volume that comes up inside the column field."""

    low: Fraction = field("Least share.", 0.3)
    high: Fraction = field("Largest share.", 1.0)
    source: Words = field("Where the range comes from.", "trial field, levels before and after")


class InstallationRules(Table):
    """What the site does for the neighbours, each as laid down."""

    order: Words | None = field("Order of driving.", "rows driven away from the station", default=None)
    heave_survey: Words | None = field("Levels of ground, neighbours and column heads.", "daily", default=None)
    redriving: Words | None = field("What is done with columns that are lifted.", "re-driven above 50 mm", default=None)
    pore_pressure: Words | None = field("Limits of pore pressure, and the pause.", "pause above 15 kPa", default=None)
    condition_survey: Words | None = field("Survey of the neighbours before.", "with photographs", default=None)


class Neighbours(Table):
    """Neighbours of the embankment, screened; a screen proves nothing."""

    plant: Annotated[str, OneOf(words=PLANTS)] | None = field(
        "How the columns are driven, for vibration.", "vibratory driving", default=None
    )
    heave_share: HeaveShare | None = field("Share of heave.", "[neighbours.heave_share]", default=None)
    pile_methods: PileMethods | None = field("Pile methods.", "[neighbours.pile_methods]", default=None)
    site: InstallationRules | None = field("What the site does.", "[neighbours.site]", default=None)
    neighbours: tuple[Neighbour, ...] = field(
        "The neighbours.", "[[neighbours.neighbour]]", name="neighbour", min_length=1, max_length=20
    )


def named_once(neighbours: Neighbours | None) -> Problems:
    """Every neighbour has a name of its own."""
    if neighbours is not None:
        yield from unique([neighbour.name for neighbour in neighbours.neighbours], ("neighbours", "neighbour"), "name")


def neighbours_complete(neighbours: Neighbours | None) -> Problems:
    """Piles are described, limits have a source, an acceptance its analysis, a range two ends in order."""
    if neighbours is None:
        return
    for index, neighbour in enumerate(neighbours.neighbours):
        path = ("neighbours", "neighbour", index)
        if neighbour.kind == "piles" and neighbour.piles is None:
            yield Problem((*path, "piles"), 'be given where kind is "piles"', "nothing")
        if neighbour.piles is not None and neighbour.piles.moment_max is not None and neighbour.piles.head is None:
            yield Problem((*path, "piles", "head"), "be given where moment_max is given", "nothing")
        if neighbour.acceptance is not None and neighbour.analysis is None:
            yield Problem((*path, "analysis"), "be given where acceptance is given", "nothing")
        if neighbour.limits_source is None and any(limit is not None for limit in neighbour.limits):
            yield Problem((*path, "limits_source"), "be given where a limit is given", "nothing")
    share = neighbours.heave_share
    if share is not None and share.high < share.low:
        yield Problem(("neighbours", "heave_share", "high"), f"not be less than low ({share.low:g})")


def outside_the_field(
    neighbours: Neighbours | None,
    columns: Columns,
    column_field: ColumnField | None,
    embankment: Embankment,
    platform: Platform | None,
) -> Problems:
    """A neighbour stands clear of the outermost columns, which without a field reach to the toe."""
    least = max(CLOSEST, columns.spacing)
    for index, neighbour in enumerate(neighbours.neighbours if neighbours else ()):
        reach, run = (
            getattr(column_field, f"beyond_{neighbour.side}", None),
            getattr(embankment, f"slope_{neighbour.side}"),
        )
        height = embankment.heights[neighbour.side] + (platform.thickness if platform else 0.0)
        beyond = 0.0 if reach is None else reach - run * height
        berm = embankment.berms.get(neighbour.side)
        if berm is not None:
            beyond -= berm.out(run, height - embankment.heights[neighbour.side])
        if above(least + beyond, neighbour.distance):
            must = f"be at least {least + beyond:g} m, for {least:g} m from the axis of the outermost columns"
            yield Problem(("neighbours", "neighbour", index, "distance"), must)


def screened_outside(outside: Outside, any_neighbours: bool, any_piles: bool) -> Problems:
    """What the screen leaves open has an answer that does not deny it."""
    for key, there in (("neighbours", any_neighbours), ("lateral_pressure", any_piles)):
        if there and (getattr(outside, key) or "").startswith(NOT_RELEVANT):
            yield Problem(("outside", key), 'begin with "see " or be left out where [neighbours] has what it denies')


NEIGHBOUR_RULES = (named_once, neighbours_complete, outside_the_field)

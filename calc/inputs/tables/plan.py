"""The table [plan]: where the columns stand on site, in the grid of the project, and how their sleeves are cut."""

from typing import Annotated

from calc.inputs.reading.kinds import Length, LengthOrNone, Level, Name, SectionKey, Table, field
from calc.inputs.reading.scalars import Number, Quantity, Whole
from calc.inputs.reading.texts import Key, Line, OneOf, Words
from calc.inputs.tables.alignment import Place, place_of

MOST_POINTS = 200
BY_ROW, BY_SHIFT = "row", "shift"

Coordinate = Annotated[float, Quantity(unit="m", ge=-1e8, le=1e8)]
Radius = Annotated[float, Quantity(unit="m", ge=10, le=1e7)]
Epsg = Annotated[int, Whole(ge=1024, le=32767)]
ScaleFactor = Annotated[float, Number(ge=0.99, le=1.01)]
Tolerance = Annotated[float, Number(gt=0, le=0.5)]
SamePlace = Annotated[float, Quantity(unit="m", ge=0.001, le=0.5)]
Few = Annotated[int, Whole(ge=1, le=40)]
Many = Annotated[int, Whole(ge=1, le=2000)]
Step = Annotated[float, Quantity(unit="m", ge=0.01, le=5)]


class Corner(Table):
    """A corner of a polygon in the grid."""

    easting: Coordinate = field("Easting.", "512340.00 m")
    northing: Coordinate = field("Northing.", "5412600.00 m")


class LinePoint(Table):
    """A point of the line in plan: an end of it, or where two straights would meet."""

    easting: Coordinate = field("Easting.", "512340.00 m")
    northing: Coordinate = field("Northing.", "5412600.00 m")
    radius: Radius | None = field("Radius of the arc there; left out at both ends.", "600 m", default=None)


class PlanLine(Table):
    """The line that chainages are measured along, which is the axis of the crest: by points or from a file."""

    start: Annotated[str, Place()] | None = field(
        "Chainage of its first point; left out where a LandXML file says it.", "0+100", default=None
    )
    file: Name | None = field(
        "Name of a LandXML 1.2 file (.xml) or of a CSV file with easting, northing, radius in m, beside project.toml.",
        "axis.xml",
        default=None,
    )
    point: tuple[LinePoint, ...] = field(
        "Points of the line in the order of chainage; without them a file.",
        "[[plan.line.point]]",
        default=(),
        max_length=MOST_POINTS,
    )

    @property
    def begins(self) -> float:
        """Chainage of the first point, m."""
        return place_of(self.start) if self.start else 0.0


class PlanArea(Table):
    """The columns of one section, laid out over its chainage."""

    section: SectionKey = field("Key of the section; one that is not named here is not laid out.", "A")
    letter: Annotated[str, Key(capitals=True)] = field("First part of the ids of its columns.", "A")
    working_level: Level = field("Elevation from which the rig installs the columns.", "1.20 m")
    design_longer: LengthOrNone | None = field(
        "How much longer than in the design a column may be between investigation points; what the calculation of the "
        "section covers.",
        "0.30 m",
        default=None,
    )
    design_shorter: LengthOrNone | None = field("How much shorter.", "0.50 m", default=None)


class Exclusion(Table):
    """A place in which no column may stand."""

    name: Name = field("Name as printed.", "water main DN 400")
    reason: Words = field("Why, and who answers for the columns that are missing.", "service, drawing 2025-014-D-020")
    distance: LengthOrNone = field("Least distance from the outside of a column to its border.", "1.0 m")
    corner: tuple[Corner, ...] = field(
        "Corners in order; the last is joined to the first.", "[[plan.exclusion.corner]]", min_length=3, max_length=100
    )


class FootprintPart(Table):
    """A polygon of the footprint."""

    corner: tuple[Corner, ...] = field(
        "Corners in order; the last is joined to the first.",
        "[[plan.footprint.part.corner]]",
        min_length=3,
        max_length=100,
    )


class Footprint(Table):
    """The ground that is to be treated, where the field of columns of the design is cut to it."""

    name: Name = field("Name as printed.", "limit of the works")
    reason: Words = field(
        "Why, and who answers for the columns of the design that are left out beyond it.", "drawing 2025-014-D-010"
    )
    part: tuple[FootprintPart, ...] = field(
        "Polygons; a column stands in one of them with its axis.",
        "[[plan.footprint.part]]",
        min_length=1,
        max_length=20,
    )


class Investigation(Table):
    """A boring or sounding that found the bearing layer."""

    name: Name = field("Name as printed.", "CPT 12")
    easting: Coordinate = field("Easting.", "512340.00 m")
    northing: Coordinate = field("Northing.", "5412600.00 m")
    bearing_level: Level = field("Elevation of the top of the bearing layer there.", "-6.10 m")


class SleeveCuts(Table):
    """How the sleeves are cut, packed and delivered; allowances are those of [construction.quantities]."""

    classes: Few = field("Number of lengths in which the sleeves are made.", 4)
    step: Step = field("These lengths are whole multiples of it.", "0.10 m")
    roll: tuple[Length, ...] = field(
        "Lengths of the rolls that sleeves are cut from.", '["100 m", "150 m"]', min_length=1, max_length=6
    )
    cut_loss: LengthOrNone = field("What is lost with every sleeve that is cut off.", "0.02 m")
    box: Many = field("Sleeves that a box holds.", 20)
    boxes_by: Annotated[str, OneOf(words=(BY_ROW, BY_SHIFT))] = field(
        'What a box is packed for: a "row" of columns, or a "shift".', "row"
    )
    shift: Many | None = field("Columns of a shift, with boxes by shift.", 40, default=None)


class Plan(Table):
    """The column plan: grid and levels, line, areas, exclusion zones, and the ground between investigation points."""

    grid: Line = field("Coordinate reference system in words.", "local grid of the bypass, transverse Mercator")
    epsg: Epsg | None = field("Its EPSG code, where it has one.", 25832, default=None)
    height_datum: Line = field("Height datum.", "levelling network of the road authority, 2016")
    scale_factor: ScaleFactor = field(
        "Length in the grid over length on the ground; the columns are spaced on the ground.", 0.9996
    )
    revision: Name = field("Revision of the plan, printed in every file.", "P1")
    clear_distance: Length = field("Least distance between the axes of two columns.", "1.2 m")
    ratio_tolerance: Tolerance = field(
        "How far the area ratio of a column may differ from that of the design, over it.", 0.1
    )
    same_place: SamePlace = field(
        "A column that moves no farther than this from an earlier plan keeps its id.", "10 mm"
    )
    before: Name | None = field(
        "Name of the columns.geojson of the plan that left the office before, beside project.toml: its ids are kept.",
        "columns-P1.geojson",
        default=None,
    )
    source: Words = field("Where distance and tolerances come from.", "works specification, clause 4.3")
    line: PlanLine = field("The line.", "[plan.line]")
    area: tuple[PlanArea, ...] = field("Areas in the order of printing.", "[[plan.area]]", min_length=1, max_length=60)
    exclusion: tuple[Exclusion, ...] = field("Exclusion zones.", "[[plan.exclusion]]", default=(), max_length=100)
    footprint: Footprint | None = field(
        "Polygons that the columns of the design are cut to; without it they stand as far as the field reaches.",
        "[plan.footprint]",
        default=None,
    )
    investigation: tuple[Investigation, ...] = field(
        "Investigation points between which the toe levels are interpolated; without them toes have the level of the "
        "section.",
        "[[plan.investigation]]",
        default=(),
        max_length=500,
    )
    investigation_far: Length | None = field(
        "Distance to the nearest investigation point beyond which a column is listed; with investigation points.",
        "40 m",
        default=None,
    )
    sleeves: SleeveCuts | None = field("Cut list of the sleeves.", "[plan.sleeves]", default=None)

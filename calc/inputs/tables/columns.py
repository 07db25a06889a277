"""The tables [columns] and [field]: grid, geometry, installation and fill of the columns, and how far they reach."""

from typing import Annotated

from calc.engine.levels import above
from calc.inputs.reading.kinds import (
    Coefficient,
    ColumnDiameter,
    Dilatancy,
    Fraction,
    Friction,
    LayerKey,
    Length,
    LengthOrNone,
    Modulus,
    Permeability,
    Poisson,
    Share,
    Strength,
    Table,
    UnitWeight,
    Upstand,
    field,
)
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Flag, OneOf, Words
from calc.inputs.tables.problem import Problem, Problems


class Fill(Table):
    """The fill of the columns."""

    gamma: UnitWeight = field("Unit weight above water.", "18 kN/m^3", usual=("14 kN/m^3", "22 kN/m^3"))
    gamma_sat: UnitWeight = field(
        "Saturated unit weight; at least that of water.", "20 kN/m^3", usual=("17 kN/m^3", "24 kN/m^3")
    )
    phi: Friction = field("Characteristic effective friction angle.", "32.5 deg", usual=("28 deg", "45 deg"))
    psi: Dilatancy = field("Angle of dilatancy, for the second method only.", "0 deg", usual=("0 deg", "15 deg"))
    E: Modulus = field("Modulus of elasticity, for the second method only.", "40 MPa", usual=("5 MPa", "200 MPa"))
    nu: Poisson = field("Poisson ratio, for the second method only.", 0.3)
    k: Permeability | None = field("Permeability.", "1e-4 m/s", default=None, usual=("1e-6 m/s", "1e-1 m/s"))
    grading: Words | None = field("Grading and fines content.", "0/8 mm sand, fines below 5 %", default=None)


class Shaft(Table):
    """What shaft and toe of a column pass on to soft ground."""

    alpha: Fraction = field(
        "Adhesion of the shaft over the undrained strength of the soft ground.", 0.5, usual=(0.3, 1)
    )
    K: Coefficient = field(
        "Coefficient of earth pressure on the shaft, applied to the initial effective vertical stress.",
        0.6,
        usual=(0.3, 1.2),
    )
    delta: Friction = field(
        "Friction angle between shaft and soft ground, characteristic.", "16 deg", usual=("8 deg", "30 deg")
    )
    N_c: Annotated[float, Number(gt=0, le=9)] = field(
        "Bearing factor of the toe in the undrained strength of the soft ground below it; 9 at most, at great depth.",
        9.0,
        usual=(6, 9),
    )
    toe_share: Share = field(
        "Share of that bearing which the toe has mobilised under service load, at the penetration that the package "
        "prints; 0 leaves all load to the shaft. The whole of it needs about a tenth of the diameter.",
        0.5,
    )


class Floating(Shaft):
    """Columns that end in soft ground: what their shafts and toes pass on to it, and how deep it reaches below them."""

    c_u: Strength = field(
        "Characteristic undrained strength of the soft ground at the toes and below them.",
        "18 kPa",
        usual=("3 kPa", "60 kPa"),
    )
    soft_below: Length = field(
        "Thickness of the soft ground below the toes, down to firm ground: slip surfaces and extruding wedges reach "
        "down to there with c_u. Not less than the layers below down to the first that drains, not more than all.",
        "4.0 m",
    )
    source: Words = field("Where the values come from.", "load tests on two columns, report L-12")


class FloatingZone(Shaft):
    """Columns of a zone that end in soft ground, above firm ground: their toes, and the ground below them.

    The soft layers from the toes down to the bearing layer have the strength, weight and c_v that they are given.
    """

    toe_in: LayerKey = field(
        "Key of the soft layer at whose top the toes of the zone stand, not the first: a layer that reaches deeper is "
        "split there. All soft layers then need c_u, those from it down c_v.",
        "clay-lower",
    )
    E: Modulus = field(
        "Modulus for the settlement of the soft layers below the toes under the added stress.",
        "1500 kPa",
        usual=("300 kPa", "20 MPa"),
    )
    source: Words = field("Where the values come from.", "load tests on two columns, report L-12")


Across = Annotated[float, Quantity(unit="m", ge=-500, le=500)]
Pattern = Annotated[str, OneOf(words=("triangular", "square"))]


class ColumnZone(Table):
    """A strip of the cross-section whose columns have a grid or a length of their own; all else is of [columns]."""

    key: LayerKey = field("Key of the zone, unique in the section; its results print as those of SECTION.KEY.", "slope")
    x_left: Across = field("Left border, from the axis of the crest, to the right positive.", "5.0 m")
    x_right: Across = field(
        "Right border. A row of columns stands half its row distance from a border, or on the outermost columns.",
        "13.0 m",
    )
    mirrored: Flag = field("Whether the same zone lies on the other side of the axis as well.", False, default=False)
    pattern: Pattern = field("Pattern of its grid.", "triangular")
    spacing: Length = field("Distance between the axes of its columns.", "2.4 m", usual=("1 m", "5 m"))
    embedment: LengthOrNone | None = field(
        "Depth of its toes below the top of the bearing layer; without it that of [columns], the only one "
        "that there may be with layer_below.",
        "1.0 m",
        default=None,
        usual=("0 m", "5 m"),
    )
    floating: FloatingZone | None = field(
        "Its columns are shorter and end in soft ground; without it they stand on firm ground. n_stability is 1 and no "
        "gain counts in the zone, no extruding wedge has columns. No makeup_fill, plug, uplift, heads over depth, "
        "consolidation.secondary_reduction, nor embedment in the zone.",
        "[columns.zone.floating]",
        default=None,
    )

    @property
    def strips(self) -> tuple[tuple[float, float], ...]:
        """From x to x: once, or on both sides of the axis."""
        strip = (self.x_left, self.x_right)
        return (strip, (0.0 - self.x_right, 0.0 - self.x_left)) if self.mirrored else (strip,)  # no negative zero

    @property
    def over_axis(self) -> bool:
        """Whether it would overlap its mirror image."""
        return self.mirrored and above(0.0, self.x_left) and above(self.x_right, 0.0)


class Columns(Table):
    """The columns of a section."""

    pattern: Pattern = field("Pattern of the grid.", "triangular")
    spacing: Length = field("Distance between the axes of neighbouring columns.", "2.0 m", usual=("1 m", "5 m"))
    diameter: ColumnDiameter = field(
        "Diameter of the column as installed (inside of the casing).", "0.80 m", usual=("0.4 m", "1.5 m")
    )
    installation: Annotated[str, OneOf(words=("displacement", "excavation"))] = field(
        "How the column is made: the soil is displaced, or excavated from the casing.", "displacement"
    )
    K_star: Coefficient | None = field(
        "Coefficient of earth pressure on the initial stress after installation. Mandatory for displacement; without "
        "it "
        "excavated columns use the coefficient at rest of the layer.",
        1.0,
        default=None,
        usual=(0.5, 2.5),
    )
    embedment: LengthOrNone = field(
        "Depth of the toe below the top of the bearing layer.", "0.5 m", usual=("0 m", "5 m")
    )
    upstand: Upstand = field("Height of the column head above the ground.", "0 m")
    fill: Fill = field("Fill of the columns.", "[columns.fill]")
    floating: Floating | None = field(
        "Columns that end in soft ground, which [bearing_layer] then is: the soft layers end at the toes. Without it "
        "the toes stand on firm ground.",
        "[columns.floating]",
        default=None,
    )
    zone: tuple[ColumnZone, ...] = field(
        "Zones across the section with another grid or length, such as wider or shorter columns under the slopes; the "
        "grid above is that of the rest, part of the crest included. A zone with that grid and length is none.",
        "[[columns.zone]]",
        default=(),
        max_length=4,
    )

    @property
    def zones(self) -> tuple[tuple[int, ColumnZone], ...]:
        """The zones with their places in the file; one with grid and length of the section is none."""
        grid = self.pattern, self.spacing, self.embedment, None
        return tuple((k, zone) for k, zone in enumerate(self.zone)
                     if (zone.pattern, zone.spacing, self.embedment_of(zone), zone.floating) != grid)  # fmt: skip

    def grid_of(self, zone: ColumnZone | None) -> tuple[str, float]:
        """Pattern and spacing in a zone, or outside all of them."""
        return (self.pattern, self.spacing) if zone is None else (zone.pattern, zone.spacing)

    def embedment_of(self, zone: ColumnZone | None) -> float:
        """Depth of the toes below the top of the bearing layer in a zone or outside all of them; 0 in soft ground."""
        if zone is None or zone.embedment is None:
            return 0.0 if zone is not None and zone.floating is not None else self.embedment
        return zone.embedment

    def has_length(self, zone: ColumnZone) -> bool:
        """Whether the toes of a zone are not those of the rest."""
        return zone.floating is not None or self.embedment_of(zone) != self.embedment

    @property
    def short(self) -> tuple[ColumnZone, ...]:
        """The zones whose columns end in soft ground."""
        return tuple(zone for zone in self.zone if zone.floating is not None)

    @property
    def some_float(self) -> bool:
        """Whether any columns end in soft ground, all or those of a zone."""
        return self.floating is not None or bool(self.short)


class ColumnField(Table):
    """The column field across the embankment, and options of extrusion, thrust and stability."""

    beyond_left: Length | None = field(
        "Horizontal distance from the left crest edge out to the axis of the outermost column; "
        "without it the chapter on bearing leaves the edge of the columns open.",
        "8.0 m",
        default=None,
    )
    beyond_right: Length | None = field("The same from the right crest edge.", "8.0 m", default=None)
    hold_top: Share | None = field(
        "Share of the strength of the soft ground at its top by which the reinforcement holds the ground back under "
        "the side slope; the reinforcement carries this shear in addition to the thrust. Without it none is counted.",
        0.5,
        default=None,
    )
    thrust_in_ground: Share | None = field(
        "Share of the strength of the soft ground at its top that carries thrust of the embankment; the ground is then "
        "driven outward. Without it the reinforcement carries all thrust. Not together with hold_top.",
        0.0,
        default=None,
    )
    sleeve_cohesion: Flag = field(
        "Whether the apparent cohesion of the columns from the ring tension of their sleeves is handed over for "
        "stability. Never together with a substitute friction angle.",
        False,
        default=False,
    )


def columns_apart(columns: Columns) -> Problems:
    """Neighbouring columns do not touch: the area ratio stays below 0.9069 (triangular) or 0.7854 (square)."""
    if columns.spacing <= columns.diameter:
        yield Problem(("columns", "spacing"), f"be greater than the diameter ({columns.diameter:g} m)")
    if columns.installation == "displacement" and columns.K_star is None:
        yield Problem(("columns", "K_star"), "be given for displacement columns", "nothing")


def shear_at_the_top(column_field: ColumnField | None) -> Problems:
    """The ground is either held back at its top or driven outward there."""
    if column_field is not None and column_field.hold_top and column_field.thrust_in_ground:
        yield Problem(("field", "thrust_in_ground"), f"be 0 or left out where hold_top is {column_field.hold_top:g}")


COLUMN_RULES = (columns_apart, shear_at_the_top)

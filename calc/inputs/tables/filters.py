"""The tables [filters] and [plug]: gradings, the sleeve as a filter, criteria, drainage, the seal plug."""

from typing import Annotated

from calc.inputs.reading.kinds import (
    FactorValue,
    Fraction,
    LayerKey,
    Length,
    Permeability,
    PressureOrNone,
    Share,
    Table,
    UnitWeight,
    field,
)
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Flag, OneOf, Words
from calc.inputs.tables.sleeve import Factor

Grain = Annotated[float, Quantity(unit="mm", gt=0, le=200)]
Opening = Annotated[float, Quantity(unit="mm", gt=0, le=10)]
Multiple = Annotated[float, Number(gt=0, le=100)]
Thickness = Annotated[float, Quantity(unit="mm", gt=0, le=100)]
HazenFactor = Annotated[float, Quantity(unit="1/cm/s", gt=0, le=1000)]
Viscosity = Annotated[float, Quantity(unit="Pa*s", gt=0, le=0.01)]
Porosity = Annotated[float, Number(gt=0, lt=1)]
Gradient = Annotated[float, Number(gt=0, le=1000)]
Head = Annotated[float, Quantity(unit="m", gt=0, le=500)]
Seepage = Annotated[float, Quantity(unit="m/s", gt=0, le=1)]
SourceText = "Where the values come from."


class GradientRatio(Table):
    """Gradients measured in a gradient ratio test of the sleeve with one soil."""

    at_geotextile: Gradient = field("Gradient over the geotextile and the soil next to it.", 2.4)
    in_soil: Gradient = field("Gradient in the soil.", 2.0)
    source: Words = field("Test report, with its number and date.", "filtration test report 77/25")


class Grading(Table):
    """The grading of a soil that the sleeve or the fill filters."""

    D_10: Grain = field("Grain diameter at 10 % passing.", "0.2 mm")
    D_15: Grain = field("Grain diameter at 15 % passing.", "0.25 mm")
    D_60: Grain = field("Grain diameter at 60 % passing.", "0.9 mm")
    D_85: Grain = field("Grain diameter at 85 % passing.", "2.5 mm")
    fines: Share = field("Share of grains below 0.075 mm.", 0.03)
    source: Words = field("Sieve and sedimentation tests.", "laboratory report L-118")
    filtration_test: Words | None = field(
        "Report of a long-term filtration test of the sleeve with this soil. It stands in the place of the rules for "
        "retention and clogging, which are made for mineral soils without cohesion.",
        "filtration test report 77/25, 1000 h",
        default=None,
    )
    gradient_ratio: GradientRatio | None = field(
        "Gradient ratio test; it stands in the place of the rule for clogging.",
        "[filters.soil.gradient_ratio]",
        default=None,
    )


class SoilGrading(Grading):
    """The grading of one soft layer."""

    layer: LayerKey = field("Key of the layer, in every section that has it.", "peat")


class Geotextile(Table):
    """The fabric of the sleeve as a filter."""

    opening: Opening = field("Opening size O_95.", "0.20 mm", usual=("0.03 mm", "1 mm"))
    yarn: Opening = field("Width of the yarn between two openings, for the opening under ring strain.", "0.80 mm")
    permeability: Permeability = field("Permeability normal to the plane.", "3e-4 m/s", usual=("1e-6 m/s", "1e-1 m/s"))
    thickness: Thickness = field("Thickness.", "1.5 mm", usual=("0.2 mm", "10 mm"))
    open_area: Share | None = field("Open area over area of the fabric.", 0.06, default=None)
    source: Words = field("Test report or data sheet, with its date.", "test report F-21 (2024)")


class Criteria(Table):
    """Coefficients of the filter rules. They depend on what is at stake and are never assumed."""

    flow: Annotated[str, OneOf(words=("steady", "reversing"))] = field(
        'Flow through the sleeve: "steady" toward the column, or "reversing", where water levels go up and down.',
        "steady",
    )
    reversing: Multiple | None = field(
        "Opening allowed under reversing flow over D_85; mandatory with reversing flow.", 0.5, default=None
    )
    coarse_retention: Factor | None = field(
        "Largest coefficient of retention of the other soils, with what argues for more than 1; without it 1.",
        '{ value = 1.5, source = "filtration tests with …" }',
        default=None,
    )
    fine_retention: Multiple = field("Coefficient of retention of soils with more than half of fines.", 1.0)
    largest_opening: Opening = field("Largest opening for these soils, whatever their grading.", "0.22 mm")
    permeability_ratio: FactorValue = field("Permeability of the geotextile over that of the soil, at least.", 10)
    clogging: Multiple = field("Opening over D_15 of soils that are not uniform, at least.", 3.0)
    open_area_min: Share | None = field("Least open area, for uniform soils.", 0.04, default=None)
    gradient_ratio_max: Multiple | None = field("Largest gradient ratio, where a soil gives one.", 3.0, default=None)
    granular_retention: Multiple = field(
        "D_15 of the fill over D_85 of the soil, at most: 4 and 5 are both in use.", 4.0
    )
    granular_permeability: Multiple = field("D_15 of the fill over D_15 of the soil, at least.", 5.0)
    granular_smallest: Grain = field("Least D_15 of the fill.", "0.1 mm")
    fill_retains: Flag = field("Whether the fill alone, without the sleeve, has to hold the soil back.", False)
    source: Words = field(SourceText, "basis of design, section 6")


class Estimates(Table):
    """What the estimates of the permeability of the fill need."""

    hazen: HazenFactor = field("Coefficient of the rule of Hazen.", "100 1/cm/s")
    porosity: Porosity = field("Porosity of the fill as placed.", 0.35, usual=(0.2, 0.5))
    grain: Grain = field("Effective grain diameter for Kozeny and Carman.", "0.2 mm")
    viscosity: Viscosity = field(
        "Dynamic viscosity of the water at its temperature.", "1.3e-3 Pa*s", usual=("0.8e-3 Pa*s", "1.8e-3 Pa*s")
    )
    source: Words = field(SourceText, "basis of design, section 6")


class Drainage(Table):
    """What the columns are asked for as drains."""

    ends: Annotated[str, OneOf(words=("top", "both"))] = field(
        'Where the water leaves the column: at its top, or at "both" ends.', "top"
    )
    head_loss_max: Head = field("Largest head that may be lost along the column.", "0.10 m")
    well_resistance_max: Multiple = field("Largest part of the drainage factor from well resistance.", 0.3)
    source: Words = field(SourceText, "basis of design, section 6")


class Filters(Table):
    """Filter stability of sleeve and fill, and drainage by the columns."""

    soils: tuple[SoilGrading, ...] = field(
        "Gradings of the soft layers.", "[[filters.soil]]", name="soil", default=(), max_length=40
    )
    fill: Grading | None = field("Grading of the fill of the columns.", "[filters.fill]", default=None)
    geotextile: Geotextile | None = field("The sleeve as a filter.", "[filters.geotextile]", default=None)
    criteria: Criteria | None = field("Coefficients of the filter rules.", "[filters.criteria]", default=None)
    estimates: Estimates | None = field(
        "For the estimates of the permeability of the fill.", "[filters.estimates]", default=None
    )
    drainage: Drainage | None = field("The columns as drains.", "[filters.drainage]", default=None)


class Plug(Table):
    """The plug that closes the columns against an aquifer below."""

    needed: Flag = field("Whether the columns have to be closed against an aquifer.", True)
    reason: Words = field("Why, or why not.", "The aquifer under the clay is confined and used for drinking water.")
    length: Length | None = field("Length of the plug at the toe of the column.", "1.0 m", default=None)
    permeability: Permeability | None = field(
        "Permeability.", "1e-9 m/s", default=None, usual=("1e-12 m/s", "1e-7 m/s")
    )
    gamma_sat: UnitWeight | None = field(
        "Saturated unit weight.", "20 kN/m^3", default=None, usual=("15 kN/m^3", "25 kN/m^3")
    )
    shear: PressureOrNone | None = field("Shear resistance on the face of the plug.", "5 kPa", default=None)
    seepage_max: Seepage | None = field("Largest seepage over the area of the ground.", "1e-9 m/s", default=None)
    gamma_dst: FactorValue | None = field("Partial factor on destabilising actions.", 1.1, default=None)
    gamma_stb: Fraction | None = field("Partial factor on stabilising actions.", 0.9, default=None)
    gamma_shear: FactorValue | None = field(
        "Partial factor on the shear resistance, as on undrained strength against uplift.", 1.4, default=None
    )
    source: Words | None = field(SourceText, "plug design note, basis of design, section 7", default=None)


PLUG_NEEDS = (
    "length",
    "permeability",
    "gamma_sat",
    "shear",
    "seepage_max",
    "gamma_dst",
    "gamma_stb",
    "gamma_shear",
    "source",
)

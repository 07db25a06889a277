"""The table [ground_model]: which results of tests each characteristic value rests on, and by which estimate."""

from typing import Annotated

from calc.inputs.reading.kinds import LayerKey, Length, Name, Pressure, Table, field
from calc.inputs.reading.scalars import Number
from calc.inputs.reading.texts import Flag, Line, OneOf, Text, Words

C_U, SIGMA_P, E_OED = PARAMETERS = ("c_u", "sigma_p", "E_oed_ref")
VANE, CONE, STRENGTH, OEDOMETER, PRECONSOLIDATION = TESTS = (
    "vane", "cone", "strength", "oedometer", "preconsolidation",
)  # fmt: skip
PLASTICITY, LIQUID_LIMIT, OWN, DONE = CORRECTIONS = ("plasticity", "liquid limit", "own", "already corrected")
PEAT = "peat"
SOILS = ("clay", "organic clay", PEAT)
MEAN, LOCAL, TREND = ESTIMATES = ("mean", "local", "trend")
HIGH, LOW = UNSAFE = ("high", "low")
FITS = {C_U: (VANE, CONE, STRENGTH), SIGMA_P: (PRECONSOLIDATION, CONE), E_OED: (OEDOMETER,)}
"""The tests that a parameter may rest on."""

SOURCE = "What the value comes from."
Factor = Annotated[float, Number(gt=0, le=100)]
Index = Annotated[float, Number(gt=0, le=5)]


class SourcedFactor(Table):
    """A factor and where it comes from; none is ever assumed."""

    value: Factor = field("Value.", 15)
    source: Words = field(SOURCE, "site calibration with triaxial tests, report …")


class SourcedIndex(Table):
    """An index of the soil for readings whose row has none."""

    value: Index = field("Value as a plain number: 0.45 for 45 %.", 0.45)
    source: Words = field(SOURCE, "mean of 6 index tests of the layer, report …")


class SourcedLength(Table):
    """A length and where it comes from."""

    value: Length = field("Value.", "1.0 m")
    source: Words = field(SOURCE, "autocorrelation of the soundings, report …")


class SourcedVariation(Table):
    """A coefficient of variation that is known from elsewhere."""

    value: Annotated[float, Number(gt=0, le=0.3)] = field("Value; larger ones ask for logarithms.", 0.2)
    source: Words = field(SOURCE, "regional database of …")


class LeftOut(Table):
    """A reading that is not used."""

    id: Name = field("Its id in the file.", "V2-3.0")
    reason: Words = field("Why it is not used.", "vane pushed into a shell bed, field log of 2025-01-20")


class ChosenValue(Table):
    """A parameter of a layer with the tests that it rests on; the value used is that of the layer."""

    layer: LayerKey = field("Key of the layer.", "clay")
    parameter: Annotated[str, OneOf(words=PARAMETERS)] = field("The parameter of the layer.", C_U)
    test: Annotated[str, OneOf(words=TESTS)] = field("The kind of test.", VANE)
    estimate: Annotated[str, OneOf(words=ESTIMATES)] = field(
        'What governs the limit state: the "mean" over a large volume, a "local" value, or the mean along a "trend".',
        MEAN,
    )
    unsafe: Annotated[str, OneOf(words=UNSAFE)] = field(
        "Which side of the value is unsafe: a value used that is too high, or one that is too low.", HIGH
    )
    required: Flag = field(
        "Whether the value used must stay on the safe side of the estimate; otherwise it is for information.", True
    )
    source: Words = field("Why these tests and this estimate.", "embankment slip surfaces average over the layer")
    soil: Annotated[str, OneOf(words=SOILS)] = field("What the layer is.", "clay")
    correction: Annotated[str, OneOf(words=CORRECTIONS)] | None = field(
        "How the readings of a vane are corrected; not for fibrous peat by its indices.", PLASTICITY, default=None
    )
    I_P: SourcedIndex | None = field(
        "Plasticity index where a row has none.", '{ value = 0.45, source = "…" }', default=None
    )
    w_L: SourcedIndex | None = field(
        "Liquid limit where a row has none.", '{ value = 0.8, source = "…" }', default=None
    )
    mu: SourcedFactor | None = field(
        "Own correction of the vane.", '{ value = 0.6, source = "back-analysis of …" }', default=None
    )
    N_kt: SourcedFactor | None = field(
        "Cone factor, with the test that it was calibrated on.", '{ value = 15, source = "…" }', default=None
    )
    N_du: SourcedFactor | None = field(
        "Cone factor of the excess pore pressure, for comparison.", '{ value = 8, source = "…" }', default=None
    )
    area_ratio: SourcedFactor | None = field(
        "Net area ratio of the cone where a row has none.", '{ value = 0.8, source = "calibration of …" }', default=None
    )
    k_sigma: SourcedFactor | None = field(
        "Ratio of the preconsolidation pressure to the net cone resistance.",
        '{ value = 0.33, source = "…" }',
        default=None,
    )
    V: SourcedVariation | None = field("Known coefficient of variation.", '{ value = 0.2, source = "…" }', default=None)
    theta: SourcedLength | None = field(
        "Vertical scale of fluctuation, with averaging.", '{ value = "1.0 m", source = "…" }', default=None
    )
    averaging: Length | None = field("Height over which the ground averages, with theta.", "4.0 m", default=None)
    left_out: tuple[LeftOut, ...] = field(
        "Readings that are not used.", '[{ id = "…", reason = "…" }]', default=(), max_length=50
    )


class StatedPressure(Table):
    """The preconsolidation pressure of an oedometer test whose rows have none, as those of AGS 4 files."""

    test: Name = field("Id of the test in the file.", "B1 1.20 oedometer")
    value: Pressure = field("Value.", "24 kPa")
    source: Words = field(SOURCE, "construction of Casagrande, report …")


class GroundModel(Table):
    """One file of results of tests, and the characteristic values that rest on it."""

    file: Annotated[str, Text(longest=72)] = field(
        "Name of a CSV, XLSX or AGS 4 file that lies beside project.toml.", "ground-data.csv"
    )
    source: Line = field("The report that the file belongs to.", "Ground investigation report 2025-014-G-001")
    locations: tuple[Name, ...] = field(
        "Locations in the file that stand for the section.", ["V1", "V2"], min_length=1, max_length=200
    )
    index_distance: Length | None = field(
        "Largest difference in depth at which an index test of an AGS 4 file counts for a vane of the same layer, the "
        "nearest one; without it one at the place and depth of the vane.",
        "0.5 m",
        default=None,
    )
    pressures: tuple[StatedPressure, ...] = field(
        "Preconsolidation pressures of oedometer tests whose rows have none.",
        '[{ test = "…", value = "24 kPa", source = "…" }]',
        name="sigma_p",
        default=(),
        max_length=200,
    )
    values: tuple[ChosenValue, ...] = field(
        "The values with their tests.", "[[section.ground_model.value]]", name="value", default=(), max_length=60
    )

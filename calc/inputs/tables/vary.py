"""The table [vary]: what is uncertain, by how much and from where, and which verdicts are asked about."""

import re
from dataclasses import dataclass
from typing import Annotated, Any

from calc.inputs.reading.kinds import Name, SectionKey, Table, field
from calc.inputs.reading.scalars import Number, Quantity, Whole
from calc.inputs.reading.texts import Line, OneOf, Text, Words
from calc.inputs.tables.monitoring import DESIGN, AnyMeasure, Measure

NORMAL, LOGNORMAL, TRUNCATED, UNIFORM, TRIANGULAR, PERT, DATA = DISTRIBUTIONS = (
    "normal", "lognormal", "truncated normal", "uniform", "triangular", "pert", "data",
)  # fmt: skip
LAYER, SUBLAYERS = VERTICAL = ("layer", "sublayers")
CLASSES = ("RC1", "RC2", "RC3")
FILE_NAME = r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}\.csv"


@dataclass(frozen=True, slots=True)
class InputAmount(AnyMeasure):
    """A number in the unit of the input that is varied; a rule holds it to that input."""

    unit: str = "that of the input; a plain number where it has none"

    def read(self, value: object) -> Any:
        """Read "number unit" or a plain number."""
        if value == DESIGN:
            self.refuse(value)
        return AnyMeasure.read(self, value)

    def must(self) -> str:
        """Name the forms."""
        return "be a number, a space and the unit of the input, or a plain number where the input has no unit"

    def json(self) -> dict[str, Any]:
        """Either form."""
        return {"anyOf": [{"type": "number"}, Quantity.json(self)]}


@dataclass(frozen=True, slots=True)
class FileName(Text):
    """The name of a CSV file beside the project file."""

    def read(self, value: object) -> str:
        """Refuse folders and other endings."""
        if not isinstance(value, str) or re.fullmatch(FILE_NAME, value) is None:
            self.refuse(value)
        return value

    def must(self) -> str:
        """Name the form."""
        return 'be the name of a file beside project.toml, of letters, digits, _ and -, that ends with ".csv"'


Amount = Annotated[Measure, InputAmount()]


class VariedInput(Table):
    """One input with its range, its distribution, or both."""

    path: Line = field("Path of the input in a section, as explain and results.json name it.", "layer.peat.c_u")
    least: Amount | None = field(
        "Least value: of the range for one-at-a-time, and the lower end of a bounded distribution.",
        "10 kPa",
        default=None,
    )
    most: Amount | None = field("Greatest value, in the same way.", "22 kPa", default=None)
    distribution: Annotated[str, OneOf(words=DISTRIBUTIONS)] | None = field(
        "Kind of distribution; without one the input is varied one at a time only, over its range.",
        LOGNORMAL,
        default=None,
    )
    mean: Amount | None = field(
        "Mean value; of the truncated normal distribution that of the normal one that it is cut from.",
        "15 kPa",
        default=None,
    )
    sd: Amount | None = field("Standard deviation; not with cov.", "3 kPa", default=None)
    cov: Annotated[float, Number(gt=0, le=3)] | None = field(
        "Coefficient of variation: standard deviation over mean; not with sd.", 0.2, default=None
    )
    mode: Amount | None = field("Most likely value of a triangular or PERT distribution.", "14 kPa", default=None)
    file: Annotated[str, FileName()] | None = field(
        "CSV file beside project.toml with the data of the distribution, a value a row under a head.",
        "c_u-peat.csv",
        default=None,
    )
    column: Name | None = field("Head of the column of the data.", "c_u", default=None)
    unit: Name | None = field("Unit of the data; left out where the input is a plain number.", "kPa", default=None)
    vertical: Annotated[str, OneOf(words=VERTICAL)] = field(
        'What has a random value: the whole "layer", or each of its "sublayers", correlated over depth by '
        "correlation_length; that is for a number of a soft layer with a distribution.",
        LAYER,
        default=LAYER,
    )
    correlation_length: Amount | None = field(
        "Vertical scale of fluctuation of the property; the distribution is that of its value at a point then. Of "
        "whole layers with averaging_length alone.",
        "0.5 m",
        default=None,
    )
    averaging_length: Amount | None = field(
        "Height over which the mechanism averages the property, of a normal or lognormal distribution; mandatory with "
        'correlation_length of a whole layer. With vertical = "sublayers" the value of each is the average over this '
        "height around its middle, without it that at its middle.",
        "2 m",
        default=None,
    )
    source: Words = field(
        "Where range, distribution and correlation length come from.", "vane tests, GIR table 7; n = 14"
    )


class Correlation(Table):
    """Correlation between two inputs that have distributions."""

    between: tuple[Line, ...] = field(
        "Paths of the two inputs.", '["layer.peat.c_u", "layer.peat.E_oed_ref"]', min_length=2, max_length=2
    )
    rank: Annotated[float, Number(gt=-1, lt=1)] = field("Rank correlation (Spearman).", 0.5)
    source: Words = field("Where it comes from.", "14 pairs of tests, GIR figure 12")


class LimitState(Table):
    """One verdict that is asked about."""

    verdict: Line = field("Chapter and key of the verdict (docs/verdicts.md).", "sleeve/ring_tension")
    target: Annotated[float, Number(gt=0, le=10)] | None = field(
        "Target of the reliability index; without one nothing is judged.", 3.8, default=None
    )
    reliability_class: Annotated[str, OneOf(words=CLASSES)] | None = field(
        "Reliability class that the target belongs to; not without target.", "RC2", default=None
    )
    source: Words | None = field(
        "Where the target comes from and which period it is for; mandatory with target.",
        "design basis, clause 2.3: ultimate limit states, 50 years",
        default=None,
    )


class Vary(Table):
    """Sensitivity and reliability: inputs with ranges and distributions, and the verdicts that are asked about."""

    sections: tuple[SectionKey, ...] = field(
        "Keys of the sections; without it every section.", '["A"]', default=(), max_length=60
    )
    seed: Annotated[int, Whole(ge=0, le=2**31 - 1)] = field("Seed of all random numbers.", 1, default=1)
    points: Annotated[int, Whole(ge=256, le=2**20)] = field(
        "Points of one replicate of the sampling, a power of two.", 4096, default=4096
    )
    replicates: Annotated[int, Whole(ge=8, le=256)] = field(
        "Randomised replicates, from whose scatter the bounds come.", 16, default=16
    )
    inputs: tuple[VariedInput, ...] = field(
        "Inputs that are varied.", "[[vary.input]]", name="input", min_length=1, max_length=40
    )
    correlations: tuple[Correlation, ...] = field(
        "Correlations.", "[[vary.correlation]]", name="correlation", default=(), max_length=200
    )
    limit_states: tuple[LimitState, ...] = field(
        "Verdicts that are asked about.", "[[vary.limit_state]]", name="limit_state", min_length=1, max_length=20
    )

    @property
    def with_distributions(self) -> tuple[VariedInput, ...]:
        """The inputs that have distributions."""
        return tuple(varied for varied in self.inputs if varied.distribution is not None)

    @property
    def by_sublayer(self) -> tuple[VariedInput, ...]:
        """The inputs that have a value in every sublayer."""
        return tuple(varied for varied in self.inputs if varied.vertical == SUBLAYERS)

"""The tables [sleeve] and [[reinforcement]]: the two kinds of geosynthetics and their strength chains."""

from itertools import pairwise
from typing import Annotated, Protocol

from calc.inputs.reading.kinds import (
    FactorValue,
    Fraction,
    Friction,
    Length,
    LengthOrNone,
    Level,
    LineForce,
    Name,
    Table,
    TimeAfter,
    field,
)
from calc.inputs.reading.locate import Path
from calc.inputs.reading.texts import OneOf, Words
from calc.inputs.tables.problem import Problem, Problems, unique


class StiffnessAt(Table):
    """Tensile stiffness at a time after loading, from isochronous curves."""

    name: Name = field("Name of the time.", "short")
    time: TimeAfter = field("Time after loading.", "1 d")
    J: LineForce = field(
        "Tensile stiffness (force per width over strain).", "3000 kN/m", usual=("200 kN/m", "50000 kN/m")
    )


class Factor(Table):
    """A reduction factor and where it comes from; none is ever assumed."""

    value: FactorValue = field("Value; at least 1.", 1.5, usual=(1, 5))
    source: Words = field("Test report or document, with its number and date.", "creep test report 118/24")


class StrengthFactors(Table):
    """Reduction factors A1 to A5 of the characteristic short-term strength."""

    A1: Factor = field("Creep.", '{ value = 1.5, source = "…" }')
    A2: Factor = field("Damage in transport, placing and compaction.", '{ value = 1.1, source = "…" }')
    A3: Factor = field("Joints and overlaps.", '{ value = 1.0, source = "…" }')
    A4: Factor = field("Environment: chemical and biological.", '{ value = 1.05, source = "…" }')
    A5: Factor = field("Dynamic load.", '{ value = 1.0, source = "…" }')


class Iso20432(Table):
    """Reduction factors in the format of ISO/TS 20432."""

    RF_CR: Factor = field("Creep.", '{ value = 1.5, source = "…" }')
    RF_ID: Factor = field("Installation damage.", '{ value = 1.1, source = "…" }')
    RF_W: Factor = field("Weathering.", '{ value = 1.0, source = "…" }')
    RF_CH: Factor = field("Chemical and biological effects.", '{ value = 1.05, source = "…" }')
    R1: Factor = field("Factor of safety for the extrapolation of the creep tests.", '{ value = 1.2, source = "…" }')
    R2: Factor = field("Factor of safety for the extrapolation of the ageing tests.", '{ value = 1.0, source = "…" }')


class GammaM(Table):
    """Partial factor of the strength of a geosynthetic by design situation."""

    persistent: FactorValue = field("Persistent situations.", 1.4, usual=(1, 2))
    transient: FactorValue = field("Transient situations.", 1.3, usual=(1, 2))
    accidental: FactorValue = field("Accidental situations.", 1.2, usual=(1, 2))
    seismic: FactorValue | None = field("Seismic situations; mandatory with one.", 1.2, default=None, usual=(1, 2))
    source: Words = field("Where the values come from.", "basis of design, section 5")


class Sleeve(Table):
    """The sleeve of the columns."""

    name: Name = field("Name used in this project.", "sleeve type 1")
    oversize: LengthOrNone | None = field(
        "Radius of the installed sleeve minus radius of the column; give this or installed_radius.",
        "0 mm",
        default=None,
        usual=("0 mm", "50 mm"),
    )
    installed_radius: Length | None = field(
        "Radius of the installed sleeve; give this or oversize.", "0.405 m", default=None
    )
    stiffness: tuple[StiffnessAt, ...] = field(
        "Ring stiffness at two or more times, in ascending order.", "[[sleeve.stiffness]]", min_length=2, max_length=20
    )
    strength: LineForce = field("Characteristic short-term ring strength.", "300 kN/m", usual=("50 kN/m", "1500 kN/m"))
    factors: StrengthFactors | None = field(
        "Reduction factors A1 to A5; this format, the other, or both.", "[sleeve.factors]", default=None
    )
    iso20432: Iso20432 | None = field(
        "Reduction factors of ISO/TS 20432; this format, the other, or both.", "[sleeve.iso20432]", default=None
    )
    gamma_M: GammaM = field("Partial factor of the strength.", "[sleeve.gamma_M]")
    seam: Words = field("How the sleeve is closed.", "woven as a tube without seam")


class Overlap(Table):
    """A lap of two sheets without a joint, in the direction in which the layer carries."""

    length: Length = field("Length of the lap.", "1.5 m")
    interaction: Fraction = field("Coefficient of friction between the two sheets over tan φ of the fill.", 0.6)
    f_po: Factor = field("Partial factor on pull-out.", '{ value = 1.3, source = "…" }')
    f_ms: Factor = field("Partial factor on the friction at the sheets.", '{ value = 1.1, source = "…" }')


class ScaleFactor(Table):
    """The scale factor of the pull-out and where it comes from."""

    value: Fraction = field("Value; at most 1, which is the least cautious end.", 0.8)
    source: Words = field("Test report or document, with its number and date.", "pull-out test report 118/26")


class Anchorage(Table):
    """Anchorage beyond the outermost row of columns, across the embankment."""

    length: Length = field("Straight length beyond the axis of the outermost columns.", "1.5 m")
    fold_back: Length | None = field("Length folded back into the fill, with fold_back_cover.", "4.0 m", default=None)
    fold_back_cover: Length | None = field(
        "Mean height of fill over the part folded back, in the final state.", "1.8 m", default=None
    )
    friction_below: Friction = field("Characteristic friction angle of the soil below the layer there.", "32.5 deg")
    interaction_below: Fraction = field("Coefficient of friction between layer and this soil over its tan φ.", 0.8)
    scale: ScaleFactor | None = field(
        "Scale factor on the friction against pull-out, which an extensible layer does not mobilise at once over its "
        "length; without it the package says that 1 was counted.",
        '{ value = 0.8, source = "…" }',
        default=None,
    )
    f_n: Factor = field("Factor for the economic consequences of failure.", '{ value = 1.1, source = "…" }')
    f_po: Factor = field("Partial factor on pull-out.", '{ value = 1.3, source = "…" }')
    f_ms: Factor = field(
        "Partial factor on the friction at the reinforcement, beside the partial factor of the factor set on tan φ.",
        '{ value = 1.0, source = "…" }',
    )


class ReinforcementLayer(Table):
    """A layer of horizontal reinforcement over the columns."""

    name: Name = field("Name used in this project.", "grid type 2")
    direction: Annotated[str, OneOf(words=("across", "along", "both"))] = field(
        "Direction in which the layer carries, seen from the road.", "across"
    )
    strength: LineForce = field(
        "Characteristic short-term strength in that direction.", "400 kN/m", usual=("20 kN/m", "3000 kN/m")
    )
    stiffness: tuple[StiffnessAt, ...] = field(
        "Tensile stiffness at two or more times, in ascending order.",
        "[[reinforcement.stiffness]]",
        min_length=2,
        max_length=20,
    )
    factors: StrengthFactors | None = field(
        "Reduction factors A1 to A5; this format, the other, or both.", "[reinforcement.factors]", default=None
    )
    iso20432: Iso20432 | None = field(
        "Reduction factors of ISO/TS 20432; this format, the other, or both.", "[reinforcement.iso20432]", default=None
    )
    gamma_M: GammaM = field("Partial factor of the strength.", "[reinforcement.gamma_M]")
    interaction: Fraction = field("Coefficient of friction between layer and soil over tan φ of the soil.", 0.8)
    level: Level = field("Elevation of the layer, not below the ground.", "0.9 m")
    joint: Words | None = field(
        "How sheets meet in that direction where they do not overlap; the factor for joints must hold for it.",
        "no joint in this direction",
        default=None,
    )
    overlap: Overlap | None = field("The lap of two sheets in that direction.", "[reinforcement.overlap]", default=None)
    anchorage: Anchorage | None = field(
        "Anchorage beyond the outermost columns, for layers that carry across.",
        "[reinforcement.anchorage]",
        default=None,
    )


def sleeve_strength(sleeve: Sleeve) -> Problems:
    """The strength chain of the sleeve is complete and its stiffness falls with time."""
    yield from geosynthetic(sleeve, ("sleeve",))


def reinforcement_strength(reinforcement: tuple[ReinforcementLayer, ...]) -> Problems:
    """The same for each layer of horizontal reinforcement."""
    yield from unique([layer.name for layer in reinforcement], ("reinforcement",), "name")
    for index, layer in enumerate(reinforcement):
        yield from geosynthetic(layer, ("reinforcement", index))


class Chained(Protocol):
    """A geosynthetic with its strength chain."""

    @property
    def stiffness(self) -> tuple[StiffnessAt, ...]: ...  # noqa: D102 - as the field
    @property
    def factors(self) -> StrengthFactors | None: ...  # noqa: D102
    @property
    def iso20432(self) -> Iso20432 | None: ...  # noqa: D102


def geosynthetic(material: Chained, path: Path) -> Problems:
    """The strength chain of one geosynthetic is complete and its stiffness falls with time."""
    if material.factors is None and material.iso20432 is None:
        yield Problem((*path, "factors"), "be given, or iso20432, or both", "neither")
    at = (*path, "stiffness")
    yield from unique([point.name for point in material.stiffness], at, "name")
    for index, (before, point) in enumerate(pairwise(material.stiffness), start=1):
        yield from _falls(before, point, (*at, index))


def _falls(before: StiffnessAt, point: StiffnessAt, path: Path) -> Problems:
    if point.time <= before.time:
        yield Problem((*path, "time"), f"be later than the time before it ({before.time:g} d)")
    if before.J < point.J:
        yield Problem((*path, "J"), f"not be greater than the stiffness before it ({before.J:g} kN/m)")


def reinforcement_ends(reinforcement: tuple[ReinforcementLayer, ...]) -> Problems:
    """Sheets overlap or are joined; what is folded back has a cover; only layers across are anchored there."""
    for index, layer in enumerate(reinforcement):
        path, ends = ("reinforcement", index), layer.anchorage
        if layer.joint is not None and layer.overlap is not None:
            yield Problem((*path, "joint"), "be left out where overlap is given")
        if ends is None:
            continue
        if layer.direction == "along":
            yield Problem((*path, "anchorage"), "be given for layers across or in both directions only", "a table")
        if (ends.fold_back is None) != (ends.fold_back_cover is None):
            missing, present = ("fold_back", "fold_back_cover")[:: 1 if ends.fold_back is None else -1]
            yield Problem((*path, "anchorage", missing), f"be given where {present} is given", "nothing")


STRENGTH_RULES = (sleeve_strength, reinforcement_strength, reinforcement_ends)

"""The table [basis]: what the design is measured against."""

from typing import Annotated

from calc.factors import BUILT_IN, FACTOR_NAMES, Factors, FactorSet, Kind
from calc.inputs.reading.kinds import Fraction, Length, Life, Name, Share, Table, UnitWeight, field
from calc.inputs.reading.scalars import Number, Quantity, Whole
from calc.inputs.reading.texts import Line, OneOf, Words

PartialFactor = Annotated[float, Number(ge=1, le=10)]
FavourableFactor = Annotated[float, Number(gt=0, le=1)]
NoFactor = Annotated[float, Number(ge=1, le=1)]
Sublayer = Annotated[float, Quantity(unit="m", ge=0.05, le=10)]


class Limits(Table):
    """Limits of serviceability; what is not given is printed as not asked for."""

    settlement_total: Length | None = field("Greatest final settlement.", "0.80 m", default=None)
    settlement_residual: Length | None = field(
        "Greatest settlement after the last stage is filled.", "0.10 m", default=None
    )
    settlement_difference: Length | None = field(
        "Greatest difference of settlement between centre and crest edge.", "0.05 m", default=None
    )
    ring_strain: Fraction | None = field("Greatest ring strain of the sleeve.", 0.05, default=None)
    creep_strain: Fraction | None = field(
        "Greatest creep strain of the sleeve after the last stage.", 0.02, default=None
    )


class Drawing(Table):
    """A drawing that the calculation belongs to."""

    number: Name = field("Number.", "2025-014-D-010")
    revision: Name = field("Revision.", "B")
    title: Line = field("Title.", "Embankment, typical cross-sections")


class Standard(Table):
    """A standard or guideline that applies."""

    title: Line = field("Title.", "EN 1997-1")
    edition: Name = field("Edition with amendments.", "2004 + A1:2013")
    note: Words | None = field("What it is used for.", "partial factors", default=None)


class SituationFactors(Table):
    """Partial factors of one design situation."""

    gamma_G: PartialFactor = field("Permanent actions, unfavourable.", 1.35)
    gamma_Q: PartialFactor = field("Variable actions, unfavourable.", 1.5)
    gamma_G_fav: FavourableFactor = field("Permanent actions, favourable.", 1.0)
    gamma_phi: PartialFactor = field("tan φ′.", 1.0)
    gamma_c: PartialFactor = field("Effective cohesion.", 1.0)
    gamma_cu: PartialFactor = field("Undrained shear strength.", 1.0)
    gamma_gamma: NoFactor = field("Unit weight; only 1.0, because no check factors unit weights.", 1.0)
    gamma_R_e: PartialFactor = field("Resistance of slopes, overall stability.", 1.0)
    gamma_R_v: PartialFactor = field("Bearing resistance.", 1.4)
    gamma_R_h: PartialFactor = field("Sliding resistance.", 1.1)

    def factors(self) -> Factors:
        """The same values as the built-in sets hold them."""
        return Factors(**{name: getattr(self, name) for name in FACTOR_NAMES})


class GivenFactorSet(Table):
    """A set of partial factors given in full."""

    key: Name = field("Name of the set, as factor_sets names it.", "national set 1")
    title: Line = field("Title as printed.", "National annex, set 1")
    kind: Annotated[Kind, OneOf(words=("effect", "material"))] = field(
        '"effect": effects of actions are factored; "material": strengths are factored.', "effect"
    )
    source: Words = field("Document, edition and table.", "national annex of 2015, table 2")
    persistent: SituationFactors = field("Persistent situations.", "[basis.factor_set.persistent]")
    transient: SituationFactors = field("Transient situations.", "[basis.factor_set.transient]")
    accidental: SituationFactors = field("Accidental situations.", "[basis.factor_set.accidental]")

    def factor_set(self) -> FactorSet:
        """The set in the form of the built-in ones."""
        return FactorSet(
            self.key,
            self.title,
            self.kind,
            self.persistent.factors(),
            self.transient.factors(),
            self.accidental.factors(),
            self.source,
            "given",
            "Set given in full in the project file.",
        )


class Basis(Table):
    """What the design is measured against."""

    factor_set_names: tuple[Line, ...] = field(
        "Sets of partial factors to be verified: "
        + ", ".join(f'"{key}"' for key in BUILT_IN)
        + ", or the key of a set given as [[basis.factor_set]].",
        '["EN 1997-1 DA1-1", "EN 1997-1 DA1-2"]',
        name="factor_sets",
        min_length=1,
        max_length=10,
    )
    given_factor_sets: tuple[GivenFactorSet, ...] = field(
        "Sets of partial factors given in full.", "[[basis.factor_set]]", name="factor_set", default=(), max_length=10
    )
    design_life: Life = field("Design life.", "100 a", usual=("10 a", "150 a"))
    limits: Limits = field("Limits of serviceability; the table may be empty.", "[basis.limits]")
    geotechnical_category: Annotated[int, Whole(ge=1, le=3)] = field("Geotechnical category.", 2)
    consequence_class: Annotated[str, OneOf(words=("CC1", "CC2", "CC3"))] = field("Consequence class.", "CC2")
    check_category: Annotated[int, Whole(ge=0, le=3)] | None = field(
        "Check category: 0 self-check, 1 other member of the team, 2 person not involved, 3 other organisation; "
        'mandatory for the status "for approval".',
        2,
        default=None,
    )
    ground_report: Line = field("Ground investigation report with number and date.", "GIR 2025-014-G-002 of 2025-01-20")
    drawings: tuple[Drawing, ...] = field(
        "Drawings that the calculation belongs to.", "[[basis.drawing]]", name="drawing", default=(), max_length=200
    )
    standards: tuple[Standard, ...] = field(
        "Standards and guidelines that apply.", "[[basis.standard]]", name="standard", min_length=1, max_length=200
    )
    gamma_w: UnitWeight = field(
        "Unit weight of water.", "9.81 kN/m^3", default=9.81, usual=("9.7 kN/m^3", "10.3 kN/m^3")
    )
    sublayer_max: Sublayer = field(
        "Greatest thickness of a sublayer of the calculation. Over two diameters below the column heads it is half a "
        "diameter at most, and it is halved by itself where results would depend on it.",
        "1 m",
        default=1.0,
    )
    psi_2: Share | None = field("Quasi-permanent share of the traffic load; mandatory with traffic.", 0.3, default=None)
    national_annex: Words = field(
        "Which national annex applies and what it changes.", "none: the recommended values of EN 1997-1 are used"
    )

    @property
    def factor_sets(self) -> tuple[FactorSet, ...]:
        """The sets named in `factor_sets`, resolved."""
        known = BUILT_IN | {entry.key: entry.factor_set() for entry in self.given_factor_sets}
        return tuple(known[name] for name in self.factor_set_names)

"""The table [earthquake]: pseudo-static action and factors of the stages whose situation is "seismic"."""

from math import atan, tan
from typing import Annotated

from calc.engine.levels import above, same
from calc.factors import Factors
from calc.inputs.reading.kinds import Fraction, Length, Name, Share, Table, field
from calc.inputs.reading.locate import Path
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Text, Words
from calc.inputs.tables.basis import FavourableFactor, PartialFactor
from calc.inputs.tables.embankment import Embankment
from calc.inputs.tables.ground import Layer, Water
from calc.inputs.tables.neighbours import NOT_RELEVANT
from calc.inputs.tables.outside import Outside
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.sleeve import GammaM, ReinforcementLayer, Sleeve
from calc.inputs.tables.stages import Stage
from calc.inputs.tables.traffic import Traffic

SEISMIC = "seismic"
DEEPEST = 20.0  # m, depth of the readings that the method of screening is made for
Proof = Annotated[str, Text(begins=("see ",))]
ConeResistance = Annotated[float, Quantity(unit="kPa", gt=0, le=100_000)]


class SeismicFactors(Table):
    """Partial factors of the seismic situation; variable actions have psi_2 in place of one."""

    gamma_G: PartialFactor = field("Permanent actions, unfavourable.", 1.0)
    gamma_G_fav: FavourableFactor = field("Permanent actions, favourable.", 1.0)
    gamma_phi: PartialFactor = field("tan φ′.", 1.25)
    gamma_c: PartialFactor = field("Effective cohesion.", 1.25)
    gamma_cu: PartialFactor = field("Undrained shear strength.", 1.4)
    gamma_R_e: PartialFactor = field("Resistance of slopes, overall stability.", 1.0)
    gamma_R_v: PartialFactor = field("Bearing resistance.", 1.0)
    gamma_R_h: PartialFactor = field("Sliding resistance.", 1.0)
    psi_2: Share | None = field(
        "Share of the traffic load, of strips too, that acts with the earthquake; mandatory where a seismic stage has "
        "traffic.",
        0.2,
        default=None,
    )
    source: Words = field("Document, edition and clause.", "basis of design, section 6")

    def factors(self) -> Factors:
        """The same values as the sets of partial factors hold them, ψ₂ as the factor on variable actions."""
        factors_given = {name: getattr(self, name) for name in SeismicFactors.model_fields if name.startswith("gamma_")}
        return Factors(gamma_Q=self.psi_2 or 0.0, gamma_gamma=1.0, **factors_given)


class Sounding(Table):
    """One reading in the bearing layer: a blow count or a cone resistance."""

    location: Name = field("Sounding that it comes from.", "S3")
    depth: Length = field("Depth below the ground, at most 20 m.", "12.5 m")
    N_60: Annotated[float, Number(ge=1, le=100)] | None = field(
        "Blow count of the standard penetration test at 60 % of the energy, corrected for rods and borehole; this or "
        "q_c.",
        18,
        default=None,
    )
    q_c: ConeResistance | None = field("Cone resistance, corrected for pore pressure.", "12 MPa", default=None)
    fines: Annotated[float, Number(ge=0, le=100)] = field("Fines content in per cent.", 8)


class Screening(Table):
    """Screening of the bearing layer for liquefaction, in the free field and on level ground."""

    magnitude: Annotated[float, Number(ge=5, le=9)] = field("Moment magnitude.", 6.0, usual=(5, 8))
    factor: Annotated[float, Number(ge=1, le=5)] = field("Factor of safety required.", 1.25, usual=(1.25, 2))
    source: Words = field("Where magnitude, factor and readings come from.", "seismic report, section 6")
    soundings: tuple[Sounding, ...] = field(
        "Readings in the bearing layer.", "[[earthquake.screening.sounding]]", name="sounding", min_length=1,
        max_length=200,
    )  # fmt: skip


class Earthquake(Table):
    """Pseudo-static seismic action. It acts in the stages of the situation "seismic", in both vertical directions."""

    a_g: Annotated[float, Number(ge=0, le=2)] = field(
        "Design ground acceleration over gravity on ground of type A, importance factor included.",
        0.10,
        usual=(0.02, 0.5),
    )
    soil_factor: Annotated[float, Number(ge=0.5, le=5)] = field("Soil factor, topography included.", 1.35, usual=(1, 2))
    reduction: Fraction = field(
        "Horizontal seismic coefficient over the peak acceleration, k_h/(a_g·S).", 0.5, usual=(0.5, 1)
    )
    vertical: Share = field("Vertical seismic coefficient over the horizontal one, k_v/k_h.", 0.5, usual=(0.33, 0.5))
    source: Words = field("Where acceleration, soil factor and both ratios come from.", "seismic report, section 3")
    strength_left: Fraction = field(
        "Undrained strength of the ground that is left under cyclic loading, over the static one.",
        0.8,
        usual=(0.5, 0.9),
    )
    strength_source: Words = field("Where it comes from.", "cyclic tests, report 21")
    liquefaction: Proof = field(
        "What shows that embankment, column fill, soft layers (loose silt or sand in them) and bearing layer do not "
        "liquefy, a proof by others.",
        "see report 22: cone soundings, factor of safety at least 1.25 down to 20 m",
    )
    screening: Screening | None = field(
        "Screening of the bearing layer by soundings; without it the proof by others is all there is.",
        "[earthquake.screening]",
        default=None,
    )
    factors: SeismicFactors = field("Partial factors of the seismic situation.", "[earthquake.factors]")

    @property
    def k_h(self) -> float:
        """Horizontal seismic coefficient."""
        return self.reduction * self.a_g * self.soil_factor


def seismic_stages(stages: tuple[Stage, ...], earthquake: Earthquake | None) -> Problems:
    """A seismic situation and the table go together; the earthquake meets a bank on which nobody works."""
    places = [index for index, stage in enumerate(stages) if stage.situation == SEISMIC]
    if earthquake is None:
        for index in places:
            yield Problem(("stage", index, "situation"), f'not be "{SEISMIC}" in a section without a table earthquake')
        return
    if not places:
        must = f'be left out in a section without a stage of the situation "{SEISMIC}"'
        yield Problem(("earthquake",), must, "a table")
    for index in places:
        before = stages[index - 1].fill_height if index else 0.0
        if not same(stages[index].fill_height, before):
            must = f"be that of the stage before it ({before:g} m) in a seismic situation"
            yield Problem(("stage", index, "fill_height"), must)
        if stages[index].consolidates:
            must = "be given as false in a seismic situation, which passes"
            yield Problem(("stage", index, "consolidates"), must, "true")
        if stages[index].plant:
            yield Problem(("stage", index, "plant"), "be left out in a seismic situation")


def seismic_fill(stages: tuple[Stage, ...], embankment: Embankment) -> Problems:
    """The earthquake meets the finished bank, whatever it meets before."""
    heights = [stage.fill_height for stage in stages if stage.situation == SEISMIC]
    if heights and not any(same(height, embankment.height) for height in heights):
        index = max(k for k, stage in enumerate(stages) if stage.situation == SEISMIC)
        must = f"be the height of the embankment ({embankment.height:g} m) in at least one seismic stage"
        yield Problem(("stage", index, "fill_height"), must)


def seismic_traffic(stages: tuple[Stage, ...], traffic: Traffic | None) -> Problems:
    """The earthquake meets the traffic of the stages beside it at the same fill."""
    if traffic is None or not (traffic.strip or traffic.q > 0):
        return
    for index, stage in enumerate(stages):
        if stage.situation == SEISMIC and not stage.traffic:
            with_it = next((adjacent for adjacent in stages_beside(stages, index) if adjacent.traffic), None)
            if with_it is not None:
                must = f"be true, as in stage {with_it.name!r} beside it at the same fill"
                yield Problem(("stage", index, "traffic"), must, "false")


def seismic_share(stages: tuple[Stage, ...], earthquake: Earthquake | None, traffic: Traffic | None) -> Problems:
    """Traffic that meets the earthquake has its share."""
    if earthquake is None or traffic is None or earthquake.factors.psi_2 is not None:
        return
    if any(stage.traffic for stage in stages if stage.situation == SEISMIC):
        yield Problem(("earthquake", "factors", "psi_2"), "be given where traffic meets the earthquake", "nothing")


def stages_beside(stages: tuple[Stage, ...], index: int) -> list[Stage]:
    """The nearest stages without earthquake before and after a stage, those at the same fill."""
    sides = (stages[:index][::-1], stages[index + 1 :])
    nearest = (next((stage for stage in side if stage.situation != SEISMIC), None) for side in sides)
    return [stage for stage in nearest if stage is not None and same(stage.fill_height, stages[index].fill_height)]


def seismic_material_factors(
    stages: tuple[Stage, ...], sleeve: Sleeve, reinforcement: tuple[ReinforcementLayer, ...]
) -> Problems:
    """The strength of geosynthetics has a partial factor of the seismic situation where there is one."""
    if all(stage.situation != SEISMIC for stage in stages):
        return
    tables: list[tuple[Path, GammaM]] = [(("sleeve",), sleeve.gamma_M)]
    tables += [(("reinforcement", index), mat.gamma_M) for index, mat in enumerate(reinforcement)]
    for path, gamma in tables:
        if gamma.seismic is None:
            yield Problem((*path, "gamma_M", SEISMIC), "be given where a stage is seismic", "nothing")


def seismic_coefficient(earthquake: Earthquake | None, embankment: Embankment) -> Problems:
    """The fill and its slopes can be in equilibrium under the earthquake at all."""
    if earthquake is None:
        return
    friction = min([embankment.phi, *(zone.phi for zone in embankment.zone)])
    steepest = atan(tan(friction) / earthquake.factors.gamma_phi)
    most = min(tan(steepest - atan(embankment.fall)), embankment.slope_left, embankment.slope_right)
    if earthquake.k_h >= 1:  # below it k_v is, too: it is at most k_h
        must = (
            f"give k_h below 1, at which nothing stays on the ground, not {earthquake.k_h:.3g} (reduction, soil_factor)"
        )
        yield Problem(("earthquake", "a_g"), must)
        return
    slope = earthquake.k_h / (1 - earthquake.vertical * earthquake.k_h)
    if slope >= most:
        where = "where the fill cannot be in equilibrium (reduction, soil_factor, vertical)"
        must = f"give k_h/(1 − k_v) below {most:.3f}, {where}"
        yield Problem(("earthquake", "a_g"), must)


def soundings_in_range(
    earthquake: Earthquake | None, layers: tuple[Layer, ...], stages: tuple[Stage, ...], water_table: Water,
    ground_level: float,
) -> Problems:  # fmt: skip
    """A reading is one of both kinds, and lies below the soft layers within the depth of the method, all in water."""
    if earthquake is None or earthquake.screening is None:
        return
    if not earthquake.a_g:
        yield Problem(("earthquake", "a_g"), "be greater than 0 where readings are screened for liquefaction")
    base = sum(layer.thickness for layer in layers)
    for index, sounding in enumerate(earthquake.screening.soundings):
        path = ("earthquake", "screening", "sounding", index)
        if (sounding.N_60 is None) == (sounding.q_c is None):
            yield Problem(
                (*path, "N_60"), "be given, or q_c, but not both", "neither" if sounding.q_c is None else "both"
            )
        if not above(sounding.depth, base) or above(sounding.depth, DEEPEST):
            must = f"lie below the soft layers ({base:g} m) and at most {DEEPEST:g} m deep"
            yield Problem((*path, "depth"), must)
    levels = {level.name: level.level for level in water_table.levels()}
    for index, stage in enumerate(stages):
        if stage.situation == SEISMIC and above(ground_level - base, levels.get(stage.water, ground_level)):
            must = "be no lower than the base of the soft layers where readings are screened for liquefaction"
            yield Problem(("stage", index, "water"), must)


def seismic_outside(outside: Outside, any_earthquake: bool) -> Problems:
    """What the file calculates is not denied."""
    if any_earthquake and (outside.seismic or "").startswith(NOT_RELEVANT):
        yield Problem(("outside", "seismic"), 'begin with "see " where there is a table earthquake')


EARTHQUAKE_RULES = (
    seismic_stages, seismic_fill, seismic_traffic, seismic_share, seismic_material_factors, seismic_coefficient,
    soundings_in_range,
)  # fmt: skip

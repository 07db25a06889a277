"""The tables [[layer]], [bearing_layer], [[layer_below]] and [water]: the ground of a section."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import PrivateAttr

from calc.engine.levels import above, same
from calc.inputs.reading.kinds import (
    WATER_LEVELS,
    Coefficient,
    Cohesion,
    Consolidation,
    Friction,
    Growth,
    KZero,
    LayerKey,
    Length,
    LengthOrNone,
    Level,
    Modulus,
    Name,
    Permeability,
    Poisson,
    Pressure,
    Ratio,
    Share,
    Strength,
    Table,
    UnitWeight,
    WaterName,
    field,
)
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Flag, Words
from calc.inputs.tables.heads import Line, WaterHead, head_line
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.profiles import PressureProfile, RatioProfile, StrengthProfile, least_of

AtAxis = Annotated[
    float, Quantity(unit="m", gt=0, le=500, because="a layer that begins beside the axis cannot be given")
]

KEY_TEXT = "Key of the layer, unique in its section; results are recorded under it."


class Smear(Table):
    """The zone of soil that installation disturbs."""

    ratio: Ratio = field("Diameter of the disturbed zone over column diameter.", 2.0, usual=(1, 4))
    k_ratio: Ratio = field("Horizontal permeability of undisturbed over disturbed soil.", 3.0, usual=(1, 10))


class Layer(Table):
    """A soft layer that the columns pass through."""

    key: LayerKey = field(KEY_TEXT, "peat")
    name: Name = field("Name as printed.", "Peat, amorphous")
    thickness: AtAxis = field(
        "Thickness, at the axis of the bank; a layer that begins beside the axis cannot be given.",
        "2.5 m",
        usual=("0.2 m", "30 m"),
    )
    thickness_left: LengthOrNone | None = field(
        "Thickness at the toe of the left side slope where it is another one: straight from the axis to there, the "
        "same beyond; 0 where the layer ends. The section is calculated at the crest edge and the toe of that side, "
        "too. No makeup_fill, widening, columns.floating, heads, points over depth, sleeve_cohesion, computed "
        "c_u_gain, earthquake.screening or ground_model; no boundary steeper than 1:4.",
        "4.0 m",
        default=None,
        usual=("0 m", "30 m"),
    )
    thickness_right: LengthOrNone | None = field(
        "The same at the toe of the right side slope.", "4.0 m", default=None, usual=("0 m", "30 m")
    )
    gamma: UnitWeight = field("Unit weight above water.", "11 kN/m^3", usual=("9 kN/m^3", "20 kN/m^3"))
    gamma_sat: UnitWeight = field(
        "Saturated unit weight; at least that of water.", "11.2 kN/m^3", usual=("9.8 kN/m^3", "21 kN/m^3")
    )
    phi: Friction = field("Characteristic effective friction angle.", "20 deg", usual=("10 deg", "38 deg"))
    c: Cohesion = field("Characteristic effective cohesion.", "2 kPa", usual=("0 kPa", "20 kPa"))
    c_u: Strength | None = field(
        "Characteristic undrained shear strength at the top of the layer; not together with c_u_profile.",
        "8 kPa",
        default=None,
        usual=("2 kPa", "80 kPa"),
    )
    c_u_growth: Growth | None = field(
        "Growth of the undrained shear strength with depth, from the top of the layer.",
        "1.5 kPa/m",
        default=None,
        usual=("0 kPa/m", "5 kPa/m"),
    )
    c_u_profile: StrengthProfile | None = field(
        "Undrained shear strength by points over depth, in place of c_u and c_u_growth.",
        "[section.layer.c_u_profile]",
        default=None,
    )
    E_oed_ref: Modulus = field("Oedometer modulus at the reference stress.", "600 kPa", usual=("100 kPa", "20 MPa"))
    p_ref: Pressure = field("Reference stress of the oedometer modulus.", "100 kPa", usual=("10 kPa", "400 kPa"))
    m: Annotated[float, Number(ge=0, le=1)] = field(
        "Exponent of the stress dependence of the modulus; 0 for a constant modulus.", 1.0
    )
    nu: Poisson = field("Drained Poisson ratio.", 0.4, usual=(0.1, 0.49))
    K_0: KZero = field(
        'Coefficient of earth pressure at rest for the added stress: a number, or "jaky" for 1 − sin φ.',
        "jaky",
        usual=(0.3, 1.5),
    )
    sigma_p: Pressure | None = field(
        "Preconsolidation pressure at mid-layer; not together with OCR.",
        "45 kPa",
        default=None,
        usual=("5 kPa", "500 kPa"),
    )
    sigma_p_profile: PressureProfile | None = field(
        "Preconsolidation pressure by points over depth, in place of sigma_p.",
        "[section.layer.sigma_p_profile]",
        default=None,
    )
    OCR: Ratio | None = field("Overconsolidation ratio; not together with sigma_p.", 1.2, default=None, usual=(1, 10))
    OCR_profile: RatioProfile | None = field(
        "Overconsolidation ratio by points over depth, in place of OCR.", "[section.layer.OCR_profile]", default=None
    )
    OCR_water: WaterName | None = field(
        "Name of the water level in whose effective stresses OCR is stated, without it that of the initial state; "
        "needed where heads differ from the water level.",
        "mean",
        default=None,
    )
    S: Share | None = field(
        "Normally consolidated strength ratio c_u/σ′_v for strength gain.", 0.25, default=None, usual=(0.1, 0.6)
    )
    m_shansep: Share | None = field(
        "Exponent of the overconsolidation ratio, for the plausibility of c_u by stress history; the gain does not "
        "need it.",
        0.8,
        default=None,
    )
    phi_cu: Friction | None = field(
        "Consolidated undrained friction angle for strength gain; not together with S.",
        "15 deg",
        default=None,
        usual=("8 deg", "30 deg"),
    )
    k: Permeability | None = field("Vertical permeability.", "1e-9 m/s", default=None, usual=("1e-12 m/s", "1e-5 m/s"))
    c_v: Consolidation | None = field(
        "Coefficient of consolidation for vertical flow.", "0.8 m^2/a", default=None, usual=("0.05 m^2/a", "100 m^2/a")
    )
    c_h: Consolidation | None = field(
        "Coefficient of consolidation for horizontal flow.",
        "1.6 m^2/a",
        default=None,
        usual=("0.05 m^2/a", "200 m^2/a"),
    )
    C_alpha: Share | None = field(
        "Coefficient of secondary compression Δe/Δlog t, with e_0.", 0.03, default=None, usual=(0.001, 0.6)
    )
    e_0: Coefficient | None = field("Initial void ratio.", 2.8, default=None, usual=(0.5, 10))
    C_c: Coefficient | None = field(
        "Compression index Δe/Δlog σ′, for the settlement beside and under an old bank.",
        0.9,
        default=None,
        usual=(0.1, 6),
    )
    C_r: Coefficient | None = field(
        "Recompression index, below the preconsolidation pressure.", 0.12, default=None, usual=(0.01, 0.8)
    )
    smear: Smear | None = field("Disturbed zone around the columns.", "{ ratio = 2.0, k_ratio = 3.0 }", default=None)

    _of: str = PrivateAttr(default="")

    @property
    def of(self) -> str:
        """Key of the layer of the project file that this one is, or is a part of."""
        return self._of or self.key

    def at_toe(self, side: str) -> float:
        """Thickness in m at the toe of a side, "left" or "right"; that at the axis unless another one is given."""
        thickness: float | None = getattr(self, f"thickness_{side}")
        return self.thickness if thickness is None or same(thickness, self.thickness) else thickness

    def part(self, key: str, **values: float | None) -> "Layer":
        """A part of the layer between two depths, under a key of its own."""
        made = self.model_copy(update={"key": key, **values})
        made._of = self.of  # noqa: SLF001 - of its own class
        return made

    @property
    def has_strength(self) -> bool:
        """Whether an undrained strength is given, as a number or by points."""
        return self.c_u is not None or self.c_u_profile is not None

    @property
    def has_ratio(self) -> bool:
        """Whether an overconsolidation ratio is given, as a number or by points."""
        return self.OCR is not None or self.OCR_profile is not None

    @property
    def has_history(self) -> bool:
        """Whether a preconsolidation pressure is given in any form."""
        return self.has_ratio or self.sigma_p is not None or self.sigma_p_profile is not None

    @property
    def weakest(self) -> tuple[float, str]:
        """The least undrained strength in kPa and the path of its field; 0 where none is given."""
        if self.c_u_profile is None:
            return self.c_u or 0.0, f"layer.{self.key}.c_u"
        line = self.c_u_profile.line
        return line[least_of(line)][1], f"layer.{self.of}.c_u_profile.points.{least_of(line)}.c_u"

    @property
    def strongest(self) -> float:
        """The largest undrained strength in kPa; 0 where none is given."""
        if self.c_u_profile is None:
            return (self.c_u or 0.0) + (self.c_u_growth or 0.0) * self.thickness
        return max(value for _, value in self.c_u_profile.line)


class BearingLayer(Table):
    """The layer that the column toes stand in."""

    key: LayerKey = field(KEY_TEXT, "sand")
    name: Name = field("Name as printed.", "Dense sand")
    gamma: UnitWeight = field("Unit weight above water.", "19 kN/m^3", usual=("14 kN/m^3", "24 kN/m^3"))
    gamma_sat: UnitWeight = field(
        "Saturated unit weight; at least that of water.", "20.5 kN/m^3", usual=("16 kN/m^3", "25 kN/m^3")
    )
    phi: Friction = field("Characteristic effective friction angle.", "35 deg", usual=("20 deg", "45 deg"))
    c: Cohesion = field("Characteristic effective cohesion.", "0 kPa", usual=("0 kPa", "50 kPa"))
    c_u: Strength | None = field(
        "Characteristic undrained shear strength, for clay.", "150 kPa", default=None, usual=("40 kPa", "1000 kPa")
    )
    E: Modulus | None = field("Modulus of elasticity.", "60 MPa", default=None, usual=("5 MPa", "1000 MPa"))
    nu: Poisson | None = field("Drained Poisson ratio.", 0.3, default=None)
    firm: Flag = field("Whether the layer is firm in the sense of the unit cell: no settlement of the toe.", True)
    evidence: Words = field("What the judgement rests on.", "cone resistance above 12 MPa in all soundings")


class LayerBelow(Table):
    """A layer below the column toes, for the settlement of the ground below them."""

    key: LayerKey = field(KEY_TEXT, "clay-below")
    name: Name = field("Name as printed.", "Stiff clay")
    thickness: Length = field("Thickness.", "4.0 m")
    gamma_sat: UnitWeight = field(
        "Saturated unit weight; at least that of water.", "20 kN/m^3", usual=("15 kN/m^3", "25 kN/m^3")
    )
    E: Modulus = field("Modulus for the settlement under the added stress.", "25 MPa", usual=("1 MPa", "1000 MPa"))
    drains: Flag = field(
        "Whether the layer drains while it is loaded, as sand and gravel do: its settlement then comes with its load. "
        "Unless every layer below the toes does or has c_v, their whole settlement counts as residual.",
        False,
        default=False,
    )
    c_v: Consolidation | None = field(
        "Coefficient of consolidation for vertical flow. Where every layer that does not drain has one, what has "
        "settled by hand-over is counted: water leaves at the plane of the toes and at layers that drain. Mandatory "
        "for such a layer below floating columns.",
        "1.0 m^2/a",
        default=None,
        usual=("0.05 m^2/a", "100 m^2/a"),
    )


@dataclass(frozen=True, slots=True)
class WaterLevel:
    """A water level by its name; elevation in m."""

    name: str
    level: float


class Water(Table):
    """Elevations of the water levels that the stages name; a level above the ground is open water."""

    low: Level | None = field("Low water.", "-0.8 m", default=None)
    mean: Level | None = field("Mean water.", "-0.3 m", default=None)
    high: Level | None = field("High water.", "0.2 m", default=None)
    flood: Level | None = field("Flood.", "1.5 m", default=None)
    heads: tuple[WaterHead, ...] = field(
        "Heads over depth, one list for a water level; without them water is at rest below it.",
        "[[water.head]]",
        name="head",
        default=(),
        max_length=4,
    )

    def levels(self) -> tuple[WaterLevel, ...]:
        """The levels that are given, from low to flood."""
        levels = ((name, getattr(self, name)) for name in WATER_LEVELS)
        return tuple(WaterLevel(name, level) for name, level in levels if level is not None)

    def line(self, name: str, ground: float) -> Line:
        """The piezometric levels of a water level, from it down; the water level alone where water is at rest."""
        level = {water.name: water.level for water in self.levels()}[name]
        points = next((head.points for head in self.heads if head.water == name), ())
        return head_line(level, ground, points)


LEAST_GROWTH = 0.5  # exponent from which the modulus is judged at the stress below
STRESS = 100.0  # kPa
EXCLUDED = (
    ("c_u_profile", "c_u"), ("c_u_profile", "c_u_growth"), ("sigma_p", "OCR"), ("S", "phi_cu"),
    ("sigma_p_profile", "sigma_p"), ("sigma_p_profile", "OCR"), ("sigma_p_profile", "OCR_profile"),
    ("OCR_profile", "sigma_p"), ("OCR_profile", "OCR"),
)  # fmt: skip
PROFILES = ("c_u_profile", "sigma_p_profile", "OCR_profile")


def points_of_layers(layers: tuple[Layer, ...]) -> Problems:
    """Points over depth lead from the top of their layer to its base."""
    top = 0.0
    for index, layer in enumerate(layers):
        base = top + layer.thickness
        for name in PROFILES:
            if (profile := getattr(layer, name)) is not None:
                depths = [depth for depth, _ in profile.line]
                for k, must in _misplaced_points(depths, top, base):
                    yield Problem(("layer", index, name, "points", k, "depth"), must)
        top = base


def _misplaced_points(depths: Sequence[float], top: float, base: float) -> Iterator[tuple[int, str]]:
    """The points that do not lie where they must, by index."""
    last = len(depths) - 1
    for k, depth in enumerate(depths):
        if k == 0 and not same(depth, top):
            yield k, f"be that of the top of the layer ({top:.12g} m): nothing is extrapolated"
        elif k == last and not same(depth, base):
            yield k, f"be that of the base of the layer ({base:.12g} m): nothing is extrapolated"
        elif above(depth, base) or above(top, depth):
            yield k, f"lie in the layer ({top:.12g} m to {base:.12g} m)"
        elif k and above(depths[k - 1], depth):
            yield k, f"not be above the point before it ({depths[k - 1]:.12g} m)"
        elif k and same(depth, depths[k - 1]):
            if k in {1, last}:
                yield k, "differ from that before it: a value jumps inside the layer only"
            elif same(depths[k - 2], depth):
                yield k, "be that of two points at most"


def soil_data(layers: tuple[Layer, ...]) -> Problems:
    """Values that exclude or need each other."""
    for index, layer in enumerate(layers):
        for name, other in EXCLUDED:
            if getattr(layer, name) is not None and getattr(layer, other) is not None:
                yield Problem(("layer", index, other), f"be left out where {name} is given")
        # An e-fold of stress would press the layer to nothing; of a nearly constant modulus one stress says nothing.
        if layer.m >= LEAST_GROWTH and layer.E_oed_ref * (STRESS / layer.p_ref) ** layer.m < STRESS:
            must = f"give a modulus of at least {STRESS:g} kPa at a stress of {STRESS:g} kPa, with p_ref and m"
            yield Problem(("layer", index, "E_oed_ref"), must)
        for name, other in (("c_u_growth", "c_u"), ("m_shansep", "S"), ("C_alpha", "e_0")):
            has = layer.has_strength if other == "c_u" else getattr(layer, other) is not None
            if getattr(layer, name) is not None and not has:
                yield Problem(("layer", index, other), f"be given where {name} is given", "nothing")


LAYER_RULES = (points_of_layers, soil_data)

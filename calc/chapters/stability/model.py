"""The cross-section of a stage as a slip analysis takes it: fill, soft layers, columns, water, reinforcement."""

from dataclasses import dataclass
from itertools import accumulate
from math import atan, tan
from typing import Literal

from calc.chapters.shared.geometry import Profile, profile
from calc.engine.levels import above, same
from calc.factors import Factors
from calc.inputs import Section
from calc.inputs.tables.ground import Layer as SoftLayer
from calc.inputs.tables.stages import Stage
from calc.procedures.slip import Bending, Columns, Crack, Layer, Lens, Model, Reinforcement, Soil, Strip, Water
from calc.procedures.slip.model import Line

BELOW_TOES = 3.0  # m of bearing layer below the toes that surfaces may enter, at least


@dataclass(frozen=True, slots=True)
class Ties:
    """One layer of reinforcement across: place in the project file and the tension counted in kN/m."""

    place: int
    strength: float


@dataclass(frozen=True, slots=True)
class Case:
    """One analysis: a stage with its partial factors, the state of the soft ground, and what the columns carry.

    ``gain`` is the gain of undrained strength (kPa, characteristic), ``makeup`` that of compensation fill (kPa),
    ``shares`` the stresses on soil and column over the mean, ``c_eq`` the design cohesion from the sleeve (kPa),
    ``held`` the shear force that the embedment of a column holds (kN), ``plant`` the construction traffic load (kPa).
    """

    stage: Stage
    factors: Factors
    drained: bool
    shares: tuple[float, float]
    a_E: float
    gain: float = 0.0
    makeup: float = 0.0
    c_eq: float = 0.0
    held: float = 0.0
    plant: float = 0.0
    ties: tuple[Ties, ...] = ()
    averaged: bool = False


def model(section: Section, case: Case, gamma_w: float) -> Model:
    """The cross-section of a case: design strengths, and one factor on every weight, that of water included."""
    place = profile(section, case.stage)
    left, right = place.sides
    surface: Line = (
        (left, place.ground), (place.left_toe, place.ground), (place.left_shoulder, place.crest),
        (place.right_shoulder, place.crest), (place.right_toe, place.ground), (right, place.ground),
    )  # fmt: skip
    factors = case.factors
    slip = section.slip
    seismic = slip.seismic if slip and case.stage.situation == "accidental" else None
    crack = slip.crack if slip else None
    return Model(
        surface,
        (*_fill(section, case, place), *_soft(section, case, place, left, right), _firm(section, factors, place)),
        place.toes - BELOW_TOES,
        lenses=_gain_lenses(section, case, place),
        water=_water(section, case, left, right, factors.gamma_G * gamma_w),
        strips=_traffic(section, case, place),
        crack=Crack(crack.depth, crack.water) if crack else None,
        k_h=seismic.k_h if seismic else 0.0,
        columns=_columns(section, case, place),
        reinforcement=_ties(section, case, place),
    )


def design_angle(phi: float, factors: Factors) -> float:
    """Friction angle with the partial factor on its tangent."""
    return atan(tan(phi) / factors.gamma_phi)


def _fill(section: Section, case: Case, place: Profile) -> tuple[Layer, ...]:
    """Fill and platform; compensation fill counts as heavier fill, so that its pressure acts over the same width."""
    fill = section.embankment
    height = place.crest - place.ground
    heavier, weight = case.makeup / height, case.factors.gamma_G
    strength = {"c": fill.c / case.factors.gamma_c, "phi": design_angle(fill.phi, case.factors)}
    # The fill below a water level above the ground is not buoyant: its weight there is on the safe side.
    heavy = weight * (fill.gamma + heavier)
    body = Soil("embankment", heavy, heavy, **strength)
    if section.platform is None:
        return (Layer(body),)
    heavy = weight * (section.platform.gamma + heavier)
    platform = Soil("working platform", heavy, heavy, **strength)
    if not above(place.crest, place.base):
        return (Layer(platform),)
    reach = case.stage.fill_height / (place.crest - place.ground)
    top = (
        (place.right_toe - (place.right_toe - place.right_shoulder) * (1 - reach), place.base),
        (place.left_toe + (place.left_shoulder - place.left_toe) * (1 - reach), place.base),
    )
    level = ((place.left_toe, place.ground), top[1], top[0], (place.right_toe, place.ground))
    return Layer(body), Layer(platform, top=level)


def _soft(section: Section, case: Case, place: Profile, left: float, right: float) -> tuple[Layer, ...]:
    tops = accumulate((layer.thickness for layer in section.layers), initial=0.0)
    return tuple(
        Layer(_soil(layer, case, place.ground - depth, 0.0), top=_level(left, right, place.ground - depth))
        for layer, depth in zip(section.layers, tops, strict=False)
    )


def _gain_lenses(section: Section, case: Case, place: Profile) -> tuple[Lens, ...]:
    """The soft ground among the columns between the middles of the slopes, with the gain that is credited there.

    Further out there is less load than the gain is computed for.
    """
    if case.drained or not case.gain:
        return ()
    tops = accumulate((layer.thickness for layer in section.layers), initial=0.0)
    left = max(place.left_column, (place.left_toe + place.left_shoulder) / 2)
    right = min(place.right_column, (place.right_toe + place.right_shoulder) / 2)
    return tuple(
        Lens(
            _soil(layer, case, place.ground - depth, case.gain),
            tuple((x, place.ground - depth - down) for x, down in (
                (left, 0.0), (right, 0.0), (right, layer.thickness), (left, layer.thickness)
            )),
        )
        for layer, depth in zip(section.layers, tops, strict=False)
    )  # fmt: skip


def _soil(layer: SoftLayer, case: Case, level: float, gain: float) -> Soil:
    factors = case.factors
    weights = factors.gamma_G * layer.gamma, factors.gamma_G * layer.gamma_sat
    if case.drained:
        return Soil(layer.name, *weights, c=layer.c / factors.gamma_c, phi=design_angle(layer.phi, factors))
    name = f"{layer.name}, with gain" if gain else layer.name
    return Soil(
        name, *weights, c_u=((layer.c_u or 0.0) + gain) / factors.gamma_cu,
        c_u_growth=(layer.c_u_growth or 0.0) / factors.gamma_cu, c_u_level=level,
    )  # fmt: skip


def _firm(section: Section, factors: Factors, place: Profile) -> Layer:
    layer = section.bearing_layer
    soil = Soil(
        layer.name, factors.gamma_G * layer.gamma, factors.gamma_G * layer.gamma_sat,
        c=layer.c / factors.gamma_c, phi=design_angle(layer.phi, factors),
    )  # fmt: skip
    return Layer(soil, top=_level(*place.sides, place.firm))


def _level(left: float, right: float, level: float) -> Line:
    return (left, level), (right, level)


def _water(section: Section, case: Case, left: float, right: float, gamma_w: float) -> Water:
    level = {one.name: one.level for one in section.water}[case.stage.water]
    if same(level, section.ground_level):
        level = section.ground_level
    mode: Literal["vertical", "seepage"] = "vertical"
    if section.slip and section.slip.water_mode == "seepage":
        mode = "seepage"
    standing = level if above(level, section.ground_level) else None
    return Water(_level(left, right, level), mode, standing, gamma_w)


def _traffic(section: Section, case: Case, place: Profile) -> tuple[Strip, ...]:
    """Traffic and plant over the crest."""
    traffic = section.traffic.q if section.traffic is not None and case.stage.traffic else 0.0
    load = case.factors.gamma_Q * traffic + case.plant
    return (Strip(place.left_shoulder, place.right_shoulder, load),) if load else ()


def _columns(section: Section, case: Case, place: Profile) -> Columns:
    fill, slip, weight = section.columns.fill, section.slip, case.factors.gamma_G
    reduction = slip.plane_reduction.value if slip and slip.plane_reduction else 1.0
    lasting = section.embankment.gamma * case.stage.fill_height
    lasting += section.platform.gamma * section.platform.thickness if section.platform else 0.0
    # Compensation fill weighs, but does not add to the normal force in the columns: it comes as the ground settles.
    bending = Bending(
        section.columns.diameter, place.firm, case.held, weight, lasting / (lasting + case.makeup)
    )  # fmt: skip
    return Columns(
        place.left_column, place.right_column, place.ground, place.toes, case.a_E, *case.shares,
        weight * fill.gamma, weight * fill.gamma_sat, design_angle(fill.phi, case.factors), reduction, case.c_eq,
        "averaged" if case.averaged else "strict", bending,
    )  # fmt: skip


def _ties(section: Section, case: Case, place: Profile) -> tuple[Reinforcement, ...]:
    """The layers across that lie below the crest of the stage."""
    laid = [one for one in case.ties if above(place.crest, section.reinforcement[one.place].level)]
    return tuple(_tie(section, case.factors, place, one) for one in laid)


def _tie(section: Section, factors: Factors, place: Profile, one: Ties) -> Reinforcement:
    """A layer across with friction on both faces; what is folded back at its ends is left out, on the safe side."""
    layer = section.reinforcement[one.place]
    over = layer.interaction * tan(design_angle(section.embankment.phi, factors))
    under, factor, beyond = over, 1.0, 0.0
    if layer.anchorage:
        under = layer.anchorage.interaction_below * tan(design_angle(layer.anchorage.friction_below, factors))
        factor = layer.anchorage.f_n.value * layer.anchorage.f_po.value * layer.anchorage.f_ms.value
        beyond = layer.anchorage.length
        if layer.anchorage.scale is not None:
            over, under = layer.anchorage.scale.value * over, layer.anchorage.scale.value * under
    rise = max(layer.level - place.ground, 0.0) / (place.crest - place.ground)
    left = place.left_toe + rise * (place.left_shoulder - place.left_toe)
    right = place.right_toe + rise * (place.right_shoulder - place.right_toe)
    return Reinforcement(
        layer.name, layer.level, max(place.left_column - beyond, left), min(place.right_column + beyond, right),
        one.strength, over, under, factor,
    )  # fmt: skip

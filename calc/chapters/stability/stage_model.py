"""The cross-section of a stage as a slip analysis takes it, from recorded values alone."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from calc.chapters.shared.geometry import Profile
from calc.chapters.shared.zones import line_below_level, outline_of_zone
from calc.chapters.stability.slip_ground import (
    COLUMN,
    FILL,
    FIRM,
    LOADS,
    PLATFORM,
    SOILS,
    STRIP,
    zone_paths,
    zones_across,
)
from calc.engine.levels import above, same
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.stages import Stage
from calc.procedures.slip import Bending, Columns, Crack, Grid, Layer, Lens, Model, Reinforcement, Soil, Strip, Water
from calc.procedures.slip.model import Line
from calc.procedures.slip.refusal import height

say = words_of(__name__)

Read = Callable[..., float]
"""The number of a symbol in a scope of the chapter at the case, of one soil or strip where one is named."""


@dataclass(frozen=True, slots=True)
class Ties:
    """One layer of reinforcement across: place in the project file and the tension counted in kN/m."""

    place: int
    strength: float


@dataclass(frozen=True, slots=True)
class ZoneCase:
    """A strip of the column field with another grid, and the scope of the strength with gain that counts there."""

    grid: Grid
    gain: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """One analysis: a stage with its places and recorded values, the state of the ground, what the columns carry.

    ``fill`` and ``gain`` are the scopes of the fill of the state and of its strength with gain, the latter "" where
    none is credited; ``shares`` the stresses on soil and column over the mean, ``c_eq`` the design cohesion from the
    sleeve (kPa), ``held`` the shear force that the embedment of a column holds (kN). ``heads`` are piezometric levels
    over depth in the soil and in the columns, from the bottom up; None where water is at rest. ``strips`` are the
    labels of those strips on the crest that are loaded; ``k_v`` is the vertical
    seismic coefficient, upward positive. ``zones`` are the strips with another grid.
    """

    stage: Stage
    place: Profile
    read: Read
    drained: bool
    shares: tuple[float, float]
    a_E: float
    fill: str = "slip_fill"
    gain: str = ""
    c_eq: float = 0.0
    held: float = 0.0
    ties: tuple[Ties, ...] = ()
    averaged: bool = False
    heads: Line | None = None
    column_heads: Line | None = None
    strips: tuple[str, ...] = ()
    k_v: float = 0.0
    zones: tuple[ZoneCase, ...] = ()


def model(section: Section, case: Case) -> Model:
    """The cross-section of a case: design strengths, and one factor on every weight, that of water included."""
    place = case.place
    left, right = place.sides
    surface: Line = ((left, place.ground), *place.outline, (right, place.ground))
    slip = section.slip
    cracked = slip is not None and slip.crack is not None
    return Model(
        surface,
        (*_fill(section, case), *_soft(section, case), _firm(section, case)),
        case.read(STRIP, "z_bot"),
        lenses=(*_zone_lenses(section, case), *_gain_lenses(section, case)),
        water=_water(case),
        strips=_traffic(case),
        crack=Crack(case.read(STRIP, "d_crk"), case.read(STRIP, "h_crk")) if cracked else None,
        k_h=case.read(STRIP, "k_h") if section.earthquake else 0.0,
        k_v=case.k_v,
        columns=_columns(case),
        reinforcement=_ties(section, case),
    )


def _strength(case: Case, soil: str) -> tuple[float, float]:
    return case.read(SOILS, "c_d", soil), case.read(SOILS, "phi_d", soil)


def _weights(case: Case, soil: str) -> tuple[float, float]:
    return case.read(SOILS, "gamma_dw", soil), case.read(SOILS, "gamma_drw", soil)


def _fill(section: Section, case: Case) -> tuple[Layer, ...]:
    """Fill and platform; compensation fill counts as heavier fill, so that its pressure acts over the same width."""
    place, strength = case.place, _strength(case, FILL)
    # The fill below a water level above the ground is not buoyant: its weight there is on the safe side.
    heavy = case.read(case.fill, "gamma_dw", FILL)
    body = Soil("embankment", heavy, heavy, *strength)
    layers = [Layer(body), *_zones(section, case, body)]
    if section.platform is None:
        return tuple(layers)
    heavy = case.read(case.fill, "gamma_dw", PLATFORM)
    platform = Soil(say("working-platform"), heavy, heavy, *strength)
    if not above(place.crest, place.base):
        return (Layer(platform),)
    if place.left_berm or place.right_berm or len(layers) > 1:
        return *layers, Layer(platform, top=line_below_level(place.outline, place.base))
    right, left = ((case.read(STRIP, name), place.base) for name in ("x_Pr", "x_Pl"))
    level = ((place.left_toe, place.ground), left, right, (place.right_toe, place.ground))
    return Layer(body), Layer(platform, top=level)


def _zones(section: Section, case: Case, body: Soil) -> Iterator[Layer]:
    """The zones of the fill from the top down, with the fill of the embankment below each that none adjoins."""
    place, paths = case.place, zones_across(section)
    levels = {path: (place.base + zone.bottom, place.base + zone.top) for path, zone in paths.items()}
    laid = [path for path in reversed(paths) if above(place.crest, levels[path][0])]
    for k, path in enumerate(laid):
        bottom, top = levels[path]
        heavy = case.read(case.fill, "gamma_dw", path)
        yield Layer(
            Soil(paths[path].name, heavy, heavy, *_strength(case, path)), top=line_below_level(place.outline, top)
        )
        next_top = levels[laid[k + 1]][1] if k + 1 < len(laid) else place.base
        if above(bottom, next_top):
            yield Layer(body, top=line_below_level(place.outline, bottom))


def _zone_lenses(section: Section, case: Case) -> Iterator[Lens]:
    """The zones that end within the bank, as far as the fill of the stage covers them."""
    place, layers = case.place, zones_across(section)
    for path, zone in zone_paths(section).items():
        polygon = () if path in layers else outline_of_zone(
            place.outline, zone, place.base, section.embankment.ends(zone)
        )  # fmt: skip
        if polygon:
            heavy = case.read(case.fill, "gamma_dw", path)
            yield Lens(Soil(zone.name, heavy, heavy, *_strength(case, path)), polygon)


def _soft(section: Section, case: Case) -> tuple[Layer, ...]:
    return tuple(
        Layer(_soil(case, path, layer.name, line=top if section.slopes else None), top=top)
        for layer in section.layers for path in [f"layer.{layer.key}"] for top in [_top(section, case, path)]
    )  # fmt: skip


def _top(section: Section, case: Case, soil: str) -> Line:
    """The line of the top of a soft layer across the model."""
    level = case.read(SOILS, "z_lt", soil)
    there = (case.read(SOILS, "z_ltl", soil), case.read(SOILS, "z_ltr", soil)) if section.slopes else None
    return case.place.across(level, there)


def _gain_lenses(section: Section, case: Case) -> tuple[Lens, ...]:
    """The soft ground among the columns between the middles of the slopes, with the gain that is credited there.

    Further out there is less load than the gain is computed for.
    """
    if case.drained:
        return ()
    tops = [_top(section, case, f"layer.{layer.key}") for layer in section.layers]
    lines = [*tops, _firm_line(case)]
    return tuple(
        Lens(
            _soil(case, f"layer.{layer.key}", say("with-gain", name=layer.name), gain, top if section.slopes else None),
            (*_part_between(top, left, right), *reversed(_part_between(bottom, left, right))),
        )
        for left, right, gain in strips_with_gain(case) if gain
        for layer, (top, bottom) in zip(section.layers, pairwise(lines), strict=True)
    )  # fmt: skip


def strips_with_gain(case: Case) -> Iterator[tuple[float, float, str]]:
    """From the middle of one slope to that of the other, by the gain of each grid; none without one of the section."""
    if not case.gain:
        return
    at, end = case.read(STRIP, "x_ml"), case.read(STRIP, "x_mr")
    for zone in sorted(case.zones, key=lambda part: part.grid.x_left):
        left, right = max(zone.grid.x_left, at), min(zone.grid.x_right, end)
        if left < right:
            if at < left:
                yield at, left, case.gain
            yield left, right, zone.gain
            at = right
    if at < end:
        yield at, end, case.gain


def boundary(section: Section, case: Case, number: int) -> Line:
    """The top of a soft layer by its number from the top, that of the bearing layer behind the last."""
    tops = [f"layer.{layer.key}" for layer in section.layers]
    return _top(section, case, tops[number]) if number < len(tops) else _firm_line(case)


def _part_between(line: Line, left: float, right: float) -> Line:
    """The part of a line between two places."""
    inside = [point for point in line if left < point[0] < right]
    return (left, height(line, left)), *inside, (right, height(line, right))


def _soil(case: Case, soil: str, name: str, gain: str = "", line: Line | None = None) -> Soil:
    """``line`` is the one that the undrained strength grows from where it is not level."""
    weights = _weights(case, soil)
    if case.drained:
        return Soil(name, *weights, *_strength(case, soil))
    return Soil(
        name, *weights, c_u=case.read(gain, "c_utg", soil) if gain else case.read(SOILS, "c_utd", soil),
        c_u_growth=case.read(SOILS, "rho_utd", soil), c_u_level=case.read(SOILS, "z_lt", soil), c_u_line=line,
    )  # fmt: skip


def _firm(section: Section, case: Case) -> Layer:
    if section.columns.floating is None:
        soil = Soil(section.bearing_layer.name, *_weights(case, FIRM), *_strength(case, FIRM))
    else:  # soft ground, undrained as that beside the columns
        soil = _soil(case, FIRM, section.bearing_layer.name)
    return Layer(soil, top=_firm_line(case))


def _firm_line(case: Case) -> Line:
    """The line of the top of the bearing layer across the model."""
    return case.place.across(case.place.firm, case.place.firm_at)


def _water(case: Case) -> Water:
    ground, level = case.place.ground, case.read(STRIP, "z_w")
    if same(level, ground):
        level = ground
    mode: Literal["vertical", "seepage"] = "seepage" if case.read(STRIP, "i_see") else "vertical"
    standing = level if above(level, ground) else None
    table, gamma = ((case.place.left, level), (case.place.right, level)), case.read(SOILS, "gamma_wd")
    return Water(table, mode, standing, gamma, case.heads, case.column_heads)


def _traffic(case: Case) -> tuple[Strip, ...]:
    """Traffic and plant over the crest, and strips of load on it."""
    load = case.read(case.fill, "q_cr")
    laid = [Strip(case.place.left_shoulder, case.place.right_shoulder, load)] if load else []
    for strip in case.strips:
        pressure = case.read(LOADS, "p_lst", strip=strip)
        if pressure:
            laid.append(Strip(case.read(LOADS, "x_l1", strip=strip), case.read(LOADS, "x_l2", strip=strip), pressure))
    return tuple(laid)


def _columns(case: Case) -> Columns:
    place, read = case.place, case.read
    # Compensation fill weighs, but does not add to the normal force in the columns: it comes as the ground settles.
    # With lines the lowest levels stand for themselves: everything else is told by the lines.
    firm = None if place.firm_at is None else _firm_line(case)
    toes = None if place.toes_at is None else place.across(place.toes, place.toes_at)
    low = min((place.firm, *(place.firm_at or ())))
    bending = Bending(read("", "d_c"), low, case.held, read("", "gamma_Go"), read(case.fill, "s_last"), firm)
    return Columns(
        place.left_column, place.right_column, place.ground, place.lowest_toes, case.a_E, *case.shares,
        *_weights(case, COLUMN), read(SOILS, "phi_d", COLUMN), read("", "kappa_g"), case.c_eq,
        "averaged" if case.averaged else "strict", bending, toes, tuple(zone.grid for zone in case.zones),
    )  # fmt: skip


def _ties(section: Section, case: Case) -> tuple[Reinforcement, ...]:
    """The layers across that lie below the crest of the stage, with friction on both faces."""
    laid = [tie for tie in case.ties if above(case.place.crest, section.reinforcement[tie.place].level)]
    return tuple(_tie(section, case, tie) for tie in laid)


def _tie(section: Section, case: Case, ties: Ties) -> Reinforcement:
    layer, scope = section.reinforcement[ties.place], f"slip_tie_{ties.place}"
    left, right, over, under, factor = (
        case.read(scope, name) for name in ("x_rl", "x_rr", "mu_po", "mu_pob", "f_tie")
    )  # fmt: skip
    return Reinforcement(layer.name, layer.level, left, right, ties.strength, over, under, factor)

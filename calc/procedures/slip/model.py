"""What a slip analysis is asked: ground, water, loads, columns, reinforcement and the surfaces to look at.

Everything is in coherent units (kN, m, kPa, rad) per metre of length, y is an elevation, and all values are design
values: partial factors are applied by the caller at their source. A line is a sequence of points with growing x.
"""

from dataclasses import dataclass
from typing import Literal

from calc.procedures.failures import ProcedureError

Point = tuple[float, float]
Line = tuple[Point, ...]
Range = tuple[float, float]
Method = Literal["ordinary", "bishop", "janbu", "spencer", "morgenstern-price"]
Direction = Literal["right", "left"]
Form = Literal["A", "B"]


class SlipError(ProcedureError):
    """A model that cannot be analysed, with every reason found, or a request that no surface can answer."""


@dataclass(frozen=True)
class Soil:
    """Unit weights above and below the water table and strength: c and phi, or c_u alone where it is given.

    The undrained strength is ``c_u`` at the level ``c_u_level`` and above it, and grows by ``c_u_growth`` per metre
    below; where it falls with depth it must stay above zero down to the base of its layer. With ``c_u_line`` it grows
    from that line on, of which ``c_u_level`` is then any level. ``r_u`` is the pore pressure over the total vertical
    stress and takes the place of the water table.
    """

    name: str
    gamma: float
    gamma_sat: float
    c: float = 0.0
    phi: float = 0.0
    c_u: float | None = None
    c_u_growth: float = 0.0
    c_u_level: float | None = None
    c_u_line: Line | None = None
    r_u: float | None = None


@dataclass(frozen=True)
class Layer:
    """A soil below its top; the top of the first layer is the ground surface and is not given.

    A top that covers a part of the model only leaves the layer out elsewhere. ``piezometric`` is a line of heads that
    holds in this layer instead of the water table.
    """

    soil: Soil
    top: Line | None = None
    piezometric: Line | None = None


@dataclass(frozen=True)
class Lens:
    """A closed polygon of another soil inside the layers."""

    soil: Soil
    polygon: Line


@dataclass(frozen=True)
class Water:
    """Water table over the whole model and the level of open water that stands on the ground.

    ``mode``: "vertical" takes the head as the depth below the table, "seepage" times cos² of the slope of the table
    (steady flow along it). ``heads`` are points (level, head) from the bottom up that take the place of the table for
    the pore pressure, level throughout; a level that stands twice is a jump. ``column_heads`` are those in the columns.
    """

    table: Line
    mode: Literal["vertical", "seepage"] = "vertical"
    open_level: float | None = None
    gamma_w: float = 9.81
    heads: Line | None = None
    column_heads: Line | None = None


@dataclass(frozen=True)
class Strip:
    """Traffic load on the ground surface between two places."""

    x_left: float
    x_right: float
    q: float


@dataclass(frozen=True)
class Crack:
    """Tension crack at the upper end of the slip surface, with the depth of water in it."""

    depth: float
    water: float = 0.0


@dataclass(frozen=True)
class Bending:
    """What caps the friction of a column by its bending where a surface cuts it.

    ``factor`` is the partial factor that the model has on all weights and ``share`` the part of the embankment's weight
    that counts: the normal force is that of permanent load with factor 1. ``y_firm`` is the top of the firm layer,
    the lowest one where ``firm`` gives its line, and ``held`` the shear force (kN) that the embedment in it holds.
    """

    diameter: float
    y_firm: float
    held: float = 0.0
    factor: float = 1.0
    share: float = 1.0
    firm: Line | None = None


@dataclass(frozen=True)
class Grid:
    """Another grid of the columns between two places: area ratio and stress shares.

    ``y_toe``, ``y_firm`` and ``held`` where its columns have another length, all three: level of the toes, down to
    which they bear laterally (``y_firm``: that of the firm layer, or of toes above it), and the shear force that the
    embedment below holds; without them those of the columns.
    """

    x_left: float
    x_right: float
    a_E: float
    mu_s: float
    mu_c: float
    y_toe: float | None = None
    y_firm: float | None = None
    held: float | None = None


@dataclass(frozen=True)
class Columns:
    """Column field: extent, area ratio, stress shares, column fill, and how it enters a slip surface.

    ``zones`` are strips within it that have another grid.

    ``reduction`` lowers the shear resistance of the columns for the plane model of discrete columns; ``c_eq`` is the
    apparent cohesion from the sleeve. In mode "strict" soil and column are two parts of a slice, each with its own
    stress and water; in mode "averaged" one part has the averaged strength on its whole normal force. With ``bending``
    the column part of mode "strict" resists with its friction under permanent vertical stress alone, capped by bending.
    ``y_toe`` is the lowest level of the toes where ``toes`` gives them by a line over the whole model.
    """

    x_left: float
    x_right: float
    y_top: float
    y_toe: float
    a_E: float
    mu_s: float
    mu_c: float
    gamma: float
    gamma_sat: float
    phi: float
    reduction: float = 1.0
    c_eq: float = 0.0
    mode: Literal["strict", "averaged"] = "strict"
    bending: Bending | None = None
    toes: Line | None = None
    zones: tuple[Grid, ...] = ()

    @property
    def lengths(self) -> tuple[Grid, ...]:
        """The zones whose columns have another length."""
        return tuple(zone for zone in self.zones if zone.y_toe is not None)


def stress_shares(n: float, a_E: float) -> tuple[float, float]:  # noqa: N803 - the printed symbol
    """Stress on the soil and on the column over the mean added stress, for a stress ratio and an area ratio."""
    mean = 1 + (n - 1) * a_E
    return 1 / mean, n / mean


@dataclass(frozen=True)
class Reinforcement:
    """A horizontal layer: design strength (kN/m) and bond of both faces.

    ``bond_above`` and ``bond_below`` multiply the effective vertical stress without traffic, ``adhesion`` (kPa, both
    faces together) adds to them, ``factor`` divides the pull-out resistance.
    """

    name: str
    level: float
    x_left: float
    x_right: float
    strength: float
    bond_above: float
    bond_below: float
    factor: float = 1.0
    adhesion: float = 0.0


@dataclass(frozen=True)
class Model:
    """The cross-section; ``hard`` is a line below which no surface passes.

    ``k_h`` and ``k_v`` are the inertia of an earthquake over the weight, outward and upward where positive.

    A surface that reaches ``hard`` follows it (``truncate``) or is left out; the same holds for nothing else: a
    surface that reaches ``bottom`` or a side of the model is left out.
    """

    surface: Line
    layers: tuple[Layer, ...]
    bottom: float
    lenses: tuple[Lens, ...] = ()
    water: Water | None = None
    strips: tuple[Strip, ...] = ()
    crack: Crack | None = None
    k_h: float = 0.0
    k_v: float = 0.0
    columns: Columns | None = None
    reinforcement: tuple[Reinforcement, ...] = ()
    hard: Line | None = None
    truncate: bool = True


@dataclass(frozen=True)
class Circle:
    """Centre and radius."""

    x: float
    y: float
    r: float


@dataclass(frozen=True)
class Surface:
    """A slip line of straight pieces from the ground surface to the ground surface.

    ``c`` and ``phi`` replace the strength of the ground along the pieces ``interface`` (counted from 0).
    """

    points: Line
    c: float | None = None
    phi: float | None = None
    interface: tuple[int, ...] = ()


@dataclass(frozen=True)
class Search:
    """Circles over a grid of centres and of levels of their lowest points; ranges left out are chosen.

    ``entry`` and ``exit`` are ranges of x for the upper and the lower end; ``min_depth`` is the least depth of the
    deepest point below the ground, ``below`` a level that the deepest point has to reach. A range is widened up to
    ``extend`` times while the minimum lies on its edge. Finer steps follow the ``seeds`` lowest local minima of the
    grid and the best centre of each level, until they are ``close``, a share of the spacing of the grid.
    """

    centre_x: Range | None = None
    centre_y: Range | None = None
    tangent: Range | None = None
    counts: tuple[int, int, int] = (15, 15, 15)
    entry: Range | None = None
    exit: Range | None = None
    min_depth: float = 0.0
    below: float | None = None
    refine: bool = True
    extend: int = 4
    seeds: int = 6
    close: float = 0.02


@dataclass(frozen=True)
class BlockSearch:
    """Wedge, block, wedge: the block slides along ``base`` between the places of the two ranges.

    The angles are those of the wedges' slip planes to the horizontal; without passive angles the base runs on until it
    comes out of the ground. ``c`` and ``phi`` hold along the base where it is an interface or a weak plane. ``zooms``
    finer grids around the best places follow, each with the ``wedges`` lowest pairs of wedges of the grid before.
    """

    base: Line
    active: Range
    passive: Range
    active_angles: tuple[float, ...]
    passive_angles: tuple[float, ...]
    counts: tuple[int, int] = (12, 12)
    c: float | None = None
    phi: float | None = None
    min_depth: float = 0.0
    zooms: int = 3
    wedges: int = 4

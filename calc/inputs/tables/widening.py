"""The table [widening]: the bank that is there already, and what joins the new one to it."""

from collections.abc import Iterator, Mapping
from typing import Annotated

from calc.engine.levels import above, same
from calc.inputs.reading.kinds import (
    Fraction,
    Friction,
    Gradient,
    Length,
    Name,
    Offset,
    PressureOrNone,
    Share,
    Table,
    UnitWeight,
    field,
)
from calc.inputs.reading.scalars import Number, Quantity
from calc.inputs.reading.texts import Flag, Words
from calc.inputs.tables.columns import ColumnField, Columns
from calc.inputs.tables.earthquake import Earthquake
from calc.inputs.tables.embankment import SIDES, Embankment, Platform
from calc.inputs.tables.ground import Layer, Water
from calc.inputs.tables.monitoring import Monitoring
from calc.inputs.tables.neighbours import Neighbours
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.sleeve import Factor, ReinforcementLayer
from calc.inputs.tables.slip import Slip
from calc.inputs.tables.traffic import Traffic

WHERE = "with [widening]"
INDICES = ("C_c", "C_r")

Slope = Annotated[float, Number(gt=0, le=0.5)]
BaseLength = Annotated[float, Quantity(unit="m", ge=1, le=50)]
ALIKE = 0.01  # of height or slope: less is no change of a side
FAR = 3.0  # times the distance of the toe: a position farther out is a slip of the pen


class WideningLimits(Table):
    """What the crest bears across, by the settlement after hand-over; each may be left out."""

    difference: Length | None = field(
        "Greatest difference of settlement between two positions on the crest.", "0.15 m", default=None
    )
    cross_fall: Slope | None = field(
        "Greatest change of cross-fall over the base length anywhere on the crest.", 0.02, default=None
    )
    grade: Slope | None = field(
        "Greatest change of grade between two base lengths on the crest that follow one another.", 0.03, default=None
    )
    base: BaseLength | None = field(
        "Base length of cross-fall and grade, such as the width of a lane; given where one of both is.",
        "3.0 m",
        default=None,
    )
    source: Words = field("Where the limits come from.", "requirements of the road authority, section 4")


class Joint(Table):
    """Where the new mats end at the old bank."""

    layer: Name = field("Name of the layer of reinforcement across that ends here.", "Grid across")
    length: Length = field("Length over which it lies on the old mats, or on the benches of the old bank.", "3.0 m")
    on_mats: Flag = field(
        "Whether it lies on mats of the old bank: the tension passes over by friction on the one face between them. "
        "Otherwise it is anchored between old and new fill by friction on both faces.",
        False,
    )
    cover: Length = field("Least height of fill over it in the final state.", "2.0 m")
    interaction: Fraction = field("Coefficient of friction at its faces over tan φ of the fill.", 0.7)
    phi: Friction | None = field(
        "Friction angle of the old fill below it, characteristic; given where it does not lie on mats.",
        "30 deg",
        default=None,
    )
    f_n: Factor = field("Factor for the economic consequences of failure.", '{ value = 1.1, source = "…" }')
    f_po: Factor = field("Partial factor on pull-out.", '{ value = 1.3, source = "…" }')
    f_ms: Factor = field("Partial factor on the friction at its faces.", '{ value = 1.1, source = "…" }')


class Widening(Table):
    """The old bank, around which [embankment] is the outline after widening."""

    height: Length = field("Height of the old bank above the ground.", "3.5 m", usual=("0.5 m", "20 m"))
    crest_left: Offset = field(
        "Its left crest edge, from the axis of the crest after widening, to the right positive.", "-9.0 m"
    )
    crest_right: Offset = field("Its right crest edge, in the same way.", "1.0 m")
    slope_left: Gradient = field("Its left slope, vertical:horizontal.", "1:2")
    slope_right: Gradient = field("Its right slope, vertical:horizontal.", "1:2")
    gamma: UnitWeight = field("Unit weight of its fill.", "19 kN/m^3", usual=("12 kN/m^3", "24 kN/m^3"))
    surcharge: PressureOrNone = field(
        "Load on its crest that the ground has carried as long as the bank, such as the quasi-permanent share of its "
        "traffic; 0 kPa for none.",
        "0 kPa",
    )
    consolidation: Share = field("Degree of consolidation of the ground under it when the widening starts.", 0.95)
    source: Words = field(
        "Where this degree and the outline come from.", "settlement record since 1974 and survey, report G-003"
    )
    ageing: PressureOrNone = field(
        "Preconsolidation by ageing, beyond the effective stress under the old bank; 0 kPa for none.",
        "0 kPa",
        default=0.0,
    )
    columns_left: Offset | None = field(
        "Innermost columns beside the old bank on the left, from the axis of the crest after widening; they reach out "
        "to field.beyond_left. Without it there are none on this side.",
        "-12.0 m",
        default=None,
    )
    columns_right: Offset | None = field(
        "The same on the right, out to field.beyond_right; at least one of the two is given.", "3.0 m", default=None
    )
    positions: tuple[Offset, ...] = field(
        "Positions of settlement beside those of the outlines, such as lane edges.", '["4.5 m"]', default=(),
        max_length=20,
    )  # fmt: skip
    limits: WideningLimits | None = field("Limits of the crest across.", "[widening.limits]", default=None)
    joint: Joint | None = field("Joint of the mats with the old bank.", "[widening.joint]", default=None)
    stability: Words | None = field(
        "Document that verifies the stability of the widened bank, of the old slope while it is benched, of the old "
        "bank under traffic during the works, and of a side that changes without columns.",
        "2031-007-GEO-C-002",
        default=None,
    )

    @property
    def edges(self) -> dict[str, float]:
        """Its crest edges by side."""
        return {"left": self.crest_left, "right": self.crest_right}

    @property
    def innermost(self) -> dict[str, float | None]:
        """The innermost columns by side, None on a side that has none."""
        return {"left": self.columns_left, "right": self.columns_right}

    def outwards(self, embankment: Embankment, side: str) -> tuple[float, float]:
        """How far crest edge and toe of a side move outwards, in m."""
        edge = (embankment.crest_width / 2) - _sign(side) * self.edges[side]
        new, old = (getattr(bank, f"slope_{side}") * bank.height for bank in (embankment, self))
        return edge, edge + new - old

    def moves(self, embankment: Embankment, side: str) -> bool:
        """Whether crest edge or toe of a side move outwards."""
        return any(above(outward, 0.0) for outward in self.outwards(embankment, side))

    def widens(self, embankment: Embankment, side: str) -> bool:
        """Whether the bank changes on a side: it moves outwards, is raised, or has another slope."""
        slopes = [getattr(bank, f"slope_{side}") for bank in (embankment, self)]
        pairs = ((embankment.height, self.height), (slopes[0], slopes[1]))
        return self.moves(embankment, side) or any(abs(new / old - 1) > ALIKE for new, old in pairs)

    def inwards(self, embankment: Embankment, side: str) -> float:
        """How far the columns of a side reach inwards of its crest edge, in m; nothing where it has none."""
        inner = self.innermost[side]
        return 0.0 if inner is None else embankment.crest_width / 2 - _sign(side) * inner

    def bare_sides(self, embankment: Embankment) -> list[str]:
        """The sides that change and have no columns."""
        return [side for side in SIDES if self.widens(embankment, side) and self.innermost[side] is None]

    def stands(self, x: float, ends: Mapping[str, float]) -> bool:
        """Whether columns stand at a place, which reach out to ``ends`` by side."""
        return any(
            inner is not None and not above(min(inner, ends[side]), x) and not above(x, max(inner, ends[side]))
            for side, inner in self.innermost.items()
        )


def _sign(side: str) -> float:
    return 1.0 if side == "right" else -1.0


def outline_of_old_bank(widening: Widening | None, embankment: Embankment) -> Problems:
    """The old bank lies within the outline after widening, which is wider."""
    if widening is None:
        return
    path = ("widening",)
    if not above(widening.crest_right, widening.crest_left):
        yield Problem((*path, "crest_right"), f"be right of crest_left ({widening.crest_left:g} m)")
        return
    if above(widening.height, embankment.height):
        must = f"not be above the bank after widening ({embankment.height:g} m): it is not cut down"
        yield Problem((*path, "height"), must)
        return
    wrong = list(_beyond(widening, embankment))
    yield from wrong
    if not wrong and not any(widening.moves(embankment, side) for side in SIDES):
        must = "leave room for the widening: neither crest edge nor toe of either side moves outwards"
        yield Problem((*path, "crest_right"), must)


def _beyond(widening: Widening, embankment: Embankment) -> Iterator[Problem]:
    """Crest edges and toes of the old bank that are not below the new outline."""
    for side in SIDES:
        edge, toe = widening.outwards(embankment, side)
        run = getattr(embankment, f"slope_{side}")
        room = edge + run * (embankment.height - widening.height)
        if above(0.0, room):
            must = f"lie within the slope after widening: it is {-room:g} m outside"
            yield Problem(("widening", f"crest_{side}"), must)
        elif above(0.0, toe):
            must = f"end within the toe after widening: its toe is {-toe:g} m outside"
            yield Problem(("widening", f"slope_{side}"), must)


def columns_beside_old_bank(
    widening: Widening | None, embankment: Embankment, columns: Columns, column_field: ColumnField | None
) -> Problems:
    """Columns stand beside the old crest from under the new one outwards, only where the bank grows, and somewhere."""
    if widening is None:
        return
    if set(widening.innermost.values()) == {None}:
        grows = [side for side in SIDES if widening.moves(embankment, side)] or ["right"]
        yield Problem(("widening", f"columns_{grows[-1]}"), "be given: the new part stands on columns", "nothing")
        return
    for side in SIDES:
        inner, beyond = widening.innermost[side], getattr(column_field, f"beyond_{side}", None)
        path, field_path = ("widening", f"columns_{side}"), ("field", f"beyond_{side}")
        if not widening.widens(embankment, side):
            for reach, at in ((inner, path), (beyond, field_path)):
                if reach is not None:
                    yield Problem(at, f"be left out {WHERE} that leaves this side as it is: no columns stand there")
        elif inner is not None:
            yield from _innermost(widening, embankment, columns, side)
            if beyond is None:
                yield Problem(field_path, f"be given where widening.columns_{side} is given", "nothing")
        elif beyond is not None:
            yield Problem(path, f"be given where field.beyond_{side} is given", "nothing")


def _innermost(widening: Widening, embankment: Embankment, columns: Columns, side: str) -> Iterator[Problem]:
    sign, inner = _sign(side), widening.innermost[side] or 0.0
    old, new = sign * widening.edges[side], embankment.crest_width / 2
    if not above(sign * inner, old):
        must = f"be outside the crest of the old bank ({sign * old:g} m)"
        yield Problem(("widening", f"columns_{side}"), must)
    elif above(sign * inner + columns.spacing, new):
        must = (
            f"be at least a spacing inside the crest edge after widening ({sign * (new - columns.spacing):g} m): "
            "bearing and lateral extrusion have columns under it"
        )
        yield Problem(("widening", f"columns_{side}"), must)


def not_with_old_bank(
    widening: Widening | None, embankment: Embankment, platform: Platform | None, makeup_fill: bool, slip: Slip | None,
    earthquake: Earthquake | None, traffic: Traffic | None, columns: Columns, neighbours: Neighbours | None,
) -> Problems:  # fmt: skip
    """What would be computed as if the old bank were not there, or is not held together with it, is refused."""
    if widening is None:
        return
    if makeup_fill:
        yield Problem(("makeup_fill",), f"be false {WHERE}: the fill for unlike settlements is not found")
    unknown = "strength and columns under the old bank are not those of the section"
    old = (
        (("slip",), slip, f"be left out {WHERE}: {unknown}; a document named in widening.stability stands for it"),
        (("earthquake",), earthquake, f"be left out {WHERE}: {unknown}"),
        (("neighbours",), neighbours, f"be left out {WHERE}: it would have columns from toe to toe"),
        (("platform",), platform, f"be left out {WHERE}: heights count from the ground, a platform as fill"),
    )
    shapes = (
        (("embankment", "berm_left"), embankment.berm_left), (("embankment", "berm_right"), embankment.berm_right),
        (("embankment", "zone"), embankment.zone), (("embankment", "height_left"), embankment.height_left),
        (("embankment", "height_right"), embankment.height_right), (("columns", "floating"), columns.floating),
        (("traffic", "strip"), traffic.strip if traffic else ()), (("columns", "zone"), columns.zone),
    )  # fmt: skip
    bare = f"be left out {WHERE}: it is not calculated beside an old bank"
    for path, value, must in (*old, *((path, given, bare) for path, given in shapes)):
        if value is not None and value != ():
            yield Problem(path, must, None if isinstance(value, float) else "a table")


def water_beside_old_bank(widening: Widening | None, water_table: Water, ground_level: float) -> Problems:
    """Old and new fill stand above water, which is at rest."""
    if widening is None:
        return
    if water_table.heads:
        yield Problem(("water", "head"), f"be left out {WHERE}: it is not calculated beside an old bank", "a table")
    for level in water_table.levels():
        if above(level.level, ground_level):
            must = (
                f"not be above the ground ({ground_level:g} m) {WHERE}: buoyancy of old and new fill is not calculated"
            )
            yield Problem(("water", level.name), must)


def compression_indices(widening: Widening | None, layers: tuple[Layer, ...]) -> Problems:
    """Both indices are given together, of every layer, and where the chapter on widening reads them."""
    any_given = any(getattr(layer, name) is not None for layer in layers for name in INDICES)
    for index, layer in enumerate(layers):
        for name in INDICES:
            is_given = getattr(layer, name) is not None
            if is_given and widening is None:
                yield Problem(("layer", index, name), "be left out without [widening], which alone reads it")
            elif widening is not None and any_given and not is_given:
                yield Problem(("layer", index, name), "be given of every layer where it is given of one", "nothing")
        if widening is not None and any_given and layer.e_0 is None:
            yield Problem(("layer", index, "e_0"), "be given where C_c is given", "nothing")
        if layer.C_c is not None and layer.C_r is not None and layer.C_r > layer.C_c:
            yield Problem(("layer", index, "C_r"), f"not be greater than C_c ({layer.C_c:g})")


def positions_and_limits(widening: Widening | None, embankment: Embankment) -> Problems:
    """Positions differ and lie near the bank; slopes have a base length that fits the crest twice."""
    if widening is None:
        return
    run = max(getattr(embankment, f"slope_{side}") * embankment.height for side in SIDES)
    farthest = FAR * (embankment.crest_width / 2 + run)
    for index, position in enumerate(widening.positions):
        if any(same(position, other) for other in widening.positions[:index]):
            yield Problem(("widening", "positions", index), "be used once only")
        if above(abs(position), farthest):
            yield Problem(("widening", "positions", index), f"be within {farthest:g} m of the axis: it is far off")
    limits = widening.limits
    if limits is None:
        return
    path = ("widening", "limits", "base")
    if limits.base is None and (limits.cross_fall is not None or limits.grade is not None):
        yield Problem(path, "be given where cross_fall or grade is", "nothing")
    elif limits.base is not None and above(limits.base, embankment.crest_width / 2):
        yield Problem(path, f"not be longer than half the crest ({embankment.crest_width / 2:g} m)")


def joint_fits(
    widening: Widening | None, embankment: Embankment, reinforcement: tuple[ReinforcementLayer, ...]
) -> Problems:  # fmt: skip
    """The joint is that of a layer across, within the old bank and below the fill, on old fill of known friction."""
    if widening is None or widening.joint is None:
        return
    joint, path = widening.joint, ("widening", "joint")
    across = {layer.name: layer.level for layer in reinforcement if layer.direction != "along"}
    if joint.layer not in across:
        known = ", ".join(across) or "none is given"
        yield Problem((*path, "layer"), f"name a layer of reinforcement that carries across ({known})")
    elif above(joint.cover, embankment.height - across[joint.layer]):
        most = embankment.height - across[joint.layer]
        yield Problem((*path, "cover"), f"not be more than the fill over the layer ({most:g} m)")
    width = widening.crest_right - widening.crest_left + widening.height * (widening.slope_left + widening.slope_right)
    if above(joint.length, width):
        yield Problem((*path, "length"), f"not be longer than the old bank is wide at the ground ({width:g} m)")
    if joint.on_mats and joint.phi is not None:
        yield Problem((*path, "phi"), "be left out where the joint lies on mats: the face between them counts alone")
    elif not joint.on_mats and joint.phi is None:
        yield Problem((*path, "phi"), "be given where the joint does not lie on mats", "nothing")


def instruments_on_columns(
    widening: Widening | None, embankment: Embankment, column_field: ColumnField | None, monitoring: Monitoring | None
) -> Problems:  # fmt: skip
    """Readings are held against ground on columns: no instrument stands where there are none."""
    if widening is None or monitoring is None:
        return
    beyond = {side: getattr(column_field, f"beyond_{side}", None) or 0.0 for side in SIDES}
    ends = {side: _sign(side) * (embankment.crest_width / 2 + beyond[side]) for side in SIDES}
    for index, instrument in enumerate(monitoring.instruments):
        for place, x in enumerate(instrument.offsets):
            if not widening.stands(x, ends):
                must = f"be where columns stand {WHERE}: what is expected is that of ground on columns"
                yield Problem(("monitoring", "instrument", index, "offsets", place), must)


WIDENING_RULES = (
    outline_of_old_bank, columns_beside_old_bank, not_with_old_bank, water_beside_old_bank, compression_indices,
    positions_and_limits, joint_fits, instruments_on_columns,
)  # fmt: skip

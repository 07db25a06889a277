"""Places of the cross-section: recorded once, in the chapter on the columns, and read by every chapter after it."""

from dataclasses import dataclass, field
from math import ceil

import numpy as np

from calc.chapters.shared.berms import BERM_PLACES, STEPS, record_berm
from calc.chapters.shared.frame import given_of_section, given_of_stages
from calc.chapters.shared.sloping_layers import ACROSS, levels_across, thickness_across
from calc.chapters.shared.zones import record_zones
from calc.engine.figure import Fill
from calc.engine.formula import Formula
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import crest as cr
from calc.formulas import places as pl
from calc.formulas.squeezing import row_distance_of_triangular_grid
from calc.inputs import Section
from calc.inputs.tables.column_zones import grid_strips
from calc.inputs.tables.embankment import SIDES

say = words_of(__name__)

LEVELS, PLACES, BERMS = "levels", "places", "berms"  # scopes of the chapter on the columns
EDGE = "edge"  # scopes of the crest edges, where the crest falls
LEVEL_STEPS = (
    pl.platform_level, pl.height_over_ground, pl.crest_of_stage, pl.bearing_layer_level, pl.toe_level,
)  # fmt: skip
PLACE_STEPS = (
    pl.left_toe, pl.right_toe, pl.left_crest_edge, pl.right_crest_edge, pl.left_columns, pl.right_columns,
    pl.width_beside,
)  # fmt: skip
OF_A_CREST = ("z_csl", "z_csr", "x_bd")  # places of a crest that falls
NAMES = ("z_cst", "z_P", "z_g", "x_tl", "x_el", "x_er", "x_tr", "x_cl", "x_cr", "z_toe", "z_firm", "b_bes", "x_gl",
         "x_gr")  # fmt: skip


Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Berm:
    """A step of a berm by toe, outer edge and where its top meets the slope above it, in m; beside it the lower one.

    With a lower one its toe lies within that.
    """

    toe: Place
    edge: Place
    inner: Place
    lower: "Berm | None" = None

    @property
    def steps(self) -> tuple["Berm", ...]:
        """The berm itself and the lower ones, from the bank outwards."""
        return (self,) if self.lower is None else (self, *self.lower.steps)

    @property
    def corners(self) -> tuple[Place, ...]:
        """Corners of the outline from the outermost toe to the side slope."""
        outermost = self.steps[-1].toe
        return outermost, *(place for step in self.steps[::-1] for place in (step.edge, step.inner))


@dataclass(frozen=True, slots=True)
class Profile:
    """Places of a cross-section in m: x is 0 on the axis of the crest, y is an elevation.

    ``beside`` is the width of the ground that is looked at beside the toes of the slopes, ``left`` and ``right`` are
    the sides of the model, beyond the columns too. The toes are those of the side slopes, also below a berm.
    ``crest`` is the highest level of the crest, ``levels`` are those of its edges where they differ, ``bend`` is the
    place where its level part meets its fall, in a stage that has both. Where layers change their thickness ``toes``
    and ``firm`` hold at the axis, ``toes_at`` and ``firm_at`` are the levels at the left and right toe.
    """

    crest: float
    base: float
    ground: float
    left_toe: float
    left_shoulder: float
    right_shoulder: float
    right_toe: float
    left_column: float
    right_column: float
    toes: float
    firm: float
    beside: float
    left: float
    right: float
    left_berm: Berm | None = field(default=None, kw_only=True)
    right_berm: Berm | None = field(default=None, kw_only=True)
    levels: Place | None = field(default=None, kw_only=True)
    bend: float | None = field(default=None, kw_only=True)
    firm_at: Place | None = field(default=None, kw_only=True)
    toes_at: Place | None = field(default=None, kw_only=True)

    @property
    def left_edge(self) -> Place:
        """The left crest edge."""
        return self.left_shoulder, self.levels[0] if self.levels else self.crest

    @property
    def right_edge(self) -> Place:
        """The right crest edge."""
        return self.right_shoulder, self.levels[1] if self.levels else self.crest

    @property
    def top(self) -> tuple[Place, ...]:
        """The crest from edge to edge."""
        between = () if self.bend is None else ((self.bend, self.crest),)
        return self.left_edge, *between, self.right_edge

    @property
    def outline(self) -> tuple[Place, ...]:
        """Corners of fill and working platform from toe to toe."""
        left: tuple[Place, ...] = ((self.left_toe, self.ground),)
        right: tuple[Place, ...] = ((self.right_toe, self.ground),)
        if self.left_berm is not None:
            left = self.left_berm.corners
        if self.right_berm is not None:
            right = self.right_berm.corners[::-1]
        return *left, *self.top, *right

    @property
    def sides(self) -> tuple[float, float]:
        """The sides of the model."""
        return self.left, self.right

    def across(self, axis: float, at: Place | None) -> tuple[Place, ...]:
        """A line over the model that is straight from the axis to the toes and level beyond; level without ``at``."""
        if at is None:
            return (self.left, axis), (self.right, axis)
        (left, right), (first, last) = at, (self.left_toe, self.right_toe)
        return (self.left, left), (first, left), (0.0, axis), (last, right), (self.right, right)

    @property
    def lowest_toes(self) -> float:
        """The lowest level of the toes of the columns."""
        levels: tuple[float, ...] = self.toes_at or ()
        return min((self.toes, *levels))


def at_toes(section: Section, above: Fill = "soft") -> Fill:
    """What the ground at the toes of the columns is drawn as, below soft ground that is drawn like this."""
    if section.columns.floating is None:
        return "firm"
    return "soft2" if above == "soft" else "soft"


def column_axes(section: Section, left: float, right: float) -> list[float]:
    """The axes of the rows of columns across, spread evenly from edge to edge of the field, not wider than the grid.

    Beside an old bank from its innermost columns outwards.
    """
    if section.widening is not None:
        inner = section.widening.innermost
        ends = ((left, inner["left"]), (inner["right"], right))
        return [x for first, last in ends if first is not None and last is not None
                for x in _evenly(section, first, last)]  # fmt: skip
    return _evenly(section, left, right)


def _evenly(section: Section, left: float, right: float) -> list[float]:
    """Rows from one place to another."""
    grid = section.columns
    if grid.zones:
        return [x for strip in grid_strips(grid, left, right) for x in strip.rows]
    triangular = grid.pattern == "triangular"
    distance = float(row_distance_of_triangular_grid(grid.spacing)) if triangular else grid.spacing
    count = ceil(round((right - left) / distance, 9))
    return np.linspace(left, right, count + 1).tolist() if count else [(left + right) / 2]


def record_places(sheet: Sheet, section: Section, ground_level: Value) -> None:
    """Record the places of the cross-section in every stage; ``t_soft`` and ``t_emb`` stand in the sheet."""
    fill, beyond, platform = section.embankment, section.column_field, section.platform
    levels = sheet.scope(LEVELS, say("scope-levels-title"))
    levels.take("z_g", ground_level)
    heights = [0.0, *(stage.fill_height for stage in section.stages)]
    given_of_stages(levels, "H", section, heights, "fill_height", say("no-fill"))
    thickness = platform.thickness if platform else None
    given_or_none(levels, section, "t_P", "platform.thickness", thickness, say("no-platform"))
    for step in LEVEL_STEPS:
        levels(step)
    scope = sheet.scope(PLACES, say("scope-places-title"))
    for name, path, value in (
        ("b_K", "crest_width", fill.crest_width),
        ("n_L", "slope_left", fill.slope_left),
        ("n_R", "slope_right", fill.slope_right),
        ("H_F", "height", fill.height),
    ):
        given_of_section(scope, name, section, f"embankment.{path}", value)
    ends = (beyond.beyond_left, beyond.beyond_right) if beyond else (None, None)
    for name, side, extent in zip(("b_gl", "b_gr"), ("left", "right"), ends, strict=True):
        given_or_none(scope, section, name, f"field.beyond_{side}", extent, say("no-extent"))
    for name in ("t_P", "H_st", "z_cst", "z_toe"):
        scope.take(name, levels[name])
    if fill.lower:
        _crest(scope, section, levels)
    else:
        scope(pl.height_over_ground, H_st="H_fin", H="H_F")
    across = levels_across(sheet, section, levels) if section.slopes else None
    for step in PLACE_STEPS:
        lowest = {"z_toe": across["z_ton"]} if across and step is pl.width_beside else {}
        scope(step, **_of_edge(step, fill.lower), **lowest)
    if across:
        rows = column_axes(section, float(scope["x_cl"].array), float(scope["x_cr"].array))
        thickness_across(across, scope, rows)
    if fill.berms:
        scope.take("z_P", levels["z_P"])
        sheet.scope(BERMS, say("scope-berms-title")).take("t_P", levels["t_P"])
    for side, berm in fill.berms.items():
        record_berm(scope, sheet.scopes[BERMS], section, side, berm)
    record_zones(sheet, section, levels["H"], scope["H_n"] if fill.lower else levels["H"], scope)
    scope(pl.left_side, x_tl=outer_toe(scope, "l"))
    scope(pl.right_side, x_tr=outer_toe(scope, "r"))


def _crest(scope: Scope, section: Section, levels: Scope) -> None:
    """Record the heights and levels of both crest edges, and where the crest of a stage is level and where it falls."""
    fill, ends = section.embankment, {"l": "left", "r": "right"}
    for name in ("H", "z_g"):
        scope.take(name, levels[name])
    for end, side in ends.items():
        given_of_section(scope, f"H_F{end}", section, fill.path_of_height(side), fill.heights[side])
    for end in ends:
        edge, final = f"H_{end}", f"H_F{end}"
        scope(cr.height_at_crest_edge, H_l=edge, H_Fl=final)
        scope(pl.height_over_ground, H_st=f"H_fin{end}", H=final)
        scope(pl.height_over_ground, H_st=f"H_st{end}", H=edge)
        scope(pl.crest_of_stage, z_cst=f"z_cs{end}", H_st=f"H_st{end}")
        scope(cr.rise_of_crest, beta_Cl=f"beta_C{end}", H_Fl=final)
    low = fill.lower[0]
    scope.take("H_n", scope[f"H_{low}"])
    scope.take("H_Fn", scope[f"H_F{low}"])
    height = scope["H"]
    whole = ~above(height.array, fill.least_height) | ~above(fill.height - height.array, 0.0)
    scope(cr.end_of_level_crest, H=height.without(whole, say("no-bend")))
    scope.sheet.limitation("crest-falls", say("limitation-crest-falls"), "project rule ◇")


def _of_edge(step: Formula, lower: str) -> dict[str, str]:
    """The symbols of the heights at the own edge in the place of those of a level crest."""
    end = step.symbol[-1]
    return {name: f"{name}{end}" for name in step.arguments if name in ("H_fin", "H_st")} if lower else {}


def record_edges(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Record height and rise of the fill at both crest edges, which stand for those of the sheet on their sides.

    Nothing where the crest is level.
    """
    if not section.embankment.lower:
        return
    places, known = done["columns"].scopes[PLACES], sheet["H"]
    for side in SIDES:
        scope = sheet.scope(f"{EDGE}_{side}", say("scope-edge-title", side=side))
        height = places[f"H_{side[0]}"]
        scope.take("H", height if known.valid.all() else height.without(~known.valid, known.reason))
        scope.take("beta_C", places[f"beta_C{side[0]}"])


def at_edge(scope: Scope, ending: str) -> None:
    """Take height and rise at the own crest edge, by the ending of the side; nothing where the crest is level."""
    edge_scope = scope.sheet.scopes.get(f"{EDGE}{ending}")
    if edge_scope is not None:
        for name in ("H", "beta_C"):
            scope.take(name, edge_scope[name])


def height_at_edge(columns: Sheet, end: str) -> Value:
    """Height of the fill at the crest edge of a side, "l" or "r"."""
    name = f"H_{end}" if "H_n" in columns.scopes[PLACES].values else "H"
    return place_of(columns, name)


def lower_height(columns: Sheet) -> Value:
    """Height of the fill at the lower crest edge."""
    return height_at_edge(columns, "n")


def outer_toe(scope: Scope, end: str) -> str:
    """Symbol of the toe of the outermost berm, or of the side slope without one; ``end`` is "l" or "r"."""
    known = (name for at in STEPS[end][::-1] if (name := f"x_u{at}") in scope.values)
    return next(known, f"x_t{end}")


def berm_places(columns: Sheet) -> list[Value]:
    """What the berms are made of, none without berms."""
    scope, ends = columns.scopes[PLACES], [end for end in "lr" if f"x_u{end}" in columns.scopes[PLACES].values]
    there = [columns.scopes[BERMS][f"i_B{end}"] for end in ends]
    steps = [at for pair in zip(*STEPS.values(), strict=True) for at in pair if f"x_u{at}" in scope.values]
    return [*there, *(scope[f"{name}{step}"] for step in steps for name in BERM_PLACES)]


def crest_places(columns: Sheet) -> list[Value]:
    """What a crest that falls is made of, none where it is level."""
    scope = columns.scopes[PLACES]
    return [scope[name] for name in OF_A_CREST if name in scope.values]


def place_of(columns: Sheet, name: str) -> Value:
    """A recorded level or place of the cross-section."""
    levels = columns.scopes[LEVELS]
    return levels[name] if name in levels.values else columns.scopes[PLACES][name]


def given_or_none(scope: Scope, section: Section, name: str, path: str, value: float | None, without: str) -> None:
    """Give a field that may be left out; without it 0, with the words for that."""
    if value is None:
        scope.given(name, 0.0, origin=Origin("project rule", text=without))
    else:
        given_of_section(scope, name, section, path, value)


def profile(columns: Sheet, stage: str, before: str = "") -> Profile:
    """The recorded places at the end of a stage, by its label; with the stage before it those while a lift is placed.

    A berm that comes with this stage is not there while its lift is placed.
    """
    values = [place_of(columns, name).number({"stage": stage}) for name in NAMES]
    left, right = (_berm_at(columns, end, before or stage) for end in "lr")
    levels, bend = _crest_at(columns, stage)
    across = columns.scopes.get(ACROSS)
    firm, toes = (
        (float(across[f"{name}l"].array), float(across[f"{name}r"].array)) if across else None
        for name in ("z_f", "z_to")
    )
    return Profile(
        *(float(value) for value in values if value is not None),
        left_berm=left,
        right_berm=right,
        levels=levels,
        bend=bend,
        firm_at=firm,
        toes_at=toes,
    )


def _crest_at(columns: Sheet, stage: str) -> tuple[Place | None, float | None]:
    """The levels of the crest edges of a stage, and the place where its level part ends; None where it is level."""
    scope = columns.scopes[PLACES]
    if "H_n" not in scope.values:
        return None, None
    left, right, bend = (scope[name].number({"stage": stage}) for name in ("z_csl", "z_csr", "x_bd"))
    return (float(left or 0.0), float(right or 0.0)), bend


def _berm_at(columns: Sheet, end: str, stage: str) -> Berm | None:
    """The berm of a side at the end of a stage; None where there is none yet."""
    scope = columns.scopes[PLACES]
    if f"x_u{end}" not in scope.values or not columns.scopes[BERMS][f"i_B{end}"].number({"stage": stage}):
        return None
    ground, lower = float(place_of(columns, "z_g").array), None
    for at in STEPS[end][::-1]:
        if f"x_u{at}" in scope.values:
            toe, edge, inner, top = (float(scope[f"{name}{at}"].array) for name in BERM_PLACES)
            lower = Berm((toe, ground), (edge, top), (inner, top), lower)
    return lower

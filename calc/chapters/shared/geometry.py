"""Places of the cross-section: recorded once, in the chapter on the columns, and read by every chapter after it."""

from dataclasses import dataclass, field
from math import ceil

import numpy as np

from calc.chapters.shared.frame import given_of_section, given_of_stages, origin_of
from calc.chapters.shared.zones import record_zones
from calc.engine.figure import Fill
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import places as pl
from calc.formulas.squeezing import row_distance_of_triangular_grid
from calc.inputs import Section
from calc.inputs.tables import embankment as tables

say = words_of(__name__)

LEVELS, PLACES, BERMS = "levels", "places", "berms"  # scopes of the chapter on the columns
LEVEL_STEPS = (
    pl.platform_level, pl.height_over_ground, pl.crest_of_stage, pl.bearing_layer_level, pl.toe_level,
)  # fmt: skip
PLACE_STEPS = (
    pl.left_toe, pl.right_toe, pl.left_crest_edge, pl.right_crest_edge, pl.left_columns, pl.right_columns,
    pl.width_beside,
)  # fmt: skip
BERM_STEPS = {
    "left": (pl.top_of_left_berm, pl.inner_end_of_left_berm, pl.edge_of_left_berm, pl.toe_of_left_berm,
             pl.area_of_left_berm),
    "right": (pl.top_of_right_berm, pl.inner_end_of_right_berm, pl.edge_of_right_berm, pl.toe_of_right_berm,
              pl.area_of_right_berm),
}  # fmt: skip
BERM_PLACES = ("x_u", "x_o", "x_k", "z_B")
NAMES = ("z_cst", "z_P", "z_g", "x_tl", "x_el", "x_er", "x_tr", "x_cl", "x_cr", "z_toe", "z_firm", "b_bes", "x_gl",
         "x_gr")  # fmt: skip


Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Berm:
    """A berm by its toe, its outer edge and where its top meets the side slope, in m."""

    toe: Place
    edge: Place
    inner: Place


@dataclass(frozen=True, slots=True)
class Profile:
    """Places of a cross-section in m: x is 0 on the axis of the crest, y is an elevation.

    ``beside`` is the width of the ground that is looked at beside the toes of the slopes, ``left`` and ``right`` are
    the sides of the model, beyond the columns too. The toes are those of the side slopes, also below a berm.
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

    @property
    def outline(self) -> tuple[Place, ...]:
        """Corners of fill and working platform from toe to toe."""
        left: tuple[Place, ...] = ((self.left_toe, self.ground),)
        right: tuple[Place, ...] = ((self.right_toe, self.ground),)
        if self.left_berm is not None:
            left = self.left_berm.toe, self.left_berm.edge, self.left_berm.inner
        if self.right_berm is not None:
            right = self.right_berm.inner, self.right_berm.edge, self.right_berm.toe
        return *left, (self.left_shoulder, self.crest), (self.right_shoulder, self.crest), *right

    @property
    def sides(self) -> tuple[float, float]:
        """The sides of the model."""
        return self.left, self.right


def at_toes(section: Section, above: Fill = "soft") -> Fill:
    """What the ground at the toes of the columns is drawn as, below soft ground that is drawn like this."""
    if section.columns.floating is None:
        return "firm"
    return "soft2" if above == "soft" else "soft"


def column_axes(section: Section, left: float, right: float) -> list[float]:
    """The axes of the rows of columns across, spread evenly from edge to edge of the field, not wider than the grid."""
    grid = section.columns
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
    _given_or_none(levels, section, "t_P", "platform.thickness", platform.thickness if platform else None)
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
    _given_or_none(scope, section, "b_gl", "field.beyond_left", beyond.beyond_left if beyond else None)
    _given_or_none(scope, section, "b_gr", "field.beyond_right", beyond.beyond_right if beyond else None)
    for name in ("t_P", "H_st", "z_cst", "z_toe"):
        scope.take(name, levels[name])
    scope(pl.height_over_ground, H_st="H_fin", H="H_F")
    for step in PLACE_STEPS:
        scope(step)
    if fill.berms:
        scope.take("z_P", levels["z_P"])
        sheet.scope(BERMS, say("scope-berms-title")).take("t_P", levels["t_P"])
    for side, berm in fill.berms.items():
        _berm(scope, section, side, berm)
    record_zones(sheet, section, levels["H"])
    scope(pl.left_side, x_tl=outer_toe(scope, "l"))
    scope(pl.right_side, x_tr=outer_toe(scope, "r"))


def _berm(scope: Scope, section: Section, side: str, berm: tables.Berm) -> None:
    """Record a berm, which is there from the end of its stage on, with its area; its places with the other places."""
    path, end, slope = f"embankment.berm_{side}", side[0], f"n_{side[0].upper()}"
    own = scope.sheet.scopes[BERMS]
    names = [f"{name}{end}" for name in ("h_B", "b_B", "n_B")]
    for name, key in zip(names, ("height", "width", "slope"), strict=True):
        given_of_section(own, name, section, f"{path}.{key}", getattr(berm, key))
    first = [stage.name for stage in section.stages].index(berm.stage)
    there = [0.0, *(float(k >= first) for k in range(len(section.stages)))]
    own.given(f"i_B{end}", there, ["stage"], origin=origin_of(section, f"{path}.stage"))
    given_of_section(own, slope, section, f"embankment.slope_{side}", getattr(section.embankment, f"slope_{side}"))
    for name in names:
        scope.take(name, own[name])
    *places, area = BERM_STEPS[side]
    own(area)
    for step in places:
        scope(step)


def outer_toe(scope: Scope, end: str) -> str:
    """Symbol of the toe of a berm, or of the side slope without one; ``end`` is "l" or "r"."""
    return f"x_u{end}" if f"x_u{end}" in scope.values else f"x_t{end}"


def berm_places(columns: Sheet) -> list[Value]:
    """What the berms are made of, none without berms."""
    scope, ends = columns.scopes[PLACES], [end for end in "lr" if f"x_u{end}" in columns.scopes[PLACES].values]
    there = [columns.scopes[BERMS][f"i_B{end}"] for end in ends]
    return [*there, *(scope[f"{name}{end}"] for end in ends for name in BERM_PLACES)]


def place_of(columns: Sheet, name: str) -> Value:
    """A recorded level or place of the cross-section."""
    levels = columns.scopes[LEVELS]
    return levels[name] if name in levels.values else columns.scopes[PLACES][name]


def _given_or_none(scope: Scope, section: Section, name: str, path: str, value: float | None) -> None:
    """Give a field that may be left out; without it 0."""
    if value is None:
        scope.given(name, 0.0, origin=Origin("project rule", text=say("not-given", path=path)))
    else:
        given_of_section(scope, name, section, path, value)


def profile(columns: Sheet, stage: str, before: str = "") -> Profile:
    """The recorded places at the end of a stage, by its label; with the stage before it those while a lift is placed.

    A berm that comes with this stage is not there while its lift is placed.
    """
    values = [place_of(columns, name).number({"stage": stage}) for name in NAMES]
    left, right = (_berm_at(columns, end, before or stage) for end in "lr")
    return Profile(*(float(one) for one in values if one is not None), left_berm=left, right_berm=right)


def _berm_at(columns: Sheet, end: str, stage: str) -> Berm | None:
    """The berm of a side at the end of a stage; None where there is none yet."""
    scope = columns.scopes[PLACES]
    if f"x_u{end}" not in scope.values or not columns.scopes[BERMS][f"i_B{end}"].number({"stage": stage}):
        return None
    toe, edge, inner, top = (float(scope[f"{name}{end}"].array) for name in BERM_PLACES)
    ground = float(place_of(columns, "z_g").array)
    return Berm((toe, ground), (edge, top), (inner, top))

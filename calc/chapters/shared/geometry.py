"""Places of the cross-section: recorded once, in the chapter on the columns, and read by every chapter after it."""

from dataclasses import dataclass
from math import ceil

import numpy as np

from calc.chapters.shared.frame import given_of_section, given_of_stages
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import places as pl
from calc.formulas.squeezing import row_distance_of_triangular_grid
from calc.inputs import Section

say = words_of(__name__)

LEVELS, PLACES = "levels", "places"  # scopes of the chapter on the columns
LEVEL_STEPS = (
    pl.platform_level, pl.height_over_ground, pl.crest_of_stage, pl.bearing_layer_level, pl.toe_level,
)  # fmt: skip
PLACE_STEPS = (
    pl.left_toe, pl.right_toe, pl.left_crest_edge, pl.right_crest_edge, pl.left_columns, pl.right_columns,
    pl.width_beside, pl.left_side, pl.right_side,
)  # fmt: skip
NAMES = ("z_cst", "z_P", "z_g", "x_tl", "x_el", "x_er", "x_tr", "x_cl", "x_cr", "z_toe", "z_firm", "b_bes", "x_gl",
         "x_gr")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Profile:
    """Places of a cross-section in m: x is 0 on the axis of the crest, y is an elevation.

    ``beside`` is the width of the ground that is looked at beside the toes of the slopes, ``left`` and ``right`` are
    the sides of the model, beyond the columns too.
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

    @property
    def sides(self) -> tuple[float, float]:
        """The sides of the model."""
        return self.left, self.right


def column_axes(section: Section, left: float, right: float) -> list[float]:
    """The axes of the rows of columns across, spread evenly from edge to edge of the field, not wider than the grid."""
    grid = section.columns
    triangular = grid.pattern == "triangular"
    distance = float(row_distance_of_triangular_grid(grid.spacing)) if triangular else grid.spacing
    count = ceil(round((right - left) / distance, 9))
    return np.linspace(left, right, count + 1).tolist() if count else [(left + right) / 2]


def record_places(sheet: Sheet, section: Section, ground_level: Value) -> None:
    """Record the places of the cross-section in every stage; ``t_soft`` and ``t_emb`` stand in the sheet."""
    fill, field, platform = section.embankment, section.column_field, section.platform
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
    _given_or_none(scope, section, "b_gl", "field.beyond_left", field.beyond_left if field else None)
    _given_or_none(scope, section, "b_gr", "field.beyond_right", field.beyond_right if field else None)
    for name in ("t_P", "H_st", "z_cst", "z_toe"):
        scope.take(name, levels[name])
    scope(pl.height_over_ground, H_st="H_fin", H="H_F")
    for step in PLACE_STEPS:
        scope(step)


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


def profile(columns: Sheet, stage: str) -> Profile:
    """The recorded places at the end of a stage, by its label."""
    values = [place_of(columns, name).number({"stage": stage}) for name in NAMES]
    return Profile(*(float(one) for one in values if one is not None))

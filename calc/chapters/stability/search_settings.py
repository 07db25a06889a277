"""How slip surfaces are searched: settings of the project and of the rules, recorded, and the searches made of them."""

from dataclasses import replace
from math import radians
from typing import Any

import numpy as np

from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import PLACES, Place, outer_toe, place_of
from calc.chapters.stability.slip_ground import SOILS, STRIP
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import slip_search as ss
from calc.inputs import Section
from calc.inputs.tables.slip import Slip
from calc.procedures.slip import BlockSearch, Circle, Search
from calc.procedures.slip.slope import Slope
from calc.procedures.slip.solve import TOLERANCE

say = words_of(__name__)

SETTINGS = "slip_search"
ANGLES = ("flat", "middle", "steep")
ACTIVE, PASSIVE = (40, 50, 60), (25, 35, 45)  # degrees
RULES = {
    "n_wid": 4, "t_ent": 0.1, "n_near": 5, "r_near": 0.25, "r_fin": Search.close, "n_val": Search.seeds,
    "eps_F": TOLERANCE, "n_ctri": 8, "n_levi": 4, "n_widi": 1, "n_blk": 8, "n_fin": BlockSearch.zooms,
    "n_wed": BlockSearch.wedges, "t_blk": 0.02, "r_crest": 0.45, "r_out": 0.3,
}  # fmt: skip
EVERY = ("n_sl", "eps_F")
DEEP = ("n_ctr", "n_lev", "n_wid", "t_min", "z_ent", "n_near", "r_near", "r_fin", "n_val", *EVERY)
WITHIN_FILL = ("n_ctri", "n_levi", "n_widi", "t_min", "z_ini", "r_fin", "n_val", *EVERY)
BLOCKS = (
    "n_blk", "n_fin", "n_wed", "beta_act", "beta_pas", "z_blt", "z_blb", "x_inl", "x_inr", "x_outl", "x_outr", *EVERY,
)  # fmt: skip
ON_LAYER = ("z_blr", "delta_sl")
"""Settings of circles, of circles within the fill, of blocks, and of those on the reinforcement."""


def record_search(sheet: Sheet, section: Section, slip: Slip, done: dict[str, Sheet], tie: Scope | None) -> Scope:
    """Record the settings; ``tie`` is the lowest layer across, on which blocks slide, too."""
    scope, rule = sheet.scope(SETTINGS, say("scope-title")), Origin("project rule", text=say("rule"))
    for name, field in (("n_ctr", "centres"), ("n_lev", "levels"), ("n_sl", "slices"), ("t_min", "min_depth")):
        given_of_section(scope, name, section, f"slip.{field}", getattr(slip, field))
    for name, value in RULES.items():
        scope.given(name, value, origin=rule)
    sheet.axis("point", ANGLES)
    for name, angles in (("beta_act", ACTIVE), ("beta_pas", PASSIVE)):
        scope.given(name, [radians(angle) for angle in angles], ["point"], origin=rule)
    for name in ("z_g", "z_lt"):
        scope.take(name, sheet.scopes[SOILS][name])
    places = done["columns"].scopes[PLACES]
    for name in ("z_cst", "z_firm", "x_tl", "x_tr", "x_el", "x_er", "b_bes"):
        scope.take(name, place_of(done["columns"], name))
    soft = scope["z_lt"].valid
    bottoms = np.zeros(soft.shape)
    firm = scope["z_firm"] if section.columns.floating is None else sheet.scopes[STRIP]["z_bot"]
    bottoms[soft] = [*scope["z_lt"].array[soft][1:], float(firm.array)]
    scope.reading("z_lb", bottoms, ["soil"], title=say("reading-z-lb-title"), mask=~soft,
                  reason=scope["z_lt"].reason, inputs=[scope["z_lt"], firm])  # fmt: skip
    for step in (
        ss.level_of_entry, ss.highest_level_within_fill, ss.plane_at_top, ss.plane_at_bottom, ss.left_innermost_end,
        ss.right_innermost_end,
    ):  # fmt: skip
        scope(step)
    for step, end in ((ss.left_outermost_end, "l"), (ss.right_outermost_end, "r")):
        toe = outer_toe(places, end)
        if toe not in scope:
            scope.take(toe, places[toe])
        scope(step, **{f"x_t{end}": toe})
    if tie is not None:
        scope(ss.plane_on_reinforcement, z_rk=tie["z_rk"])
        scope(ss.friction_angle_on_layer, mu_sl=tie["mu_sl"])
    return scope


def number(scope: Scope, name: str) -> float:
    """A setting that is the same in every case."""
    return float(scope[name].array)


def whole(scope: Scope, name: str) -> int:
    """A setting that is a count."""
    return int(scope[name].array)


def deep_search(scope: Scope) -> Search:
    """Circles that enter the soft ground."""
    centres = whole(scope, "n_ctr")
    return Search(
        counts=(centres, centres, whole(scope, "n_lev")), min_depth=number(scope, "t_min"),
        below=number(scope, "z_ent"), extend=whole(scope, "n_wid"), **_finer(scope),
    )  # fmt: skip


def _finer(scope: Scope) -> dict[str, Any]:
    """How the finer steps after the grid begin and end."""
    return {"seeds": whole(scope, "n_val"), "close": number(scope, "r_fin")}


def search_within_fill(scope: Scope, low: float, high: float) -> Search:
    """Circles whose lowest points lie between two levels of the fill."""
    centres = whole(scope, "n_ctri")
    return Search(
        tangent=(low, high), counts=(centres, centres, whole(scope, "n_levi")), min_depth=number(scope, "t_min"),
        extend=whole(scope, "n_widi"), **_finer(scope),
    )  # fmt: skip


def search_of_slope(search: Search, crest: Place, toe: Place) -> Search:
    """The same search with its first centres above one slope of several, as those above the whole slope are chosen."""
    across, up = Slope(crest, toe).centres
    return replace(search, centre_x=across, centre_y=up)


def search_around(scope: Scope, circle: Circle) -> Search:
    """A grid around a circle; it widens itself where the least value lies on its edge."""
    reach, low, count = number(scope, "r_near") * circle.r, circle.y - circle.r, whole(scope, "n_near")
    return Search(
        (circle.x - reach, circle.x + reach), (circle.y - reach, circle.y + reach), (low - reach, low + reach),
        (count, count, count), min_depth=number(scope, "t_min"), below=number(scope, "z_ent"),
        extend=whole(scope, "n_wid"), **_finer(scope),
    )  # fmt: skip

"""Layers that change their thickness: recorded at axis, crest edges and toes, in the chapter on the columns."""

from collections.abc import Sequence

import numpy as np

from calc.chapters.shared.frame import origin_of
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import across as ac
from calc.formulas import places as pl
from calc.inputs import Section

say = words_of(__name__)

ACROSS = "across"  # scope of the chapter on the columns
LENGTHS = "lengths"  # of the shortest and the longest column, kept for the quantities


def levels_across(sheet: Sheet, section: Section, levels: Scope) -> Scope:
    """Record the thickness of the layers at the axis and at both toes, and the levels that follow there."""
    sheet.axis("soil", [layer.key for layer in section.layers])
    scope = sheet.scope(ACROSS, say("scope-across-title"))
    layers = section.layers
    for name, side in (("t_la", ""), ("t_ltl", "left"), ("t_ltr", "right")):
        paths = [f"layer.{layer.key}.thickness" for layer in layers]
        own = [f"{path}_{side}" if side and getattr(layer, f"thickness_{side}") is not None else path
               for layer, path in zip(layers, paths, strict=True)]  # fmt: skip
        values = [layer.at_toe(side) if side else layer.thickness for layer in layers]
        scope.given(name, values, ["soil"], origin=[origin_of(section, path) for path in own], origin_axis="soil")
    for name in ("z_g", "z_toe"):
        scope.take(name, levels[name])
    for end in "lr":
        there = scope[f"t_lt{end}"]
        below = np.cumsum(there.array)
        scope.reading(f"d_lt{end}", below - there.array, ["soil"], title=say("reading-d-lt-across"), inputs=[there])
        scope.reading(f"t_w{end}", float(below[-1]), title=say("reading-t-w-across"), inputs=[there])
        scope(pl.bearing_layer_level, z_firm=f"z_f{end}", t_soft=f"t_w{end}")
        scope(pl.toe_level, z_toe=f"z_to{end}", z_firm=f"z_f{end}")
    scope(ac.lowest_toe_level)
    return scope


def thickness_across(scope: Scope, places: Scope, rows: Sequence[float]) -> None:
    """Record the thickness of the layers at the crest edges, and the mean length of the columns."""
    for name in ("b_K", "x_tl", "x_tr", "x_cl", "x_cr"):
        scope.take(name, places[name])
    scope(ac.thickness_at_left_edge)
    scope(ac.thickness_at_right_edge)
    known = [float(scope[name].array) for name in ("x_tl", "x_tr", "t_wl", "t_wr")]
    whole = float(scope.sheet["t_soft"].array)
    thicknesses = np.interp(rows, [known[0], 0.0, known[1]], [known[2], whole, known[3]])
    scope.reading(
        "t_wm", float(thicknesses.mean()), title=say("reading-t-wm-title"),
        note=say("reading-t-wm-note", count=len(rows)),
        inputs=[scope.sheet["t_soft"], *(scope[name] for name in ("x_tl", "x_tr", "x_cl", "x_cr", "t_wl", "t_wr"))],
    )  # fmt: skip
    scope.take("t_up", scope.sheet["t_up"])
    more = float(scope(ac.mean_column_length).array) - float(thicknesses.mean())
    scope.sheet.kept[LENGTHS] = float(thicknesses.min()) + more, float(thicknesses.max()) + more
    scope.sheet.limitation("sloping-layers", say("limitation-sloping-layers"), "project rule ◇")


def across_places(columns: Sheet) -> list[Value]:
    """What lines across are made of, none where layers are level."""
    scope = columns.scopes.get(ACROSS)
    return [scope[name] for name in ("d_ltl", "d_ltr", "z_fl", "z_fr", "z_tol", "z_tor")] if scope else []

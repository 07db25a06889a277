"""Strips of rail and road load: what is left of them at the column heads, by two methods, at the most loaded place."""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.strips import STRIPS, laid_strips
from calc.engine.levels import SAME
from calc.engine.sheet import Origin, RestsOn, Scope, Sheet, number_text
from calc.engine.words import words_of
from calc.formulas import traffic as tr
from calc.inputs import Section

say = words_of(__name__)

OF_A_STRIP = (
    ("F_ld", "line_load"), ("alpha_ld", "class_factor"), ("b_ld", "width"), ("x_ld", "position"), ("d_ld", "depth"),
)  # fmt: skip
NO_TRAFFIC = say("no-traffic")
STEP = 0.1  # m between the places that are tried


def strips(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Pressure of the strips at the column heads in every stage with traffic, and with the uniform part the load q."""
    scope = sheet.scope(STRIPS, say("scope-strips-title"))
    _give_strips(scope, section)
    scope(tr.strip_pressure)
    if "l_lp" in scope:
        scope(tr.pressure_in_plane)
        _shared_out(scope, section)
    acts = np.array([False, *(stage.traffic for stage in section.stages)])
    scope.take("H", sheet["H"].without(~acts, NO_TRAFFIC))
    scope.take("t_up", done["columns"]["t_up"])
    scope(tr.depth_of_heads)
    _dynamic(scope, section)
    scope(tr.spread_width)
    places = _most_loaded_places(scope, section.embankment.crest_width)
    inputs = [
        scope[name]
        for name in ("x_ld", "b_ld", "b_lz", "z_ld", "p_ld", "Phi_z", *(["l_ld", "n_ld"] if "l_ld" in scope else []))
    ]
    scope.reading("x_pk", places, ["stage"], title=say("reading-x-pk-title"), inputs=inputs, mask=~acts,
                  reason=NO_TRAFFIC, note=say("reading-x-pk-note"))  # fmt: skip
    _spread_evenly(scope)
    _spread_elastically(scope)
    scope.otherwise("p_lh", scope["p_lm"], 0.0, title=say("counted-title"), note=say("counted-note"))
    sheet.take("q", scope(tr.traffic_at_heads), note=say("take-q-note"))
    sheet.limitation("traffic-strips", say("limitation-traffic-strips"), "project rule ◇")
    sheet.relies_on(say("cyclic-title"), say("cyclic-text"), say("cyclic-proof"))


def _spread_evenly(scope: Scope) -> None:
    """Each strip by itself over its width, and over its length where it has one."""
    note = say("take-p-ss-note")
    if "l_ld" not in scope:
        scope(tr.spread_pressure)
        scope.take("p_sS", scope["p_ls"].largest("stage"), note=note)
        return
    scope(tr.spread_pressure, p_ls="p_l0")
    for step in (tr.spread_length, tr.pressure_without_end, tr.pressure_of_length):
        scope(step)
    scope.take("p_lSe", scope["p_ls"].largest("stage"), note=note)
    scope.take("p_lSf", scope["p_lf"].largest("stage"), note=note)
    scope(tr.evenly_spread_pressure)


def _spread_elastically(scope: Scope) -> None:
    """All strips in the half-space, below the middle of the length of those that have one."""
    scope(tr.distance_from_left_edge)
    scope(tr.distance_from_right_edge)
    if "l_ld" in scope:
        scope(tr.strip_influence, I_ld="I_l0")
        scope(tr.distance_from_corner)
        scope(tr.distance_from_corner, R_le="R_ri", u_le="u_ri")
        scope(tr.rectangle_influence)
        scope(tr.influence_by_length)
    else:
        scope(tr.strip_influence)
    for step in (tr.elastic_pressure, tr.elastic_pressure_of_strips, tr.pressure_at_heads):
        scope(step)


def _give_strips(scope: Scope, section: Section) -> None:
    laid, traffic = laid_strips(section), section.traffic
    assert traffic is not None  # noqa: S101 - it has strips
    assert traffic.spread is not None  # noqa: S101 - strips have it
    scope.sheet.axis("strip", [strip.name for strip, _ in laid])
    for name, field in OF_A_STRIP:
        origins = [
            origin_of(section, f"traffic.strip.{places[0]}.{field}") if len(places) == 1
            else Origin("project rule", text=say("adjoin"))
            for _, places in laid
        ]  # fmt: skip
        scope.given(name, [getattr(strip, field) for strip, _ in laid], ["strip"], origin=origins, origin_axis="strip")
    for name, field in (("l_ld", "length"), ("l_lp", "plane_length")):
        lengths = [getattr(strip, field) or 0.0 for strip, _ in laid]
        origins = [
            origin_of(section, f"traffic.strip.{places[0]}.{field}") if length
            else Origin("project rule", text=say("without-end"))
            for length, (_, places) in zip(lengths, laid, strict=True)
        ]  # fmt: skip
        if any(lengths):
            scope.given(name, lengths, ["strip"], origin=origins, origin_axis="strip")
    if "l_ld" in scope:
        scope.sheet.limitation("traffic-lengths", say("limitation-traffic-lengths"), "project rule ◇")
    given_of_section(scope, "q_0", section, "traffic.q", traffic.q)
    given_of_section(scope, "n_ld", section, "traffic.spread.slope", traffic.spread.slope)


def _shared_out(scope: Scope, section: Section) -> None:
    """State of each strip whose load is shared out what is left of it in plane mechanisms, and who decided that."""
    given = section.traffic.strip if section.traffic else ()
    parts = []
    for k, (strip, places) in enumerate(laid_strips(section)):
        if strip.plane_length is not None:
            own, left = (number_text(float(scope[name].array[k]), 1) for name in ("p_ld", "p_lp"))
            sources = "; ".join(dict.fromkeys(given[place].plane_length_source or "" for place in places))
            parts.append(say("shared-out", name=strip.name, length=number_text(strip.length or 0.0, 2), own=own,
                             over=number_text(strip.plane_length, 2), left=left, source=sources))  # fmt: skip
    scope.sheet.limitation("traffic-plane-length", say("limitation-plane-length", strips=" ".join(parts)),
                           "project file",
                           turns=RestsOn(lambda step: step.symbol == "p_lp", scope.sheet.axes["stage"]))  # fmt: skip


def _dynamic(scope: Scope, section: Section) -> None:
    """The dynamic factor that the owner asks for, fading with depth; 1 without."""
    dynamic = section.traffic.dynamic if section.traffic else None
    if dynamic is None:
        scope.given("Phi_0", 1.0, origin=Origin("project rule", text=say("no-dynamic")))
        scope.take("Phi_z", scope["Phi_0"])
        return
    given_of_section(scope, "Phi_0", section, "traffic.dynamic.factor", dynamic.factor)
    given_of_section(scope, "d_Phi", section, "traffic.dynamic.depth", dynamic.depth)
    scope(tr.dynamic_factor_at_heads)


def _most_loaded_places(scope: Scope, crest: float) -> NDArray[np.float64]:
    """Where the larger of both methods is largest by stage, nearest to the axis of several; NaN without load."""
    x, b, p = (scope[name].array for name in ("x_ld", "b_ld", "p_ld"))
    depths, widths = scope["z_ld"].array, scope["b_lz"].array
    factors = np.broadcast_to(scope["Phi_z"].array, depths.shape)
    length, run = (scope[name].array for name in ("l_ld", "n_ld")) if "l_ld" in scope else (None, 0.0)
    numbers = np.full(len(depths), np.nan)
    for k, (z, width, factor) in enumerate(zip(depths, widths, factors, strict=True)):
        if np.isnan(z).any():
            continue
        at = _places(x, width, crest)
        u_le, u_ri = (at - x + side * b / 2 for side in (1, -1))
        even = tr.spread_pressure(x_pk=at, x_ld=x, b_lz=width, Phi_z=factor, p_ld=p, b_ld=b)
        influence = tr.strip_influence(u_le=u_le, u_ri=u_ri, z_ld=z)
        if length is None:
            even = even.max(axis=1)
        else:
            spread = tr.spread_length(l_ld=length, n_ld=run, z_ld=z)
            parts = tr.pressure_without_end(length, even), tr.pressure_of_length(length, spread, even)
            even = parts[0].max(axis=1) + parts[1].max(axis=1)
            corners = [tr.distance_from_corner(u, length, z) for u in (u_le, u_ri)]
            influence = np.where(length > 0, tr.rectangle_influence(u_le, u_ri, length, z, *corners), influence)
        pressure = np.maximum(even, (factor * p * influence).sum(axis=1))
        largest = at[pressure >= pressure.max() * (1 - 1e-9), 0]
        numbers[k] = largest[np.argmin(np.abs(largest))]
    return numbers


def _places(x: NDArray[np.float64], width: NDArray[np.float64], crest: float) -> NDArray[np.float64]:
    """Places across the crest, as a column: a grid, the axes, and the middles between edges of spread strips.

    None lies on an edge, where the spread pressure jumps.
    """
    edges = np.unique(np.concatenate([x - width / 2, x + width / 2]))
    middles = (edges[1:] + edges[:-1]) / 2
    grid = np.linspace(-crest / 2, crest / 2, int(np.ceil(crest / STEP)) + 1)
    at = np.concatenate([grid, x, middles])
    return at[(np.abs(at[:, None] - edges) > SAME).all(axis=1), None]

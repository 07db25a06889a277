"""Strips of rail and road load: what is left of them at the column heads, by two methods, at the most loaded place."""

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.strips import STRIPS, laid_strips
from calc.engine.levels import SAME
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import traffic as tr
from calc.inputs import Section

say = words_of(__name__)

OF_A_STRIP = (
    ("F_ld", "line_load"), ("alpha_ld", "class_factor"), ("b_ld", "width"), ("x_ld", "position"), ("d_ld", "depth"),
)  # fmt: skip
NO_TRAFFIC = say("no-traffic")
STEP = 0.1  # m between the places that are tried
ELASTIC = (
    tr.distance_from_left_edge, tr.distance_from_right_edge, tr.strip_influence,
    tr.elastic_pressure, tr.elastic_pressure_of_strips, tr.pressure_at_heads,
)  # fmt: skip


def strips(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Pressure of the strips at the column heads in every stage with traffic, and with the uniform part the load q."""
    scope = sheet.scope(STRIPS, say("scope-strips-title"))
    _give_strips(scope, section)
    scope(tr.strip_pressure)
    acts = np.array([False, *(stage.traffic for stage in section.stages)])
    scope.take("H", sheet["H"].without(~acts, NO_TRAFFIC))
    scope.take("t_up", done["columns"]["t_up"])
    scope(tr.depth_of_heads)
    _dynamic(scope, section)
    scope(tr.spread_width)
    places = _most_loaded_places(scope, section.embankment.crest_width)
    inputs = [scope[name] for name in ("x_ld", "b_ld", "b_lz", "z_ld", "p_ld", "Phi_z")]
    scope.reading("x_pk", places, ["stage"], title=say("reading-x-pk-title"), inputs=inputs, mask=~acts,
                  reason=NO_TRAFFIC, note=say("reading-x-pk-note"))  # fmt: skip
    scope(tr.spread_pressure)
    scope.take("p_sS", scope["p_ls"].largest("stage"), note=say("take-p-ss-note"))
    for step in ELASTIC:
        scope(step)
    scope.otherwise("p_lh", scope["p_lm"], 0.0, title=say("counted-title"), note=say("counted-note"))
    sheet.take("q", scope(tr.traffic_at_heads), note=say("take-q-note"))
    sheet.limitation("traffic-strips", say("limitation-traffic-strips"), "project rule ◇")
    sheet.relies_on(say("cyclic-title"), say("cyclic-text"), say("cyclic-proof"))


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
    given_of_section(scope, "q_0", section, "traffic.q", traffic.q)
    given_of_section(scope, "n_ld", section, "traffic.spread.slope", traffic.spread.slope)


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
    numbers = np.full(len(depths), np.nan)
    for k, (z, width, factor) in enumerate(zip(depths, widths, factors, strict=True)):
        if np.isnan(z).any():
            continue
        at = _places(x, width, crest)
        u_le, u_ri = (at - x + side * b / 2 for side in (1, -1))
        even = tr.spread_pressure(x_pk=at, x_ld=x, b_lz=width, Phi_z=factor, p_ld=p, b_ld=b).max(axis=1)
        elastic = (factor * p * tr.strip_influence(u_le=u_le, u_ri=u_ri, z_ld=z)).sum(axis=1)
        pressure = np.maximum(even, elastic)
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

"""Load transfer above the column heads: full arching by several models, membrane, compatible settlement, surface.

Later chapters take from the sheet itself, over (factor set, stage, load, stiffness): ``T_mqD`` and ``T_mlD``, the
tension across and along from vertical load that the design uses, ``T_mqF`` and ``T_mlF``, the same at full arching
without support of the ground. Directions without reinforcement have none. The axis of factor sets ends with
serviceability, the axis of stiffness has short-term and long-term of the reinforcement.
"""

import numpy as np

from calc.chapters.load_transfer.arching import evaluate_models, full_arching
from calc.chapters.load_transfer.arching_cell import EDGES, cell, factor_sets, loads, moduli
from calc.chapters.load_transfer.compatibility import compatibility, design_tension
from calc.chapters.load_transfer.limits import limits_of_use
from calc.chapters.load_transfer.membrane import (
    AT_EDGES,
    PLACING,
    free_membrane,
    largest_free_tension,
    strips,
    supported_membrane,
)
from calc.chapters.shared.frame import LONG, SERVICE, SHORT, chapter, frame, origin_of
from calc.chapters.shared.geometry import lower_height
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.mats import mat_labels, reinforced_directions
from calc.engine.levels import above
from calc.engine.sheet import Again, Scope, Sheet, Value, number_text
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.column_field import equivalent_height
from calc.formulas.load_transfer import (
    critical_height,
    farthest_distance_in_square_grid,
    farthest_distance_in_triangular_grid,
    full_arching_height,
    surface_difference,
)
from calc.formulas.quantities import head_cover, head_level
from calc.inputs import Design, Section

say = words_of(__name__)

FARTHEST = {"square": farthest_distance_in_square_grid, "triangular": farthest_distance_in_triangular_grid}
LEAD = {"load": "G+Q"}
LEAST_COVER = "least_cover"  # scope of the height at the lower edge of a crest that falls
HEAD_DISTANCE = {1: 0.15, 2: 0.30}  # m above the heads, by number of layers


def load_transfer(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Pressure between the heads, tension of the membrane and settlement difference for every stage and factor set."""
    sheet = chapter("load_transfer", design, section)
    sheet.axis("factor_set", factor_sets(design, section))
    sheet.axis("stiffness", (SHORT, LONG))
    if section.reinforcement:
        sheet.axis("mat", mat_labels(enumerate(section.reinforcement)))
    sheet.leads[""] = LEAD
    cell(sheet, done)
    loads(sheet, design, section, done)
    moduli(sheet, section, done)
    models = evaluate_models(sheet, section)
    full_arching(sheet, section, models)
    strips(sheet, section)
    if reinforced_directions(section):
        free_membrane(sheet, section)
        largest_free_tension(sheet, section)
        supported_membrane(sheet, section)
        scopes = compatibility(sheet, section)
        design_tension(sheet, section, scopes)
    else:
        scopes = []
        sheet.not_verified("membrane", say("open-membrane-title"), say("load-transfer-why"))
    _surface(sheet, design, section, done, scopes)
    limits_of_use(sheet, section)
    _lead_edge(sheet, section)
    _limits_of_place(sheet, section, done)
    return sheet


def _surface(
    sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet], scopes: list[Scope]
) -> None:  # fmt: skip
    """Critical height of the fill, and what of the settlement difference reaches the surface."""
    scope = sheet.scope("surface", say("scope-surface-title"), factor_set=SERVICE)
    scope(FARTHEST[section.columns.pattern])
    scope(critical_height)
    scope(full_arching_height, H_crit="H_critB")
    final = frame(design, section).persistent
    height = _least_cover(sheet, section, done).at(stage=final)
    critical = max(float(scope[name].array) for name in ("H_crit", "H_critB"))
    least = float(height.array.min())
    if least >= critical:
        why = say("surface-why", least=number_text(least, 2), critical=number_text(critical, 2))
        sheet.settled("critical_height", say("settled-critical-height-title"), why)
    else:
        sheet.limitation(
            "critical-height",
            say("limitation-critical-height", least=number_text(least, 3), critical=number_text(critical, 3)),
            "McGuire (2011); Filz et al. (2012); BS 8006-1:2010 ◦",
        )
    _difference(section, scope, scopes, height)


def _least_cover(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> Value:
    """Height of fill over the heads; at the lower edge of a crest that falls, without compensation fill."""
    if not section.embankment.lower:
        return sheet["H_A"]
    scope = sheet.scope(LEAST_COVER, say("scope-least-cover-title"))
    scope.take("H", lower_height(done["columns"]))
    return scope(equivalent_height, H_q="H_A")


def _difference(section: Section, scope: Scope, scopes: list[Scope], height: Value) -> None:
    """Settlement difference at the surface under quasi-permanent load against the limit asked for."""
    at = {"factor_set": SERVICE, "load": "G+Q", "stiffness": LONG, "stage": height.labels("stage")}
    differences = [transfer["Ds_h"].at(**at) for transfer in scopes]
    values = [value for both in differences for value in _by_edge(both)]
    missing, effect = "", None
    if not values:
        missing = say("difference-why")
    elif not values[0].valid.any():
        missing = say("difference-why-2")
    else:
        again = Again(with_largest, tuple(values)) if len(values) > 1 else None
        scope.take("Ds_hD", max(values, key=lambda value: float(np.nanmax(value.array))), again=again)
        scope.take("H_A", height)
        effect = scope(surface_difference, Ds_h="Ds_hD", H="H_A")
    chosen = section.load_transfer
    optional_limit(scope, section, ("surface_difference", say("difference")), effect,
                   chosen.surface_difference if chosen is not None else None, symbol="Ds_toplim",
                   path="load_transfer.surface_difference", missing=missing)  # fmt: skip


def with_largest(*values: Value) -> Value:
    """That of some values over the same axes, the first of them, which has the largest number of all."""
    axes = union_axes(values)
    shape = tuple(len(axis.labels) for axis in axes)
    rows = np.stack([np.broadcast_to(spread(value.array, value.axes, axes), shape) for value in values])
    own = tuple(1 + k for k, axis in enumerate(axes) if axis.name != "sample")
    place = np.argmax(np.where(np.isnan(rows), -np.inf, rows).max(axis=own, keepdims=True), axis=0)[None]
    largest = np.take_along_axis(rows, place, axis=0)[0]
    return Value(values[0].symbol, largest, axes, mask=np.isnan(largest), reason=values[0].reason)


def _by_edge(value: Value) -> list[Value]:
    """A value at each crest edge where the edges differ in height, else the value."""
    return [value.at(position=edge) for edge in EDGES] if "position" in value.axis_names else [value]


def _lead_edge(sheet: Sheet, section: Section) -> None:
    """Print the chapter at the crest edge with the larger tension."""
    edge_scope = sheet.scopes.get(AT_EDGES)
    if edge_scope is None:
        return
    tag = reinforced_directions(section)[0][1]
    both = edge_scope.values.get(f"T_m{tag}D", edge_scope[f"T_m{tag}F"])
    largest = [value.array.max(where=value.valid, initial=0.0) for value in _by_edge(both)]
    lead = {"position": EDGES[int(np.argmax(largest))]}
    for name in ("", *sheet.scopes):
        sheet.leads[name] = {**sheet.leads.get(name, {}), **lead}


def _limits_of_place(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Reinforcement lies at or little above the heads, in both directions."""
    directions = reinforced_directions(section)
    if len(directions) == 1:
        sheet.limitation("one-direction", say("limitation-one-direction", found=directions[0][0]), "project rule ◇")
    if section.reinforcement:
        _above_heads(sheet, section, done)
    if section.platform is not None:
        sheet.limitation("platform-friction", say("limitation-platform-friction"), "project rule ◇")


def _above_heads(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Compare the heights of the layers over the column heads with what arching allows."""
    layers = section.reinforcement
    scope = sheet.scope(PLACING, say("scope-placing-title"))
    scope.take("z_g", done["ground"]["z_g"])
    scope.take("t_up", done["columns"]["t_up"])
    scope(head_level)
    sheet.axis("mat", mat_labels(enumerate(layers)))
    origins = [origin_of(section, f"reinforcement.{k}.level") for k in range(len(layers))]
    scope.given("z_rk", [layer.level for layer in layers], ["mat"], origin=origins, origin_axis="mat")
    height = scope(head_cover, t_cov="h_rh", z_R="z_rk").array
    highest, allowed = float(height.max()), HEAD_DISTANCE[min(len(layers), 2)]
    if above(highest, allowed):
        sheet.limitation(
            "above-heads",
            say(
                "limitation-above-heads",
                levels=number_text(highest, 2),
                allowed=allowed,
                words=say("one-layer") if len(layers) == 1 else say("two-layers"),
            ),
            "EBGEO (2010), ch. 9 ◦",
        )
    if above(0.0, float(height.min())):
        sheet.not_verified("reinforcement_level", say("open-reinforcement-level-title"), say("placing-why"))

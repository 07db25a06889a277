"""Reinforcement as a membrane between the heads: free under full arching for each shape of load, and on the ground."""

from collections.abc import Mapping, Sequence

import numpy as np

from calc.chapters.load_transfer.arching_cell import EDGES, NO_SETTLEMENT
from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.mats import DIRECTIONS, layers_in, mat_labels, reinforced_directions
from calc.engine.sheet import Again, Origin, Procedure, Scope, Sheet, Value
from calc.engine.sheet.values import Array, Axis, Mask, largest_with_first, or_else, spread, union_axes
from calc.engine.words import words_of
from calc.formulas import membrane as mb
from calc.formulas.arching_shells import strip_width
from calc.formulas.load_transfer import stiffness_of_direction, strip_load
from calc.formulas.mat import limited_pressure, strip_load_in_one_direction
from calc.inputs import Section
from calc.procedures.membrane import METHOD, TOLERANCE, solve_supported

say = words_of(__name__)

NO_FILL = say("no-fill")
LAYERS, PLACING = "layers_", "placing"  # scopes of the layers by direction, and of their height over the heads
AT_EDGES = "edges"  # scope of the tension at both edges of a crest that falls
GAP_ALLOWED = 1e-6  # kN, kN/m²
SHAPE_RULE = Origin("project rule", text=say("rule"))


def shapes_used(section: Section) -> list[mb.LoadShape]:
    """The shape of load asked for, else all of them."""
    chosen = section.load_transfer.load_shape if section.load_transfer is not None else None
    return [shape for key, shape in mb.SHAPES.items() if chosen in (None, key)]


def strips(sheet: Sheet, section: Section) -> None:
    """Pressure at full arching, load and width of a strip, stiffness of the layers of each direction."""
    sheet(limited_pressure)
    held, mean = sheet["sigma_sL"], sheet["sigma_E"]
    again = Again(pressure_beside_heads, (held, mean))
    made = again.value()
    sheet.reading("sigma_sA", made.array, made.axis_names, inputs=[held, mean], mask=made.mask,
                  reason=NO_FILL, title=say("reading-sigma-sa-title"), again=again)  # fmt: skip
    directions = reinforced_directions(section)
    if not directions:
        return
    sheet(strip_load if len(directions) == len(DIRECTIONS) else strip_load_in_one_direction)
    sheet(strip_width)
    for words, tag in DIRECTIONS:
        _stiffness(sheet, section, words, f"J_{tag}")


def pressure_beside_heads(held: Value, mean: Value) -> Value:
    """The pressure at full arching, the mean one where the fill is too low for it; none without fill."""
    return or_else(held, mean).without(lambda stress: stress <= 0, NO_FILL)


def _stiffness(sheet: Sheet, section: Section, direction: str, name: str) -> None:
    """Short-term and long-term stiffness of all layers of a direction."""
    layers = layers_in(section, direction)
    title = say("strips-title", words=direction, names=" + ".join(layer.name for _, layer in layers) or say("no-layer"))
    if not layers:
        rule = Origin("project rule", text=say("rule-2"))
        sheet.reading(name, [0.0, 0.0], ["stiffness"], title=title, origins=[rule])
        return
    scope = sheet.scope(f"{LAYERS}{direction}", title)
    sheet.axis("mat", mat_labels(layers))
    origins = [
        origin_of(section, f"reinforcement.{k}.stiffness.{end}.J")
        for k, layer in layers for end in dict.fromkeys((0, len(layer.stiffness) - 1))
    ]  # fmt: skip
    values = [[layer.stiffness[end].J for _, layer in layers] for end in (0, -1)]
    scope.reading("J_lay", values, ["stiffness", "mat"], title=say("reading-j-lay-title"), origins=origins)
    sheet.take(name, scope(stiffness_of_direction, J_q=name))


def free_membrane(sheet: Sheet, section: Section) -> None:
    """Full arching without support of the ground, for each shape of the load."""
    for shape in mb.SHAPES.values():
        scope = sheet.scope(f"free_{shape.key}", say("scope-free-title", shape_title=shape.title), load="G+Q")
        scope.given("c_eps", shape.c_eps, origin=SHAPE_RULE)
        scope.given("c_f", shape.c_f, origin=SHAPE_RULE)
        scope(mb.edge_force)
        for _, tag in reinforced_directions(section):
            strain, force = f"eps_m{tag}", f"H_m{tag}"
            scope(mb.membrane_strain, eps_m=strain, J_r=f"J_{tag}")
            scope(mb.horizontal_force, H_m=force, J_r=f"J_{tag}", eps_m=strain)
            scope(mb.membrane_sag, f_m=f"f_m{tag}", H_m=force)
            scope(mb.edge_tension, T_m=f"T_m{tag}", H_m=force)


def largest_free_tension(sheet: Sheet, section: Section) -> None:
    """Tension at full arching for the shape asked for, else the largest."""
    shapes = shapes_used(section)
    shape_words = shapes[0].title if len(shapes) == 1 else say("shape-words")
    for words, tag in reinforced_directions(section):
        values = [sheet.scopes[f"free_{shape.key}"][f"T_m{tag}"] for shape in shapes]
        title = say("largest-free-tension-title", words=words, shape_words=shape_words)
        scope = edge_scope(sheet)
        scope.largest(f"T_m{tag}F", values, title=title, mask=~values[0].valid, reason=NO_FILL,
                      by=largest_with_first)  # fmt: skip
        larger_edge(sheet, f"T_m{tag}F", title)


def edge_scope(sheet: Sheet) -> Scope:
    """Where tension is recorded: a scope with both crest edges where they differ in height, else the chapter."""
    if sheet.axes["position"] != EDGES:
        return sheet
    return sheet.scopes.get(AT_EDGES) or sheet.scope(AT_EDGES, say("scope-edges-title"))


def larger_edge(sheet: Sheet, name: str, title: str) -> None:
    """Take over the tension at the crest edge where it is larger."""
    if sheet.axes["position"] != EDGES:
        return
    both = sheet.scopes[AT_EDGES][name]
    ends = [both.at(position=edge) for edge in EDGES]
    sheet.largest(name, ends, title=say("larger-edge-title", title=title), reason=both.reason,
                  mask=~(ends[0].valid | ends[1].valid))  # fmt: skip


def supported_membrane(sheet: Sheet, section: Section) -> None:
    """Full arching with the strip resting on the ground, for the shapes of load that the design uses."""
    for shape in shapes_used(section):
        for words, tag in reinforced_directions(section):
            scope = sheet.scope(
                f"supported_{shape.key}_{words}",
                say("scope-supported-title", words=words, shape_title=shape.title),
                load="G+Q",
            )
            _supported_force(scope, shape, f"J_{tag}")


def _supported_force(scope: Scope, shape: mb.LoadShape, stiffness: str) -> None:
    names = ("F_m", "L_m", "b_m", stiffness, "k_s")
    axes, lanes, mask = lanes_of(names, [scope[name] for name in names], {"F_m": 0.0, "k_s": 1.0})
    solution = solve_supported(
        shape.key, F_m=lanes["F_m"], L_m=lanes["L_m"], b_m=lanes["b_m"], J_r=lanes[stiffness], k_s=lanes["k_s"]
    )
    procedure = Procedure("{H_m} − {" + stiffness + "} · {b_m} · {eps_m} = 0", METHOD, f"{TOLERANCE:.0e} of H",
                          solution.iterations, solution.unknown.size, "DH_m")  # fmt: skip
    scope.solved("H_m", solution.unknown, [axis.name for axis in axes], title=say("solved-h-m-title"),
                 source=mb.SUPPORTED, inputs=names,
                 procedure=procedure, mask=mask, reason=NO_SETTLEMENT)  # fmt: skip
    scope(mb.support_length_ratio)
    scope(mb.half_span_tangent)
    if shape.key != "uniform":
        scope(mb.quarter_span_tangent)
    factor = {
        "uniform": mb.uniform_strain_factor, "triangular": mb.triangular_strain_factor,
        "inverse": mb.inverse_strain_factor,
    }  # fmt: skip
    edge = {
        "uniform": mb.uniform_edge_force, "triangular": mb.triangular_edge_force, "inverse": mb.inverse_edge_force,
    }  # fmt: skip
    scope(factor[shape.key])
    scope(mb.supported_strain)
    scope(mb.force_gap, J_r=stiffness)
    scope.confirm("H_m", tolerance=GAP_ALLOWED)
    scope(edge[shape.key])
    scope(mb.edge_tension)


def lanes_of(
    names: Sequence[str], values: Sequence[Value], instead: Mapping[str, float]
) -> tuple[tuple[Axis, ...], dict[str, Array], Mask]:
    """Arrays of some values by symbols over their joint axes; lanes that lack a number get stand-ins and are masked."""
    axes: tuple[Axis, ...] = union_axes(values)
    shape = tuple(len(axis.labels) for axis in axes)
    arrays = {
        name: np.array(np.broadcast_to(spread(value.array, value.axes, axes), shape))
        for name, value in zip(names, values, strict=True)
    }
    valid = [np.broadcast_to(spread(value.valid, value.axes, axes), shape) for value in values]
    mask = ~np.logical_and.reduce(valid)
    for name, number in instead.items():
        arrays[name][mask] = number
    return axes, arrays, mask

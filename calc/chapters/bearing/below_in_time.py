"""What the ground below the toes has settled by hand-over: vertical flow in all layers that do not drain."""

from dataclasses import dataclass

import numpy as np

from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.programme import DATES, PROGRAMME
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import below_toe as bt
from calc.formulas.staged import TERZAGHI
from calc.inputs import Section
from calc.inputs.tables.ground import LayerBelow
from calc.procedures.consolidation_response import vertical_degree

say = words_of(__name__)

TITLES = {"H_db": say("reading-h-db-title"), "c_vb": say("reading-c-vb-title")}
SPREADS = (("below_spread", "s_bS", "s_bhS"), ("below_half_space", "s_bH", "s_bhH"))


@dataclass(frozen=True)
class Undrained:
    """Neighbouring layers between planes where water leaves: drainage path in m, least c_v in m²/day."""

    path: float
    c_v: float


def settled_in_time(scope: Scope, section: Section, last: str, done: dict[str, Sheet]) -> None:
    """What is left at hand-over of both spreads of the load; ``last`` is the step that places the load counted."""
    thickness = scope.sheet.scopes["below"]["h_b"]
    slow = next(layer.key for layer in section.layers_below if not layer.drains)
    label = next(label for label in thickness.labels("below") if label.startswith(f"{slow} "))
    time = scope.sheet.scope("below_time", say("scope-time-title"), below=label)
    time.take("t_ho", done["consolidation"].scopes[DATES]["t_ho"])
    time.take("t_en", done["basis"].scopes[PROGRAMME]["t_es"].at(stage=last))
    time(bt.age_at_hand_over)
    _flow(time, section, thickness)
    time(bt.time_factor_below_toe)
    factor = time["T_vb"]
    degree = np.where(factor.valid, vertical_degree(np.where(factor.valid, factor.array, 0.0)), 1.0)
    time.reading("U_db", degree, factor.axis_names, title=say("reading-u-db-title"), source=TERZAGHI, inputs=[factor],
                 note=say("reading-u-db-note"))  # fmt: skip
    for name, whole, settled in SPREADS:
        made = scope.sheet.scopes[name]
        time(bt.settled_below_at_hand_over, s_bho=settled, s_bi=made["s_bi"], p_bh=scope["p_bh"], p_fin=scope["p_fin"])
        time.take(whole, made[whole])
    time(bt.residual_below_in_time)
    scope.take("s_bre", time["s_bre"].largest())
    scope.sheet.limitation("below-in-time", say("limitation-below-in-time"), "project rule")


def undrained_layers(layers: tuple[LayerBelow, ...]) -> list[Undrained | None]:
    """The neighbours without drainage that each layer lies among; None where it drains."""
    undrained: list[Undrained | None] = []
    while len(undrained) < len(layers):
        first = len(undrained)
        end = next((k for k in range(first, len(layers)) if layers[k].drains), len(layers))
        layers_between = layers[first:end]
        faces = 2 if end < len(layers) else 1
        path = sum(layer.thickness for layer in layers_between) / faces
        undrained += (
            [Undrained(path, min(layer.c_v or 0.0 for layer in layers_between))] * len(layers_between)
            if layers_between
            else []
        )
        undrained += [None] if end < len(layers) else []
    return undrained


def _flow(time: Scope, section: Section, thickness: Value) -> None:
    """Drainage path and coefficient of every sublayer; none in ground that drains."""
    layers = section.layers_below
    of_layer = dict(zip((layer.key for layer in layers), undrained_layers(layers), strict=True))
    layers_between = [of_layer[label.partition(" ")[0]] for label in thickness.labels("below")]
    drains = np.array([layer is None for layer in layers_between])
    for name, values, fields in (
        ("H_db", [layer.path if layer else 0.0 for layer in layers_between], ("thickness", "drains")),
        ("c_vb", [layer.c_v if layer else 0.0 for layer in layers_between], ("c_v",)),
    ):  # fmt: skip
        origins = [origin_of(section, f"layer_below.{layer.key}.{field}") for layer in layers for field in fields
                   if getattr(layer, field) is not None]  # fmt: skip
        time.reading(name, values, ["below"], title=TITLES[name], origins=origins, mask=drains, reason=say("drains"),
                     note=say("reading-flow-note"))  # fmt: skip

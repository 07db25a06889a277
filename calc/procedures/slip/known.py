"""Factors of surfaces that are known already, in another cross-section than the one that they were found in.

Cross-sections with the same lines, as those of samples are, are cut into strips and slices once.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np

from calc.procedures.slip import mirror, refusal
from calc.procedures.slip.analysis import ground_of, interface_of, refuse_request, wish_of
from calc.procedures.slip.evaluate import CutCircles, cut_circles, factors_of_cut, factors_of_lines
from calc.procedures.slip.model import (
    Circle,
    Columns,
    Direction,
    Form,
    Layer,
    Method,
    Model,
    Search,
    Soil,
    Surface,
)
from calc.procedures.slip.shaken import accelerated_model
from calc.procedures.slip.solve import TOLERANCE
from calc.procedures.slip.vertical_strips import Floats, Ground, of_other_numbers, soils_of
from calc.procedures.slip.wish import Wish

LINES = 64  # cross-sections whose strips and cut circles are kept
Circles = tuple[Circle, ...]


def factors_of_known(
    model: Model,
    surfaces: Sequence[Circle | Surface],
    method: Method,
    search: Search | None = None,
    *,
    direction: Direction = "right",
    form: Form = "A",
    slices: int = 50,
    tolerance: float = TOLERANCE,
) -> Floats:
    """The factor of each surface, NaN where it is not admissible in this cross-section.

    ``search`` has what it asks of its circles. The same as `analyse` gives for one surface after the other.
    """
    refuse_request(method, direction, form, slices)
    refusal.refuse_numbers(model)
    lines = _lines_alone(model)
    strips = ground_of(lines, direction)
    model = accelerated_model(model)
    wish = Wish(method, form, slices, tolerance=tolerance)
    if direction == "left":
        model, surfaces = mirror.mirrored_model(model), [mirror.mirrored_question(surface) for surface in surfaces]  # type: ignore[misc]  # keeps its kind
        search = search and mirror.mirrored_search(search)
    ground = of_other_numbers(strips, model)
    factors = np.full(len(surfaces), np.nan)
    places = [k for k, surface in enumerate(surfaces) if isinstance(surface, Circle)]
    if places:
        circles = tuple(surface for surface in surfaces if isinstance(surface, Circle))
        wish_of_circles = wish_of(search, wish) if search else wish
        cut = _cut(strips, circles, wish_of_circles)
        factors[places] = factors_of_cut(ground, _places(circles), cut, wish_of_circles).factor
    alike: dict[tuple[int, Surface], list[int]] = {}
    for k, surface in enumerate(surfaces):
        if isinstance(surface, Surface):
            alike.setdefault((len(surface.points), replace(surface, points=())), []).append(k)
    for (_, strength), places in alike.items():
        corners = np.array([surfaces[k].points for k in places])  # type: ignore[union-attr]  # of lines alone
        px, py = corners[..., 0].T.copy(), corners[..., 1].T.copy()
        factors[places] = factors_of_lines(ground, px, py, wish, interface_of(strength)).factor
    return factors


def _places(circles: Circles) -> tuple[Floats, Floats, Floats]:
    x, y, r = np.array([(circle.x, circle.y, circle.r) for circle in circles]).T.copy()
    return x, y, r


@lru_cache(maxsize=LINES)
def _cut(strips: Ground, circles: Circles, wish: Wish) -> CutCircles:
    return cut_circles(strips, _places(circles), wish)


def _lines_alone(model: Model) -> Model:
    """The model with numbers that stand for all others: what is left are its lines, and which soil lies where."""
    numbered = {soil: _numbered(soil, k) for k, soil in enumerate(soils_of(model))}
    return replace(
        model,
        layers=tuple(Layer(numbered[layer.soil], layer.top, layer.piezometric) for layer in model.layers),
        lenses=tuple(replace(lens, soil=numbered[lens.soil]) for lens in model.lenses),
        strips=tuple(replace(strip, q=1.0) for strip in model.strips),
        columns=model.columns and _field_alone(model.columns),
        k_h=0.0, k_v=0.0, reinforcement=(),
    )  # fmt: skip


def _numbered(soil: Soil, number: int) -> Soil:
    """A soil that differs from the others by its number alone, and by the line that its strength grows from."""
    c_u = None if soil.c_u is None else 1.0
    level = None if soil.c_u_level is None else 0.0
    return Soil(str(number), 20.0, 20.0, c=1.0, c_u=c_u, c_u_level=level, c_u_line=soil.c_u_line)


def _field_alone(field: Columns) -> Columns:
    bending = field.bending and replace(field.bending, diameter=1.0, held=0.0, factor=1.0, share=1.0)
    return replace(
        field, a_E=0.5, mu_s=1.0, mu_c=1.0, gamma=20.0, gamma_sat=20.0, phi=0.5, reduction=1.0, c_eq=0.0,
        bending=bending, zones=tuple(replace(zone, a_E=0.5, mu_s=1.0, mu_c=1.0) for zone in field.zones),
    )  # fmt: skip

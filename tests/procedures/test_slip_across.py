"""Layers that slope: strength from a sloping top, blocks on inclined planes, toes of columns that follow a line."""

from dataclasses import replace
from itertools import pairwise
from math import cos, hypot, radians, sin
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import Bending, Circle, Layer, Model, SlipError, Soil, Surface, analyse, columns_cut
from calc.procedures.slip.model import Line
from tests.procedures.slip_cases import r1, with_columns

approx = pytest.approx
LEFT, RIGHT = -60.0, 60.0
FILL = Soil("fill", 20.0, 20.0, c_u=30.0)
GROUND = ((LEFT, 4.0), (0.0, 4.0), (8.0, 0.0), (RIGHT, 0.0))


def test_strength_grows_from_a_sloping_top_in_an_infinite_slope() -> None:
    """c_u / (γ z sin β cos β), c_u = c_u0 + ρ z below the face, infinite slope (statics); the ends resist a little."""
    face = ((-200.0, 50.0), (0.0, 50.0), (100.0, 0.0), (300.0, 0.0))
    clay = Soil("clay", 18.0, 18.0, c_u=10.0, c_u_growth=4.0, c_u_level=0.0, c_u_line=face)
    sheet = Surface(((0.0, 50.0), (1.5, 48.75), (99.0, 0.0), (100.0, 0.0)))
    beta, depth = radians(26.565051), 0.5
    infinite = (10.0 + 4.0 * depth) / (18.0 * depth * sin(beta) * cos(beta))

    found = analyse(Model(face, (Layer(clay),), -60.0), sheet, "spencer").factor

    assert infinite < found < 1.03 * infinite


def block_on(dip: float, growth: float = 1.0, turned_at: float = 4.0) -> tuple[Model, Surface]:
    """A bank on soft ground whose strength grows from the line of its top, and a block on a plane of this dip.

    The plane is 3 m deep where it is turned.
    """
    top = ((LEFT, 0.0), (RIGHT, 0.0))
    soft = Soil("soft", 15.0, 15.0, c_u=12.0, c_u_growth=growth, c_u_level=0.0, c_u_line=top)
    first, last = -4.0, 12.0
    deep = [-3.0 - dip * (x - turned_at) for x in (first, last)]
    points = ((first - (4.0 - deep[0]), 4.0), (first, deep[0]), (last, deep[1]), (last - deep[1], 0.0))
    return Model(GROUND, (Layer(FILL), Layer(soft, top)), -12.0), Surface(points)


def by_hand(line: Line) -> float:
    """f0 Σ c l / cos α over Σ W tan α, Janbu's simplified method for c_u alone: polygons over the pieces, no slices."""
    strength, driving = 0.0, 0.0
    for (x, y), (far, end) in pairwise(line):
        breaks = sorted({x, far, *(one for one in (0.0, 8.0) if x < one < far), *level_at_zero(x, y, far, end)})
        rise = (end - y) / (far - x)
        for a, b in pairwise(breaks):
            base = [y + rise * (one - x) for one in (a, b)]
            over = [float(np.interp(one, [LEFT, 0.0, 8.0, RIGHT], [4.0, 4.0, 0.0, 0.0])) for one in (a, b)]
            fill = sum(max(o - max(z, 0.0), 0.0) for o, z in zip(over, base, strict=True)) / 2 * (b - a) * 20.0
            soft = sum(max(-z, 0.0) for z in base) / 2 * (b - a) * 15.0
            mean = sum(base) / 2
            c = 30.0 if mean > 0 else 12.0 - mean
            strength += c * (b - a) * (1 + rise**2)
            driving += (fill + soft) * -rise
    chord = hypot(line[-1][0] - line[0][0], line[-1][1] - line[0][1])
    slope = (line[-1][1] - line[0][1]) / (line[-1][0] - line[0][0])
    depth = max((line[0][1] + slope * (x - line[0][0]) - y) * (line[-1][0] - line[0][0]) / chord for x, y in line)
    return (1 + 0.67 * (depth / chord - 1.4 * (depth / chord) ** 2)) * strength / driving


def level_at_zero(x: float, y: float, far: float, end: float) -> list[float]:
    return [x - y * (far - x) / (end - y)] if y * end < 0 else []


@pytest.mark.parametrize("dip", [-0.1, 0.0, 0.1])
def test_block_on_an_inclined_plane_is_that_by_hand(dip: float) -> None:
    """The sum over slices is exact for linear strength and weight: rounding alone."""
    model, surface = block_on(dip)

    assert analyse(model, surface, "janbu", slices=400).factor == approx(by_hand(surface.points), rel=2e-3)


@pytest.mark.parametrize("method", ["janbu", "spencer"])
def test_block_on_a_plane_that_dips_outward_is_less_safe(method: Any) -> None:
    """Uniform strength, planes as deep below the crest edge."""
    outward, level, inward = (analyse(*block_on(dip, 0.0, -4.0), method).factor for dip in (0.1, 0.0, -0.1))

    assert outward < level < inward


@pytest.mark.parametrize("dip", [-0.1, 0.1])
def test_block_on_a_sloping_plane_is_as_safe_as_on_a_level_one_of_its_mean_depth(dip: float) -> None:
    """With complete equilibrium: below level ground the weight is balanced by the pressures at both ends (statics).

    The load lies on one half of the plane, so that the halves do not weigh alike; hence the tolerance.
    """
    level = analyse(*block_on(0.0, 0.0), "spencer").factor

    assert analyse(*block_on(dip, 0.0), "spencer").factor == approx(level, rel=0.03)


def with_lines(model: Model, left: float, right: float) -> Model:
    """Columns that bend, whose toes lie at these levels beyond the slope and straight between, 0.5 m in firm ground."""

    def line(up: float) -> Line:
        return (LEFT, left + up), (-10.0, left + up), (10.0, right + up), (RIGHT, right + up)

    low = min(left, right)
    field = with_columns(model).columns
    assert field is not None
    bend = Bending(0.8, y_firm=low + 0.5, held=20.0, firm=line(0.5))
    return replace(model, columns=replace(field, y_toe=low, toes=line(0.0), bending=bend))


def level(model: Model, toe: float) -> Model:
    made = with_lines(model, toe, toe)
    assert made.columns is not None
    assert made.columns.bending is not None
    bend = replace(made.columns.bending, firm=None)
    return replace(made, columns=replace(made.columns, toes=None, bending=bend))


CIRCLE = Circle(5.0, 7.0, 13.0)


@pytest.mark.parametrize("method", ["bishop", "spencer"])
def test_level_lines_give_the_digits_of_levels(method: Any) -> None:
    clay = replace(r1().layers[1].soil, c_u_line=((LEFT, 0.0), (RIGHT, 0.0)))
    lined = replace(r1(), layers=(r1().layers[0], replace(r1().layers[1], soil=clay)))

    one = analyse(with_lines(lined, -9.0, -9.0), CIRCLE, method)

    assert one.factor == approx(analyse(level(r1(), -9.0), CIRCLE, method).factor, rel=1e-12)


def test_longer_columns_on_one_side_lie_between_short_and_long_ones() -> None:
    short, mixed, long = (analyse(one, CIRCLE, "bishop").factor for one in (
        level(r1(), -4.0), with_lines(r1(), -4.0, -6.0), level(r1(), -9.0)))  # fmt: skip

    assert short < mixed < long


def test_mirrored_lines_give_the_same_factor() -> None:
    right = with_lines(r1(), -4.0, -9.0)
    clay = replace(right.layers[1].soil, c_u_line=((LEFT, 0.5), (RIGHT, -0.5)))
    right = replace(right, layers=(right.layers[0], replace(right.layers[1], soil=clay)))

    def flipped(line: Any) -> Any:
        return tuple((-x, y) for x, y in reversed(line))

    field = right.columns
    assert field is not None
    assert field.bending is not None
    assert field.bending.firm is not None
    own = replace(field, x_left=-field.x_right, x_right=-field.x_left, toes=flipped(field.toes),
                  bending=replace(field.bending, firm=flipped(field.bending.firm)))  # fmt: skip
    left = replace(
        right, surface=flipped(right.surface), columns=own,
        layers=(right.layers[0], Layer(replace(clay, c_u_line=flipped(clay.c_u_line)), flipped(right.layers[1].top))),
        strips=tuple(replace(strip, x_left=-strip.x_right, x_right=-strip.x_left) for strip in right.strips),
    )  # fmt: skip
    mirrored = analyse(left, replace(CIRCLE, x=-5.0), "bishop", direction="left").factor

    assert mirrored == approx(analyse(right, CIRCLE, "bishop").factor, rel=1e-12)


def test_cut_columns_have_the_lengths_to_the_line_of_the_firm_layer() -> None:
    """Straight from −3.5 m at x = −10 to −8.5 m at x = 10."""
    model = with_lines(r1(), -4.0, -9.0)
    found = analyse(model, CIRCLE, "bishop")
    rows, cut = columns_cut(model, found)
    x, y = found.table.x[rows], found.table.y_base[rows]

    assert cut.below == approx(np.maximum(y - np.interp(x, [-10.0, 10.0], [-3.5, -8.5]), 0.0))


def test_lines_that_do_not_cover_the_model_are_refused() -> None:
    short = ((-10.0, -5.0), (10.0, -5.0))
    model = with_lines(r1(), -4.0, -9.0)
    field = model.columns
    assert field is not None
    assert field.bending is not None
    clay = replace(model.layers[1].soil, c_u_line=short)
    wrong = replace(
        model, layers=(model.layers[0], replace(model.layers[1], soil=clay)),
        columns=replace(field, toes=short, bending=replace(field.bending, firm=short)),
    )  # fmt: skip
    with pytest.raises(SlipError) as caught:
        analyse(wrong, CIRCLE, "bishop")

    must = "must cover the model from x = -60 to 60 (got -10 to 10)"
    names = ("layers[1].soil.c_u_line", "columns.toes", "columns.bending.firm")
    assert str(caught.value).splitlines() == [f"{name} {must}" for name in names]

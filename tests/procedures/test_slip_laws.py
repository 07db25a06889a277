"""Laws of slip analyses: symmetry, shift, units, water, reinforcement, slices, searches."""

from dataclasses import replace
from itertools import product
from math import radians
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import (
    Circle,
    Crack,
    Layer,
    Lens,
    Model,
    Result,
    Search,
    Soil,
    Strip,
    analyse,
)
from calc.procedures.slip.mirror import mirrored_model, mirrored_question
from calc.procedures.slip.model import Line, Method
from tests.procedures.slip_cases import R1_CIRCLE, fredlund_krahn, r1, wet, with_columns, with_tension

approx = pytest.approx
METHODS: tuple[Method, ...] = ("ordinary", "bishop", "janbu", "spencer", "morgenstern-price")
CIRCLE = Circle(6.0, 9.0, 13.0)


def everything() -> Model:
    """Water, open water, a lens, columns, a layer of reinforcement, traffic, earthquake and a hard layer."""
    model = with_columns(wet())
    assert model.columns
    assert model.water
    lens = Lens(Soil("sand", 18.0, 20.0, phi=radians(33)), ((2.0, -2.0), (9.0, -1.5), (8.0, -3.0), (3.0, -3.5)))
    return replace(
        with_tension(model, 40.0), columns=replace(model.columns, x_left=-20.0), lenses=(lens,), k_h=0.03,
        water=replace(model.water, table=((-40.0, 2.0), (0.0, 1.5), (10.0, 0.5), (40.0, 0.5)), open_level=0.5),
        strips=(Strip(-30.0, 0.0, 13.0),), hard=((-40.0, -3.7), (40.0, -3.2)), crack=Crack(0.5),
    )  # fmt: skip


@pytest.mark.parametrize("method", METHODS)
def test_mirror_image_has_the_same_factor(method: Any) -> None:
    model = everything()
    right = analyse(model, CIRCLE, method)
    left = analyse(mirrored_model(model), Circle(-6.0, 9.0, 13.0), method, direction="left")

    assert left.factor == approx(right.factor, rel=1e-12)
    assert left.table.x == approx(-right.table.x, rel=1e-12)
    assert left.points == tuple((-x, y) for x, y in reversed(right.points))
    assert left.centre == (-right.centre[0], right.centre[1])
    assert left.forces[0].x == approx(-right.forces[0].x)


def test_mirrored_search_finds_the_mirrored_circle() -> None:
    search = Search(centre_x=(2.0, 12.0), entry=(-12.0, 0.0), exit=(5.0, 30.0), counts=(7, 7, 7))
    right = analyse(wet(), search)
    asked = mirrored_question(search)
    left = analyse(mirrored_model(wet()), asked, direction="left")

    assert left.factor == approx(right.factor, rel=1e-9)
    assert isinstance(left.surface, Circle)
    assert isinstance(right.surface, Circle)
    assert left.surface.x == approx(-right.surface.x, rel=1e-9)
    assert left.contours is not None
    assert right.contours is not None
    assert left.contours.factor == approx(right.contours.factor[:, ::-1], nan_ok=True)
    assert left.contours.x == approx(-right.contours.x[::-1])


def moved(model: Model, dx: float, dy: float, scale: float = 1.0, force: float = 1.0) -> Model:
    """The model shifted, or drawn in another unit of length, with forces in another unit."""

    def line(points: Line) -> Line:
        return tuple((scale * x + dx, scale * y + dy) for x, y in points)

    weight, stress = force / scale, force
    every = [*(layer.soil for layer in model.layers), *(lense.soil for lense in model.lenses)]
    soils = {
        one.name: replace(one, gamma=one.gamma * weight, gamma_sat=one.gamma_sat * weight, c=one.c * stress)
        for one in every
    }
    assert model.water
    assert model.columns
    assert model.crack
    assert model.hard
    assert model.water.open_level is not None
    field, water = model.columns, model.water
    return replace(
        model,
        surface=line(model.surface),
        layers=tuple(Layer(soils[layer.soil.name], layer.top and line(layer.top)) for layer in model.layers),
        lenses=tuple(Lens(soils[lense.soil.name], line(lense.polygon)) for lense in model.lenses),
        bottom=scale * model.bottom + dy,
        water=replace(water, table=line(water.table), open_level=scale * model.water.open_level + dy,
                      gamma_w=water.gamma_w * weight),
        strips=tuple(
            Strip(scale * strip.x_left + dx, scale * strip.x_right + dx, strip.q * stress) for strip in model.strips
        ),
        crack=Crack(model.crack.depth * scale),
        hard=line(model.hard),
        columns=replace(field, x_left=scale * field.x_left + dx, x_right=scale * field.x_right + dx,
                        y_top=scale * field.y_top + dy, y_toe=scale * field.y_toe + dy,
                        gamma=field.gamma * weight, gamma_sat=field.gamma_sat * weight),
        reinforcement=tuple(replace(mat, x_left=scale * mat.x_left + dx, x_right=scale * mat.x_right + dx,
                                    level=scale * mat.level + dy, strength=mat.strength * stress * scale)
                            for mat in model.reinforcement),
    )  # fmt: skip


@pytest.mark.parametrize("method", METHODS)
def test_shift_leaves_the_factor(method: Any) -> None:
    shifted = analyse(moved(everything(), 1000.0, 250.0), Circle(1006.0, 259.0, 13.0), method)

    assert shifted.factor == approx(analyse(everything(), CIRCLE, method).factor, rel=1e-7)


@pytest.mark.parametrize(("scale", "force"), [(3.2808, 1.0), (1.0, 224.8), (0.5, 2.0)])
def test_other_units_leave_the_factor(scale: float, force: float) -> None:
    circle = Circle(6.0 * scale, 9.0 * scale, 13.0 * scale)
    other = moved(everything(), 0.0, 0.0, scale, force)

    assert analyse(other, circle, "spencer").factor == approx(analyse(everything(), CIRCLE, "spencer").factor, rel=1e-7)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("form", ["A", "B"])
def test_more_reinforcement_never_lowers_the_factor(method: Any, form: Any) -> None:
    model = with_columns(r1())
    factors = [
        analyse(with_tension(model, force), R1_CIRCLE, method, form=form).factor for force in (0, 20, 50, 90, 140)
    ]

    assert factors == sorted(set(factors))


def test_search_with_more_reinforcement_never_finds_less() -> None:
    search = Search(counts=(9, 9, 9), tangent=(-8.0, -1.0), min_depth=3.0, extend=0, refine=False)
    factors = [analyse(with_tension(r1(-8.0), force), search).factor for force in (0.0, 30.0, 60.0, 120.0, 240.0)]

    assert factors == sorted(factors)


@pytest.mark.parametrize("method", METHODS)
def test_finer_slices_converge(method: Any) -> None:
    finest = analyse(everything(), CIRCLE, method, slices=1600).factor
    coarse, middle = (abs(analyse(everything(), CIRCLE, method, slices=one).factor - finest) for one in (25, 400))

    assert coarse < 0.02 * finest
    assert middle < 0.002 * finest


def test_denser_search_never_finds_more() -> None:
    """Grids that hold each other's circles."""
    factors = [
        analyse(wet(), Search(counts=(n, n, n), refine=False, extend=0)).factor for n in (3, 5, 9, 17)
    ]  # fmt: skip

    assert factors == sorted(factors, reverse=True)


def test_refined_search_finds_no_more_than_its_grid_and_no_less_than_a_dense_one() -> None:
    coarse = analyse(wet(), Search(counts=(7, 7, 7), refine=False))
    fine = analyse(wet(), Search(counts=(7, 7, 7)))
    dense = analyse(wet(), Search(counts=(41, 41, 41), refine=False))

    assert fine.factor <= coarse.factor
    assert fine.factor <= dense.factor * 1.0005


def test_a_hundred_and_fifty_layers_of_the_same_soil_are_as_good_as_two() -> None:
    """More boundaries than a byte counts."""
    model = with_columns(wet())
    fill, clay = model.layers
    levels = np.linspace(0.0, model.bottom, 151)[:-1]
    many = tuple(Layer(clay.soil, ((-40.0, float(level)), (40.0, float(level)))) for level in levels)

    in_many = analyse(replace(model, layers=(fill, *many)), CIRCLE, slices=600)

    assert in_many.factor == approx(analyse(model, CIRCLE, slices=600).factor, rel=5e-5)


def test_thin_tongue_of_a_firm_layer_is_seen_by_few_slices() -> None:
    """A circle that dips a little into a firm layer: the tongue is thinner than a slice and meets no face by itself."""
    soft, firm = r1().layers[1], Layer(Soil("firm", 19.0, 20.0, phi=radians(38)), ((-60.0, -6.0), (60.0, -6.0)))
    model = replace(r1(), layers=(r1().layers[0], soft, firm))
    for dip, slices in product((0.001, 0.005, 0.02, 0.2), (29, 30, 31, 32)):
        circle = Circle(6.0, 8.0, 14.0 + dip)
        fine = analyse(model, circle, slices=1000).factor
        assert analyse(model, circle, slices=slices).factor == approx(fine, rel=5e-3)


@pytest.mark.parametrize("strength", [0.0, 60.0, 150.0])
def test_search_along_reinforcement_and_boundaries_finds_no_less_than_a_dense_one(strength: float) -> None:
    """Where the least circle touches the reinforcement or a firm layer, or is as shallow as it may be."""
    firm = Layer(Soil("firm", 19.0, 20.0, phi=radians(38)), ((-60.0, -6.0), (60.0, -6.0)))
    model = replace(r1(), layers=(*r1().layers, firm))
    model = with_tension(with_columns(model), strength) if strength else with_columns(model)
    found = analyse(model, Search(counts=(8, 8, 8), min_depth=1.5), slices=30)
    dense = analyse(model, Search(counts=(35, 35, 35), min_depth=1.5, refine=False), slices=30)

    assert found.factor <= dense.factor * 1.0005


def test_minimum_on_the_edge_widens_the_grid() -> None:
    """A range beside the decisive centres is widened until they are inside; without leave it is reported."""
    beside = Search(centre_x=(9.0, 12.0), centre_y=(12.0, 16.0), counts=(7, 7, 9))
    found = analyse(wet(), replace(beside, extend=8))
    stuck = analyse(wet(), replace(beside, extend=0, refine=False))
    free = analyse(wet(), Search())

    assert found.extended > 0
    assert found.at_edge == ()
    assert found.factor == approx(free.factor, rel=2e-3)
    assert stuck.extended == 0
    assert "left" in stuck.at_edge
    assert stuck.factor > free.factor


def test_search_reports_what_it_tried_and_rejected() -> None:
    found = analyse(wet(), Search(counts=(8, 7, 6), refine=False, extend=0))
    assert found.contours is not None

    assert found.tried == 8 * 7 * 6
    assert 0 < sum(found.rejected.values()) < found.tried
    assert found.contours.factor.shape == (7, 8)
    assert np.nanmin(found.contours.factor) == approx(found.factor, rel=1e-9)


def test_ends_outside_their_ranges_and_shallow_circles_are_left_out() -> None:
    found = analyse(wet(), Search(entry=(-6.0, -3.0), exit=(11.0, 14.0), min_depth=4.0))
    depth = max(found.table.y_top - found.table.y_base)

    assert -6.0 <= found.entry[0] <= -3.0
    assert 11.0 <= found.exit[0] <= 14.0
    assert depth >= 4.0
    assert {"end outside its range", "not deep enough"} <= set(found.rejected)


def result_of_unit_scaling() -> Result:
    return analyse(fredlund_krahn(1), Circle(120.0, 90.0, 80.0))


def test_feet_and_pounds_are_as_good_as_metres_and_kilonewtons() -> None:
    soil = Soil("soil", 120.0 * 0.157087, 120.0 * 0.157087, c=600.0 * 0.0478803, phi=radians(20))
    surface = tuple((0.3048 * x, 0.3048 * y) for x, y in fredlund_krahn(1).surface)
    metric = analyse(Model(surface, (Layer(soil),), -15.0), Circle(36.576, 27.432, 24.384))

    assert metric.factor == approx(result_of_unit_scaling().factor, rel=1e-5)


def test_grid_is_not_widened_beyond_a_number_of_circles(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fine grid that grew by half with every edge took minutes; what lies on its edge is named instead."""
    from calc.procedures.slip import circle_search as slip_search

    beside = Search(centre_x=(9.0, 12.0), centre_y=(12.0, 16.0), counts=(7, 7, 9), refine=False)
    free = analyse(wet(), beside)
    monkeypatch.setattr(slip_search, "MOST", 600)
    bound = analyse(wet(), beside)

    assert free.extended > 0
    assert bound.extended == 0
    assert bound.tried == 7 * 7 * 9
    assert "left" in bound.at_edge


def test_iteration_and_finer_steps_end_where_they_are_asked_to() -> None:
    """A wider tolerance or share of the spacing is seen in the result, and stays within what it allows."""
    fine = analyse(wet(), Search(counts=(7, 7, 7))).factor
    loose = analyse(wet(), Search(counts=(7, 7, 7)), tolerance=1e-2).factor
    early = analyse(wet(), Search(counts=(7, 7, 7), close=0.5))

    assert loose != fine
    assert loose == pytest.approx(fine, abs=2e-2)
    assert early.tried < analyse(wet(), Search(counts=(7, 7, 7))).tried

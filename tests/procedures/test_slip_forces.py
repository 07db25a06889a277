"""Reinforcement cut by a slip surface, and the force required of a layer."""

from dataclasses import replace
from math import hypot, isnan, sqrt
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import (
    Circle,
    Layer,
    Model,
    Reinforcement,
    Search,
    SlipError,
    Soil,
    Strip,
    Surface,
    analyse,
    required_force,
)
from calc.procedures.slip.mirror import mirrored_model, mirrored_search
from calc.procedures.slip.model import Form
from tests.procedures.slip_cases import R1_CIRCLE, r1, wet, with_columns, with_tension

approx = pytest.approx
DEEP = Search(tangent=(-8.0, -1.0), min_depth=3.0, counts=(11, 11, 11))
FORMS: tuple[Form, ...] = ("A", "B")
METHODS = ("ordinary", "bishop", "janbu", "spencer", "morgenstern-price")


def with_layer(**values: Any) -> Model:
    """The embankment with one layer at 1 m above the ground, under level fill from −30 to 5."""
    given: dict[str, Any] = {"name": "layer", "level": 1.0, "x_left": -30.0, "x_right": 5.0, "strength": 1e6,
                             "bond_above": 0.3, "bond_below": 0.2}  # fmt: skip
    return replace(r1(), reinforcement=(Reinforcement(**(given | values)),))


def cut_at(level: float) -> float:
    """Where the circle falls through a level."""
    return R1_CIRCLE.x - sqrt(R1_CIRCLE.r**2 - (R1_CIRCLE.y - level) ** 2)


def test_pull_out_outside_is_the_bond_over_the_length_there() -> None:
    """4 m of fill of 19 kN/m3 without the traffic on it, bond 0.3 + 0.2; worked by hand."""
    [force] = analyse(with_layer(), R1_CIRCLE).forces

    assert force.x == approx(cut_at(1.0), abs=0.01)
    assert force.pullout_outside == approx(4.0 * 19.0 * 0.5 * (cut_at(1.0) + 30.0), rel=1e-3)


def test_pull_out_inside_counts_the_slope() -> None:
    """Level fill to x = 0, then the slope 1:2 down to the layer's end at 5: the cover falls from 4 m to 1.5 m."""
    [force] = analyse(with_layer(), R1_CIRCLE).forces
    inside = 0.5 * 19.0 * (4.0 * -cut_at(1.0) + 5.0 * (4.0 + 1.5) / 2)

    assert force.pullout_inside == approx(inside, rel=1e-3)
    assert force.governs == "pull-out inside"
    assert force.force == approx(inside, rel=1e-3)


def test_adhesion_and_factor_enter_the_pull_out() -> None:
    [plain] = analyse(with_layer(bond_above=0.0, bond_below=0.0, adhesion=12.0), R1_CIRCLE).forces
    [factored] = analyse(with_layer(factor=1.5), R1_CIRCLE).forces
    [whole] = analyse(with_layer(), R1_CIRCLE).forces

    assert plain.pullout_outside == approx(12.0 * (cut_at(1.0) + 30.0), rel=1e-3)
    assert factored.force == approx(whole.force / 1.5)


def test_strength_governs_where_it_is_least() -> None:
    [force] = analyse(with_layer(strength=25.0), R1_CIRCLE).forces

    assert (force.force, force.governs) == (25.0, "strength")


def test_pull_out_outside_governs_where_little_length_is_left() -> None:
    [force] = analyse(with_layer(x_left=cut_at(1.0) - 1.0), R1_CIRCLE).forces

    assert force.governs == "pull-out outside"
    assert force.force == approx(4.0 * 19.0 * 0.5, rel=0.02)


@pytest.mark.parametrize(
    "values", [{"x_left": 0.0}, {"x_right": -10.0}, {"level": -8.0}], ids=["inside", "outside", "below"]
)
def test_layer_that_is_not_cut_gives_nothing(values: dict[str, float]) -> None:
    found = analyse(with_layer(**values), R1_CIRCLE)

    assert found.forces[0].force == 0.0
    assert found.factor == approx(analyse(r1(), R1_CIRCLE).factor, rel=1e-12)


def test_layer_below_the_ground_is_held_as_far_as_the_circle_rises_through_it() -> None:
    """Beyond the place where the circle rises through the layer it would be pushed: nothing counts there."""
    ends = {"level": -2.0, "x_left": -40.0}
    [short] = analyse(with_layer(**ends, x_right=14.0), R1_CIRCLE).forces
    [long] = analyse(with_layer(**ends, x_right=40.0), R1_CIRCLE).forces
    rises = 2 * R1_CIRCLE.x - cut_at(-2.0)

    assert rises > 14.0
    assert long.pullout_inside > short.pullout_inside
    assert long.pullout_inside == approx(
        analyse(with_layer(**ends, x_right=rises), R1_CIRCLE).forces[0].pullout_inside, rel=2e-3
    )


def test_traffic_adds_nothing_to_the_bond() -> None:
    loaded = replace(with_layer(), strips=(Strip(-60.0, 0.0, 50.0),))

    assert analyse(loaded, R1_CIRCLE).forces == analyse(with_layer(), R1_CIRCLE).forces


def test_water_takes_from_the_bond() -> None:
    model = wet()
    layer = Reinforcement("layer", -0.5, -30.0, 12.0, 1e6, 0.3, 0.2)
    circle = Circle(6.0, 9.0, 13.0)
    dry = analyse(replace(model, water=None, reinforcement=(layer,)), circle)
    found = analyse(replace(model, reinforcement=(layer,)), circle)

    assert found.forces[0].force < dry.forces[0].force


def test_tension_acts_on_a_line_of_straight_pieces() -> None:
    line = Surface(((-6.0, 5.0), (-1.0, -2.0), (8.0, -2.0), (13.0, 0.0)))
    held = analyse(with_tension(r1(), 40.0), line, "spencer")

    assert held.forces[0].x == approx(-6.0 + 5.0 * 5.0 / 7.0, abs=0.1)
    assert held.factor > analyse(r1(), line, "spencer").factor


def test_tension_that_carries_the_whole_load_is_said_and_no_number() -> None:
    with pytest.raises(SlipError, match="held by the reinforcement alone"):
        analyse(with_tension(r1(), 2000.0), R1_CIRCLE)

    assert analyse(with_tension(r1(), 2000.0), R1_CIRCLE, form="B").factor > 1.0


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("form", ["A", "B"])
@pytest.mark.parametrize("safety", [0.8, 1.0])
def test_required_force_gives_its_circle_the_safety_asked_for(method: Any, form: Any, safety: float) -> None:
    found = required_force(r1(-8.0), DEEP, 0.0, safety, form=form, method=method)
    held = analyse(with_tension(r1(-8.0), found.force), found.surface, method, form=form)

    assert found.force > 0
    assert held.factor == approx(safety, rel=1e-5)
    assert found.factor_without < safety
    assert found.x == approx(held.forces[0].x, rel=1e-9)


@pytest.mark.parametrize("method", ["ordinary", "bishop", "janbu"])
def test_with_the_required_force_no_circle_of_the_search_falls_short(method: Any) -> None:
    """All circles of this search are cut by the layer."""
    found = required_force(r1(-8.0), DEEP, 0.0, 1.0, method=method)
    held = analyse(with_tension(r1(-8.0), found.force), DEEP, method)

    assert isnan(found.uncovered)
    assert held.factor == approx(1.0, abs=2e-3)


def test_forms_ask_for_the_same_force_at_a_safety_of_one_and_form_b_for_more_above() -> None:
    one = [required_force(r1(-8.0), DEEP, 0.0, 1.0, form=form).force for form in FORMS]
    more = [required_force(r1(-8.0), DEEP, 0.0, 1.2, form=form).force for form in FORMS]

    assert one[0] == approx(one[1], rel=1e-9)
    assert more[1] == approx(1.2 * more[0], rel=1e-2)


def test_required_force_is_monotonic_in_the_safety_and_adds_to_what_is_there() -> None:
    forces = [required_force(r1(-8.0), DEEP, 0.0, safety).force for safety in (0.7, 0.8, 0.9, 1.0, 1.1)]
    beside = required_force(with_tension(r1(-8.0), 100.0), DEEP, 0.0, 1.0).force

    assert forces == sorted(set(forces))
    assert beside == approx(required_force(r1(-8.0), DEEP, 0.0, 1.0).force - 100.0, rel=1e-3)


def test_nothing_is_required_where_no_circle_falls_short() -> None:
    found = required_force(wet(), Search(counts=(9, 9, 9)), 0.0, 1.0)

    assert found.force == 0.0
    assert found.factor_without > 1.0


def test_circles_that_the_layer_does_not_cut_are_told_apart() -> None:
    """The slope of the fill over the layer: no force of the layer helps it."""
    found = required_force(with_columns(r1()), Search(), 0.0, 1.3)

    assert found.uncovered < 1.3
    assert found.rejected["not helped by the layer"] > 0


def test_short_layer_helps_fewer_circles() -> None:
    whole = required_force(r1(-8.0), DEEP, 0.0, 1.0)
    part = required_force(r1(-8.0), DEEP, 0.0, 1.0, x_left=whole.x + 0.5)

    assert part.uncovered < 1.0
    assert part.force < whole.force


@pytest.mark.parametrize("method", ["bishop", "spencer"])
def test_required_force_of_the_mirror_image_is_the_same(method: Any) -> None:
    found = required_force(r1(-8.0), DEEP, 0.0, 1.0, method=method, x_left=-30.0, x_right=10.0)
    mirrored = required_force(
        mirrored_model(r1(-8.0)),
        mirrored_search(DEEP),
        0.0,
        1.0,
        method=method,
        direction="left",
        x_left=-10.0,
        x_right=30.0,
    )

    assert mirrored.force == approx(found.force, rel=1e-9)
    assert mirrored.x == approx(-found.x, rel=1e-9)
    assert mirrored.contours is not None
    assert found.contours is not None
    assert mirrored.contours.factor == approx(found.contours.factor[:, ::-1], nan_ok=True)


def test_impossible_requests_are_refused_together() -> None:
    with pytest.raises(SlipError, match=r"(?s)level must lie.*safety must be above 0.*x_left and x_right"):
        required_force(r1(), Search(), 9.0, -1.0, x_left=5.0, x_right=2.0)


def test_equilibrium_of_a_block_on_a_plane_with_a_layer() -> None:
    """One plane with cohesion and a horizontal force by form B, without shear between slices; derived here."""
    soil = Soil("clay", 20.0, 20.0, c_u=30.0)
    layer = Reinforcement("layer", 5.0, -20.0, 3.0, 50.0, 1e3, 1e3, adhesion=1e3)
    model = Model(((-20.0, 10.0), (0.0, 10.0), (8.0, 0.0), (30.0, 0.0)), (Layer(soil),), -5.0, reinforcement=(layer,))
    plane = Surface(((-6.0, 10.0), (8.0, 0.0)))
    L, W = hypot(14.0, 10.0), 20.0 * 0.5 * 6.0 * 10.0
    sine, cosine = 10.0 / L, 14.0 / L
    found = analyse(model, plane, "janbu", form="B")

    # Vertical equilibrium with S = c L / F gives N; horizontally (c L cos α + T) / N sin α = F.
    F = found.factor / found.f_0
    N = (W - 30.0 * L * sine / F) / cosine
    assert (30.0 * L * cosine + 50.0) / (N * sine) == approx(F, rel=1e-3)
    assert np.isnan(found.lam)

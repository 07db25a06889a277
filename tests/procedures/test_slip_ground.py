"""Ground, water, columns and weak planes in slip analyses: equivalent models and directions of influence."""

from dataclasses import replace
from math import radians
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import (
    BlockSearch,
    Circle,
    Crack,
    Layer,
    Lens,
    Model,
    Search,
    Soil,
    Strip,
    Surface,
    Water,
    analyse,
)
from calc.procedures.slip.mirror import mirrored_model, mirrored_question
from calc.procedures.slip.model import Line, Method
from tests.procedures.slip_cases import R1_CIRCLE, r1, wet, with_columns, with_tension

approx = pytest.approx
METHODS: tuple[Method, ...] = ("ordinary", "bishop", "janbu", "spencer", "morgenstern-price")
CIRCLE = Circle(6.0, 9.0, 13.0)


@pytest.mark.parametrize(
    ("method", "apart"), [("bishop", 1e-4), ("janbu", 1e-4), ("spencer", 3e-3), ("morgenstern-price", 3e-3)]
)
def test_slope_under_open_water_is_the_slope_with_buoyant_weight(method: Any, apart: float) -> None:
    """Water at rest over and in the ground carries nothing but its own weight: Archimedes.

    In the complete methods the ratio of shear to normal force is that to the total force with water in it. The ordinary
    method takes its normals from the whole weight and is far too low here: 1.25 for 2.05.
    """
    surface = ((-40.0, 5.0), (0.0, 5.0), (10.0, 0.0), (40.0, 0.0))
    lower = Layer(Soil("b", 18.0, 18.0, c=6.0, phi=0.35), ((-40.0, 0.0), (40.0, 0.0)))
    ground = (Layer(Soil("a", 20.0, 20.0, c=4.0, phi=0.5)), lower)
    buoyant = tuple(
        replace(one, soil=replace(one.soil, gamma=one.soil.gamma - 9.81, gamma_sat=one.soil.gamma_sat - 9.81))
        for one in ground
    )
    water = Water(((-40.0, 9.0), (40.0, 9.0)), open_level=9.0)
    drowned = analyse(Model(surface, ground, -10.0, water=water), CIRCLE, method, slices=400).factor
    light = analyse(Model(surface, buoyant, -10.0), CIRCLE, method, slices=400).factor

    assert drowned == approx(light, rel=apart)


def with_table(level: float) -> Model:
    low = min(level, 0.0)
    return replace(wet(), water=Water(((-40.0, level), (0.0, level), (10.0, low), (40.0, low))))


def test_water_never_raises_the_factor() -> None:
    factors = [analyse(with_table(level), CIRCLE).factor for level in (-5.0, -2.0, 0.0, 2.0, 4.0)]

    assert factors == sorted(factors, reverse=True)


def test_seepage_form_lies_above_the_head_form() -> None:
    model = wet()
    assert model.water
    steep = replace(model.water, table=((-40.0, 4.0), (0.0, 4.0), (10.0, -0.5), (40.0, -0.5)))
    vertical = analyse(replace(model, water=steep), CIRCLE).factor
    seepage = analyse(replace(model, water=replace(steep, mode="seepage")), CIRCLE).factor

    assert vertical < seepage < 1.2 * vertical


def test_piezometric_line_of_a_layer_at_the_table_changes_nothing() -> None:
    model = wet()
    assert model.water
    upper, lower = model.layers
    same = replace(model, layers=(upper, replace(lower, piezometric=model.water.table)))
    artesian = replace(model, layers=(upper, replace(lower, piezometric=((-40.0, 3.0), (40.0, 3.0)))))
    factor = analyse(model, CIRCLE).factor

    assert analyse(same, CIRCLE).factor == approx(factor, rel=1e-12)
    assert analyse(artesian, CIRCLE).factor < factor


def test_lens_of_the_soil_around_it_changes_nothing() -> None:
    model = wet()
    lens = Lens(
        replace(model.layers[1].soil, name="the same"),
        ((2.0, -1.0), (6.0, -1.0), (9.0, -2.0), (8.0, -4.0), (0.0, -4.0)),
    )
    weak = replace(lens, soil=replace(lens.soil, c=1.0, phi=0.1))
    factor = analyse(model, CIRCLE, slices=200).factor

    assert analyse(replace(model, lenses=(lens,)), CIRCLE, slices=200).factor == approx(factor, rel=1e-3)
    assert analyse(replace(model, lenses=(weak,)), CIRCLE).factor < 0.95 * factor


def test_one_lens_cut_in_two_is_the_same_ground() -> None:
    """Two polygons beside each other, their common side in the middle of the circle."""
    model, peat = wet(), Soil("peat", 12.0, 12.5, c=3.0, phi=0.2)
    whole = (Lens(peat, ((0.0, -1.0), (10.0, -1.0), (10.0, -3.0), (0.0, -3.0))),)
    halves = (
        Lens(peat, ((0.0, -1.0), (5.0, -1.0), (5.0, -3.0), (0.0, -3.0))),
        Lens(peat, ((5.0, -1.0), (10.0, -1.0), (10.0, -3.0), (5.0, -3.0))),
    )

    assert analyse(replace(model, lenses=halves), CIRCLE).factor == approx(
        analyse(replace(model, lenses=whole), CIRCLE).factor, rel=1e-3
    )


def test_layer_that_ends_is_a_lens_to_the_edge() -> None:
    """A layer whose top covers a part of the model, and the same block as a polygon."""
    model = wet()
    peat = Soil("peat", 12.0, 12.5, c=3.0, phi=0.2)
    upper, clay = model.layers
    above = Layer(peat, ((-5.0, 0.0), (15.0, 0.0)))
    below = Layer(
        clay.soil, ((-40.0, 0.0), (-5.0, 0.0), (-4.999999, -2.0), (14.999999, -2.0), (15.0, 0.0), (40.0, 0.0))
    )
    lens = Lens(peat, ((-5.0, 0.0), (15.0, 0.0), (15.0, -2.0), (-5.0, -2.0)))

    ended = analyse(replace(model, layers=(upper, above, below)), CIRCLE).factor
    assert analyse(replace(model, lenses=(lens,)), CIRCLE).factor == approx(ended, rel=1e-4)


def test_hard_layer_is_followed_or_not_gone_below() -> None:
    hard = ((-40.0, -1.0), (40.0, -1.0))
    followed = analyse(replace(wet(), hard=hard), Search())
    outside = analyse(replace(wet(), hard=hard, truncate=False), Search())

    assert min(y for _, y in followed.points) >= -1.0 - 1e-9
    assert min(y for _, y in outside.points) >= -1.0 - 1e-9
    assert "below the hard layer" not in followed.rejected
    assert followed.factor <= outside.factor + 1e-6


def test_hard_layer_below_the_circle_changes_nothing() -> None:
    deep = replace(wet(), hard=((-40.0, -9.0), (40.0, -9.0)))

    assert analyse(deep, CIRCLE).factor == approx(analyse(wet(), CIRCLE).factor, rel=1e-12)


def test_places_closer_than_rounding_are_one() -> None:
    """A vertex that a conversion of units has moved by a rounding error opens no strip of its own."""
    model = wet()
    strips = (Strip(-20.0, -2.0, 5.0), Strip(-2.0 + 1e-12, 0.0, 5.0))

    assert analyse(replace(model, strips=strips), CIRCLE).factor == approx(
        analyse(replace(model, strips=(Strip(-20.0, 0.0, 5.0),)), CIRCLE).factor, rel=1e-3
    )


def artesian(head: float) -> Model:
    """Sand without cohesion below the fill, under a pressure of its own."""
    model = wet()
    sand = Layer(Soil("sand", 18.0, 20.0, phi=radians(33)), ((-40.0, 0.0), (40.0, 0.0)), ((-40.0, head), (40.0, head)))
    return replace(model, layers=(model.layers[0], sand))


@pytest.mark.parametrize("method", METHODS)
def test_cohesionless_base_takes_no_tension(method: Any) -> None:
    """Beyond the toe the pressure exceeds the weight: the bases there have no strength instead of a negative one."""
    found = analyse(artesian(3.0), CIRCLE, method)
    t = found.table
    lifted = (t.c == 0) & (t.u * t.b > 1.02 * t.W)

    assert lifted.any()
    assert (t.S[lifted] == 0).all()
    assert (t.S >= -1e-9).all()
    assert found.factor < analyse(artesian(-0.5), CIRCLE, method).factor


def test_tension_that_does_not_go_away_gives_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    from calc.procedures.slip import SlipError, evaluate, solve

    monkeypatch.setattr(
        solve, "without_tension", lambda parts, _: (parts.bond, parts.tangent * np.ones_like(parts.weight))
    )
    monkeypatch.setattr(evaluate, "RELIEFS", 0)
    with pytest.raises(SlipError, match="not converged"):
        analyse(artesian(3.0), CIRCLE, "spencer")


def test_circle_below_a_hard_layer_that_is_not_followed_is_rejected() -> None:
    from calc.procedures.slip import SlipError

    with pytest.raises(SlipError, match="below the hard layer"):
        analyse(replace(wet(), hard=((-40.0, -1.0), (40.0, -1.0)), truncate=False), CIRCLE)


def test_crack_cuts_the_surface_off_and_its_water_pushes() -> None:
    """The moment of the water: ½ γ_w z_w² about a third of its depth above the bottom."""
    dry = analyse(replace(wet(), crack=Crack(1.0)), CIRCLE)
    full = analyse(replace(wet(), crack=Crack(1.0, 1.0)), CIRCLE)
    bottom = dry.entry[1]
    thrust = 0.5 * 9.81

    assert bottom == approx(4.0)
    assert full.driving - dry.driving == approx(thrust * (9.0 - bottom - 1 / 3), rel=1e-9)
    assert full.factor < dry.factor
    assert full.table.H[0] == approx(thrust)


def test_crack_in_clay_lowers_the_factor_of_a_steep_slope() -> None:
    clay = Model(
        ((-20.0, 6.0), (0.0, 6.0), (3.0, 0.0), (20.0, 0.0)), (Layer(Soil("clay", 18.0, 18.0, c_u=30.0)),), -8.0
    )
    whole = analyse(clay, Search())
    cracked = analyse(replace(clay, crack=Crack(3.0)), Search())

    assert cracked.factor < whole.factor


def test_earthquake_lowers_the_factor() -> None:
    factors = [analyse(replace(wet(), k_h=k_h), CIRCLE, "spencer").factor for k_h in (0.0, 0.05, 0.1, 0.2)]

    assert factors == sorted(factors, reverse=True)


def test_columns_without_extra_stress_in_the_same_soil_change_nothing() -> None:
    """Strict split with a stress ratio of 1 and the soil's own strength: the parts are the slice."""
    model = wet()
    plain = replace(
        with_columns(model).columns, x_left=-20.0, mu_s=1.0, mu_c=1.0, gamma=15.0, gamma_sat=16.5, phi=radians(20)
    )  # type: ignore[type-var]
    clay = replace(model, layers=(model.layers[0], replace(model.layers[1], soil=replace(model.layers[1].soil, c=0.0))))
    for method in METHODS[1:]:
        factor = analyse(clay, CIRCLE, method).factor
        for mode in ("strict", "averaged"):
            split = replace(clay, columns=replace(plain, mode=mode))  # type: ignore[type-var]
            assert analyse(split, CIRCLE, method).factor == approx(factor, rel=2e-3)


def test_sleeve_and_reduction_move_the_factor_their_ways() -> None:
    for mode in ("strict", "averaged"):
        plain = analyse(with_columns(r1(), mode), R1_CIRCLE).factor

        assert analyse(with_columns(r1(), mode, c_eq=20.0), R1_CIRCLE).factor > plain
        assert analyse(with_columns(r1(), mode, reduction=0.9), R1_CIRCLE).factor < plain


def test_averaged_form_without_water_lies_above_the_strict_split() -> None:
    assert analyse(with_columns(r1(), "averaged"), R1_CIRCLE).factor > analyse(with_columns(r1()), R1_CIRCLE).factor


def test_pore_pressure_by_ratio_in_the_field_is_that_of_the_soil_alone() -> None:
    model = with_columns(wet())
    upper, clay = model.layers
    ratio = replace(model, layers=(upper, replace(clay, soil=replace(clay.soil, r_u=0.3))))
    parts = analyse(replace(ratio, columns=replace(model.columns, x_left=-20.0)), CIRCLE).table  # type: ignore[type-var]
    soil = np.array([one == "soil" for one in parts.part]) & (parts.y_base < 0.0)

    assert parts.u[soil] == approx(0.3 * parts.W[soil] / parts.b[soil])


def test_surface_with_an_interface_has_its_strength_there() -> None:
    line = Surface(((-5.0, 5.0), (-2.0, -1.0), (9.0, -1.0), (12.0, 0.0)))
    weak = replace(line, c=0.0, phi=0.1, interface=(1,))
    mirrored = analyse(mirrored_model(wet()), mirrored_question(weak), "spencer", direction="left")
    found = analyse(wet(), weak, "spencer")

    assert found.factor < analyse(wet(), line, "spencer").factor
    assert mirrored.factor == approx(found.factor, rel=1e-9)
    assert set(np.round(found.table.phi[found.table.y_base == -1.0], 6)) == {0.1}


BLOCKS = BlockSearch(((-20.0, -1.0), (20.0, -1.0)), (-8.0, 0.0), (6.0, 14.0), (0.9, 1.0, 1.1), (0.4, 0.5, 0.6))


@pytest.mark.parametrize("method", ["janbu", "spencer", "morgenstern-price"])
def test_block_on_a_weak_plane_is_the_line_of_its_corners(method: Any) -> None:
    search = replace(BLOCKS, c=2.0, phi=0.12)
    found = analyse(wet(), search, method, slices=60)
    assert isinstance(found.surface, Surface)

    assert analyse(wet(), found.surface, method, slices=60).factor == approx(found.factor, rel=1e-9)
    assert found.tried == 12 * 12 * (9 + 3 * 4)
    assert found.factor < analyse(wet(), BLOCKS, method, slices=60).factor


def test_mirrored_block_has_the_same_factor() -> None:
    found = analyse(wet(), BLOCKS, "spencer")
    mirrored = analyse(mirrored_model(wet()), mirrored_question(BLOCKS), "spencer", direction="left")

    assert mirrored.factor == approx(found.factor, rel=1e-6)


def test_block_on_reinforcement_slides_out_at_the_toe() -> None:
    """Without a passive wedge; a layer does not hold what slides on it, but what passes below it."""
    base: Line = ((-20.0, 0.0), (20.0, 0.0))
    search = BlockSearch(base, (-6.0, 4.0), (10.0, 10.0), (1.0, 1.1), (), c=0.0, phi=radians(20))
    found = analyse(r1(), search, "spencer")
    held = analyse(with_tension(r1()), search, "spencer")
    below = replace(search, base=((-20.0, -0.5), (9.0, -0.5), (15.0, 0.5)))

    assert found.exit == approx((10.0, 0.0), abs=1e-6)
    assert held.factor == approx(found.factor, rel=1e-9)
    assert held.forces[0].force == 0.0
    assert analyse(with_tension(r1(), 40.0), below, "janbu").factor > analyse(r1(), below, "janbu").factor

"""Remarks on a result: tension, circles without equilibrium, the crack; line of thrust; many circles in one call."""

from dataclasses import replace
from math import radians, sqrt, tan
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import (
    Circle,
    Crack,
    Layer,
    Model,
    Result,
    Search,
    SlipError,
    Soil,
    Surface,
    Water,
    analyse,
    factors,
)
from calc.procedures.slip.analysis import ground_of
from calc.procedures.slip.mirror import mirrored_model
from calc.procedures.slip.remarks import crack_depth
from tests.procedures.slip_cases import R1_CIRCLE, r1, wet, with_tension
from tests.procedures.test_slip_steep import cut

approx = pytest.approx


def keys(result: Result) -> set[str]:
    return {warning.key for warning in result.warnings}


def test_complete_search_says_which_circles_it_has_no_equilibrium_for() -> None:
    """60°, φ = 0: Spencer returned 1.42 without a word where circles by Bishop go down to 1.31."""
    bishop, spencer = (analyse(cut(60.0), Search(), method) for method in ("bishop", "spencer"))
    said = next(warning for warning in spencer.warnings if warning.key == "no_equilibrium")

    assert spencer.factor > 1.05 * bishop.factor
    assert said.value == approx(bishop.factor, rel=2e-3)
    assert f"down to {said.value:.3f}" in said.text
    assert "no_equilibrium" not in keys(bishop)


def test_circle_without_equilibrium_is_refused_with_its_factor_by_bishop() -> None:
    plain = analyse(cut(60.0), Circle(5.0, 14.4, 14.5)).factor
    with pytest.raises(SlipError, match=rf"not converged; by Bishop its factor is {plain:.3f}"):
        analyse(cut(60.0), Circle(5.0, 14.4, 14.5), "spencer")


def test_embankment_on_soft_ground_has_nothing_to_be_remarked() -> None:
    for method in ("bishop", "spencer", "janbu", "morgenstern-price"):
        found = analyse(r1(), R1_CIRCLE, method)

        assert found.warnings == ()
        assert np.isnan(found.crack_depth)


@pytest.mark.parametrize("method", ["bishop", "ordinary", "janbu"])
def test_tension_at_the_bases_asks_for_a_crack(method: Any) -> None:
    """A cut in clay: 2 c_u / γ = 5 m (limit of active earth pressure without tension, Rankine 1857, from memory)."""
    circle = Circle(5.0, 14.4, 14.5)
    found = analyse(cut(60.0), circle, method)
    cracked = analyse(replace(cut(60.0), crack=Crack(5.0)), circle, method)

    assert ("negative_normal" in keys(found)) == (method != "ordinary")
    assert ("crack" in keys(found)) == (method != "ordinary")
    assert found.crack_depth == approx(5.0 if method != "ordinary" else np.nan, nan_ok=True)
    assert "crack" not in keys(cracked)
    assert cracked.factor < found.factor


def test_tension_between_slices_is_remarked_with_its_place() -> None:
    found = analyse(cut(60.0), Circle(5.0, 14.4, 14.5), "janbu")
    said = next(warning for warning in found.warnings if warning.key == "interslice_tension")
    t = found.table

    assert said.value == approx(-t.E_right.min())
    assert -9.0 < float(said.text.split("x = ")[1].split(" m")[0]) < -5.0
    mirrored = analyse(mirrored_model(cut(60.0)), Circle(-5.0, 14.4, 14.5), "janbu", direction="left")
    other = next(warning for warning in mirrored.warnings if warning.key == "interslice_tension")
    assert other.text.replace("x = ", "x = -") == said.text


def test_crack_is_as_deep_as_the_uppermost_soil_stands_in_tension() -> None:
    """2 c / (γ √K_a) with K_a = tan²(45° − φ/2), the thickness of the soil, and nothing without cohesion."""
    drained = Soil("a", 18.0, 18.0, c=6.0, phi=radians(25))
    fill = replace(drained, c=0.0)
    surface, level = ((-20.0, 5.0), (0.0, 5.0), (10.0, 0.0), (20.0, 0.0)), ((-20.0, 4.5), (-1.0, 4.5))

    def depth(*layers: Layer) -> float:
        return crack_depth(ground_of(Model(surface, layers, -5.0), "right"), -5.0)

    expected = 2 * 6.0 / (18.0 * tan(radians(45 - 12.5)))
    assert depth(Layer(drained)) == approx(expected)
    assert depth(Layer(drained), Layer(fill, level)) == approx(0.5)
    assert depth(Layer(drained), Layer(drained, level)) == approx(expected)
    assert depth(Layer(fill), Layer(drained, level)) == 0.0
    assert depth(Layer(replace(drained, c_u=200.0))) == approx(10.0)


def test_weak_circles_of_a_search_are_remarked() -> None:
    """Mud of 0.01 kPa: a factor below 0.1 that nothing gives with accuracy is not left out in silence."""
    fill, mud = Soil("fill", 19.0, 19.0, c_u=30.0), Soil("mud", 14.0, 14.0, c_u=0.001)
    bench = ((-30.0, 4.0), (0.0, 4.0), (8.0, 0.0), (12.0, 0.0), (18.0, -3.0), (40.0, -3.0))
    soft = Layer(mud, ((-30.0, 0.0), (12.0, 0.0), (18.0, -3.0), (40.0, -3.0)))
    found = analyse(Model(bench, (Layer(fill), soft), -9.0), Search())

    assert "weak" in keys(found)
    assert found.rejected["factor below 0.1"] > 0


THRUST: list[tuple[Model, Circle | Surface]] = [
    (r1(), R1_CIRCLE),
    (with_tension(r1(), 30.0), R1_CIRCLE),
    (replace(wet(), k_h=0.06, crack=Crack(0.6, 0.3)), Circle(6.0, 9.0, 13.0)),
    (replace(wet(), water=Water(((-40.0, 2.0), (0.0, 1.5), (10.0, 0.5), (40.0, 0.5)), open_level=0.5)),
     Circle(6.0, 9.0, 13.0)),
    (wet(), Surface(((-5.0, 5.0), (-2.0, 1.0), (3.0, -1.0), (9.0, -1.0), (12.0, 0.0)))),
]  # fmt: skip


@pytest.mark.parametrize("form", ["A", "B"])
@pytest.mark.parametrize("method", ["spencer", "morgenstern-price"])
@pytest.mark.parametrize(("model", "surface"), THRUST)
def test_line_of_thrust_closes_at_the_lower_end(model: Model, surface: Any, method: Any, form: Any) -> None:
    """Moments from slice to slice end at a force of nothing: the last level lies in the ground over the last base.

    A wrong moment of any slice would throw the level near the end, where the force is small, far off.
    """
    found = analyse(model, surface, method, form=form, slices=100)
    t = found.table
    first = np.unique(t.index, return_index=True)[1]
    level, base, top = t.y_thrust[first], t.y_base[first], t.y_top[first]
    there = np.flatnonzero(np.isfinite(level))
    inner = there[len(there) // 4 :]
    height = np.maximum(top[inner] - base[inner], 0.05)

    assert len(there) > 60
    assert (level[inner] > base[inner] - 0.15 * height - 0.05).all()
    assert (level[inner] < base[inner] + 0.75 * height + 0.05).all()
    assert len(found.thrust) == len(there)


def test_thrust_of_one_wedge_on_the_next_is_found_by_hand() -> None:
    """A sheet on one plane, Spencer: moments of the upper part about the middle of a base, summed in plain Python."""
    found = analyse(wet(), Circle(6.0, 9.0, 13.0), "spencer", slices=60)
    t, k = found.table, 30
    first = np.unique(t.index, return_index=True)[1]
    x, y, b, W, N, S, alpha = (one[first] for one in (t.x, t.y_base, t.b, t.W, t.N, t.S, t.alpha))
    face = found.entry[0] + np.cumsum(b)[k]
    mass = slice(0, k + 1)
    across = N[mass] * np.sin(alpha[mass]) - S[mass] * np.cos(alpha[mass])
    up = N[mass] * np.cos(alpha[mass]) + S[mass] * np.sin(alpha[mass]) - W[mass]
    E, X = t.E_right[first][k], t.X_right[first][k]
    # Moments of all forces on the upper part about the origin: E acts back on it at the level wanted, X upward.
    moment = np.sum(x[mass] * up - y[mass] * across)
    level = -(moment + face * X) / E

    assert across.sum() == approx(E, rel=1e-6)
    assert t.y_thrust[first][k] == approx(level, abs=1e-3)


def test_effective_normals_are_those_less_the_water() -> None:
    t = analyse(wet(), Circle(6.0, 9.0, 13.0)).table
    assert t.N_eff == approx(t.N - t.u * t.l)

    undrained = analyse(replace(r1(), water=Water(((-60.0, 0.0), (60.0, 0.0)))), R1_CIRCLE).table
    clay = undrained.phi == 0
    assert (undrained.u[clay] > 0).any()
    assert undrained.N_eff[clay] == approx(undrained.N[clay])


@pytest.mark.parametrize("method", ["bishop", "spencer"])
def test_many_circles_in_one_call_are_the_circles_one_by_one(method: Any) -> None:
    x, y, r = np.array([6.0, 5.0, 6.0, 38.0]), 9.0, np.array([13.0, 12.0, 2.0, 30.0])
    found = factors(wet(), x, y, r, method)
    one = analyse(wet(), Circle(6.0, 9.0, 13.0), method)
    left = factors(mirrored_model(wet()), -x, y, r, method, direction="left")

    assert found.factor[0] == approx(one.factor, rel=1e-12)
    assert (found.entry[0], found.exit[0]) == approx((one.entry[0], one.exit[0]))
    assert found.reason.tolist()[:3] == ["admissible", "admissible", "does not cut the ground"]
    assert np.isnan(found.factor[2:]).all()
    assert left.factor == approx(found.factor, nan_ok=True)
    assert left.entry == approx(-found.entry, nan_ok=True)
    assert np.isnan(found.lam[0]) == (method == "bishop")


def test_circles_that_are_none_are_refused() -> None:
    with pytest.raises(SlipError, match="finite numbers, r above 0"):
        factors(wet(), 6.0, 9.0, [13.0, 0.0])
    with pytest.raises(SlipError, match="finite numbers, r above 0"):
        factors(wet(), np.nan, 9.0, 13.0)


def test_shallow_circles_are_left_out_where_a_depth_is_asked_for() -> None:
    depths = factors(wet(), 6.0, 9.0, sqrt(181.0), min_depth=50.0)

    assert depths.reason.tolist() == ["not deep enough"]

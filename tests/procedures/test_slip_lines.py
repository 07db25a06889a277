"""Lines of straight pieces, faces of slices at every change of the ground, and words for what has no strength."""

from dataclasses import replace
from itertools import pairwise
from math import atan, cos, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import (
    BlockSearch,
    Circle,
    Layer,
    Model,
    Reinforcement,
    Search,
    SlipError,
    Soil,
    Surface,
    Water,
    analyse,
)
from calc.procedures.slip.base import _nearest_faces
from calc.procedures.slip.evaluate import factors_of_circles, factors_of_lines
from calc.procedures.slip.vertical_strips import compile_ground
from calc.procedures.slip.wish import Wish
from tests.procedures.slip_cases import wet

approx = pytest.approx
PHI = radians(27)


def bank(height: float, c: float = 0.5) -> Model:
    """A bank 1:2 in one soil."""
    surface = ((-4 * height, height), (0.0, height), (2 * height, 0.0), (6 * height, 0.0))
    return Model(surface, (Layer(Soil("fill", 19.0, 19.0, c=c, phi=PHI)),), -2 * height)


@pytest.mark.parametrize("method", ["janbu", "spencer", "morgenstern-price"])
def test_long_sheet_under_a_face_is_the_infinite_slope(method: Any) -> None:
    """c / (γ z sin β cos β) + tan φ / tan β for a sheet 0.5 m deep, infinite slope (statics).

    The ends of a sheet 110 m long resist a little. It was refused: no driving moment about an arbitrary centre.
    """
    sheet = Surface(((0.0, 50.0), (1.5, 48.75), (99.0, 0.0), (100.0, 0.0)))
    beta = radians(26.565051)
    infinite = 0.5 / (19.0 * 0.5 * sin(beta) * cos(beta)) + tan(PHI) / tan(beta)

    assert infinite < analyse(bank(50.0), sheet, method).factor < 1.02 * infinite


@pytest.mark.parametrize("method", ["janbu", "spencer"])
@pytest.mark.parametrize("mode", ["seepage", "vertical"])
def test_long_sheet_under_a_wet_face_is_the_infinite_slope_with_seepage(mode: Any, method: Any) -> None:
    """tan φ / tan β times 1 − γ_w/γ with flow along the face, infinite slope (statics); the ends leave 0.4 %.

    With the whole depth below the table as head γ_w is divided by cos² β: 0.394 in place of 0.519.
    """
    soil, run, beta = Soil("sand", 19.0, 20.0, phi=PHI), 200.0, atan(0.5)
    surface = ((-20.0, run / 2), (0.0, run / 2), (run, 0.0), (run + 20.0, 0.0))
    sheet = Surface(((0.0, run / 2), (0.2, run / 2 - 0.3), (run - 0.4, 0.0), (run, 0.0)))
    pressure = 9.81 if mode == "seepage" else 9.81 / cos(beta) ** 2
    infinite = (1 - pressure / 20.0) * tan(PHI) / tan(beta)
    wet_face = Model(surface, (Layer(soil),), -5.0, water=Water(surface, mode))

    assert infinite < analyse(wet_face, sheet, method).factor < 1.004 * infinite


def test_block_search_looks_at_sheets_under_the_face() -> None:
    """663 of 3 024 blocks were refused, the least among them: 1.2223 was returned."""
    base = ((-1.0, 5.0), (9.5, -0.25), (30.0, -0.25))
    search = BlockSearch(base, (0.0, 6.0), (4.0, 10.0), (0.7, 0.9, 1.1), (0.2, 0.4, 0.6))
    found = analyse(bank(5.0), search, "janbu")

    assert set(found.rejected) <= {"does not cut the ground", "not converged"}
    assert found.factor < 1.2205


@pytest.mark.parametrize("method", ["janbu", "spencer"])
def test_line_that_nothing_drives_is_refused_by_its_force(method: Any) -> None:
    trough = Surface(((-18.0, 5.0), (-14.0, 3.0), (-10.0, 5.0)))
    with pytest.raises(SlipError, match="no driving force"):
        analyse(bank(5.0), trough, method)


def test_line_held_by_the_reinforcement_alone_is_refused() -> None:
    layer = Reinforcement("layer", 1.0, -20.0, 8.0, 500.0, 1e4, 1e4)
    line = Surface(((-3.0, 5.0), (2.0, 0.5), (9.0, 0.5)))
    with pytest.raises(SlipError, match="held by the reinforcement alone"):
        analyse(replace(bank(5.0), reinforcement=(layer,)), line, "janbu")


@pytest.mark.parametrize("method", ["janbu", "spencer", "morgenstern-price"])
def test_corner_given_twice_changes_nothing(method: Any) -> None:
    """Pieces without a length took slices from the others: 2.064 for 2.046."""
    once = ((-5.0, 5.0), (-2.0, -1.0), (9.0, -1.0), (12.0, 0.0))
    often = (once[0], *[once[1]] * 5, *once[2:])

    assert analyse(wet(), Surface(often), method).factor == approx(
        analyse(wet(), Surface(once), method).factor, rel=1e-12
    )


def banded(*bands: tuple[float, float], c_u: float = 2.0) -> Model:
    """Clay with thin bands of other strength between levels."""
    clay, other = Soil("clay", 17.0, 17.0, c_u=25.0), Soil("band", 17.0, 17.0, c_u=c_u)
    layers = [Layer(clay)]
    for top, bottom in bands:
        layers += [Layer(other, ((-20.0, top), (30.0, top))), Layer(clay, ((-20.0, bottom), (30.0, bottom)))]
    return Model(((-20.0, 5.0), (0.0, 5.0), (10.0, 0.0), (30.0, 0.0)), tuple(layers), -12.0)


@pytest.mark.parametrize("method", ["janbu", "spencer"])
@pytest.mark.parametrize("slices", [20, 31, 50])
def test_thin_band_is_seen_by_a_line_with_few_slices(method: Any, slices: int) -> None:
    """Faces lie where a line passes into another soil: 0.3 m of band on a line of 20 m, between the slices before."""
    model = banded((-0.5, -0.8), c_u=300.0)
    line = Surface(((-6.0, 5.0), (3.0, -3.0), (9.0, -3.0), (16.0, 0.0)))
    fine = analyse(model, line, method, slices=4000).factor

    assert analyse(model, line, method, slices=slices).factor == approx(fine, rel=5e-3)


@pytest.mark.parametrize("slices", [30, 40, 50])
def test_bands_beside_the_exit_of_a_circle_are_seen(slices: int) -> None:
    """Three changes of the ground in the last slice: each has its face (the first two were lost)."""
    model = banded((-0.04, -0.10), c_u=600.0)
    circle = Circle(6.0, 8.0, 12.0)
    fine = analyse(model, circle, slices=2000).factor

    assert analyse(model, circle, slices=slices).factor == approx(fine, rel=4e-3)


def test_places_in_one_slice_have_faces_of_their_own() -> None:
    for places in ([0.1, 0.2, 0.3], [5.1, 5.2, 5.3], [9.1, 9.5, 9.9], [0.2, 9.7, 9.8], [7.7, 8.9, 9.1, 9.2]):
        faces = _nearest_faces(np.array([places]).T, 10)[:, 0]

        assert all(one < other for one, other in pairwise(faces))
        assert 1 <= faces.min() <= faces.max() <= 9


def test_places_closer_than_a_thousandth_of_a_slice_share_a_face() -> None:
    assert _nearest_faces(np.array([[3.2], [3.2005], [np.inf]]), 10)[:, 0].tolist() == [3, 3, 0]


def test_lines_are_cut_alone_as_they_are_beside_others() -> None:
    """A circle or a line through many layers has more slices than are wished for; one through few keeps its own."""
    ground = compile_ground(banded(*((-0.4 * k, -0.4 * k - 0.2) for k in range(9)), c_u=60.0))
    wish = Wish("bishop", slices=8)
    x, y, r = np.array([[6.0, 8.0, 13.0], [6.0, 8.0, 9.5], [6.0, 8.0, 11.0]]).T
    px, py = np.array([[-6.0, -6.0], [3.0, 3.0], [16.0, 12.0]]), np.array([[5.0, 5.0], [-4.0, -0.3], [0.0, 0.0]])

    together = factors_of_circles(ground, x, y, r, wish).factor
    alone = [factors_of_circles(ground, x[k : k + 1], y[k : k + 1], r[k : k + 1], wish).factor[0] for k in range(3)]
    assert together.tolist() == alone
    wish = replace(wish, method="janbu")
    together = factors_of_lines(ground, px, py, wish).factor
    assert together.tolist() == [factors_of_lines(ground, px[:, [k]], py[:, [k]], wish).factor[0] for k in range(2)]
    assert np.isfinite([*alone, *together]).all()


@pytest.mark.parametrize("surface", [Circle(6.0, 8.0, 13.0), Surface(((-6.0, 5.0), (3.0, -4.0), (16.0, 0.0)))])
def test_more_changes_of_the_ground_than_slices_get_more_slices(surface: Any) -> None:
    model = banded(*((-0.4 * k, -0.4 * k - 0.2) for k in range(9)), c_u=60.0)
    fine = analyse(model, surface, "janbu", slices=2000).factor
    few = analyse(model, surface, "janbu", slices=5)

    assert len(few.table.x) > 15
    assert few.factor == approx(fine, rel=0.03)


def test_complete_methods_do_not_take_tension_between_wedges_for_equilibrium() -> None:
    """The moment about an arbitrary centre hid it: by half a sine 1.27 with a pull of 900 kN/m for 1.67 by a press."""
    base = ((-40.0, -0.5), (40.0, -0.5))
    search = BlockSearch(base, (-8.0, 4.0), (4.0, 14.0), (0.8, 0.9, 1.0), (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9))
    sine = analyse(wet(), search, "morgenstern-price")

    assert sine.factor == approx(analyse(wet(), search, "spencer").factor, rel=0.03)
    assert sine.table.E_right.min() > -0.02 * sine.table.E_right.max()


def powerless(c_u: float) -> Model:
    """Fill on mud without strength, or nearly so."""
    fill, mud = Soil("fill", 19.0, 19.0, c_u=c_u), Soil("mud", 14.0, 14.0, c_u=c_u)
    surface = ((-30.0, 4.0), (0.0, 4.0), (8.0, 0.0), (30.0, 0.0))
    return Model(surface, (Layer(fill), Layer(mud, ((-30.0, 0.0), (30.0, 0.0)))), -6.0)


@pytest.mark.parametrize("method", ["bishop", "janbu", "spencer"])
def test_no_strength_and_nearly_none_have_their_own_words(method: Any) -> None:
    """Both were called not converged."""
    circle = Circle(4.0, 6.0, 9.0)
    with pytest.raises(SlipError, match="no strength on the slip surface"):
        analyse(powerless(0.0), circle, method)
    with pytest.raises(SlipError, match=r"factor below 0\.1"):
        analyse(powerless(0.003), circle, method)
    with pytest.raises(SlipError, match=r"no strength on the slip surface"):
        analyse(powerless(0.0), Surface(((-4.0, 4.0), (2.0, -2.0), (12.0, 0.0))), "janbu")


def test_search_does_not_pass_over_circles_without_strength() -> None:
    """They are the worst there are: a factor of 0, not a circle less to look at."""
    model = powerless(20.0)
    fill, mud = model.layers[0].soil, replace(model.layers[1].soil, c_u=0.0)
    bench = ((-30.0, 4.0), (0.0, 4.0), (8.0, 0.0), (12.0, 0.0), (18.0, -3.0), (40.0, -3.0))
    soft = Layer(mud, ((-30.0, 0.0), (12.0, 0.0), (18.0, -3.0), (40.0, -3.0)))
    with pytest.raises(SlipError, match=r"of \d+ slip circles have no strength .* centre"):
        analyse(Model(bench, (Layer(fill), soft), -9.0), Search())


def test_block_search_does_not_pass_over_blocks_without_strength() -> None:
    base = ((-30.0, -0.5), (30.0, -0.5))
    with pytest.raises(SlipError, match=r"of \d+ translational mechanisms have no strength"):
        analyse(powerless(0.0), BlockSearch(base, (-4.0, 2.0), (6.0, 12.0), (0.9,), (0.5,)), "janbu")

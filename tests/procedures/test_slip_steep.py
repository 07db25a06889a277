"""Steep slopes: every stretch of a circle below the ground, toe circles that go on falling at their exit."""

from dataclasses import replace
from math import radians, tan
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import Circle, Crack, Layer, Model, Search, SlipError, Soil, analyse
from tests.references.reader import rows

approx = pytest.approx
HEIGHT = 10.0


def cut(slope_deg: float, phi: float = 0.0, c: float = 50.0) -> Model:
    """A cut 10 m high in one soil; a vertical one falls over a millimetre."""
    run = 1e-3 if slope_deg == 90 else HEIGHT / tan(radians(slope_deg))
    surface = ((-80.0, HEIGHT), (0.0, HEIGHT), (run, 0.0), (run + 80.0, 0.0))
    soil = Soil("clay", 20.0, 20.0, c=c, phi=phi) if phi else Soil("clay", 20.0, 20.0, c_u=c)
    return Model(surface, (Layer(soil),), -5.0)


def toe_circle(slope_deg: float) -> float:
    """Least stability number c / (F γ H) over circles through the toe, with φ = 0: arc length times radius over the
    moment of the weight, by columns of ground in plain arithmetic; independent of the program.
    """
    run = 0.0 if slope_deg == 90 else HEIGHT / tan(radians(slope_deg))
    best = 0.0
    for behind in np.linspace(0.3, 1.6, 66) * HEIGHT:
        for deep in np.linspace(0.02, 0.4, 39):
            chord = np.hypot(run + behind, HEIGHT)
            sagitta = deep * chord
            r = chord**2 / (8 * sagitta) + sagitta / 2
            x = (run - behind) / 2 + HEIGHT / chord * (r - sagitta)
            y = HEIGHT / 2 + (run + behind) / chord * (r - sagitta)
            place = np.linspace(-behind, run, 4001)
            middle = (place[1:] + place[:-1]) / 2
            ground = np.where(middle < 0, HEIGHT, HEIGHT - HEIGHT * middle / max(run, 1e-9))
            depth = ground - y + np.sqrt(np.maximum(r**2 - (middle - x) ** 2, 0.0))
            if y < HEIGHT or depth.min() < -1e-6:
                continue
            moment = np.sum(depth * (x - middle)) * (place[1] - place[0])
            arc = 2 * np.arcsin(chord / (2 * r)) * r
            best = max(best, moment / (arc * r) / HEIGHT)
    return best


@pytest.mark.parametrize("row", rows("slip_taylor_1937", "toe"), ids=lambda row: f"{row.slope_deg:g}")
def test_toe_circle_matches_taylor_1937(row: SimpleNamespace) -> None:
    """Stability numbers of steep slopes, from memory: half of the last digit and 0.3 %. 90° was 0.228 for 0.261."""
    N = 50.0 / (20.0 * HEIGHT * analyse(cut(row.slope_deg), Search(counts=(15, 15, 15))).factor)

    assert approx(row.printed, abs=0.0005 + 0.003 * row.printed) == N


@pytest.mark.parametrize("slope_deg", [60.0, 70.0, 80.0, 90.0])
def test_search_finds_the_least_toe_circle(slope_deg: float) -> None:
    """No higher than the closed form over circles through the toe (70° was 0.2 %, 80° 1.5 %, 90° 14 % too high)."""
    found = analyse(cut(slope_deg), Search(counts=(15, 15, 15)))

    assert 50.0 / (20.0 * HEIGHT * found.factor) == approx(toe_circle(slope_deg), rel=2e-3)


def test_toe_circle_ends_at_the_toe_above_its_lowest_point() -> None:
    found = analyse(cut(80.0), Search())
    assert isinstance(found.surface, Circle)

    assert found.exit == approx((HEIGHT / tan(radians(80.0)), 0.0), abs=0.01)
    assert found.surface.x > found.exit[0] + 1.0
    assert found.surface.y - found.surface.r < -0.5


@pytest.mark.parametrize("lift", [0.0, 1e-12, 0.05])
def test_circle_through_the_toe_slides_on_the_stretch_above_it(lift: float) -> None:
    """Asked for by itself, through the corner to the last digit or a little above: the stretch that ends there."""
    run = HEIGHT / tan(radians(80.0))
    circle = Circle(8.73561363421762, 17.763909580192593, float(np.hypot(8.73561363421762 - run, 17.763909580192593)))
    found = analyse(cut(80.0), replace(circle, y=circle.y + lift))

    assert found.exit == approx((run, 0.0), abs=0.06)
    assert found.factor == approx(1.0813, rel=0.01)


def test_each_stretch_of_a_circle_is_held_to_the_ranges_by_itself() -> None:
    """The same circle slides at its upper stretch, or on the foot where nothing drives."""
    circle = Circle(8.7, 17.8, 19.1)
    search = Search((8.6, 8.8), (17.7, 17.9), (-1.4, -1.2), (2, 2, 2), refine=False, extend=0)
    with pytest.raises(SlipError, match="no driving moment"):
        analyse(cut(80.0), replace(search, entry=(0.0, 10.0)))

    assert analyse(cut(80.0), replace(search, exit=(0.0, 3.0))).factor == approx(
        analyse(cut(80.0), circle).factor, rel=0.02
    )


def test_crack_begins_on_every_stretch() -> None:
    """A cracked toe circle: the crack takes strength away, at 80° as on a flatter slope."""
    whole, cracked = (analyse(one, Search()) for one in (cut(80.0), replace(cut(80.0), crack=Crack(2.0))))

    assert cracked.entry[1] == approx(HEIGHT - 2.0)
    assert cracked.exit[1] == approx(0.0, abs=0.05)
    assert cracked.factor < whole.factor


def test_steep_entry_without_friction_is_no_reason_against_a_circle() -> None:
    """Strength that no normal force enters: m_α is of no account, which kept steep undrained circles out."""
    model = cut(60.0)
    steep = Circle(6.0, 10.5, 11.8)
    found = analyse(model, steep)
    t = found.table

    assert t.m_alpha.min() < 0.2
    assert found.factor == approx(np.sum(50.0 * t.l) / np.sum(t.W * np.sin(t.alpha)), rel=1e-5)


@pytest.mark.parametrize("method", ["ordinary", "bishop", "janbu"])
def test_both_sides_of_a_bank_are_looked_at_by_one_circle(method: Any) -> None:
    """A circle that cuts a bank and a heap behind it: the one that slides decides, not the wider one."""
    surface = ((-40.0, 6.0), (0.0, 6.0), (6.0, 0.0), (12.0, 0.0), (14.0, 3.0), (60.0, 3.0))
    model = Model(surface, (Layer(Soil("clay", 18.0, 18.0, c=8.0, phi=0.3)),), -10.0)
    found = analyse(model, Circle(12.0, 12.5, 13.2), method)

    assert found.exit[0] < 8.0

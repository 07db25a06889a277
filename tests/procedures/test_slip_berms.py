"""Laws of a berm in the slip engine alone: a counterweight below the centre, a load above it."""

from dataclasses import replace
from math import sqrt

import pytest

from calc.chapters.shared.zones import line_below_level
from calc.procedures.slip import Circle, Layer, Model, Soil, analyse
from calc.procedures.slip.mirror import mirrored_model

approx = pytest.approx
GAMMA, C_U, H = 19.0, 20.0, 5.0
TOE, CIRCLE = 10.0, Circle(6.0, 7.0, sqrt((10.0 - 6.0) ** 2 + 7.0**2))
"""Crest edge at 0, slope 1:2, and a circle through the toe of the slope."""


def bank(*berm: tuple[float, float]) -> Model:
    """Undrained fill and ground of one strength."""
    soil = Soil("clay", GAMMA, GAMMA, c_u=C_U)
    surface = ((-40.0, H), (0.0, H), *(berm or ((TOE, 0.0),)), (60.0, 0.0))
    return Model(surface, (Layer(soil),), -20.0)


BERM = ((7.0, 1.5), (16.0, 1.5), (20.0, 0.0))
"""1.5 m high, from the slope at 7 m to its edge at 16 m."""


def test_berm_lowers_the_driving_moment_by_its_weight_times_its_arm() -> None:
    """Over the circle the berm lies beside the slope from 7 m to where the circle meets its top; the circle's own arc
    grows by the piece within the berm, which resists as well."""
    plain, beside = (analyse(one, CIRCLE, "bishop", slices=4000) for one in (bank(), bank(*BERM)))
    # The circle through the toe leaves the berm at its top: x of the circle at 1.5 m.
    out = CIRCLE.x + sqrt(CIRCLE.r**2 - (CIRCLE.y - 1.5) ** 2)
    steps = 200_000
    moment, width = 0.0, (out - 7.0) / steps
    for k in range(steps):
        x = 7.0 + (k + 0.5) * width
        circle = CIRCLE.y - sqrt(CIRCLE.r**2 - (x - CIRCLE.x) ** 2)
        below = max(circle, H - x / 2 if x < TOE else 0.0)
        moment += GAMMA * (1.5 - below) * (CIRCLE.x - x) * width

    assert beside.driving == approx(plain.driving + moment, rel=1e-4)
    assert beside.driving < plain.driving
    assert beside.resisting > plain.resisting
    assert beside.factor > plain.factor


def test_fill_above_the_centre_of_the_circle_lowers_the_factor() -> None:
    """The direction: the same weight uphill of the centre drives."""
    higher = ((-40.0, H + 1.5), (-1.0, H + 1.5), (0.0, H), (TOE, 0.0), (60.0, 0.0))

    assert analyse(replace(bank(), surface=higher), CIRCLE).factor < analyse(bank(), CIRCLE).factor


def test_bank_with_a_berm_and_its_mirror_image_have_the_same_factor() -> None:
    right = analyse(bank(*BERM), CIRCLE)
    left = analyse(mirrored_model(bank(*BERM)), Circle(-CIRCLE.x, CIRCLE.y, CIRCLE.r), direction="left")

    assert left.factor == approx(right.factor, rel=1e-12)


def test_berm_without_height_is_none() -> None:
    low = ((TOE - 2e-9, 1e-9), (TOE + 8.0, 1e-9), (TOE + 8.0 + 2e-9, 0.0))

    assert analyse(bank(*low), CIRCLE).factor == approx(analyse(bank(), CIRCLE).factor, rel=1e-6)


def test_layer_below_a_level_follows_the_outline_where_that_is_lower() -> None:
    """Both slopes and a berm whose top lies above and below the level."""
    outline = ((-20.0, 0.0), (-16.0, 1.5), (-7.0, 1.5), (0.0, 5.0), (10.0, 5.0), (20.0, 0.0))

    x, y = zip(*line_below_level(outline, 1.0), strict=True)
    assert x == approx((-20.0, -20.0 + 8 / 3, -16.0, -7.0, 0.0, 10.0, 18.0, 20.0))
    assert y == (0.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.0)
    assert line_below_level(outline, 1.5)[1:3] == ((-16.0, 1.5), (-7.0, 1.5))
    assert line_below_level(outline, 9.0) == outline

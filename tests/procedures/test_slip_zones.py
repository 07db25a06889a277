"""Zones of another column grid in the slip engine: laws against one grid everywhere."""

from dataclasses import replace
from typing import Literal

import pytest

from calc.procedures.slip import Bending, Circle, Columns, Grid, Model, SlipError, analyse, columns_cut, stress_shares
from calc.procedures.slip.mirror import mirrored_model
from tests.procedures.slip_cases import r1, with_columns

CIRCLE = Circle(6.0, 12.0, 18.0)
DENSE, WIDE = 0.22, 0.10
MODES: tuple[Literal["strict", "averaged"], ...] = ("strict", "averaged")


def field(model: Model) -> Columns:
    assert model.columns is not None
    return model.columns


def zoned(model: Model, *zones: tuple[float, float, float]) -> Model:
    """Zones from x to x with an area ratio and the stress ratio 3."""
    grids = tuple(Grid(low, high, a, *stress_shares(3.0, a)) for low, high, a in zones)
    return replace(model, columns=replace(field(model), zones=grids))


def everywhere(model: Model, a: float) -> Model:
    mu_s, mu_c = stress_shares(3.0, a)
    return replace(model, columns=replace(field(model), a_E=a, mu_s=mu_s, mu_c=mu_c))


def bank(mode: str = "strict") -> Model:
    return everywhere(with_columns(r1(), mode), WIDE)


def bent(model: Model) -> Model:
    own = field(model)
    return replace(model, columns=replace(own, bending=Bending(0.8, own.y_toe + 0.5)))


@pytest.mark.parametrize("mode", MODES)
def test_zones_that_cover_the_field_are_one_grid_everywhere(mode: str) -> None:
    """By either model of the columns; the strips are cut at the borders, which moves faces of slices alone."""
    own = field(bank(mode))
    middle = (own.x_left + own.x_right) / 2

    covered = zoned(bank(mode), (own.x_left, middle, DENSE), (middle, own.x_right, DENSE))

    assert analyse(covered, CIRCLE, slices=400).factor == pytest.approx(
        analyse(everywhere(bank(mode), DENSE), CIRCLE, slices=400).factor, rel=1e-4
    )


def test_a_zone_with_the_grid_of_the_field_changes_no_more_than_the_faces_of_slices() -> None:
    assert analyse(zoned(bank(), (2.0, 9.0, WIDE)), CIRCLE, slices=400).factor == pytest.approx(
        analyse(bank(), CIRCLE, slices=400).factor, rel=1e-4
    )


@pytest.mark.parametrize("model", [bank(), bank("averaged"), bent(bank())])
def test_a_denser_zone_holds_more_where_the_surface_cuts_it_and_nothing_elsewhere(model: Model) -> None:
    """Between the wide and the dense grid everywhere; a zone beyond the ends of the circle is not felt."""
    wide, part, dense = (
        analyse(one, CIRCLE, slices=200).factor
        for one in (model, zoned(model, (2.0, 9.0, DENSE)), everywhere(model, DENSE))
    )
    own = field(model)
    first = analyse(model, CIRCLE, slices=200).points[0][0]

    assert wide < part < dense
    assert first > own.x_left + 0.5
    beyond = zoned(model, (own.x_left, first - 0.2, DENSE))
    assert analyse(beyond, CIRCLE, slices=200).factor == pytest.approx(wide, rel=1e-4)


def test_columns_cut_have_the_share_of_their_own_zone() -> None:
    """Width of the column parts over that of their slices, in the zone and outside it."""
    model = zoned(bent(bank()), (2.0, 9.0, DENSE))
    found = analyse(model, CIRCLE, slices=60)
    rows, _ = columns_cut(model, found)
    x, share = found.table.x[rows], found.table.b[rows] / (found.table.b[rows] + found.table.b[rows - 1])

    inside = (x > 2.0) & (x < 9.0)
    assert inside.any()
    assert (~inside).any()
    assert share[inside] == pytest.approx(DENSE)
    assert share[~inside] == pytest.approx(WIDE)


def test_mirror_image_has_the_same_factor() -> None:
    model = zoned(bank(), (2.0, 6.0, DENSE), (6.0, 9.0, 0.3))
    other = Circle(-CIRCLE.x, CIRCLE.y, CIRCLE.r)

    assert analyse(mirrored_model(model), other, direction="left").factor == pytest.approx(
        analyse(model, CIRCLE).factor, rel=1e-12
    )


@pytest.mark.parametrize(("change", "message"), [
    ({"a_E": 1.0}, r"columns\.zones\[0\]\.a_E must be above 0"),
    ({"mu_s": 0.5}, r"columns\.zones\[0\]\.mu_s and mu_c must carry the whole stress"),
    ({"x_left": -100.0}, r"columns\.zones\[0\] must lie in the field \(got x = -100 to 9\)"),
])  # fmt: skip
def test_an_impossible_zone_is_refused(change: dict[str, float], message: str) -> None:
    model = zoned(bank(), (2.0, 9.0, DENSE))
    own = field(model)

    with pytest.raises(SlipError, match=message):
        analyse(replace(model, columns=replace(own, zones=(replace(own.zones[0], **change),))), CIRCLE)

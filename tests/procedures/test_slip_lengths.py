"""Columns of another length in a zone of the slip engine: what a surface below their toes meets, and their feet."""

from dataclasses import replace

import numpy as np
import pytest

from calc.procedures.slip import Circle, Grid, Model, SlipError, analyse, columns_cut, stress_shares
from calc.procedures.slip.base_stress import columns_at
from calc.procedures.slip.mirror import mirrored_model
from calc.procedures.slip.vertical_strips import compile_ground
from tests.procedures.test_slip_zones import CIRCLE, DENSE, WIDE, bank, bent, field, zoned

LEFT, RIGHT = 2.0, 10.0  # to the outermost columns of the case


def short(model: Model, toe: float, *, firm: float | None = None, held: float = 0.0, n: float = 3.0) -> Model:
    """The last metres of the field with the same grid and other toes; above firm ground nothing holds them."""
    own = Grid(LEFT, RIGHT, WIDE, *stress_shares(n, WIDE), toe, toe if firm is None else firm, held)
    return replace(model, columns=replace(field(model), zones=(own,)))


def factor(model: Model, circle: Circle = CIRCLE) -> float:
    return analyse(model, circle, slices=200).factor


def test_toes_at_the_level_of_the_others_change_nothing() -> None:
    model = bent(bank())
    own = field(model)
    assert own.bending is not None
    alike = short(model, own.y_toe, firm=own.bending.y_firm)

    assert factor(alike) == factor(zoned(model, (LEFT, RIGHT, WIDE)))


def test_a_surface_below_short_columns_meets_soil_alone() -> None:
    """As where the field ends before them: the soil carries the whole load there."""
    model = bent(bank())
    lowest = min(y for _, y in analyse(model, CIRCLE, slices=200).points)
    ends = replace(model, columns=replace(field(model), x_right=LEFT))
    nearly_none = short(model, field(model).y_top - 1e-6, n=1.0)

    assert lowest < -5.0
    assert factor(nearly_none) == pytest.approx(factor(ends), rel=2e-4)
    assert factor(nearly_none) < factor(model)


def test_longer_columns_never_hold_less() -> None:
    model = bent(bank())
    found = [factor(short(model, toe, n=1.0)) for toe in (-0.5, -2.0, -4.0, -6.0, field(model).y_toe)]

    assert found == sorted(found)
    assert found[-1] > found[0]


def test_no_column_is_cut_below_its_toe_and_above_it_the_ground_bears_down_to_it() -> None:
    """The circle rises through the level of the toes within the zone."""
    toe = -5.8
    model = short(bent(bank()), toe)
    found = analyse(model, CIRCLE, slices=60)
    rows, cut = columns_cut(model, found)
    x, y = found.table.x[rows], found.table.y_base[rows]
    inside = (x > LEFT) & (x < RIGHT)

    assert inside.any()
    assert inside.sum() < ((found.table.x > LEFT) & (found.table.x < RIGHT)).sum() / 2
    assert (y[inside] > toe).all()
    assert cut.below[inside] == pytest.approx(y[inside] - toe)
    assert (cut.held[inside] == 0).all()


def test_the_embedment_of_a_zone_holds_its_own_columns() -> None:
    """Twice as deep in firm ground as elsewhere: cut half-way down it, half of its force is left below the cut."""
    model = bent(bank())
    own = field(model)
    assert own.bending is not None
    firm = own.bending.y_firm
    ground = compile_ground(short(model, firm - 1.0, firm=firm, held=40.0))
    x, y = np.array([0.0, 5.0, 5.0]), np.array([firm - 0.25, firm - 0.5, firm + 1.0])

    cut = columns_at(ground, x, y, np.ones(3))

    assert cut.held == pytest.approx([0.0, 20.0, 40.0])
    assert cut.below == pytest.approx([0.0, 0.0, 1.0])


def test_mirror_image_with_short_columns_has_the_same_factor() -> None:
    model = short(bent(bank()), -3.0)
    other = Circle(-CIRCLE.x, CIRCLE.y, CIRCLE.r)

    assert analyse(mirrored_model(model), other, direction="left").factor == pytest.approx(
        analyse(model, CIRCLE).factor, rel=1e-12
    )


@pytest.mark.parametrize(("change", "message"), [
    ({"held": None}, "must have y_toe, y_firm and held together or none of them"),
    ({"y_toe": 1.0, "y_firm": 1.0}, r"columns\.zones\[0\]\.y_toe must be"),
    ({"y_firm": -4.0}, r"columns\.zones\[0\]\.y_firm must be"),
    ({"held": -1.0}, r"columns\.zones\[0\]\.held must be"),
])  # fmt: skip
def test_an_impossible_length_is_refused(change: dict[str, float | None], message: str) -> None:
    model = short(bent(bank()), -3.0)
    own = field(model)

    with pytest.raises(SlipError, match=message):
        analyse(replace(model, columns=replace(own, zones=(replace(own.zones[0], **change),))), CIRCLE)  # type: ignore[arg-type]


def test_a_length_is_refused_beside_toes_along_a_line() -> None:
    model = short(bent(bank()), -3.0)
    own, ends = field(model), (model.surface[0][0], model.surface[-1][0])
    line = tuple((x, own.y_toe) for x in ends)

    with pytest.raises(SlipError, match="no line of toes or firm layer"):
        analyse(replace(model, columns=replace(own, toes=line)), CIRCLE)


def test_a_denser_zone_may_have_the_toes_of_the_rest() -> None:
    """Without a length of its own it has them, whatever another zone has."""
    model = short(bent(bank()), -3.0)
    own = Grid(-4.0, LEFT, DENSE, *stress_shares(3.0, DENSE))
    both = replace(model, columns=replace(field(model), zones=(own, *field(model).zones)))

    assert factor(both) > factor(model)

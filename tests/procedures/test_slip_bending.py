"""Columns of a slip surface that bend: fused over bases and by the registered formulas; limits and refusals."""

from dataclasses import replace
from math import cos, pi, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from calc.formulas import bending as be
from calc.formulas.ground import passive_coefficient
from calc.procedures.slip import (
    Bending,
    Circle,
    Columns,
    Layer,
    Model,
    SlipError,
    Soil,
    Strip,
    analyse,
    columns_cut,
)
from tests.procedures.slip_cases import R1_CIRCLE, r1, wet, with_columns

approx = pytest.approx
D, A_C = 0.8, pi * 0.8**2 / 4
BEND = Bending(D, y_firm=-18.0, held=20.0)


def bent(model: Model, bending: Bending = BEND, **other: float) -> Model:
    """A column field that bends, with its toe half a metre below the firm layer's top."""
    model = with_columns(model)
    assert model.columns is not None
    return replace(model, columns=replace(model.columns, y_toe=bending.y_firm - 0.5, bending=bending, **other))  # type: ignore[arg-type]


def field_of(model: Model) -> Columns:
    assert model.columns is not None
    return model.columns


def by_formulas(field: Columns, y: float, alpha: float, sigma: float, p: float) -> tuple[float, float]:
    """κ and the shear strength over the area of the columns, line by line."""
    bend = field.bending
    assert bend is not None
    N = be.column_force_at_cut(A_C, sigma)
    M = be.kern_moment(N, D)
    friction = be.column_friction(N, field.phi)
    lengths = be.shear_by_lengths(p, field.y_top - y, y - bend.y_firm, bend.held)
    V = be.column_shear_with_lengths(friction, be.bending_shear(M, p), lengths)
    kappa = be.friction_reduction(field.reduction, V, friction)
    tau = be.column_resistance_on_surface(field.a_E, kappa, sigma, field.phi, alpha)
    return float(kappa), float(tau) / field.a_E


def test_every_column_of_the_table_is_recomputed_by_the_registered_formulas() -> None:
    """Undrained ground, a given reduction of 0.9, one factor on all weights, a part of the embankment not counted."""
    factor, share = 1.35, 0.9
    model = bent(r1(), replace(BEND, factor=factor, share=share), reduction=0.9)
    field = field_of(model)
    found = analyse(model, R1_CIRCLE, "bishop")
    rows, cut = columns_cut(model, found)
    t = found.table

    assert len(rows) > 10
    for k, row in enumerate(rows):
        height = np.clip(5.0 - t.x[row] / 2, 0.0, 5.0)  # of the fill above: traffic is not counted
        depth = -t.y_base[row]
        sigma = (15.0 * depth + field.mu_c * share * 19.0 * height) / factor
        p = be.lateral_resistance(6.0 + 1.2 * depth, D)
        kappa, tau = by_formulas(field, t.y_base[row], t.alpha[row], sigma, p)
        assert cut.stress[k] == approx(sigma, rel=1e-9)
        assert cut.lateral[k] == approx(p, rel=1e-9)
        assert cut.kappa[k] == approx(kappa, rel=1e-9)
        assert t.c[row] == approx(tau, rel=1e-9)
        assert t.phi[row] == 0.0
    assert len(set(np.round(cut.kappa, 6))) > 5


def test_columns_of_a_field_that_the_surface_of_a_result_does_not_cut_are_refused() -> None:
    """Those at the places that are left would stand in the rows of others."""
    model = bent(r1())
    result = analyse(model, R1_CIRCLE, "bishop")
    field = field_of(model)

    for other in (replace(field, y_top=field.y_top - 1.0), replace(field, x_right=(field.x_left + field.x_right) / 2)):
        with pytest.raises(SlipError, match="places of columns lie beside the field or above its heads"):
            columns_cut(replace(model, columns=other), result)


def test_drained_ground_bears_the_column_by_its_passive_pressure() -> None:
    model = bent(wet(), replace(BEND, y_firm=-9.0))
    field = field_of(model)
    found = analyse(replace(model, columns=replace(field, x_left=-20.0)), Circle(6.0, 9.0, 13.0), "bishop")
    rows, cut = columns_cut(model, found)
    t = found.table
    soil = np.array([t.W[row - 1] / t.b[row - 1] - t.u[row - 1] for row in rows])  # no traffic in this case

    K_p = passive_coefficient(radians(20))
    assert cut.lateral == approx(be.drained_lateral_resistance(K_p, soil, D), rel=1e-9)


def test_first_verification_case_in_a_slip_surface() -> None:
    """150 kPa in the column, c_u 10, level base far from both ends: κ 0.810 and V 32.95 kN over its area."""
    phi = np.arctan(tan(radians(34.0)) / 1.25)
    clay = Soil("clay", 10.0, 10.0, c_u=10.0)
    surface = ((-50.0, 0.0), (0.0, 0.0), (50.0, 0.0))
    a, mu_s = 0.15, 0.7692
    mu_c = (1 - (1 - a) * mu_s) / a
    field = Columns(-40.0, 40.0, 0.0, -19.0, a, mu_s, mu_c, 15.0, 15.0, float(phi), bending=BEND)
    model = Model(surface, (Layer(clay),), -20.0, columns=field, strips=(Strip(-50.0, 0.0, 20.0),))
    found = analyse(model, Circle(0.0, 5.0, 15.0), "bishop")
    rows, cut = columns_cut(model, found)
    level = int(np.argmin(np.abs(found.table.alpha[rows])))

    assert cut.stress[level] == approx(150.0, abs=0.5)  # 15 kN/m³ over 10 m; the traffic above is not counted
    assert cut.kappa[level] == approx(0.810, abs=2e-3)
    assert found.table.c[rows[level]] * A_C == approx(32.95, abs=0.1)


@pytest.mark.parametrize("method", ["bishop", "spencer", "morgenstern-price"])
def test_columns_that_bend_resist_less_than_friction_alone(method: str) -> None:
    free = analyse(with_columns(r1()), R1_CIRCLE, method)  # type: ignore[arg-type]
    capped = analyse(bent(r1()), R1_CIRCLE, method)  # type: ignore[arg-type]
    none = analyse(bent(r1(), phi=1e-9), R1_CIRCLE, method)  # type: ignore[arg-type]

    assert none.factor < capped.factor < free.factor


def test_traffic_does_not_strengthen_the_columns() -> None:
    model, lighter = bent(r1()), replace(bent(r1()), strips=())
    rows, loaded = columns_cut(model, analyse(model, R1_CIRCLE, "bishop"))
    others, free = columns_cut(lighter, analyse(lighter, R1_CIRCLE, "bishop"))

    assert rows.tolist() == others.tolist()
    assert loaded.strength == approx(free.strength, rel=1e-12)


def test_a_column_that_is_cut_at_its_head_or_without_embedment_at_its_base_resists_nothing() -> None:
    """The lengths above and below the cut bear the shear force."""
    model = bent(r1(), replace(BEND, y_firm=-6.0, held=0.0))
    rows, cut = columns_cut(model, analyse(model, R1_CIRCLE, "bishop"))
    near_head = int(np.argmin(cut.above))
    at_base = int(np.argmin(cut.below))

    assert cut.strength[near_head] <= cut.lateral[near_head] * cut.above[near_head] / A_C
    assert cut.strength[at_base] <= cut.lateral[at_base] * cut.below[at_base] / A_C + 1e-12
    held = bent(r1(), replace(BEND, y_firm=-6.0, held=1e3))
    _, more = columns_cut(held, analyse(held, R1_CIRCLE, "bishop"))
    assert more.strength[at_base] > cut.strength[at_base]
    assert len(rows) == len(cut.kappa)


def test_the_cohesion_of_the_sleeve_does_not_lift_the_cap_of_bending() -> None:
    plain, sleeved = bent(r1()), bent(r1(), c_eq=30.0)
    _, one = columns_cut(plain, analyse(plain, R1_CIRCLE, "bishop"))
    _, other = columns_cut(sleeved, analyse(sleeved, R1_CIRCLE, "bishop"))
    bending = one.kappa < 1 - 1e-9

    assert bending.any()
    assert other.strength[bending] == approx(one.strength[bending], rel=1e-12)


def test_the_mass_may_slide_to_the_left() -> None:
    from calc.procedures.slip.mirror import mirrored_model

    model = bent(r1())
    left = mirrored_model(model)
    found = analyse(left, Circle(-R1_CIRCLE.x, R1_CIRCLE.y, R1_CIRCLE.r), "bishop", direction="left")
    _, one = columns_cut(model, analyse(model, R1_CIRCLE, "bishop"))
    _, other = columns_cut(left, found)

    assert np.sort(other.kappa) == approx(np.sort(one.kappa), rel=1e-9)


def test_resistance_falls_with_the_square_of_the_cosine_of_the_base() -> None:
    field = replace(field_of(bent(r1())), reduction=0.5)
    _, flat = by_formulas(field, -5.0, 0.0, 150.0, 100.0)
    _, steep = by_formulas(field, -5.0, radians(60), 150.0, 100.0)

    assert steep == approx(flat * cos(radians(60)) ** 2)
    assert steep == approx(flat * (1 - sin(radians(60)) ** 2))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"diameter": 0.0}, "diameter"),
        ({"y_firm": -25.0}, "y_firm"),
        ({"held": -1.0}, "held"),
        ({"factor": 0.0}, "factor"),
        ({"share": 1.5}, "share"),
    ],
)
def test_bending_that_cannot_be_is_refused(change: dict[str, Any], words: str) -> None:
    model = bent(r1())
    field = replace(field_of(model), bending=replace(BEND, **change))

    with pytest.raises(SlipError, match=rf"columns\.bending\.{words}"):
        analyse(replace(model, columns=field), R1_CIRCLE, "bishop")

"""The fused equations are the registered formulas, and a loop over single slices in plain Python agrees with them."""

from dataclasses import replace
from math import isnan, radians
from typing import Any

import numpy as np
import pytest

from calc.formulas import slip
from calc.procedures.slip import (
    Bending,
    Circle,
    Crack,
    Layer,
    Model,
    Result,
    Soil,
    Strip,
    Surface,
    Water,
    analyse,
)
from calc.procedures.slip.evaluate import factors_of_circles
from calc.procedures.slip.vertical_strips import compile_ground
from calc.procedures.slip.wish import Wish
from tests.benchmarks.slip_circles import fused, looped
from tests.benchmarks.slip_loop import bishop
from tests.procedures.slip_cases import (
    FREDLUND_KRAHN_CIRCLE,
    R1_CIRCLE,
    fredlund_krahn,
    r1,
    wet,
    with_columns,
    with_tension,
)

approx = pytest.approx
COMPLETE = ("spencer", "morgenstern-price")


def shaken() -> Model:
    """Everything at once: water, earthquake, traffic, columns, reinforcement, a wet crack."""
    model = with_columns(wet())
    field = replace(model.columns, x_left=-20.0, y_toe=-9.0)  # type: ignore[type-var]
    return replace(
        with_tension(model, 60.0), columns=field, k_h=0.05, strips=(Strip(-30.0, 0.0, 13.0),), crack=Crack(0.6, 0.3)
    )


def bending() -> Model:
    """Columns that bend where the circle cuts them."""
    model = with_columns(r1())
    return replace(model, columns=replace(model.columns, bending=Bending(0.8, -18.0, 20.0)))  # type: ignore[type-var]


CASES = {
    "dry": (fredlund_krahn(1), FREDLUND_KRAHN_CIRCLE),
    "r_u": (fredlund_krahn(3), FREDLUND_KRAHN_CIRCLE),
    "water": (wet(), Circle(6.0, 9.0, 13.0)),
    "undrained": (r1(), R1_CIRCLE),
    "columns": (with_columns(r1()), R1_CIRCLE),
    "bending": (bending(), R1_CIRCLE),
    "averaged": (with_columns(r1(), "averaged"), R1_CIRCLE),
    "reinforced": (with_tension(r1(), 60.0), R1_CIRCLE),
    "all": (shaken(), Circle(6.0, 9.0, 13.0)),
    "hard": (replace(wet(), hard=((-40.0, -3.0), (40.0, -2.5))), Circle(6.0, 9.0, 13.0)),
}
CHECKED = [(name, method, form) for name in CASES for method in ("bishop", "janbu", *COMPLETE) for form in "AB"]


def shear_on_parts(result: Result) -> Any:
    """X_L − X_R of each slice, shared by the weights of its parts."""
    t = result.table
    if result.method not in COMPLETE:
        return np.zeros(len(t.index))
    lower = dict(zip(t.index.tolist(), t.X_right, strict=True))
    whole = np.array([lower.get(one - 1, 0.0) - lower[one] for one in t.index.tolist()])
    weight = np.bincount(t.index, weights=t.W)[t.index]
    return np.where(t.W < weight, slip.soil_share_of_shear(whole, t.W, weight - t.W), whole)


@pytest.mark.parametrize(("case", "method", "form"), CHECKED)
def test_slice_table_is_recomputed_by_the_registered_formulas(case: str, method: Any, form: Any) -> None:
    """Every row: length, m_α, normal and mobilised shear from the numbers beside them."""
    found = analyse(*CASES[case], method, form=form)
    t, F = found.table, found.factor / found.f_0
    normal = slip.base_normal(t.W, shear_on_parts(found), t.c, t.l, t.u, t.phi, t.alpha, F, t.m_alpha)
    strength = slip.base_resistance(t.c, t.l, t.N, t.u, t.phi)

    assert t.l == approx(slip.base_length(t.b, t.alpha), rel=1e-9)
    assert t.m_alpha == approx(slip.normal_factor(t.alpha, t.phi, F), rel=1e-9)
    assert t.N == approx(normal, rel=1e-6, abs=1e-6)
    assert t.S * F == approx(strength, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize(("case", "method", "form"), CHECKED)
def test_factor_is_recomputed_from_the_slice_table(case: str, method: Any, form: Any) -> None:
    """Sums over the table, the forces of the layers added by form A or B."""
    found = analyse(*CASES[case], method, form=form)
    t, F = found.table, found.factor / found.f_0
    tension = sum(force.force for force in found.forces)
    moment = sum(force.force * (found.centre[1] - force.level) for force in found.forces)
    strength = t.S * F
    if method != "bishop":
        H = t.H[np.unique(t.index, return_index=True)[1]].sum()
        by_slices = method in COMPLETE and form == "A"
        load = float(np.sum(t.N * np.sin(t.alpha)) + H) - (tension if form == "A" and not by_slices else 0.0)
        added = tension if form == "B" else 0.0
        assert (np.sum(strength * np.cos(t.alpha)) + added) / load == approx(F, rel=2e-6)
    if method != "janbu":
        down = found.centre[1] - t.y_base
        a_R = (found.centre[0] - t.x) * np.sin(t.alpha) + down * np.cos(t.alpha)
        M_Rb = slip.resisting_moment(strength, a_R)[0] + (moment if form == "B" else 0.0)
        assert found.resisting == approx(M_Rb, rel=1e-9)
        assert found.resisting / found.driving == approx(F, rel=2e-6)


@pytest.mark.parametrize("case", ["dry", "water", "undrained", "columns", "reinforced", "all", "hard"])
@pytest.mark.parametrize("method", COMPLETE)
def test_forces_between_slices_close(case: str, method: Any) -> None:
    """From face to face by the registered formula; the last one is free."""
    found = analyse(*CASES[case], method)
    t = found.table
    E = 0.0
    for one in np.unique(t.index):
        part = t.index == one
        N, S, alpha = t.N[part], t.S[part], t.alpha[part][0]
        E = float(slip.lower_face(E, N.sum(), alpha, S.sum(), 1.0, t.H[part][0]))
        assert approx(t.E_right[part][0], rel=1e-6, abs=1e-5) == E
    assert approx(0.0, abs=1e-3) == E


def test_bishop_and_ordinary_factors_are_those_of_the_registered_equations() -> None:
    """A whole circle in one soil with water; the ordinary method's normals are those of its own equation."""
    found = analyse(*CASES["water"])
    t = found.table
    given = {"c": t.c, "W_i": t.W, "u_i": t.u, "phi": t.phi, "alpha_b": t.alpha, "M_e": 0.0, "R_sl": 13.0}
    plain = analyse(*CASES["water"], "ordinary")

    assert slip.bishop_safety(b_i=t.b, m_alpha=t.m_alpha, **given)[0] == approx(found.factor, rel=1e-6)
    assert slip.ordinary_safety(l_i=t.l, **given)[0] == approx(plain.factor, rel=1e-6)


def test_moment_factor_without_shear_is_bishop_and_force_factor_is_janbu() -> None:
    """Identities of the general formulation, on the same slices, through the same equations as Spencer."""
    from calc.procedures.slip import solve
    from calc.procedures.slip.analysis import lines_of_circle

    for case in ("water", "columns", "all"):
        model, circle = CASES[case]
        p = lines_of_circle(compile_ground(model), circle, Wish("spencer")).problem
        none = np.zeros((len(p.function) - 1, 1))
        for method, factor in (("bishop", solve.moment_factor), ("janbu", solve.force_factor)):
            found = analyse(model, circle, method)  # type: ignore[arg-type]
            F = np.array([found.factor / found.f_0])
            assert factor(p, F, none)[0] == approx(F[0], rel=2e-6)


def test_spencer_is_morgenstern_price_with_a_constant_function(monkeypatch: pytest.MonkeyPatch) -> None:
    from calc.procedures.slip import evaluate

    spencer = analyse(*CASES["water"], "spencer")
    monkeypatch.setattr(evaluate, "_function", lambda base, _: np.ones((len(base.x) + 1, base.x.shape[1])))

    assert analyse(*CASES["water"], "morgenstern-price").factor == approx(spencer.factor, rel=1e-9)


def test_half_sine_is_the_course_of_the_shear_between_slices() -> None:
    found = analyse(*CASES["water"], "morgenstern-price")
    t = found.table
    x_f = np.cumsum(t.b)
    f_X = slip.half_sine(x_f, x_f[-1])

    assert t.X_right[:-1] == approx(slip.interslice_shear(found.lam, f_X, t.E_right)[:-1], rel=1e-6)


@pytest.mark.parametrize("method", ["janbu", "spencer", "morgenstern-price"])
def test_circle_as_a_line_of_straight_pieces_has_the_same_factor(method: Any) -> None:
    """Another path through the program: other slices, moments about another centre."""
    model, circle = CASES["water"]
    found = analyse(model, circle, method, slices=200)
    line = Surface(found.points)

    assert analyse(model, line, method, slices=400).factor == approx(found.factor, rel=2e-3)


def test_circle_on_a_hard_layer_as_a_line_has_the_same_factor() -> None:
    model, circle = CASES["hard"]
    found = analyse(model, circle, "spencer", slices=200)

    assert min(y for _, y in found.points) > -3.01
    assert analyse(model, Surface(found.points), "spencer", slices=400).factor == approx(found.factor, rel=3e-3)
    assert found.factor != approx(analyse(wet(), circle, "spencer").factor, rel=0.01)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_plane_surface_has_its_closed_form(share: float) -> None:
    """One plane: F = [c L + (W cos α − U) tan φ] / W sin α whatever acts between the slices; derived here."""
    soil = Soil("rock", 20.0, 20.0, c=5.0, phi=radians(30), r_u=0.2 * share)
    model = Model(((-20.0, 10.0), (0.0, 10.0), (8.0, 0.0), (30.0, 0.0)), (Layer(soil),), -5.0)
    plane = Surface(((-6.0, 10.0), (8.0, 0.0)))
    W, L, alpha = 20.0 * 0.5 * 6.0 * 10.0, np.hypot(14.0, 10.0), np.arctan2(10.0, 14.0)
    U = 0.2 * share * W / np.cos(alpha)
    F = (5.0 * L + (W * np.cos(alpha) - U) * np.tan(radians(30))) / (W * np.sin(alpha))

    assert analyse(model, plane, "spencer").factor == approx(F, rel=2e-3)


def test_fused_circles_agree_with_the_plain_loop() -> None:
    """10 000 slices one after the other; both stop at a change of 1e-6."""
    assert fused(200, 50).factor == approx(np.array(looped(200, 50)), rel=1e-6, nan_ok=True)


def layered(random: np.random.Generator) -> Model:
    """A drawn slope with three layers, some of them undrained or with r_u, water, traffic, earthquake."""
    soils = []
    for index in range(3):
        kind = random.integers(3)
        c_u: dict[str, Any] = (
            {"c_u": float(random.uniform(8, 30)), "c_u_growth": 1.0, "c_u_level": 0.0} if kind == 0 else {}
        )
        r_u: dict[str, Any] = {"r_u": float(random.uniform(0, 0.4))} if kind == 1 else {}
        soils.append(Soil(f"{index}", 17.0 + index, 18.5 + index, c=float(random.uniform(0, 15)),
                          phi=float(random.uniform(0.2, 0.6)), **c_u, **r_u))  # fmt: skip
    top, toe = float(random.uniform(3, 7)), float(random.uniform(6, 16))
    surface = ((-30.0, top), (0.0, top), (toe, 0.0), (40.0, 0.0))
    dip = float(random.uniform(-1, 1))
    table = ((-30.0, top - 1.5), (0.0, top - 2.5), (toe, -0.5), (40.0, -1.0))
    water = Water(table, random.choice(["vertical", "seepage"]))
    layers = (Layer(soils[0]), Layer(soils[1], ((-30.0, 0.0), (40.0, 0.0))),
              Layer(soils[2], ((-30.0, -3.0 + dip), (40.0, -3.0 - dip))))  # fmt: skip
    return Model(
        surface, layers, -14.0, water=water, strips=(Strip(-20.0, -1.0, 10.0),), k_h=float(random.choice([0, 0.08]))
    )


@pytest.mark.parametrize("seed", range(25))
def test_drawn_layers_and_water_agree_with_the_plain_loop(seed: int) -> None:
    random = np.random.default_rng(seed)
    model = layered(random)
    x, y = random.uniform(0, 12, 12), random.uniform(6, 16, 12)
    r = y + random.uniform(0.5, 8, 12)
    found = factors_of_circles(compile_ground(model), x, y, r, Wish("bishop", slices=30)).factor
    looped_ = np.array([bishop(model, *circle, 30) for circle in zip(x.tolist(), y.tolist(), r.tolist(), strict=True)])

    assert found == approx(looped_, rel=2e-6, nan_ok=True)
    assert not all(isnan(one) for one in found)

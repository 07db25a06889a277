"""Models and requests that cannot be analysed: every reason at once, and never a number or a traceback."""

from dataclasses import replace
from math import isfinite, nan, pi
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import (
    BlockSearch,
    Circle,
    Columns,
    Crack,
    Layer,
    Lens,
    Model,
    Reinforcement,
    Result,
    Search,
    SlipError,
    Soil,
    Strip,
    Surface,
    Water,
    analyse,
    required_force,
)
from calc.procedures.slip.model import Method
from tests.procedures.slip_cases import R1_CIRCLE, r1, wet, with_columns

SOIL = Soil("clay", 16.0, 17.0, c=5.0, phi=0.4)
LINE = ((-40.0, 1.0), (40.0, 1.0))
FIELD = Columns(-20.0, 5.0, 0.0, -8.0, 0.15, 1.0, 1.0, 18.0, 20.0, 0.5)
LAYER = Reinforcement("one", 0.0, -20.0, 10.0, 50.0, 0.3, 0.3)
BLOCKS = BlockSearch(((-20.0, -1.0), (20.0, -1.0)), (-8.0, 0.0), (6.0, 14.0), (1.0,), (0.5,))


def soil(**values: Any) -> dict[str, Any]:
    return {"layers": (Layer(replace(SOIL, **values)),)}


def top(*points: tuple[float, float]) -> dict[str, Any]:
    return {"layers": (Layer(SOIL), Layer(SOIL, points))}


def lens(*points: tuple[float, float]) -> dict[str, Any]:
    return {"lenses": (Lens(SOIL, points),)}


TRIANGLE = ((0.0, -1.0), (4.0, -1.0), (2.0, -3.0))
BAD_MODELS: list[tuple[dict[str, Any], str]] = [
    ({"surface": ((0.0, 1.0),)}, r"surface must be at least two points"),
    ({"surface": ((0.0, nan), (1.0, 0.0))}, r"finite numbers"),
    ({"surface": ((0.0, 1.0), (0.0, 0.0), (9.0, 0.0))}, r"surface must have growing x"),
    ({"layers": ()}, r"layers must hold at least one layer"),
    ({"layers": (Layer(SOIL, LINE),)}, r"layers\[0\]\.top must be left out"),
    ({"layers": (Layer(SOIL), Layer(SOIL))}, r"layers\[1\]\.top must be given"),
    (top((-40.0, 0.0), (0.0, 6.0), (40.0, 0.0)), r"layers\[1\]\.top must not cross the surface .* m above it"),
    ({"layers": (Layer(SOIL), Layer(SOIL, ((-40.0, 0.0), (40.0, 0.0))), Layer(SOIL, ((-40.0, -1.0), (40.0, 2.0))))},
     r"layers\[2\]\.top must not cross"),
    ({"bottom": 0.5}, r"bottom must be below every layer"),
    ({"bottom": nan}, r"bottom must be a finite number"),
    (soil(gamma=0.0), r"gamma must be above 0 \(got 0\)"),
    (soil(gamma_sat=-1.0), r"gamma_sat must be above 0"),
    (soil(c=-1.0), r"'clay' c must be at least 0 \(got -1\)"),
    (soil(phi=pi / 2), r"phi must be at least 0 and at most"),
    (soil(c_u=-3.0), r"c_u must be at least 0"),
    (soil(c_u=3.0, c_u_growth=1.0), r"c_u_level must be given"),
    (soil(c_u=3.0, c_u_level=nan), r"c_u_level must be a finite number"),
    (soil(c_u=3.0, c_u_growth=-1.0, c_u_level=0.0),
     r"c_u must stay above 0 down to the base of the soil at -12 \(got -9\)"),
    ({"lenses": (Lens(replace(SOIL, c_u=3.0, c_u_growth=-1.5, c_u_level=0.0), TRIANGLE),)},
     r"lenses\[0\]\.soil 'clay' c_u must stay above 0 down to the base of the soil at -3"),
    (soil(r_u=1.5), r"r_u must be at least 0 and at most 1"),
    ({"layers": (Layer(replace(SOIL, r_u=0.2), piezometric=LINE),), "water": Water(LINE)}, r"not both"),
    ({"layers": (Layer(SOIL, piezometric=LINE),)}, r"piezometric must come with a water table"),
    ({"water": Water(((0.0, 1.0), (40.0, 0.0)))}, r"water\.table must cover the model"),
    ({"water": Water(((-40.0, 1.0), (40.0, 1.0)))}, r"water\.table must not lie above the ground .* at x = "),
    ({"water": Water(((-40.0, -1.0), (40.0, -1.0)), gamma_w=0.0)}, r"water\.gamma_w must be above 0"),
    ({"water": Water(((-40.0, -1.0), (40.0, -1.0)), mode="sideways")}, r'water\.mode must be "vertical"'),  # type: ignore[arg-type]
    (lens((0.0, 0.0), (1.0, 0.0)), r"lenses\[0\]\.polygon must be at least three points"),
    (lens((0.0, 0.0), (4.0, -2.0), (4.0, 0.0), (0.0, -2.0)), r"must not cross itself"),
    (lens((0.0, -1.0), (44.0, -1.0), (2.0, -3.0)), r"must lie within x = -40 to 40"),
    (lens((0.0, -1.0), (4.0, 6.0), (2.0, -3.0)), r"must lie below the surface"),
    (lens((-2.0, 0.0), (20.0, -1.0), (12.0, -0.1), (5.0, 2.5), (9.0, 0.5)), r"must"),
    (lens((0.0, -1.0), (4.0, -1.0), (2.0, -30.0)), r"must lie above the bottom"),
    ({"lenses": (Lens(SOIL, TRIANGLE), Lens(SOIL, ((1.0, -1.5), (3.0, -1.5), (2.0, -4.0))))}, r"must not overlap"),
    ({"lenses": (Lens(SOIL, TRIANGLE), Lens(SOIL, ((1.8, -1.5), (2.2, -1.5), (2.0, -1.8))))}, r"must not overlap"),
    ({"strips": (Strip(5.0, 0.0, 10.0),)}, r"strips\[0\] must run from left to right"),
    ({"strips": (Strip(-5.0, 0.0, -10.0),)}, r"strips\[0\]\.q must be at least 0"),
    ({"k_h": -0.1}, r"k_h must be at least 0"),
    ({"crack": Crack(0.0)}, r"crack\.depth must be above 0"),
    ({"crack": Crack(1.0, 2.0), "water": Water(((-40.0, -1.0), (40.0, -1.0)))}, r"crack\.water must be at least 0 and"),
    ({"crack": Crack(1.0, 0.5)}, r"crack\.water must come with a water table"),
    ({"columns": replace(FIELD, x_right=50.0)}, r"columns must run from left to right within"),
    ({"columns": replace(FIELD, y_top=1.0, x_right=20.0)}, r"columns\.y_top must be above -8 and at most"),
    ({"columns": replace(FIELD, y_toe=-30.0)}, r"columns\.y_toe must be at least -12"),
    ({"columns": replace(FIELD, mu_s=0.5)}, r"must carry the whole stress"),
    ({"columns": replace(FIELD, a_E=1.0)}, r"columns\.a_E must be above 0"),
    ({"columns": replace(FIELD, reduction=1.2)}, r"columns\.reduction must be above 0 and at most 1"),
    ({"columns": replace(FIELD, c_eq=-1.0)}, r"columns\.c_eq"),
    ({"columns": replace(FIELD, phi=-0.1)}, r"columns\.phi"),
    ({"columns": replace(FIELD, mode="guess")}, r'columns\.mode must be "strict" or "averaged"'),  # type: ignore[arg-type]
    ({"reinforcement": (replace(LAYER, x_right=60.0),)}, r"reinforcement\[0\] 'one' must run from left to right"),
    ({"reinforcement": (replace(LAYER, level=3.0),)}, r"at level 3 the base is shorter"),
    ({"reinforcement": (replace(LAYER, level=-50.0),)}, r"level must be at least"),
    ({"reinforcement": (replace(LAYER, strength=-1.0),)}, r"strength must be at least 0"),
    ({"reinforcement": (replace(LAYER, factor=0.5),)}, r"factor must be at least 1"),
    ({"hard": ((-40.0, 2.0), (40.0, 2.0))}, r"hard must not lie above the surface"),
    ({"hard": ((-40.0, -22.0), (40.0, -2.0))}, r"the lowest level of hard"),
    ({"hard": ((-4.0, -2.0), (40.0, -2.0))}, r"hard must cover the model"),
]  # fmt: skip


@pytest.mark.parametrize(("values", "match"), BAD_MODELS, ids=[match[:40] for _, match in BAD_MODELS])
def test_impossible_model_is_refused_with_its_reason(values: dict[str, Any], match: str) -> None:
    with pytest.raises(SlipError, match=match):
        analyse(replace(Model(wet().surface, (Layer(SOIL),), -12.0), **values), Circle(6.0, 9.0, 13.0))


def test_strength_may_fall_down_to_the_top_of_the_next_layer() -> None:
    """12 kPa at 0 m, 6 kPa at −3 m: by slices of one metre with the mean strength of each, nearly the same factor."""
    below, lines = Soil("below", 15.0, 15.0, c_u=6.0), [((-60.0, -y), (60.0, -y)) for y in (0.0, 1.0, 2.0, 3.0)]
    fill = Layer(Soil("fill", 19.0, 19.0, c_u=30.0))
    falling = Soil("falling", 15.0, 15.0, c_u=12.0, c_u_growth=-2.0, c_u_level=0.0)
    steps = [Soil(f"step {k}", 15.0, 15.0, c_u=11.0 - 2 * k) for k in range(3)]
    last = Layer(below, lines[3])
    whole = replace(r1(), layers=(fill, Layer(falling, lines[0]), last))
    stepped = replace(r1(), layers=(fill, *(Layer(step, line) for step, line in zip(steps, lines, strict=False)), last))

    assert analyse(whole, R1_CIRCLE).factor == pytest.approx(analyse(stepped, R1_CIRCLE).factor, rel=0.01)


def test_reasons_are_reported_together() -> None:
    bad = replace(wet(), k_h=2.0, strips=(Strip(9.0, 3.0, -1.0),), columns=replace(FIELD, a_E=2.0), bottom=4.0)
    with pytest.raises(SlipError) as caught:
        analyse(bad, R1_CIRCLE)

    assert len(str(caught.value).splitlines()) >= 5


REQUESTS: list[tuple[dict[str, Any], str]] = [
    ({"method": "guess"}, r"method must be one of"),
    ({"direction": "up"}, r"direction must be one of"),
    ({"form": "C"}, r"form must be one of"),
    ({"slices": 3}, r"slices must be at least 5"),
]


@pytest.mark.parametrize(("values", "match"), REQUESTS)
def test_impossible_request_is_refused(values: dict[str, Any], match: str) -> None:
    with pytest.raises(SlipError, match=match):
        analyse(wet(), R1_CIRCLE, **values)


SURFACES: list[tuple[Any, str]] = [
    (Circle(6.0, 9.0, 0.0), r"circle\.r must be above 0"),
    (Circle(6.0, 30.0, 13.0), r"does not cut the ground"),
    (Circle(5.0, 2.5, 1e-9), r"does not cut the ground"),
    (Circle(6.0, 9.0, 30.0), r"leaves the model"),
    (Circle(-38.0, 9.0, 6.0), r"leaves the model"),
    (Circle(38.0, 6.0, 8.0), r"leaves the model"),
    (Circle(-20.0, 8.0, 5.0), r"no driving moment"),
    (Search(centre_x=(5.0, 5.0)), r"search\.centre_x must be a range"),
    (Search(counts=(1, 5, 5)), r"search\.counts must be at least 2"),
    (Search(centre_y=(60.0, 70.0), tangent=(40.0, 50.0), extend=1), r"no admissible slip circle among"),
    (Search(entry=(30.0, 35.0), counts=(5, 5, 5)), r"no admissible slip circle among .*'end outside its range'"),
    (Surface(((0.0, 5.0),)), r"surface\.points must be at least two"),
    (Surface(((3.0, 3.5), (1.0, 0.0))), r"growing x"),
    (Surface(((-50.0, 5.0), (1.0, 0.0))), r"between the sides of the model"),
    (Surface(((-3.0, 4.0), (8.0, 1.0))), r"begin and end on the ground surface"),
    (Surface(((-3.0, 5.0), (0.0, 7.0), (8.0, 1.0))), r"below the ground surface"),
    (Surface(((-3.0, 5.0), (0.0, -30.0), (8.0, 1.0))), r"above the bottom"),
    (Surface(((-3.0, 5.0), (8.0, 1.0)), 0.0, 0.3, (1,)), r"interface must name pieces"),
    (replace(BLOCKS, base=((0.0, 0.0),)), r"base must be at least two points"),
    (replace(BLOCKS, active=(-30.0, 0.0)), r"active must be a range on the base"),
    (replace(BLOCKS, passive=(8.0, 6.0)), r"passive must be a range on the base"),
    (replace(BLOCKS, active_angles=()), r"at least one angle"),
    (replace(BLOCKS, passive_angles=(2.0,)), r"between 0 and π/2"),
    (replace(BLOCKS, counts=(1, 4)), r"counts must be at least 2"),
    (replace(BLOCKS, active=(-8.0, -7.9), passive=(-7.9, -7.8), passive_angles=()), r"no admissible translational"),
]  # fmt: skip


@pytest.mark.parametrize(("surface", "match"), SURFACES, ids=[match[:40] for _, match in SURFACES])
def test_impossible_surface_is_refused_with_its_reason(surface: Any, match: str) -> None:
    method: Any = "spencer" if isinstance(surface, Surface | BlockSearch) else "bishop"
    with pytest.raises(SlipError, match=match):
        analyse(wet(), surface, method)


def test_circular_methods_refuse_lines() -> None:
    with pytest.raises(SlipError, match="method must be one of forces"):
        analyse(wet(), Surface(((-3.0, 5.0), (8.0, 1.0))), "bishop")


@pytest.mark.parametrize(
    ("surface", "match"),
    [
        (((-9.0, 2.0), (9.0, 2.0)), r"surface must fall in the direction"),
        (((-9.0, 2.0), (9.0, 4.0)), r"surface must fall in the direction"),
        (((-9.0, 5.0), (0.0, 5.0), (9.0, 0.0)), r"go on beyond the toe of the slope, which must stand on the ground"),
    ],
)
def test_search_without_a_slope_that_stands_on_ground_is_refused(surface: Any, match: str) -> None:
    with pytest.raises(SlipError, match=match):
        analyse(Model(surface, (Layer(SOIL),), -9.0), Search())


def test_slope_between_gentle_ground_is_found() -> None:
    """Ground that falls a little before the crest and beyond the toe, and a bench on the way down."""
    from calc.procedures.slip.slope import slope_of

    surface = ((-30.0, 6.0), (0.0, 5.9), (4.0, 3.5), (6.0, 3.5), (11.0, 0.0), (40.0, -0.3), (50.0, 0.5), (60.0, 0.2))
    slope = slope_of(surface)

    assert (slope.crest, slope.toe) == ((0.0, 5.9), (11.0, 0.0))


def test_steep_exit_is_rejected_by_its_normal_factor() -> None:
    """A circle that leaves steeply through the fill, whose friction over a factor near one half makes m_α small."""
    with pytest.raises(SlipError, match=r"m_alpha below 0\.2"):
        analyse(r1(), Circle(-1.9, 7.37, 11.41))


def test_no_number_comes_from_a_line_that_has_not_converged(monkeypatch: pytest.MonkeyPatch) -> None:
    from calc.procedures.slip import complete, solve

    monkeypatch.setattr(solve, "MOST", 1)
    monkeypatch.setattr(complete, "STEPS", 1)
    methods: tuple[Method, ...] = ("bishop", "janbu", "spencer")
    for method in methods:
        with pytest.raises(SlipError, match="not converged"):
            analyse(wet(), Circle(6.0, 9.0, 13.0), method)


def test_circles_that_begin_level_with_their_centre_have_a_factor() -> None:
    """Their upper end lay outside the circle by a rounding error, which gave no number and a warning."""
    from calc.procedures.slip.evaluate import factors_of_circles
    from calc.procedures.slip.vertical_strips import compile_ground
    from calc.procedures.slip.wish import Wish

    x, r = (one.ravel() for one in np.meshgrid(np.linspace(3.0, 5.0, 60), np.linspace(6.0, 9.0, 60)))
    found = factors_of_circles(compile_ground(r1()), x, np.full_like(x, 5.0 + 1e-13), r, Wish("bishop"))

    assert np.isin(found.reason, (0, 8)).all()  # admissible, or m_alpha below 0.2
    assert (found.reason == 0).sum() > 1000


def drawn_line(random: np.random.Generator, level: float) -> Any:
    x = np.sort(random.uniform(-30, 40, random.integers(2, 6)))
    if random.random() < 0.7:
        x[0], x[-1] = -30.0, 40.0
    return tuple((float(one), float(level + random.normal(0, 0.8))) for one in x)


def drawn_model(random: np.random.Generator) -> Model:
    """A cross-section that is sometimes impossible."""
    height, run = random.uniform(1, 8), random.uniform(1, 20)
    surface = ((-30.0, height), (0.0, height + random.normal(0, 0.3)), (run, 0.0), (40.0, float(random.normal(0, 0.5))))
    soils = [Soil(f"{k}", float(random.uniform(12, 20)), 20.0, c=float(random.choice([0, 3, 20])),
                  phi=float(random.uniform(-0.02, 0.7)), c_u=(None, 15.0)[random.integers(2)],
                  r_u=(None, None, 0.3)[random.integers(3)]) for k in range(3)]  # fmt: skip
    layers = [Layer(soils[0])]
    layers += [Layer(soils[k], drawn_line(random, -1.0 - 3 * (k - 1))) for k in range(1, random.integers(1, 4))]
    chance = random.random(8) < 0.35
    field = replace(FIELD, x_left=float(random.uniform(-25, 0)), x_right=float(random.uniform(1, 12)), y_top=-0.3,
                    mode=random.choice(["strict", "averaged"]))  # fmt: skip
    corners = zip(random.uniform(-5, 15, 4).tolist(), random.uniform(-6, -1, 4).tolist(), strict=True)
    return Model(
        surface, tuple(layers), -9.0,
        lenses=(Lens(soils[0], tuple(corners)),) if chance[0] else (),
        water=Water(drawn_line(random, -1.0), random.choice(["vertical", "seepage"]),
                    (None, 0.5)[random.integers(2)]) if chance[1] else None,
        strips=(Strip(-20.0, float(random.uniform(-25, 2)), 15.0),) if chance[2] else (),
        crack=Crack(float(random.uniform(0, 3))) if chance[3] else None,
        k_h=float(random.uniform(0, 0.3)) if chance[4] else 0.0,
        columns=field if chance[5] else None,
        reinforcement=(replace(LAYER, level=float(random.uniform(-1, 1)), x_right=run),) if chance[6] else (),
        hard=drawn_line(random, -4.0) if chance[7] else None,
        truncate=bool(random.random() < 0.5),
    )  # fmt: skip


def asked(random: np.random.Generator) -> Any:
    """A surface or a small search."""
    kind = random.integers(4)
    if kind == 0:
        return Circle(float(random.uniform(-5, 15)), float(random.uniform(2, 20)), float(random.uniform(1, 25)))
    if kind == 1:
        return Search(
            counts=(3, 3, 3), extend=1, min_depth=float(random.uniform(0, 1)), refine=bool(random.random() < 0.3)
        )
    if kind == 2:
        base = float(random.uniform(-4, 0.5))
        return replace(BLOCKS, base=((-25.0, base), (30.0, base)), counts=(3, 3))
    return Surface(((-3.0, float(random.uniform(2, 8))), (3.0, -1.0), (15.0, 0.0)))


def outcome(seed: int) -> Result | str:
    random = np.random.default_rng(seed)
    surface = asked(random)
    lines = isinstance(surface, Surface | BlockSearch)
    method = random.choice(["janbu", "spencer", "morgenstern-price"] if lines else ["ordinary", "bishop", "spencer"])
    try:
        return analyse(drawn_model(random), surface, str(method), form=random.choice(["A", "B"]), slices=20)  # type: ignore[arg-type]
    except SlipError as error:
        return str(error)


@pytest.mark.parametrize("tens", range(10))
def test_drawn_models_give_a_factor_or_a_reason(tens: int) -> None:
    """1000 drawn geometries, one in a few impossible: a finite factor or a message, nothing else."""
    results = [outcome(seed) for seed in range(100 * tens, 100 * tens + 100)]
    factors = [result.factor for result in results if isinstance(result, Result)]

    assert all(isfinite(factor) and factor > 0 for factor in factors)
    assert all(result for result in results if isinstance(result, str))
    assert len(factors) > 10


@pytest.mark.parametrize("seed", range(20))
def test_required_force_of_drawn_models_is_a_force_or_a_reason(seed: int) -> None:
    random = np.random.default_rng(5000 + seed)
    method = random.choice(["bishop", "janbu", "spencer"])
    model, search = drawn_model(random), Search(counts=(4, 4, 4), extend=1)
    try:
        force = required_force(model, search, 0.0, 1.3, method=str(method)).force  # type: ignore[arg-type]
    except SlipError:
        force = 0.0

    assert isfinite(force)
    assert force >= 0


def test_columns_of_the_verification_case_are_inside_the_ground() -> None:
    assert analyse(with_columns(r1()), R1_CIRCLE).factor > 1.0

"""Cross-sections of published slopes and of the verification case of this project, for the tests of slip surfaces."""

from dataclasses import replace
from math import radians, tan

from calc.procedures.slip import (
    Circle,
    Columns,
    Layer,
    Model,
    Reinforcement,
    Soil,
    Strip,
    Water,
    stress_shares,
)


def fredlund_krahn(case: int) -> Model:
    """Cases 1 (dry), 3 (r_u) and 5 (piezometric line) in feet, pounds and pounds per square foot."""
    soil = Soil("soil", 120.0, 120.0, c=600.0, phi=radians(20), r_u=0.25 if case == 3 else None)
    line = ((-20.0, 40.0), (0.0, 40.0), (140.0, 20.0), (220.0, 20.0))
    water = Water(line, gamma_w=62.4) if case == 5 else None
    return Model(((-20.0, 60.0), (60.0, 60.0), (140.0, 20.0), (220.0, 20.0)), (Layer(soil),), -50.0, water=water)


FREDLUND_KRAHN_CIRCLE = Circle(120.0, 90.0, 80.0)


def giam_donald(case: str) -> Model:
    """EX1 (a) and (c); the slope falls to the left."""
    surface = ((20.0, 25.0), (30.0, 25.0), (50.0, 35.0), (70.0, 35.0))
    if case == "a":
        return Model(surface, (Layer(Soil("soil", 20.0, 20.0, c=3.0, phi=radians(19.6))),), 20.0)
    one, two, three = (
        Soil(name, 19.5, 19.5, c=c, phi=radians(phi))
        for name, c, phi in (("1", 0.0, 38.0), ("2", 5.3, 23.0), ("3", 7.2, 20.0))
    )
    middle = ((30.0, 25.0), (40.0, 27.0), (50.0, 29.0), (54.0, 31.0), (70.0, 31.0))
    lower = ((20.0, 25.0), (30.0, 25.0), (40.0, 27.0), (52.0, 24.0), (70.0, 24.0))
    return Model(surface, (Layer(one), Layer(two, middle), Layer(three, lower)), 20.0)


def arai_tagyo() -> Model:
    """Example 1; the slope falls to the left."""
    soil = Soil("soil", 18.82, 18.82, c=41.65, phi=radians(15))
    return Model(((0.0, 15.0), (18.0, 15.0), (48.0, 35.0), (75.0, 35.0)), (Layer(soil),), 0.0)


def taylor(slope_deg: float, depth: float) -> Model:
    """Undrained slope 10 m high, c / γH 0.25, hard layer at ``depth`` times the height below the crest."""
    height, wide = 10.0, 80.0 * max(depth, 1.5)
    run = height / tan(radians(slope_deg))
    surface = ((-wide, height), (0.0, height), (run, 0.0), (run + wide, 0.0))
    # The bottom of the model is the hard layer; a hair below the toe where it is at the toe.
    return Model(surface, (Layer(Soil("clay", 20.0, 20.0, c_u=50.0)),), min(height - depth * height, -1e-6))


R1_CIRCLE = Circle(5.0, 7.0, 13.0)


def r1(bottom: float = -20.0) -> Model:
    """Embankment 5 m high, 1:2, on clay with strength growing from its top, traffic on the crest."""
    fill = Soil("fill", 19.0, 19.0, phi=radians(32.5))
    clay = Soil("clay", 15.0, 15.0, c_u=6.0, c_u_growth=1.2, c_u_level=0.0)
    surface = ((-60.0, 5.0), (0.0, 5.0), (10.0, 0.0), (60.0, 0.0))
    return Model(surface, (Layer(fill), Layer(clay, ((-60.0, 0.0), (60.0, 0.0)))), bottom,
                 strips=(Strip(-60.0, 0.0, 13.0),))  # fmt: skip


def with_columns(model: Model, mode: str = "strict", **other: float) -> Model:
    """The column field of the case: area ratio 0.15, stress ratio 5, 30 degrees."""
    mu_s, mu_c = stress_shares(5.0, 0.15)
    field = Columns(-40.0, 10.0, 0.0, model.bottom + 1.0, 0.15, mu_s, mu_c, 15.0, 15.0, radians(30), mode=mode)  # type: ignore[arg-type]
    return replace(model, columns=replace(field, **other))  # type: ignore[arg-type]


def with_tension(model: Model, force: float = 150.0, level: float = 0.0) -> Model:
    """One layer of reinforcement with as much bond as it needs."""
    return replace(model, reinforcement=(Reinforcement("layer", level, model.surface[0][0], 10.0, force, 1e4, 1e4),))


def wet(model: Model | None = None) -> Model:
    """Drained fill on drained clay with a water table through both."""
    fill = Soil("fill", 19.0, 20.0, c=2.0, phi=radians(32))
    clay = Soil("clay", 15.0, 16.5, c=6.0, phi=radians(20))
    surface = ((-40.0, 5.0), (0.0, 5.0), (10.0, 0.0), (40.0, 0.0))
    table = ((-40.0, 2.0), (0.0, 1.5), (10.0, -0.5), (40.0, -0.5))
    return model or Model(surface, (Layer(fill), Layer(clay, ((-40.0, 0.0), (40.0, 0.0)))), -12.0, water=Water(table))

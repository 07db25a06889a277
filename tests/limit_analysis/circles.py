"""The same banks by slip circles, with the friction of the columns capped by bending."""

from math import radians

from calc.procedures.slip import (
    Bending,
    Columns,
    Layer,
    Model,
    Reinforcement,
    Search,
    Soil,
    Water,
    analyse,
    stress_shares,
)
from calc.procedures.slip.model import Line
from tests.limit_analysis.bank import Bank
from tests.limit_analysis.extrusion import WEIGHT

GAMMA_W = 9.81
HELD = 1e4  # kN: the base of the limit analysis does not move
ROUNDS = 12


def slip_model(bank: Bank) -> Model:
    """The cross-section for slip circles: firm base, hydrostatic water to the ground level."""
    ground, half = bank.ground, 3 * bank.ground.t
    left, right = -half, bank.ground.L + half
    level: Line = ((left, 0.0), (right, 0.0))
    fill = Soil("fill", bank.gamma, bank.gamma, phi=radians(bank.phi))
    clay = Soil("clay", WEIGHT + GAMMA_W, WEIGHT + GAMMA_W, c_u=ground.c_u0, c_u_growth=ground.rho, c_u_level=0.0)
    columns = Columns(
        left, ground.x_e, 0.0, -ground.t - 1.0, ground.a, *stress_shares(ground.n, ground.a),
        ground.gamma_c + GAMMA_W, ground.gamma_c + GAMMA_W, radians(ground.phi_c),
        bending=Bending(ground.d, -ground.t, held=HELD),
    )  # fmt: skip
    sheet = Reinforcement("sheet", 0.0, left, ground.L, bank.T, 1e3, 1e3)
    return Model(
        ((left, bank.H), (0.0, bank.H), (ground.L, 0.0), (right, 0.0)),
        (Layer(fill), Layer(clay, top=level)),
        -ground.t - 2.0,
        water=Water(level, gamma_w=GAMMA_W),
        columns=columns if ground.a else None,
        reinforcement=(sheet,) if bank.T else (),
        hard=((left, -ground.t), (right, -ground.t)),
    )


def circle_factor(bank: Bank) -> float:
    """Factor of safety of the decisive circle for the strengths as they are, by Bishop's method."""
    return analyse(slip_model(bank), Search(min_depth=1.0)).factor


def circle_safety(bank: Bank) -> float:
    """By how much all strengths are divided until the decisive circle has a safety of 1."""
    safety = 1.0
    for _ in range(ROUNDS):
        factor = circle_factor(bank.reduced(safety))
        safety *= factor
        if abs(factor - 1) < 1e-4:
            return safety
    message = f"the safety by circles has not converged (last {safety})"
    raise ArithmeticError(message)

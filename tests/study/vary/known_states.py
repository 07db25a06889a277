"""Limit states of known reliability, as models that any process can import, and inputs for them."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from calc.inputs.tables.vary import VariedInput
from calc.study.vary.marginals import Joint, joint, marginal
from calc.study.vary.sampling import normal_blocks

Floats = NDArray[np.float64]
Values = Mapping[str, Floats]


def standard(*names: str) -> list[VariedInput]:
    """Inputs that are standard normal."""
    return [varied(path=name, distribution="normal", mean=0, sd=1) for name in names]


def varied(**given: object) -> VariedInput:
    return VariedInput.model_validate({"source": "test", **given})


def together(inputs: Sequence[VariedInput], correlation: float = 0.0, **fixed: float) -> Joint:
    matrix = np.full((len(inputs), len(inputs)), correlation) + (1 - correlation) * np.eye(len(inputs))
    return joint([marginal(one) for one in inputs], matrix, fixed)


def normal_points(size: int, points: int, key: tuple[int, ...]) -> Floats:
    """All blocks at once."""
    return np.concatenate([*normal_blocks(size, points, key)])


def linear(values: Values) -> dict[str, Floats]:
    """g = 2 - 0.6 a - 0.8 b: β = 2 for independent standard normal a and b."""
    return {"linear": 1 - (2.0 - 0.6 * values["a"] - 0.8 * values["b"])}


def rare(values: Values) -> dict[str, Floats]:
    """The same with β = 4.5."""
    return {"rare": 1 - (4.5 - 0.6 * values["a"] - 0.8 * values["b"])}


def certain(values: Values) -> dict[str, Floats]:
    """Fails at the mean: β = -1."""
    return {"certain": 1 - (-1.0 - 0.6 * values["a"] - 0.8 * values["b"])}


def circle(values: Values) -> dict[str, Floats]:
    """g = 4 - a² - b²: p = exp(-2) and design points all around."""
    return {"circle": 1 - (4.0 - values["a"] ** 2 - values["b"] ** 2)}


def two_sides(values: Values) -> dict[str, Floats]:
    """g = 4 - |a|: p = 2 Φ(-4), and importance sampling around one side sees half of it."""
    return {"two_sides": 1 - (4.0 - np.abs(values["a"] + 0.1 * values["b"]) / np.sqrt(1.01))}


def steep(values: Values) -> dict[str, Floats]:
    """g = min(5 - a, 10 (4 - b)): β = 4 on a side that falls off steeply; the flatter side has 5."""
    return {"steep": 1 - np.minimum(5.0 - values["a"], 10 * (4.0 - values["b"]))}


def cliff(values: Values) -> dict[str, Floats]:
    """The same without a solution on that side."""
    return {"cliff": np.where(values["b"] > 4.0, np.inf, 1 - (5.0 - values["a"]))}


def ratio(values: Values) -> dict[str, Floats]:
    """Effect over resistance of lognormal a and b: β in closed form."""
    return {"ratio": values["a"] / values["b"]}


def ishigami(values: Values) -> dict[str, Floats]:
    x = values["a"], values["b"], values["c"]
    return {"ishigami": np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])}


def flat(values: Values) -> dict[str, Floats]:
    return {"flat": np.full(len(values["a"]), 0.5)}


def unsolved(values: Values) -> dict[str, Floats]:
    """No solution where a is over 2."""
    return {"unsolved": np.where(values["a"] > 2, np.inf, 0.5 + 0.05 * values["b"])}


def bent(values: Values) -> dict[str, Floats]:
    """Fails where b is over 1, has no solution where a is below 1: not at the medians, where FORM begins."""
    return {"bent": np.where(values["a"] < 1, np.inf, values["b"])}


def bent_at(point: tuple[float, float]) -> float:
    return float(bent({"a": np.array(point[:1]), "b": np.array(point[1:])})["bent"][0])


def nothing(values: Values) -> dict[str, Floats]:
    return {"nothing": np.where(values["a"] > 0, np.nan, 0.5)}

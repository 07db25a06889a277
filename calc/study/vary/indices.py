"""Which inputs a verdict hangs on: elementary effects of Morris, variance shares of Sobol'."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from scipy.special import ndtri

from calc.study.engines import Engine
from calc.study.vary.in_chunks import chunk_of, model_numbers, put_together, utilisations
from calc.study.vary.marginals import Floats, Joint, Model
from calc.study.vary.one_at_a_time import HIGH, LOW, Ends
from calc.study.vary.sampling import CONFIDENCE, HALF_CELL, sobol_points

TRAJECTORIES = 64
LEVELS = 4
RESAMPLES = 200
"""Of the bootstrap from which the bounds of the indices come."""
SHARED = 2**14
"""Base points of the shares at most: their bounds are narrow then, and 200 resamples of more fill the memory; all four
are project rules."""


@dataclass(frozen=True, slots=True)
class Effect:
    """Elementary effects of one input over its whole range: mean of their sizes with its bound, and their scatter."""

    path: str
    size: float
    bound: float
    scatter: float


@dataclass(frozen=True, slots=True)
class Share:
    """Shares of the variance of a utilisation: of an input alone, and with all its interactions; with their bounds."""

    path: str
    first: float
    first_bound: float
    total: float
    total_bound: float


def _problem(paths: Sequence[str]) -> dict[str, Any]:
    return {"num_vars": len(paths), "names": list(paths), "bounds": [[0.0, 1.0]] * len(paths)}


Groups = Sequence[Sequence[int]]
"""Places of the variables that change together."""

Analysis = Callable[[Floats], Mapping[str, Any]]


def morris(
    model: Model, base: Mapping[str, float], ends: Sequence[Ends], joint: Joint, seed: int, engine: Engine
) -> dict[str, list[Effect]]:
    """Elementary effects by verdict, largest first; a verdict with a point without solution has none.

    Morris (1991), Technometrics 33, 161-174; mean of sizes: Campolongo, Cariboni & Saltelli (2007), Environ. Model.
    Softw. 22, 1509-1518 (both from memory). The levels divide the range of an input, or its fractiles evenly.
    """
    from SALib.analyze import morris as analysis  # noqa: PLC0415 - seconds that only indices need
    from SALib.sample import morris as sampling  # noqa: PLC0415 - the same

    problem = _problem([end.path for end in ends])
    unit = np.asarray(sampling.sample(problem, TRAJECTORIES, num_levels=LEVELS, seed=seed))
    by_verdict = utilisations(model, _over_ranges(unit, base, ends, joint), engine)

    def analyse(array: Floats) -> list[Effect]:
        got = analysis.analyze(problem, unit, array, num_levels=LEVELS, num_resamples=RESAMPLES,
                               conf_level=CONFIDENCE, seed=seed)  # fmt: skip
        rows = zip(problem["names"], got["mu_star"], got["mu_star_conf"], got["sigma"], strict=True)
        effects = [Effect(path, *map(float, numbers)) for path, *numbers in rows]
        return sorted(effects, key=lambda effect: -effect.size)

    return {verdict: analyse(array) if np.isfinite(array).all() else [] for verdict, array in by_verdict.items()}


def _over_ranges(unit: Floats, base: Mapping[str, float], ends: Sequence[Ends], joint: Joint) -> dict[str, Floats]:
    known = {distribution.path: distribution for distribution in joint.marginals}
    values = {path: np.full(len(unit), value) for path, value in base.items()}
    for k, end in enumerate(ends):
        share = unit[:, k]
        values[end.path] = (
            known[end.path].at(ndtri(LOW + (HIGH - LOW) * share))
            if end.fractiles
            else end.low + (end.high - end.low) * share
        )
    return values


def sobol(model: Model, joint: Joint, points: int, seed: int, engine: Engine) -> dict[str, list[Share]]:
    """Shares of variance by verdict, largest total first; a verdict with a point without solution has none.

    Sobol' (1993); first and total by Saltelli et al. (2010), Comput. Phys. Commun. 181, 259-270 (from memory). Only
    for independent inputs: of correlated ones the variance has no one division. The variables of a field are one group:
    its share is that of all its sublayers together.
    """
    from SALib.analyze import sobol as analysis  # noqa: PLC0415 - seconds that only indices need

    shown = list(dict.fromkeys(joint.owners))
    problem = _problem(shown)
    groups = [tuple(k for k, path in enumerate(joint.owners) if path == owner) for owner in shown]
    rows, chunk = min(points, SHARED) * (len(groups) + 2), chunk_of(model)
    work = partial(_some_shared, model, joint, groups, seed, min(chunk, rows))
    by_verdict = put_together(engine, work, range(0, rows, chunk))

    def analyse(array: Floats) -> list[Share]:
        if len(shown) == 1 < joint.size:
            return [Share(shown[0], 1.0, 0.0, 1.0, 0.0)]
        got = analysis.analyze(problem, array, calc_second_order=False, num_resamples=RESAMPLES, conf_level=CONFIDENCE,
                               seed=seed)  # fmt: skip
        rows = zip(shown, got["S1"], got["S1_conf"], got["ST"], got["ST_conf"], strict=True)
        return sorted((Share(path, *map(float, numbers)) for path, *numbers in rows), key=lambda share: -share.total)

    return {verdict: analyse(array) if _varies(array) else [] for verdict, array in by_verdict.items()}


def _some_shared(model: Model, joint: Joint, groups: Groups, seed: int, count: int, first: int) -> dict[str, Floats]:
    return model_numbers(model, joint.values(ndtri(saltelli_points(groups, seed, first, count) + HALF_CELL)))


def saltelli_points(groups: Groups, seed: int, first: int, count: int) -> Floats:
    """Some of the points of Saltelli: of each base point A, then A with one group of B after the other, then B."""
    size, each = sum(map(len, groups)), len(groups) + 2
    begun, end = first // each, -(-(first + count) // each)
    # A power of two, of which the library warns otherwise.
    base = sobol_points(2 * size, seed, begun).random(2 ** (end - begun - 1).bit_length())[: end - begun]
    unit = np.repeat(base[:, None, :size], each, axis=1)
    for k, places in enumerate(groups, start=1):
        for place in places:
            unit[:, k, place] = base[:, size + place]
    unit[:, -1] = base[:, size:]
    points: Floats = unit.reshape(-1, size)[first - begun * each :][:count]
    return points


def _varies(array: Floats) -> bool:
    return bool(np.isfinite(array).all() and np.ptp(array) > 0)

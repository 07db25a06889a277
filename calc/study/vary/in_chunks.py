"""Utilisations at many points: in chunks of a fixed size by an engine, put together in their order."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import TypeVar

import numpy as np

from calc.study.chunks import Keeping
from calc.study.engines import Engine, in_order
from calc.study.vary.marginals import Floats, Model

CHUNK = 4096
"""Points that are worked out together, whoever does it: the last digit of an array function may hang on its length."""


Task = TypeVar("Task")


class NoNumberError(ArithmeticError):
    """A limit state that has no number at a point."""


def model_numbers(model: Model, values: Mapping[str, Floats]) -> dict[str, Floats]:
    """What a model gives; a case without a number is an error, one without a solution is infinite."""
    by_verdict = {verdict: np.asarray(array, dtype=np.float64) for verdict, array in model(values).items()}
    for verdict, array in by_verdict.items():
        if np.isnan(array).any():
            at = int(np.isnan(array).argmax())
            shown = ", ".join(f"{path} = {float(array[at]):.6g}" for path, array in values.items())
            message = f"{verdict}: no number at {shown}"
            raise NoNumberError(message)
    return by_verdict


def chunk_of(model: Model) -> int:
    """How many points a model works out together: its own number where its points take long."""
    return int(getattr(model, "points_together", CHUNK))


def utilisations(
    model: Model, values: Mapping[str, Floats], engine: Engine, chunk: int | None = None
) -> dict[str, Floats]:
    """Utilisations by verdict at points, whose values are arrays of one length."""
    count, chunk = len(next(iter(values.values()))), chunk or chunk_of(model)
    if count <= chunk and not isinstance(engine, Keeping):
        return model_numbers(model, values)
    tasks = [{path: array[at : at + chunk] for path, array in values.items()} for at in range(0, count, chunk)]
    return put_together(engine, partial(model_numbers, model), tasks)


def put_together(
    engine: Engine, work: Callable[[Task], Mapping[str, Floats]], tasks: Sequence[Task]
) -> dict[str, Floats]:
    """Arrays by name of all tasks in their order."""
    parts = list(in_order(engine.results(work, tasks)))
    return {verdict: np.concatenate([part[verdict] for part in parts]) for verdict in parts[0]}

"""What a rule between values finds wrong, and where in the file."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from calc.inputs.reading.locate import Path


class Problem(NamedTuple):
    """What is wrong at a path of the file, or in a row of the file of results; without `got` the text as typed."""

    path: Path
    must: str
    got: str | None = None
    row: int | None = None


Problems = Iterator[Problem]


MAKEUP, SUBMERGED = ("makeup_fill",), ("embankment", "gamma_sub")


def without_consequences(problems: Iterable[Problem]) -> list[Problem]:
    """Without what another one takes with it: a makeup_fill that must be false asks for no gamma_sub."""
    every = list(problems)
    unasked = any(problem.path == MAKEUP for problem in every)
    return [problem for problem in every if not (unasked and problem.path == SUBMERGED and problem.got == "nothing")]


def unique(values: Sequence[Any], path: Path, key: str) -> Problems:
    """No value twice in a list of tables."""
    for index, value in enumerate(values):
        if value in values[:index]:
            yield Problem((*path, index, key), "be used once only")

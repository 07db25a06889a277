"""What a rule between values finds wrong, and where in the file."""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from calc.inputs.reading.locate import Path


class Problem(NamedTuple):
    """What is wrong at a path of the file, or in a row of the file of results; without `got` the text as typed."""

    path: Path
    must: str
    got: str | None = None
    row: int | None = None


Problems = Iterator[Problem]


def unique(values: Sequence[Any], path: Path, key: str) -> Problems:
    """No value twice in a list of tables."""
    for index, value in enumerate(values):
        if value in values[:index]:
            yield Problem((*path, index, key), "be used once only")

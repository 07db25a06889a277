"""One test of very many short cases: pytest takes longer over a test of its own than each of them does."""

from collections.abc import Callable, Iterable
from functools import wraps
from inspect import signature
from typing import Any

import pytest

Test = Callable[..., None]


def for_each(name: str, cases: Iterable[Any]) -> Callable[[Test], Test]:
    """Call a test with each case as its argument `name`; the failure names every case that is wrong, and why."""
    every = list(cases)
    assert every, "a test of no case holds nothing"

    def of_all(test: Test) -> Test:
        @wraps(test)
        def tested(**fixtures: Any) -> None:
            wrong: list[tuple[str, BaseException]] = []
            for one in every:
                try:
                    test(**fixtures, **{name: one})
                except pytest.skip.Exception as error:
                    message = "a case is not skipped"
                    raise AssertionError(message) from error
                except (Exception, pytest.fail.Exception) as error:  # noqa: BLE001 - told below, for all together
                    wrong.append((str(getattr(one, "name", one)), error))
            if wrong:
                told = "\n".join(f"{one}: {type(error).__name__}: {error}" for one, error in wrong)
                message = f"{len(wrong)} of {len(every)} cases:\n{told}"
                raise AssertionError(message) from wrong[0][1]

        asked = signature(test)
        rest = [parameter for key, parameter in asked.parameters.items() if key != name]
        tested.__signature__ = asked.replace(parameters=rest)  # type: ignore[attr-defined]  # what pytest reads
        return tested

    return of_all

"""What many tests read and none changes is made once in a test run, by whichever process needs it first."""

import fcntl
import os
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import pytest

Given = ParamSpec("Given")
Made = TypeVar("Made")


def cached(function: Callable[Given, Made]) -> Callable[Given, Made]:
    """Keep in a test process what a function gave."""
    made: dict[Any, Made] = {}

    @wraps(function)
    def known(*given: Given.args, **named: Given.kwargs) -> Made:
        key = (given, tuple(sorted(named.items())))
        if key not in made:
            made[key] = function(*given, **named)
        return made[key]

    return known


def made_once(folders: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """A folder of this run which `make` has filled; other processes of the run wait for it and get the same.

    It lives in the temporary folder of the run, so that nothing of an earlier program is ever read.
    """
    base = folders.getbasetemp()
    root = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "once"
    root.mkdir(exist_ok=True)
    made = root / name
    with (root / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            # Under another name until it is whole: a making that failed leaves nothing to be read.
            half = folders.mktemp(f"half-{name}")
            make(half)
            half.rename(made)
    return made

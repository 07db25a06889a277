"""Settings of all tests: repeatable hypothesis runs, no network, and what makes a whole run quick."""

import gc
import os
import socket
from collections.abc import Iterator
from pathlib import Path
from resource import RUSAGE_SELF, getrusage
from typing import Any

import pytest
from hypothesis import settings

NEVER, GROWN = 1_000_000, 1_000_000  # kB by which a process grows between walks of the collector over everything
_held = [0]

# As on the command line: one test process for each core is enough.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# The same examples on every machine, and no deadline: two cores shared by many make times meaningless.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")


@pytest.fixture(scope="session", autouse=True)
def no_answers_of_the_user(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Neither read nor write the answers that the user of this machine keeps; all processes of a run share theirs."""
    base = tmp_path_factory.getbasetemp()
    root = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(root / "cache"))
        yield


@pytest.fixture(scope="session", autouse=True)
def no_network() -> Iterator[None]:
    """Refuse every connection that leaves this machine."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: Any) -> None:
        if self.family != socket.AF_UNIX and address[0] not in {"127.0.0.1", "::1", "localhost"}:
            message = f"a test must not use the network (got {address})"
            raise AssertionError(message)
        connect(self, address)

    # Not by the fixture of that name: tests that ask for it are told apart by it.
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", guarded)
        yield


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files with slow tests first, dealt out to the processes: none is left alone with them at the end.

    Each process begins with its own part of the list. A file stays whole, because its tests share what they made, and
    so do all tests of the examples, whose runs take longest.
    """
    slow: dict[Path | str, list[pytest.Item]] = {_together(item): [] for item in items if _long(item)}
    quick: list[pytest.Item] = []
    for item in items:
        slow.get(_together(item), quick).append(item)
    count = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    size = -(-len(items) // count)
    groups = sorted(slow, key=lambda group: group != "examples")  # the longest begin the first process
    ordered: list[pytest.Item] = []
    for index in range(count):
        part = [item for group in groups[index::count] for item in slow[group]]
        room = max(size - len(part), 0)
        ordered += part + quick[:room]
        del quick[:room]
    items[:] = ordered + quick


def _long(item: pytest.Item) -> bool:
    return bool(item.get_closest_marker("slow") or item.get_closest_marker("examples"))


def _together(item: pytest.Item) -> Path | str:
    return "examples" if item.get_closest_marker("examples") else item.path


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[None]:
    """Collect with the garbage collector at rest: hardly anything that is read then is let go."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()


def pytest_collection_finish() -> None:
    """Keep the garbage collector from walking modules, tests and what they keep over and over."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(1_000_000, 5, NEVER)
    _held[:] = [_most_held()]


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown() -> None:
    """Let go of what has lived for long, seldom: a whole walk takes seconds beside the runs that tests keep."""
    if _most_held() > _held[-1] + GROWN:
        gc.collect()
        _held[:] = [_most_held()]


def _most_held() -> int:
    """The most memory that this process has held, kB."""
    return getrusage(RUSAGE_SELF).ru_maxrss

"""Settings of all tests: repeatable hypothesis runs, no network, and what makes a whole run quick."""

import gc
import os
import socket
from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest
from coverage import Coverage
from hypothesis import settings

# As on the command line: one test process for each core is enough.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# The same examples on every machine, and no deadline: two cores shared by many make times meaningless.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")

# Folders whose tests count for coverage: those about what is measured. The others set pages, write archives and start
# programs, which takes nearly twice the time while every call is traced.
COVERING = ("chapters", "engine", "formulas", "limit_analysis", "procedures", "projects", "study")


@pytest.fixture(autouse=True)
def no_answers_of_the_user(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Neither read nor write the answers that the user of this machine keeps."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))


@pytest.fixture(autouse=True)
def no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuse every connection that leaves this machine."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: Any) -> None:
        if self.family != socket.AF_UNIX and address[0] not in {"127.0.0.1", "::1", "localhost"}:
            message = f"a test must not use the network (got {address})"
            raise AssertionError(message)
        connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", guarded)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files with slow tests first, dealt out to the processes: none is left alone with them at the end.

    Each process begins with its own part of the list. A file stays whole, because its tests share what they made.
    """
    slow: dict[Path, list[pytest.Item]] = {item.path: [] for item in items if item.get_closest_marker("slow")}
    quick: list[pytest.Item] = []
    for item in items:
        slow.get(item.path, quick).append(item)
    count = int(os.environ.get("PYTEST_XDIST_WORKER_COUNT", "1"))
    size = -(-len(items) // count)
    ordered: list[pytest.Item] = []
    for index in range(count):
        part = [item for file in list(slow.values())[index::count] for item in file]
        room = max(size - len(part), 0)
        ordered += part + quick[:room]
        del quick[:room]
    items[:] = ordered + quick


def pytest_collection_finish() -> None:
    """Keep the garbage collector from walking modules and tests over and over."""
    gc.collect()
    gc.freeze()


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Trace for coverage only the tests that count for it."""
    plugin = item.config.pluginmanager.get_plugin("_cov")
    control = plugin and plugin.cov_controller
    if control:
        counts = item.path.relative_to(Path(__file__).parent).parts[0] in COVERING
        if control.started and not counts:
            control.pause()
            # In a worker the plugin has started twice, and the measurement below, which nobody reads, goes on.
            while (other := Coverage.current()) is not None:
                other.stop()
        elif counts and not control.started:
            control.resume()
    return (yield)

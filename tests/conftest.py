"""Settings of all tests: repeatable hypothesis runs, no network, and what makes a whole run quick."""

import gc
import os
import socket
from collections.abc import Generator, Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any

import pytest
from coverage import Coverage
from hypothesis import settings

# As on the command line: one test process for each core is enough.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# The same examples on every machine, and no deadline: two cores shared by many make times meaningless.
settings.register_profile("repeatable", derandomize=True, deadline=None, database=None)
settings.load_profile("repeatable")

# Folders whose tests count for coverage: those about what is measured. While every call is traced a program takes
# nearly twice the time, so nothing else is, nor slow tests and the examples unless their mark says so: a quick test of
# its own reaches a line sooner.
COVERING = ("chapters", "formulas", "procedures", "study")


@pytest.fixture(scope="session", autouse=True)
def no_answers_of_the_user(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Neither read nor write the answers that the user of this machine keeps."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))
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


@pytest.hookimpl(tryfirst=True)
def pytest_sessionstart() -> None:
    """End the measurement that the coverage plugin has begun by itself in a process of many, and which nobody reads.

    Its second one lies on top of it, and wherever that rests the first would go on.
    """
    if "PYTEST_XDIST_WORKER" in os.environ:
        while (other := Coverage.current()) is not None:
            other.stop()


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
    # The longest begin the first process, and in it the test whose example is traced, before another has run it.
    groups = sorted(slow, key=lambda group: group != "examples")
    slow.get("examples", []).sort(key=_traced, reverse=True)
    ordered: list[pytest.Item] = []
    for index in range(count):
        part = [item for group in groups[index::count] for item in slow[group]]
        room = max(size - len(part), 0)
        ordered += part + quick[:room]
        del quick[:room]
    items[:] = ordered + quick


def _folder(item: pytest.Item) -> str:
    return item.path.relative_to(Path(__file__).parent).parts[0]


def _long(item: pytest.Item) -> bool:
    return bool(item.get_closest_marker("slow") or item.get_closest_marker("examples"))


def _traced(item: pytest.Item) -> bool:
    marks = [*item.iter_markers("slow"), *item.iter_markers("examples")]
    return _folder(item) in COVERING and (not marks or any(mark.kwargs.get("traced") for mark in marks))


def _together(item: pytest.Item) -> Path | str:
    return "examples" if item.get_closest_marker("examples") else item.path


def pytest_collection_finish() -> None:
    """Keep the garbage collector from walking modules and tests over and over."""
    gc.collect()
    gc.freeze()


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection(session: pytest.Session) -> Generator[None, object, object]:
    """Trace the import of what is measured, and nothing else that is read or compiled before the first test.

    Nor is the process traced that only deals tests out to others.
    """
    control = _tracing(session.config)
    if control:
        if not session.config.pluginmanager.has_plugin("dsession"):
            for folder in control.cov.get_option("run:source") or ():
                package = import_module(folder.replace("/", "."))
                for one in walk_packages(package.__path__, f"{package.__name__}."):
                    if not one.name.endswith("__main__"):
                        import_module(one.name)
        control.pause()
    return (yield)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Trace for coverage only the tests that count for it."""
    control = _tracing(item.config)
    if control:
        traced = _traced(item)
        if control.started and not traced:
            control.pause()
        elif traced and not control.started:
            control.resume()
    return (yield)


def _tracing(config: pytest.Config) -> Any:
    """What starts and stops the measurement of coverage; None where none is asked for."""
    plugin = config.pluginmanager.get_plugin("_cov")
    return plugin and plugin.cov_controller

"""A real cluster on this machine: the same numbers, a killed worker, what is refused."""

import os
import signal
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from socket import SHUT_RDWR, socket
from threading import Thread
from time import monotonic, sleep
from types import SimpleNamespace
from typing import Any

import dask
import pytest
from distributed import LocalCluster
from distributed.comm.core import CommClosedError

from calc.cli import run_command
from calc.commands.all_projects import Task, run_all
from calc.study import cluster_engine
from calc.study.cluster_engine import Cluster, ClusterError, _work_out, this_program
from calc.study.engines import Engine, LostChunkError, engine, in_order, most_ahead
from tests.study.chunk_work import TASKS, always_ends, divide, moments, moments_or_end

ALONE = [moments(task) for task in TASKS]


@pytest.fixture(scope="module")
def local() -> Iterator[Cluster]:
    """Two workers on this machine."""
    with engine("cluster", 2) as made:
        assert isinstance(made, Cluster)
        yield made


def number_of_process(task: float) -> int:
    """Say after a while who did the work."""
    sleep(task)
    return os.getpid()


@pytest.mark.slow
def test_a_cluster_gives_what_this_process_gives(local: Engine) -> None:
    assert local.workers == 2
    assert list(in_order(local.results(moments, TASKS))) == ALONE
    assert list(local.results(moments, [])) == []


@pytest.mark.slow
def test_a_cluster_is_found_by_its_address(local: Cluster) -> None:
    scheduler: Any = local._client.scheduler
    with engine("cluster", address=scheduler.address) as made:
        assert made.workers == 2
        assert list(in_order(made.results(moments, TASKS))) == ALONE


@pytest.mark.slow
def test_commands_run_on_workers(local: Cluster) -> None:
    """As with `--all`: each by the program that the worker has."""
    tasks = [Task("known", ("explain", "c_u")), Task("nowhere", ("check", "nowhere"))]
    known, nowhere = run_all(local, run_command, tasks, lambda _text: None)

    assert known.exit_code == 0
    assert nowhere.exit_code == 2
    assert "nowhere" in nowhere.messages


@pytest.mark.slow
def test_a_killed_worker_loses_only_its_chunk(local: Engine, tmp_path: Path) -> None:
    marks = {seed: tmp_path / str(seed) for seed in (3, 20)}
    for mark in marks.values():
        mark.touch()
    tasks = [(seed, count, str(marks.get(seed, ""))) for seed, count in TASKS]

    assert list(in_order(local.results(moments_or_end, tasks))) == ALONE
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_a_worker_killed_from_outside_is_replaced(local: Engine) -> None:
    pairs = local.results(number_of_process, [0.05] * 12)
    _, first = next(pairs)
    os.kill(first, signal.SIGKILL)
    others = {process for _, process in pairs}

    assert others - {first}


@pytest.mark.slow
def test_a_chunk_that_ends_three_workers_is_named(local: Engine) -> None:
    with pytest.raises(LostChunkError, match=r"^chunk 4 of 5 ended .*: 3$"):
        list(local.results(always_ends, range(5)))


@pytest.mark.slow
def test_an_error_arises_here_and_what_is_open_is_cancelled(local: Engine) -> None:
    with pytest.raises(ZeroDivisionError):
        list(local.results(divide, [1, 0, 1, 1]))
    assert list(in_order(local.results(moments, TASKS[:3]))) == ALONE[:3]


@pytest.mark.slow
def test_a_worker_with_another_program_is_refused(local: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster_engine, "this_program", lambda: "0123, numpy 1")
    with pytest.raises(ClusterError, match=r"another program: \w{12}, Python .* there, 0123, numpy 1 here$"):
        list(local.results(moments, TASKS[:1]))


def test_the_same_program_works() -> None:
    assert _work_out(this_program(), moments, TASKS[0]) == ALONE[0]
    with pytest.raises(ClusterError):
        _work_out("another", moments, TASKS[0])


def test_an_address_of_another_kind_is_left_to_the_library_and_none_is_told() -> None:
    cluster_engine._refuse_unreachable("ucx://nowhere:1")
    cluster_engine._refuse_others("ucx://nowhere:1")
    with pytest.raises(ClusterError, match=r"^no scheduler answers at tcp://\[1: invalid address"):
        cluster_engine._refuse_unreachable("tcp://[1")


def test_no_scheduler_and_no_worker_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster_engine, "PATIENCE", 0.3)
    with (
        pytest.raises(ClusterError, match=r"^no scheduler answers at tcp://127\.0\.0\.1:1: "),
        engine("cluster", address="tcp://127.0.0.1:1"),
    ):
        pass
    with (
        LocalCluster(n_workers=0, host="127.0.0.1", dashboard_address="127.0.0.1:0") as empty,
        pytest.raises(ClusterError, match=r"has had no worker for 0\.3 s$"),
        engine("cluster", address=empty.scheduler_address),
    ):
        pass


@contextmanager
def listening(says: bytes, *, hangs_up: bool = False) -> Iterator[str]:
    """The address of a socket that says this to everybody, and nothing more."""
    with socket() as listener, ExitStack() as open_ones:
        listener.bind(("127.0.0.1", 0))
        listener.listen()

        def serve() -> None:
            with suppress(OSError):  # the listener is shut down
                while True:
                    connection, _ = listener.accept()
                    with suppress(OSError):  # the other side is gone
                        connection.sendall(says)
                    if hangs_up:
                        sleep(0.02)  # closed while it is made, the library may wait for it until its time-out
                        connection.close()
                    else:
                        open_ones.enter_context(connection)

        thread = Thread(target=serve, daemon=True)
        thread.start()
        yield f"tcp://127.0.0.1:{listener.getsockname()[1]}"
        listener.shutdown(SHUT_RDWR)
        thread.join()


@pytest.mark.parametrize(
    ("says", "hangs_up", "why"),
    [
        (b"", False, r"is no scheduler, or one too busy: no greeting within 0\.4 s$"),
        (b"", True, "does not greet as a scheduler: it closes the connection$"),
        (b"HTTP/1.1 400 Bad Request\r\n\r\n", False, "does not greet as a scheduler: what it says cannot be read$"),
        (bytes(64), False, "does not greet as a scheduler: what it says cannot be read$"),
    ],
)
def test_what_is_no_scheduler_is_told_soon(
    says: bytes, why: str, monkeypatch: pytest.MonkeyPatch, *, hangs_up: bool
) -> None:
    if not says and not hangs_up:  # nothing else ends the wait; elsewhere a busy machine may take its time
        monkeypatch.setattr(cluster_engine, "GREETED", 0.4)
    begun = monotonic()
    with (
        listening(says, hangs_up=hangs_up) as address,
        pytest.raises(ClusterError, match=rf"^what listens at {address} {why}"),
        engine("cluster", address=address),
    ):
        pass
    assert monotonic() - begun < cluster_engine.PATIENCE / 4


@pytest.mark.slow
def test_the_address_of_a_worker_is_none_of_a_scheduler(local: Cluster) -> None:
    [address, *_] = local._client.nthreads()

    with pytest.raises(ClusterError, match=rf"^what listens at {address} is no scheduler, but a Worker$"):
        cluster_engine._refuse_others(address)


@pytest.mark.slow
def test_lost_workers_are_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    """The library gives up a worker that is long in beginning again: this one ends and is not begun again."""
    monkeypatch.setattr(cluster_engine, "COUNTED_FOR", 0.2)
    with dask.config.set({"distributed.deploy.lost-worker-timeout": "0.3s"}), engine("cluster", 1) as made:
        made._client.retire_workers(close_workers=True, remove=True)  # type: ignore[attr-defined]
        assert list(in_order(made.results(moments, TASKS[:3]))) == ALONE[:3]


def test_a_cluster_without_workers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster_engine, "COUNTED_FOR", 0.0)
    monkeypatch.setattr(cluster_engine, "PATIENCE", 0.05)
    client = SimpleNamespace(nthreads=dict)
    with pytest.raises(ClusterError, match=r"^the cluster has had no worker for 0\.05 s$"):  # noqa: PT012 - it takes a while
        made = Cluster(client)  # type: ignore[arg-type]
        sleep(0.1)
        made._look_after()


@pytest.mark.parametrize(("garbled", "connected"), [(2, True), (3, False)])
def test_a_garbled_greeting_is_asked_for_again(garbled: int, connected: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[object] = []

    def client(scheduler: object, **_more: object) -> str:
        tried.append(scheduler)
        assert len(tried) > garbled
        return "client"

    monkeypatch.setattr(cluster_engine, "Client", client)
    if connected:
        assert str(cluster_engine._connected("x", "x")) == "client"
    else:
        with pytest.raises(ClusterError, match=r"^no scheduler answers at x: "):
            cluster_engine._connected("x", "x")
    assert len(tried) == 3


def test_a_scheduler_that_is_lost_after_its_greeting_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def client(*_scheduler: object, **_more: object) -> None:
        message = "gone"
        raise OSError(message)

    monkeypatch.setattr(cluster_engine, "Client", client)
    with pytest.raises(ClusterError, match=r"^no scheduler answers at x: gone$"):
        cluster_engine._connected("x", "x")


def test_work_that_was_cancelled_is_told(local: Cluster) -> None:
    with pytest.raises(ClusterError, match=r"^the cluster was lost"):
        local._whole(SimpleNamespace(status="cancelled"), None, 0, TASKS)  # type: ignore[arg-type]


def test_nothing_is_begun_far_ahead(local: Cluster, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(local, "workers", 3)
    ahead: Any = most_ahead(3)
    assert local._may_begin(ahead - 1, [0])
    assert not local._may_begin(ahead, [0])
    assert not local._may_begin(5, [2, 3, 4])


@pytest.mark.parametrize("tried_again", [False, True])
def test_what_closes_the_connection_is_told_however_often_it_was_tried(
    monkeypatch: pytest.MonkeyPatch, *, tried_again: bool
) -> None:
    """The library tries again where a connection is closed before it is used, and tells then of a time-out alone."""

    async def connect(*_: object, **__: object) -> None:
        closed = CommClosedError()
        if not tried_again:
            raise closed
        message = "Timed out trying to connect"
        raise OSError(message) from closed

    monkeypatch.setattr(cluster_engine, "connect", connect)
    with pytest.raises(ClusterError, match=r"^what listens at tcp://x:1 does not greet .*: it closes the connection$"):
        cluster_engine._refuse_others("tcp://x:1")

"""Chunks on a cluster: a scheduler and workers of `distributed`, here or at an address.

A scheduler does what it is sent: it belongs into a network that nobody else reaches, or behind certificates, whose
files are named in the settings of the library (`distributed.comm.tls`).
"""

import asyncio
import platform
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from logging import CRITICAL, getLogger
from socket import create_connection
from time import monotonic, sleep
from typing import Any, TypeVar
from uuid import uuid4

from distributed import Client, Future, KilledWorker, LocalCluster, Security, as_completed
from distributed.comm.addressing import parse_address, parse_host_port
from distributed.comm.core import CommClosedError, connect

from calc.procedures.kept_answers import libraries
from calc.resources import program_fingerprint
from calc.study.engines import MOST_LOST, LostChunkError, most_ahead

Task = TypeVar("Task")
Result = TypeVar("Result")

PATIENCE = 60.0  # s until the first worker is there
REACH = 5.0  # s for a connection to the port of a scheduler
GREETED = 10.0  # s until what listens there has greeted as a scheduler does
COUNTED_FOR = 5.0  # s, after which the workers are counted again
SOCKETS, DEFAULT_PORT = {"tcp", "tls"}, 8786
GREETINGS = 3
PAUSE = 0.001  # s between two looks at what is done


class ClusterError(RuntimeError):
    """A cluster that does not answer, is lost, or has another program."""


class Cluster:
    """The workers of a cluster, each of its threads one."""

    def __init__(self, client: "Client", replace_lost: Callable[[], object] = lambda: None) -> None:
        self._client = client
        self._replace_lost = replace_lost
        self._counted, self._seen = 0.0, monotonic()
        self.workers = 1
        self._look_after()

    def results(self, work: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """As `calc.study.engines.Engine` has it."""
        name, program = f"chunk-{uuid4().hex}", this_program()
        done: Any = as_completed(loop=self._client.loop, with_results=True, raise_errors=False)
        open_ones: dict[Future[Any], int] = {}
        begun = 0
        try:
            while begun < len(tasks) or open_ones:
                self._look_after()
                while begun < len(tasks) and self._may_begin(begun, open_ones.values()):
                    future = self._client.submit(
                        _work_out, program, work, tasks[begun], key=(name, begun), pure=False, retries=0
                    )
                    open_ones[future] = begun
                    done.add(future)
                    begun += 1
                while not done.has_ready():
                    self._look_after()
                    sleep(PAUSE)
                future, result = next(done)
                index = open_ones.pop(future)
                yield index, self._whole(future, result, index, tasks)
        finally:
            self._client.cancel(list(open_ones), force=True)

    def _whole(self, future: "Future[Any]", result: Any, index: int, tasks: Sequence[object]) -> Any:
        """A result; where there is none, why."""
        if future.status == "finished":
            return result
        error = future.exception() if future.status == "error" else None
        if isinstance(error, KilledWorker):
            raise LostChunkError(index, len(tasks), tasks[index]) from error
        if error is None:
            message = "the cluster was lost while it worked, or the work was cancelled there"
            raise ClusterError(message)
        raise error

    def _may_begin(self, index: int, open_ones: Collection[int]) -> bool:
        """Whether a worker is free: it has one chunk, so that when it ends no other one is to blame."""
        return len(open_ones) < self.workers and index - min([index, *open_ones]) < most_ahead(self.workers)

    def _look_after(self) -> None:
        """Now and then count the workers, which come and go, and have lost ones replaced; none for long is an error."""
        now = monotonic()
        if now < self._counted + COUNTED_FOR:
            return
        there = sum(self._client.nthreads().values())
        self._counted, self._seen, self.workers = now, now if there else self._seen, max(1, there)
        if now > self._seen + PATIENCE:
            message = f"the cluster has had no worker for {PATIENCE:g} s"
            raise ClusterError(message)
        self._replace_lost()


@contextmanager
def cluster(workers: int, address: str | None) -> Iterator[Cluster]:
    """The cluster at an address, or one of so many processes that other machines do not reach."""
    for name in ("distributed", "distributed.client"):
        getLogger(name).setLevel(CRITICAL)  # what goes wrong is told by the errors raised here
    if address:
        _refuse_unreachable(address)
        _refuse_others(address)
        with _connected(address, address) as client:
            yield _with_workers(client, address)
        return
    with (
        LocalCluster(
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            host="127.0.0.1",
            dashboard_address="127.0.0.1:0",
            silence_logs=CRITICAL,
            scheduler_kwargs={"allowed_failures": MOST_LOST - 1},
        ) as local,
        _connected(local, "this machine") as client,
    ):
        # A worker that takes long to begin again, as on a busy machine, is given up by the library.
        yield _with_workers(client, "this machine", lambda: local.scale(workers))


def _refuse_unreachable(address: str) -> None:
    """Tell at once where nothing listens: the library itself asks again and again until its patience ends."""
    try:
        protocol, place = parse_address(address)
        if protocol in SOCKETS:
            create_connection(parse_host_port(place, DEFAULT_PORT), timeout=REACH).close()
    except (OSError, ValueError) as error:
        message = f"no scheduler answers at {address}: {error}"
        raise ClusterError(message) from error


def _refuse_others(address: str) -> None:
    """Tell soon where something listens that is no scheduler: a client of the library waits for its greeting for ever.

    What strange bytes make of the library is an error of any kind.
    """
    if parse_address(address)[0] not in SOCKETS:
        return

    async def kind() -> str:
        security: dict[str, Any] = Security().get_connection_args("client")
        # Sooner than what waits for it here: the library tries again where a connection is closed at once.
        comm = await connect(address, timeout=GREETED / 2, **security)
        try:
            await comm.write({"op": "identity", "reply": True})
            return str((await comm.read())["type"])
        finally:
            comm.abort()

    try:
        found = asyncio.run(asyncio.wait_for(kind(), GREETED))
    except TimeoutError as error:
        message = f"what listens at {address} is no scheduler, or one too busy: no greeting within {GREETED:g} s"
        raise ClusterError(message) from error
    except Exception as error:
        why = error if isinstance(error, (OSError, TypeError)) else "what it says cannot be read"
        if {CommClosedError} & {type(error), type(error.__cause__)}:
            why = "it closes the connection"
        message = f"what listens at {address} does not greet as a scheduler: {why}"
        raise ClusterError(message) from error
    if found != "Scheduler":
        message = f"what listens at {address} is no scheduler, but a {found}"
        raise ClusterError(message)


def _connected(scheduler: "str | LocalCluster", place: str) -> "Client":
    """A client of a scheduler."""
    refused: Exception | None = None
    for _ in range(GREETINGS):
        try:
            return Client(scheduler, timeout=PATIENCE, set_as_default=False)
        except AssertionError as error:  # the library expects the greeting alone, and something else came with it
            refused = error
        except (OSError, ValueError) as error:
            refused = error
            break
    message = f"no scheduler answers at {place}: {refused}"
    raise ClusterError(message) from refused


def _with_workers(client: "Client", place: str, replace_lost: Callable[[], object] = lambda: None) -> Cluster:
    try:
        client.wait_for_workers(1, timeout=PATIENCE)
    except TimeoutError as error:
        message = f"the scheduler at {place} has had no worker for {PATIENCE:g} s"
        raise ClusterError(message) from error
    return Cluster(client, replace_lost)


@cache
def this_program() -> str:
    """What makes results the same but for the processor: the program, Python and its libraries."""
    return f"{program_fingerprint()[:12]}, Python {platform.python_version()}, {libraries()}"


def _work_out(program: str, work: Callable[[Task], Result], task: Task) -> Result:
    """What a worker does; one with another program would mix its numbers with ours."""
    if this_program() != program:
        message = f"a worker of the cluster has another program: {this_program()} there, {program} here"
        raise ClusterError(message)
    return work(task)

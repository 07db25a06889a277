"""One call that works out chunks of a study: in this process, in processes beside it, or on a cluster.

A chunk is a task, plain data; its result depends on the task alone, so that it makes no difference who works it out.
"""

from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Literal, Protocol, TypeVar

from calc.procedures.workers import can_fork, processors
from calc.study.process_engine import Processes

Task = TypeVar("Task")
Result = TypeVar("Result")
Kind = Literal["here", "processes", "cluster"]


class Engine(Protocol):
    """Works out chunks, in whatever order they are done."""

    @property
    def workers(self) -> int:
        """How many chunks may be in hand at a time."""

    def results(self, work: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """The place and the result of each task as it is done, at most ``AHEAD`` a worker beyond the first open one.

        A worker that ends loses only the task that it had in hand, which another one is given. An error of ``work``
        arises here. Raises `LostChunkError` where a task has taken ``MOST_LOST`` workers with it. With a cluster,
        ``work`` is a function that its workers can import, or small and plain: what it needs that is large it builds
        there once.
        """


class Here:
    """The process that asks."""

    workers = 1

    def results(self, work: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """The result of each task in order."""
        for index, task in enumerate(tasks):
            yield index, work(task)


@contextmanager
def engine(kind: Kind, workers: int | None = None, address: str | None = None) -> Iterator[Engine]:
    """An engine: as many workers as processors where no number is given; a cluster at an address has its own.

    A cluster without an address is one on this machine. Where no process can be forked, "processes" is this one.
    Raises `ImportError` where the extra for clusters is missing, `calc.study.cluster_engine.ClusterError` where
    nothing answers at the address.
    """
    count = workers or processors()
    if kind == "cluster":
        from calc.study.cluster_engine import cluster  # noqa: PLC0415 - an extra

        with cluster(count, address) as made:
            yield made
    elif kind == "processes" and can_fork():
        yield Processes(count)
    else:
        yield Here()


def in_order(pairs: Iterable[tuple[int, Result]]) -> Generator[Result]:
    """Results in the order of their places, so that a sum over them is the same to the last digit by any engine.

    What is done early waits; an engine goes only so far ahead.
    """
    early: dict[int, Result] = {}
    place = 0
    for index, result in pairs:
        early[index] = result
        while place in early:
            yield early.pop(place)
            place += 1

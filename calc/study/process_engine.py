"""Chunks in forked processes of this machine."""

from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from multiprocessing.connection import Connection, wait
from typing import Generic, TypeVar

from calc.procedures.workers import begin_process
from calc.study.chunk_limits import MOST_LOST, LostChunkError, most_ahead

Task = TypeVar("Task")
Result = TypeVar("Result")


class Processes:
    """Forked processes: they have all that is loaded, and one chunk each in hand."""

    def __init__(self, workers: int) -> None:
        self.workers = workers

    def results(self, work: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """As `calc.study.engines.Engine` has it; processes are started for these tasks and end with them."""
        crew = _Crew(work, tasks, self.workers)
        try:
            while crew.is_at_work:
                crew.hand_out()
                done = crew.collect()
                crew.hand_out()  # before whoever asked has a look at what is done
                yield from done
        finally:
            crew.end()


class _Crew(Generic[Task, Result]):
    """The processes, what each has in hand, and what waits."""

    def __init__(self, work: Callable[[Task], Result], tasks: Sequence[Task], count: int) -> None:
        self._work, self._tasks, self._count = work, tasks, count
        self._processes = {}  # type: ignore[var-annotated]  # of a type that some systems do not have
        self._waiting = deque(range(len(tasks)))
        self._busy: dict[Connection, int] = {}
        self._free: list[Connection] = []
        self._lost = Counter[int]()

    @property
    def is_at_work(self) -> bool:
        return bool(self._waiting or self._busy)

    def hand_out(self) -> None:
        """Give every process something to do, as far ahead as may be."""
        while self._waiting and len(self._busy) < self._count:
            index = self._waiting[0]
            if index - min([index, *self._busy.values()]) >= most_ahead(self._count):
                return
            end = self._free.pop() if self._free else self._begin()
            try:
                end.send(self._tasks[index])
            except ConnectionError:  # it ended while it had nothing to do
                self._forget(end)
                continue
            self._busy[end] = self._waiting.popleft()

    def collect(self) -> list[tuple[int, Result]]:
        """Wait until something is done, and give it."""
        done = []
        for end in wait(list(self._busy)):
            assert isinstance(end, Connection)  # noqa: S101 - for the types: nothing else was asked for
            index = self._busy.pop(end)
            try:
                whole, result = end.recv()
            except (EOFError, ConnectionError):
                self._forget(end)
                self._repeat(index)
                continue
            self._free.append(end)
            # What fails there is done again here, where its error arises.
            done.append((index, result if whole else self._work(self._tasks[index])))
        return done

    def _repeat(self, index: int) -> None:
        self._lost[index] += 1
        if self._lost[index] == MOST_LOST:
            raise LostChunkError(index, len(self._tasks), self._tasks[index])
        self._waiting.appendleft(index)

    def _begin(self) -> Connection:
        end, process = begin_process(self._work, self._processes)
        self._processes[end] = process
        return end

    def _forget(self, end: Connection) -> None:
        end.close()
        self._processes.pop(end).join()

    def end(self) -> None:
        """End all processes, also those that have something in hand that nobody waits for any more."""
        for end, process in self._processes.items():
            with suppress(OSError):
                end.close()
            process.terminate()
            process.join()

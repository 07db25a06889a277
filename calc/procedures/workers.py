"""Processes beside this one that work out one thing each at a time.

They are forked, so that they have all that is loaded; what passes between them is pickled in memory only.
"""

import gc
import os
import signal
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import partial
from multiprocessing import get_all_start_methods, get_context
from multiprocessing.connection import Connection, wait
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:  # there is none where processes cannot be forked
    from multiprocessing.context import ForkProcess

One = TypeVar("One")
Made = TypeVar("Made")
Work = Callable[[One], Made]


class Workers:
    """Processes for one kind of work after the other; started when there is something to do, ended by ``end``."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._ends: list[Connection] = []
        self._processes: list[ForkProcess] = []
        self._work: Work[object, object] | None = None

    def work_out(self, work: Work[One, Made], on: Sequence[One], begin: Callable[[], None]) -> dict[int, Made]:
        """``work`` of each by its place; ``begin`` is called in this process as each is handed out.

        What fails is left out, and what a process had in hand that ended by itself: it is for this process, so that
        errors arise here.
        """
        if self._work != work:
            self.end()
            self._start(work)
        waiting = list(range(len(on)))[::-1]
        made: dict[int, Made] = {}
        busy: dict[Connection, int] = {}
        free = self._ends[::-1]
        while (waiting and free) or busy:
            while waiting and free:
                end, index = free.pop(), waiting.pop()
                try:
                    end.send(on[index])
                except ConnectionError:  # it ended while it had nothing to do
                    self._ends.remove(end)
                    waiting.append(index)
                    continue
                begin()
                busy[end] = index
            ready = wait(list(busy), None if busy else 0)  # of nobody it would wait without end
            for end in [connection for connection in busy if connection in ready]:
                index = busy.pop(end)
                try:
                    done, result = end.recv()
                except (EOFError, OSError):  # it ended, perhaps in the middle of its answer
                    self._ends.remove(end)
                    continue
                free.append(end)
                if done:
                    made[index] = result
        return made

    def work_out_apart(self, work: Work[One, Made], on: Sequence[One], begin: Callable[[], None]) -> dict[int, Made]:
        """The same by a process of its own for each, with what is loaded here by then: its memory goes with it."""
        self.end()
        waiting = list(range(len(on)))[::-1]
        made: dict[int, Made] = {}
        busy: dict[Connection, int] = {}
        try:
            while waiting or busy:
                while waiting and len(busy) < self._count:
                    end, process = begin_process(partial(_uncollected, work), self._ends)
                    self._ends.append(end)
                    self._processes.append(process)
                    busy[end] = waiting.pop()
                    with suppress(ConnectionError):  # that it is gone is seen below
                        end.send(on[busy[end]])
                    begin()
                ready = wait(list(busy))
                for end in [connection for connection in busy if connection in ready]:
                    index = busy.pop(end)
                    with suppress(EOFError, OSError):
                        done, result = end.recv()
                        if done:
                            made[index] = result
                    self._ends.remove(end)
                    end.close()
        finally:  # closes what is open: a process that still hears is waited for without end
            self.end()
        return made

    def end(self) -> None:
        """Let the processes end."""
        for end in self._ends:
            end.close()
        for process in self._processes:
            process.join()
        self._ends, self._processes, self._work = [], [], None

    def _start(self, work: Work[One, Made]) -> None:
        self._work = work  # type: ignore[assignment]
        for _ in range(self._count):
            end, process = begin_process(work, self._ends)
            self._ends.append(end)
            self._processes.append(process)


def begin_process(work: Work[One, Made], others: Iterable[Connection]) -> "tuple[Connection, ForkProcess]":
    """Fork a process that answers what is sent to it by whether its work was done and what it made.

    `others` are the ends of this process to earlier ones. They are closed there, so that each process sees when this
    one is gone.
    """
    forked = get_context("fork")
    near_end, other = forked.Pipe()
    process = forked.Process(target=_serve, args=(work, other, [*others, near_end]), daemon=True)
    process.start()
    other.close()
    return near_end, process


def _uncollected(work: Work[One, Made], question: One) -> Made:
    """Work of a process that ends with it: what refers to itself need not be found."""
    gc.disable()
    return work(question)


def _serve(work: Work[One, Made], end: Connection, others: Sequence[Connection]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the process that asks is interrupted, and ends this one
    for other in others:
        other.close()
    while True:
        try:
            question = end.recv()
        except EOFError:
            return
        answer: tuple[bool, Made | None] = (False, None)
        # What fails is done again where its error can be told.
        with suppress(Exception):
            answer = True, work(question)
        try:
            end.send(answer)
        except ConnectionError:
            return


def processors() -> int:
    """How many processors may be used."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else 1


def can_fork() -> bool:
    """Whether a process can be forked here."""
    return "fork" in get_all_start_methods()


@contextmanager
def workers_beside(count: int | None = None) -> Iterator[Workers | None]:
    """So many processes, one for each processor by default; None for one, or where a process cannot be forked."""
    count = count or processors()
    if count < 2 or not can_fork():
        yield None
        return
    made = Workers(count)
    try:
        yield made
    finally:
        made.end()

"""Chunks come out the same by any engine; a worker that ends loses one chunk; a run that was broken off goes on."""

import os
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

import numpy as np
import pytest

from calc.kept import KeptFiles
from calc.run_progress import Progress
from calc.study import engines
from calc.study.chunk_limits import LostChunkError, most_ahead
from calc.study.chunks import Keeping, KeptChunks, worked_out
from calc.study.engines import Engine, Here, engine, in_order
from calc.study.process_engine import Processes, _Crew
from tests.study.chunk_work import TASKS, always_ends, divide, moments, moments_or_end

Task = TypeVar("Task")
Result = TypeVar("Result")

ALONE = [moments(task) for task in TASKS]


@pytest.mark.parametrize("workers", [1, 2, 3, 7])
def test_processes_give_what_this_process_gives(workers: int) -> None:
    with engine("here") as here, engine("processes", workers) as beside:
        assert isinstance(here, Here)
        assert beside.workers == workers
        assert list(in_order(here.results(moments, TASKS))) == ALONE
        assert list(in_order(beside.results(moments, TASKS))) == ALONE


def test_there_are_as_many_processes_as_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engines, "processors", lambda: 5)
    with engine("processes") as beside:
        assert beside.workers == 5


def test_without_forks_this_process_does_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engines, "can_fork", lambda: False)
    with engine("processes", 4) as made:
        assert isinstance(made, Here)


def test_no_task_is_nothing() -> None:
    for made in (Here(), Processes(2)):
        assert list(made.results(moments, [])) == []


def test_results_wait_for_their_turn() -> None:
    assert list(in_order([(2, "c"), (0, "a"), (3, "d"), (1, "b")])) == ["a", "b", "c", "d"]


def test_nothing_is_begun_far_ahead_of_an_open_chunk(tmp_path: Path) -> None:
    """The first chunk waits until the others have gone as far as they may: memory is bounded."""
    most = most_ahead(2)
    last = tmp_path / str(most - 1)

    def wait_or_mark(task: int) -> int:
        while task == 0 and not last.exists():
            pass
        (tmp_path / str(task)).touch()
        return task

    pairs = Processes(2).results(wait_or_mark, range(100))
    early = [next(pairs)[0] for _ in range(most)]

    assert sorted(early) == list(range(most))
    assert [index for index, _ in pairs] != []


def test_a_killed_process_loses_only_its_chunk(tmp_path: Path) -> None:
    marks = {seed: tmp_path / str(seed) for seed in (0, 5, 6, 39)}
    for mark in marks.values():
        mark.touch()
    tasks = [(seed, count, str(marks.get(seed, ""))) for seed, count in TASKS]

    assert list(in_order(Processes(2).results(moments_or_end, tasks))) == ALONE
    assert list(tmp_path.iterdir()) == []


def test_a_chunk_that_ends_three_processes_is_named() -> None:
    with pytest.raises(
        LostChunkError, match=r"^chunk 4 of 9 ended the process that worked at it 3 times, .*: 3$"
    ) as at:
        list(Processes(2).results(always_ends, range(9)))
    assert at.value.index == 3
    assert len(str(LostChunkError(0, 1, "x" * 999))) < 400


@pytest.mark.parametrize("made", [Here(), Processes(2)])
def test_an_error_arises_where_the_results_are_asked_for(made: Engine) -> None:
    with pytest.raises(ZeroDivisionError):
        list(made.results(divide, [1, 2, 0, 3]))


def test_a_process_that_ends_idle_is_replaced() -> None:
    crew = _Crew(moments, TASKS[:1], 1)
    end = crew._begin()
    crew._free.append(end)
    crew._processes[end].kill()
    crew._processes[end].join()
    made = []
    while crew.is_at_work:
        crew.hand_out()
        made += crew.collect()
    crew.end()

    assert made == [(0, ALONE[0])]


def test_who_stops_asking_ends_the_processes() -> None:
    def number(task: int) -> int:
        return os.getpid()

    pairs = Processes(2).results(number, range(9))
    _, process = next(pairs)
    pairs.close()  # type: ignore[attr-defined]

    with pytest.raises(ProcessLookupError):
        os.kill(process, 0)


@pytest.fixture
def kept(tmp_path: Path) -> Callable[[str], KeptChunks]:
    """Chunks of a question, kept in a folder."""
    return lambda question: KeptChunks(KeptFiles(tmp_path / "chunks"), question)


class BrokenOff:
    """An engine that is broken off after some chunks, and counts what it was asked for."""

    workers = 1

    def __init__(self, after: int) -> None:
        self.after, self.asked = after, 0

    def results(self, work: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        for pair in Here().results(work, tasks):
            if self.asked == self.after:
                raise KeyboardInterrupt
            self.asked += 1
            yield pair


def test_a_run_that_was_broken_off_goes_on(kept: Callable[[str], KeptChunks]) -> None:
    first, second, third = BrokenOff(15), BrokenOff(99), BrokenOff(99)
    with pytest.raises(KeyboardInterrupt):
        list(worked_out(first, moments, TASKS, kept=kept("a")))
    again = list(worked_out(second, moments, TASKS, kept=kept("a")))
    other = list(worked_out(third, moments, TASKS, kept=kept("b")))

    assert again == other == ALONE
    assert (first.asked, second.asked, third.asked) == (15, 25, 40)


def test_an_engine_that_keeps_asks_for_nothing_twice_and_tells_of_its_chunks(
    kept: Callable[[str], KeptChunks],
) -> None:
    """One task by itself is worked out here: whoever has the others is not asked for it."""
    first, second, said = BrokenOff(99), BrokenOff(0), list[str]()

    once = list(Keeping(first, kept("a"), said.append, "chunk {done} of {count}").results(moments, TASKS))
    again = list(Keeping(second, kept("a"), said.append, "again").results(moments, TASKS))
    alone = list(Keeping(second, kept("b"), None, "alone").results(moments, TASKS[:1]))

    assert [result for _, result in once] == ALONE
    assert again == once
    assert [place for place, _ in once] == list(range(len(TASKS)))
    assert alone == once[:1]
    assert (first.asked, second.asked, Keeping(first, None, None, "").workers) == (len(TASKS), 0, 1)
    assert said == [f"chunk {k} of {len(TASKS)}" for k in range(1, len(TASKS) + 1)]


def test_what_is_kept_has_every_digit(kept: Callable[[str], KeptChunks]) -> None:
    chunks = kept("a")
    result = {"sum": 0.1 + 0.2, "n": 3, "by": (np.array([[1e-300, np.pi]]), np.array([True])), "none": None}
    chunks.keep((1, "x"), result)
    read = chunks.read((1, "x"))

    assert chunks.read((2, "x")) is None
    assert read is not None
    assert repr(read[0]) == repr(result)


def test_chunks_need_not_be_kept() -> None:
    assert list(worked_out(Processes(2), moments, TASKS)) == ALONE


@pytest.mark.parametrize("damage", [b"", b"0" * 64 + b"\n{}", None])
def test_what_is_not_whole_is_worked_out_again(
    kept: Callable[[str], KeptChunks], tmp_path: Path, damage: bytes | None
) -> None:
    list(worked_out(Here(), moments, TASKS[:3], kept=kept("a")))
    for file in (tmp_path / "chunks").iterdir():
        file.write_bytes(file.read_bytes()[:-1] if damage is None else damage)
    counted = BrokenOff(9)

    assert list(worked_out(counted, moments, TASKS[:3], kept=kept("a"))) == ALONE[:3]
    assert counted.asked == 3


def test_whole_files_that_hold_something_else_are_none(kept: Callable[[str], KeptChunks], tmp_path: Path) -> None:
    chunks = kept("a")
    chunks._files.keep(chunks._name(1), b"no chunk")

    assert chunks.read(1) is None


def test_a_chunk_that_is_removed_meanwhile_is_worked_out(kept: Callable[[str], KeptChunks], tmp_path: Path) -> None:
    list(worked_out(Here(), moments, TASKS[:3], kept=kept("a")))
    results = worked_out(Here(), moments, TASKS[:3], kept=kept("a"))
    first = next(results)
    for file in (tmp_path / "chunks").iterdir():
        file.unlink()

    assert [first, *results] == ALONE[:3]


def test_progress_counts_what_is_done_in_this_run(kept: Callable[[str], KeptChunks]) -> None:
    told: list[Progress] = []
    list(worked_out(Here(), moments, TASKS[:2], kept=kept("a")))
    list(worked_out(Here(), moments, TASKS[:6], kept=kept("a"), tell=told.append))

    assert told == [f"chunk {one} of 4" for one in (1, 2, 3, 4)]
    assert [one.share for one in told] == [0.25, 0.5, 0.75, 1.0]
    assert [one.opens for one in told] == [True, False, False, False]

"""Answers of slip searches: worked out beside or kept, they are the same to the last bit, and refused as before."""

import gc
import os
import platform
import signal
from collections.abc import Iterator
from dataclasses import replace
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from threading import Thread

import numpy as np
import pytest

from calc import kept as kept_files
from calc.kept import user_folder
from calc.procedures import kept_answers
from calc.procedures.answers import Answers, Means, by_means, watch_searches
from calc.procedures.kept_answers import KeptAnswers
from calc.procedures.slip import Circle, Layer, Model, Search, SlipError, Soil
from calc.procedures.stage_search import Asked, Wanted, answer, force_asked, over_stages
from calc.procedures.workers import Workers, _serve, _uncollected, workers_beside

CLAY = Soil("clay", 18.0, 18.0, c=10.0, phi=0.35)
SLOPE = Model(((-20.0, 5.0), (0.0, 5.0), (10.0, 0.0), (30.0, 0.0)), (Layer(CLAY),), -6.0)
ASKED = [
    Asked(SLOPE, Search(counts=(4, 4, 4)), "bishop", "right", 20),
    Asked(SLOPE, Search(counts=(4, 4, 4)), "janbu", "right", 20),
    Asked(SLOPE, Circle(6.0, 10.0, 11.0), "spencer", "right", 20),
]
WANTED = Wanted(SLOPE, Search(counts=(4, 4, 4)), "right", 20, 0.5, (-20.0, 30.0), 3.0)
NOWHERE = Asked(SLOPE, Circle(6.0, 100.0, 11.0), "bishop", "right", 20)


@pytest.fixture(autouse=True)
def _forgotten() -> Iterator[None]:
    answer.forget()
    force_asked.forget()
    yield
    answer.forget()
    force_asked.forget()


def text(one: object) -> str:
    """Every digit of an answer."""
    with np.printoptions(threshold=10**9, floatmode="unique"):
        return repr(one)


def answers() -> list[str]:
    rows = over_stages([[*ASKED, None, NOWHERE]], every=False).results
    return [text(one) for one in (*rows[0], force_asked(WANTED))]


def path_of(kept: KeptAnswers, question: object) -> Path:
    """The file that answers a question."""
    return kept._files._folder / kept._name(question)


def test_kept_answers_are_the_same_and_nothing_is_searched(tmp_path: Path) -> None:
    alone = answers()
    answer.forget()
    kept = KeptAnswers(tmp_path / "kept")
    with by_means(Means(kept=kept)):
        force_asked.forget()
        assert answers() == alone
        assert (answer.worked_out, force_asked.worked_out) == (4, 1)
        answer.forget()
        force_asked.forget()
        assert answers() == alone
    assert (answer.worked_out, force_asked.worked_out) == (0, 0)
    with by_means(Means(kept=kept)), pytest.raises(SlipError, match="not admissible"):
        answer(NOWHERE)
    assert answer.worked_out == 0


def test_another_question_is_searched(tmp_path: Path) -> None:
    softer = replace(SLOPE, layers=(Layer(replace(CLAY, c=np.nextafter(10.0, 9.0))),))
    with by_means(Means(kept=KeptAnswers(tmp_path / "kept"))):
        answer(ASKED[0])
        answer(replace(ASKED[0], model=softer))
        answer(replace(ASKED[0], slices=21))
        assert answer.worked_out == 3


@pytest.mark.parametrize("what", ["cut off", "other bits", "other question", "not plain", "no file", "open folder"])
def test_what_is_not_whole_is_passed_over(tmp_path: Path, what: str) -> None:
    folder = tmp_path / "kept"
    kept = KeptAnswers(folder)
    with by_means(Means(kept=kept)):
        right = text(answer(ASKED[0]))
        other = text(answer(ASKED[1]))
        assert right != other
        path, second = path_of(kept, ASKED[0]), path_of(kept, ASKED[1])
        content = path.read_bytes()
        match what:
            case "cut off":
                path.write_bytes(content[:-10])
            case "other bits":
                path.write_bytes(content[:-10] + bytes([content[-10] ^ 1]) + content[-9:])
            case "other question":
                path.write_bytes(second.read_bytes())
            case "not plain":
                path.write_bytes(kept_files._digest(path.name, b"x").encode() + b"\nx")
            case "no file":
                path.unlink()
                path.mkdir()
            case "open folder":
                folder.chmod(0o777)
        answer.forget()
        assert text(answer(ASKED[0])) == right
        assert answer.worked_out == 1
        kept.tidy()


def test_other_programs_and_processors_have_answers_of_their_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = path_of(KeptAnswers(tmp_path), ASKED[0])
    monkeypatch.setattr(kept_answers, "program_fingerprint", lambda: "another")
    assert path_of(KeptAnswers(tmp_path), ASKED[0]) != before
    monkeypatch.undo()
    monkeypatch.setattr(platform, "machine", lambda: "another")
    assert path_of(KeptAnswers(tmp_path), ASKED[0]) != before


def test_longest_unused_answers_go_first(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    kept = KeptAnswers(folder)
    with by_means(Means(kept=kept)):
        for one in ASKED:
            answer(one)
        for age, one in enumerate(ASKED):
            os.utime(path_of(kept, one), (age + 1, age + 1))
        answer.forget()
        answer(ASKED[0])  # used again
    sizes = [path_of(kept, one).stat().st_size for one in (ASKED[0], ASKED[2])]
    KeptAnswers(folder, sum(sizes)).tidy()
    assert {one.name for one in folder.iterdir()} == {path_of(kept, one).name for one in (ASKED[0], ASKED[2])}
    KeptAnswers(tmp_path / "none").tidy()


def test_what_was_begun_and_left_goes_after_an_hour(tmp_path: Path) -> None:
    tmp_path.chmod(0o700)
    left, begun = tmp_path / ".left", tmp_path / ".begun"
    for path in (left, begun):
        path.write_bytes(b"x")
    os.utime(left, (1.0, 1.0))
    KeptAnswers(tmp_path).tidy()
    assert list(tmp_path.iterdir()) == [begun]


def test_folder_that_cannot_be_written_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "kept").write_text("a file")
    with by_means(Means(kept=KeptAnswers(tmp_path / "kept"))):
        assert answer(ASKED[0]).factor > 0


def test_folder_is_that_of_the_user(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert user_folder("answers") == tmp_path / "sandsleeve" / "answers"
    monkeypatch.setenv("XDG_CACHE_HOME", "relative")
    assert user_folder("answers") == Path.home() / ".cache" / "sandsleeve" / "answers"


def test_unknown_data_is_not_written(tmp_path: Path) -> None:
    with pytest.raises(kept_answers.UnknownKindError, match="set"):
        KeptAnswers(tmp_path).keep(ASKED[0], {1})


def test_processes_beside_give_the_same_and_each_search_is_told() -> None:
    alone = answers()
    answer.forget()
    force_asked.forget()
    told: list[None] = []
    workers = Workers(2)
    with by_means(Means(workers)), watch_searches(lambda: told.append(None)):
        assert answers() == alone
        assert len(told) == answer.worked_out + force_asked.worked_out == 5
        processes = list(workers._processes)
        workers.end()
    assert len(processes) == 2
    assert not any(process.is_alive() for process in processes)


def _work(one: int) -> int:
    if one == 3:
        os._exit(1)
    return 100 // one


def test_work_that_fails_or_a_process_that_is_gone_leaves_its_part() -> None:
    workers = Workers(2)
    begun: list[None] = []
    made = workers.work_out(_work, [1, 0, 3, 4, 5], lambda: begun.append(None))
    assert made == {0: 100, 3: 25, 4: 20}
    assert len(begun) == 5
    assert workers.work_out(_work, [3, 4], lambda: None) in ({1: 25}, {})
    assert workers.work_out(_work, [3, 3, 4], lambda: None) == {}
    workers.end()


def test_process_that_ended_with_nothing_to_do_is_passed_over() -> None:
    workers = Workers(2)
    begun: list[None] = []
    workers.work_out(_work, [1], lambda: None)
    for process in workers._processes:
        process.terminate()
        process.join()
    assert workers.work_out(_work, [3, 4], lambda: begun.append(None)) == {}
    assert begun == []
    workers.end()


def _process_of(one: int) -> tuple[int, int]:
    return _work(one), os.getpid()


def test_work_apart_has_a_process_for_each_and_leaves_what_fails() -> None:
    workers = Workers(2)
    begun: list[None] = []
    workers.work_out(_work, [1], lambda: None)
    before = list(workers._processes)
    made = workers.work_out_apart(_process_of, [1, 0, 3, 4, 5], lambda: begun.append(None))
    assert {place: value for place, (value, _) in made.items()} == {0: 100, 3: 25, 4: 20}
    assert len({os.getpid(), *(process for _, process in made.values())}) == 4
    assert len(begun) == 5
    assert not any(process.is_alive() for process in before)
    assert workers._processes == []


def test_work_apart_ends_its_processes_where_it_is_broken_off() -> None:
    def broken() -> None:
        raise KeyboardInterrupt

    workers = Workers(2)
    with pytest.raises(KeyboardInterrupt):
        workers.work_out_apart(_work, [1, 3, 4], broken)
    assert workers._processes == []
    assert workers._ends == []


def _cut_answer(_question: int) -> int:
    """Ends in the middle of its answer."""

    def send_part(end: Connection, _answer: object) -> None:
        os.write(end.fileno(), (1000).to_bytes(4, "big") + b"part")
        os._exit(1)

    Connection.send = send_part  # type: ignore[assignment, method-assign] # in the forked process alone
    return 1


def test_answer_that_ends_in_its_middle_is_left_out() -> None:
    for way in (Workers(1).work_out, Workers(1).work_out_apart):
        assert way(_cut_answer, [1], lambda: None) == {}


def test_collector_rests_in_a_process_that_ends_with_its_work() -> None:
    """In this process, where the tests can look."""
    assert gc.isenabled()
    try:
        assert _uncollected(lambda one: (one, gc.isenabled()), 1) == (1, False)
    finally:
        gc.enable()


def _hear(end: Connection) -> None:
    assert [end.recv(), end.recv()] == [(True, 25), (False, None)]
    end.close()


@pytest.mark.parametrize("listening", [True, False])
def test_process_beside_answers_until_nobody_asks(listening: bool) -> None:
    """In this process, where the tests can look."""
    own, other = Pipe()
    further, _ = Pipe()
    for one in (4, 0) if listening else (4,):
        own.send(one)
    before = signal.getsignal(signal.SIGINT)
    if not listening:
        own.close()
    try:
        thread = Thread(target=_hear, args=(own,))
        if listening:
            thread.start()
        _serve(_work, other, [further])
        assert signal.getsignal(signal.SIGINT) == signal.SIG_IGN
    finally:
        signal.signal(signal.SIGINT, before)
    assert further.closed
    if listening:
        thread.join()


def test_systems_without_users_have_no_folder_of_others(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    tmp_path.chmod(0o777)
    assert not kept_files._is_own(tmp_path)
    monkeypatch.delattr(os, "getuid")
    assert kept_files._is_own(tmp_path)


def test_an_error_arises_in_the_process_that_asks() -> None:
    def divide(one: int) -> int:
        return 1 // one

    asked = Answers(divide, 10)
    workers = Workers(2)
    with by_means(Means(workers)):
        asked.prepare([1, 0])
        asked.prepare([0])  # one alone is for this process
        assert asked.worked_out == 1
        with pytest.raises(ZeroDivisionError):
            asked(0)
    workers.end()


def test_one_processor_has_no_processes_beside(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0}, raising=False)
    with workers_beside() as none:
        assert none is None
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1}, raising=False)
    with workers_beside() as some:
        assert isinstance(some, Workers)


def test_only_the_last_answers_stay_in_memory() -> None:
    asked: Answers[int, int] = Answers(lambda one: one * 2, 2)
    assert [asked(one) for one in (1, 2, 3, 3, 1)] == [2, 4, 6, 6, 2]
    assert asked.worked_out == 4

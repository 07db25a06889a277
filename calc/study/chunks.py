"""A study in chunks: results in order, kept as they are done, so that a run that was broken off goes on from there."""

import json
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256
from typing import TypeVar

from calc.kept import KeptFiles
from calc.procedures.kept_answers import as_plain_data, from_plain_data, maker
from calc.run_progress import Progress, Tell
from calc.study.engines import Engine, Here, in_order

Task = TypeVar("Task")
Result = TypeVar("Result")


class KeptChunks:
    """Results of chunks as files, each named by question, task and program; plain data, and none that is not whole.

    The question says everything that a result depends on besides its task and the program, such as the hash of the
    inputs and the settings of the study.
    """

    def __init__(self, files: KeptFiles, question: str) -> None:
        self._files = files
        self._question = f"{maker()}\n{question}"

    def read(self, task: object) -> tuple[object] | None:
        """The result of a task in a tuple; None where none is kept."""
        content = self._files.read(self._name(task))
        try:
            return (from_plain_data(json.loads(zlib.decompress(content))),) if content else None
        except (ValueError, zlib.error, TypeError, KeyError):
            return None

    def keep(self, task: object, result: object) -> None:
        """Keep a result of numbers, texts, tuples, dictionaries and arrays."""
        self._files.keep(self._name(task), zlib.compress(json.dumps(as_plain_data(result)).encode(), 1))

    def _name(self, task: object) -> str:
        return sha256(f"{self._question}\n{json.dumps(as_plain_data(task))}".encode()).hexdigest()


@dataclass(frozen=True)
class Keeping:
    """An engine whose results are kept as they are done, and told of; one task by itself is worked out here."""

    engine: Engine
    kept: KeptChunks | None
    tell: Tell | None
    words: str

    @property
    def workers(self) -> int:
        """Those of the engine."""
        return self.engine.workers

    def results(self, work: Callable[[Task], Result], tasks: Sequence[Task]) -> Iterator[tuple[int, Result]]:
        """As `calc.study.engines.Engine` has it, in the order of the tasks."""
        by = self.engine if len(tasks) > 1 else Here()
        yield from enumerate(worked_out(by, work, tasks, kept=self.kept, tell=self.tell, words=self.words))


def worked_out(
    engine: Engine,
    work: Callable[[Task], Result],
    tasks: Sequence[Task],
    *,
    kept: KeptChunks | None = None,
    tell: Tell | None = None,
    words: str = "chunk {done} of {count}",
) -> Iterator[Result]:
    """The result of each task in order: kept ones are read, the others worked out and kept as soon as they are done.

    `words` tell of each chunk that is done, by how many there are to be done in this run.
    """
    missing = [place for place, task in enumerate(tasks) if kept is None or kept.read(task) is None]
    asked = [tasks[place] for place in missing]

    def done() -> Iterator[tuple[int, Result]]:
        for count, (index, result) in enumerate(engine.results(work, asked), start=1):
            if kept:
                kept.keep(asked[index], result)
            if tell:
                tell(Progress(words.format(done=count, count=len(asked)), count / len(asked), opens=count == 1))
            yield index, result

    new = set(missing)
    with closing(in_order(done())) as fresh:
        for place, task in enumerate(tasks):
            if place in new:
                yield next(fresh)
            else:
                # Read again, so that not all lie in memory at once; somebody may have removed it meanwhile.
                again = kept.read(task) if kept else None
                yield again[0] if again else work(task)  # type: ignore[misc]  # what was kept for this task
        yield from fresh  # nothing is left, and the engine ends

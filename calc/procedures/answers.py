"""Answers to questions that take long: each is worked out once, by processes beside where there are some.

An answer depends on its question alone, so that it makes no difference who works it out, or whether it was kept.
"""

from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from calc.procedures.slip.model import SlipError
from calc.procedures.workers import Workers

Question = TypeVar("Question")
Answer = TypeVar("Answer")
Watch = Callable[[], None]


class Kept(Protocol):
    """Answers kept from earlier runs."""

    def read(self, question: object) -> object | None:
        """The answer or the refusal to a question; None where none is kept."""

    def keep(self, question: object, answer: object) -> None:
        """Keep an answer or a refusal."""


@dataclass(frozen=True)
class Means:
    """What may be used besides this process: other processes, and answers kept from earlier runs."""

    workers: Workers | None = None
    kept: Kept | None = None


_watch: ContextVar[Watch | None] = ContextVar("watch", default=None)
_means: ContextVar[Means] = ContextVar("means", default=Means())  # noqa: B039 - frozen


@contextmanager
def watch_searches(watch: Watch) -> Iterator[None]:
    """Call ``watch`` before every surface or search that has not been asked before: they take nearly all the time."""
    token = _watch.set(watch)
    try:
        yield
    finally:
        _watch.reset(token)


@contextmanager
def by_means(means: Means) -> Iterator[None]:
    """Use other processes and kept answers meanwhile; without this nothing but the process itself is used."""
    token = _means.set(means)
    try:
        yield
    finally:
        _means.reset(token)


@contextmanager
def alone() -> Iterator[None]:
    """Use no other processes meanwhile, as one of several that work side by side; kept answers as before."""
    with by_means(Means(kept=_means.get().kept)):
        yield


class Answers(Generic[Question, Answer]):
    """A function of one question that remembers its last ``most`` answers, and its refusals too."""

    def __init__(self, work: Callable[[Question], Answer], most: int) -> None:
        self._work = work
        self._most = most
        self._known: OrderedDict[Question, Answer | SlipError] = OrderedDict()
        self.worked_out = 0

    def __call__(self, question: Question) -> Answer:
        """The answer; ``SlipError`` as the function raises it."""
        answer = self._find(question)
        if answer is None:
            self._announce()
            answer = self._remember(question, self._try(question))
        if isinstance(answer, SlipError):
            raise SlipError(*answer.args)
        return answer

    def prepare(self, questions: Iterable[Question]) -> None:
        """Have questions that are asked next worked out side by side, where there are processes for it."""
        workers = _means.get().workers
        if workers is None:
            return
        new = [fromkey for fromkey in dict.fromkeys(questions) if self._find(fromkey) is None]
        if len(new) > 1:
            made = workers.work_out(self._try, new, self._announce)
            for place in sorted(made):
                self._remember(new[place], made[place])

    def forget(self) -> None:
        """Forget every answer."""
        self._known.clear()
        self.worked_out = 0

    def _try(self, question: Question) -> Answer | SlipError:
        try:
            return self._work(question)
        except SlipError as error:
            return SlipError(*error.args)  # without the frames that it was raised in

    def _find(self, question: Question) -> Answer | SlipError | None:
        """What is known of a question, in memory or from earlier runs."""
        if question in self._known:
            self._known.move_to_end(question)
            return self._known[question]
        kept = _means.get().kept
        answer = kept.read(question) if kept else None
        if answer is not None:
            self._store(question, answer)  # type: ignore[arg-type]  # what was kept for this question
        return answer  # type: ignore[return-value]

    def _remember(self, question: Question, answer: Answer | SlipError) -> Answer | SlipError:
        self.worked_out += 1
        self._store(question, answer)
        if kept := _means.get().kept:
            kept.keep(question, answer)
        return answer

    def _store(self, question: Question, answer: Answer | SlipError) -> None:
        self._known[question] = answer
        if len(self._known) > self._most:
            self._known.popitem(last=False)

    @staticmethod
    def _announce() -> None:
        if watch := _watch.get():
            watch()

"""With what the slip searches of a run are done: processes beside, and answers kept from earlier runs."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def searches(*, fresh: bool) -> Iterator[None]:
    """Search by all processors meanwhile; unless ``fresh`` take what an earlier run of this program has answered."""
    from calc.procedures.answers import Means, by_means
    from calc.procedures.kept_answers import KeptAnswers, answers_folder
    from calc.procedures.workers import workers_beside

    kept = None if fresh else KeptAnswers(answers_folder())
    with workers_beside() as workers, by_means(Means(workers, kept)):
        yield
    if kept:
        kept.tidy()

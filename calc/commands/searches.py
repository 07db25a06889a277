"""With what slip searches and pages are made: processes beside, and what is kept from earlier runs."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from calc.package.attached import Means


@contextmanager
def searches(*, fresh: bool, jobs: int | None = None) -> "Iterator[Means]":
    """Search by ``jobs`` processes meanwhile, by default one for each processor.

    Unless ``fresh`` take what an earlier run of this program has answered. What is
    given are the means to set pages in the same way.
    """
    from calc.kept import user_folder
    from calc.package.attached import Means
    from calc.package.kept_pieces import KeptPieces
    from calc.procedures import answers
    from calc.procedures.kept_answers import KeptAnswers
    from calc.procedures.workers import workers_beside

    kept = None if fresh else KeptAnswers(user_folder("answers"))
    pieces, drawings = (None if fresh else KeptPieces(user_folder(name)) for name in ("pieces", "drawings"))
    with workers_beside(jobs) as workers, answers.by_means(answers.Means(workers, kept)):
        yield Means(workers.work_out_apart if workers else None, pieces, drawings)
    for cache in (kept, pieces, drawings):
        if cache:
            cache.tidy()

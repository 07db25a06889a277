"""Options of commands that use many processes: how many, and on which cluster."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

import click

from calc.commands.common import LIBRARY, USAGE, one_line

if TYPE_CHECKING:
    from calc.kept import KeptFiles
    from calc.study.engines import Engine

Command = TypeVar("Command", bound=Callable[..., Any])
LOCAL = "local"

jobs_option = click.option(
    "--jobs", type=click.IntRange(min=1), metavar="N", help="Processes side by side; default: one for each processor."
)
cluster_option = click.option(
    "--cluster", metavar="ADDRESS", help=f'Work on the cluster of this scheduler; "{LOCAL}": on one begun here.'
)


def engine_options(command: Command) -> Command:
    """Give a command ``jobs`` and ``cluster``."""
    return jobs_option(cluster_option(command))


@contextmanager
def chosen_engine(jobs: int | None, cluster: str | None) -> "Iterator[Engine]":
    """The engine that is asked for; where it cannot be had, or is lost, the command ends with one message.

    A chunk that ends every process that works at it is named in one as well.
    """
    from calc.study.chunk_limits import LostChunkError

    try:
        with _engine(jobs, cluster) as made:
            yield made
    except LostChunkError as error:
        click.echo(f"Error: {one_line(error)}", err=True)
        sys.exit(USAGE)


@contextmanager
def _engine(jobs: int | None, cluster: str | None) -> "Iterator[Engine]":
    from calc.study.engines import engine

    if cluster not in {None, LOCAL} and jobs:
        message = "a cluster has the workers that it has: leave out --jobs."
        raise click.UsageError(message)
    if cluster is None:
        with engine("processes", jobs) as made:
            yield made
        return
    try:
        from calc.study.cluster_engine import ClusterError
    except ImportError:
        click.echo(
            "Error: a cluster needs a package that is not installed: pip install 'sandsleeve[cluster]'", err=True
        )
        sys.exit(LIBRARY)
    try:
        with engine("cluster", jobs, None if cluster == LOCAL else cluster) as made:
            yield made
    except ClusterError as error:
        click.echo(f"Error: {one_line(error)}", err=True)
        sys.exit(USAGE)


@contextmanager
def kept_chunks(*, fresh: bool) -> "Iterator[KeptFiles | None]":
    """Where chunks are kept from which a run that was broken off goes on, made small again at its end; none if fresh.

    A run that is broken off keeps its own, which are the last used.
    """
    from calc.kept import KeptFiles, user_folder

    files = None if fresh else KeptFiles(user_folder("chunks"))
    try:
        yield files
    finally:
        if files:
            files.tidy()

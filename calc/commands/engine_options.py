"""Options of commands that use many processes: how many, and on which cluster."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

import click

from calc.commands.common import LIBRARY, USAGE, one_line

if TYPE_CHECKING:
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
    """The engine that is asked for; where it cannot be had, or is lost, the command ends with one message."""
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

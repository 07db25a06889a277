"""One line of progress on a terminal, nothing elsewhere."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click


def silent(_text: str) -> None:
    """Show nothing."""


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Give a function that shows one line of progress on a terminal and does nothing elsewhere."""
    if not sys.stderr.isatty():
        yield silent
        return
    try:
        yield lambda text: click.echo(f"\r\x1b[K{text}", nl=False, err=True)
    finally:
        click.echo("\r\x1b[K", nl=False, err=True)

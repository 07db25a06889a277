"""Waiting for a file to change."""

from collections.abc import Iterator
from pathlib import Path
from time import sleep

import click

PAUSE = 0.3  # s


def changes(path: Path) -> Iterator[None]:
    """Go on at once, and then whenever a file was written again, until the process is interrupted."""
    while True:
        before = _stamp(path)
        yield
        click.echo(f"Waiting for {path} to change; Ctrl-C ends.", err=True)
        # An editor may take a file away before it puts the next one in its place.
        while (now := _stamp(path)) in {before, None}:
            sleep(PAUSE)
        del now


def _stamp(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size

"""Progress: one line that changes on a terminal, one line a section and chapter elsewhere, with the time left."""

import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from time import monotonic

import click

LEAST_SHARE = 0.02  # of the work, from which what is left can be told
LEAST_TIME = 1.0  # s
LEAST_WHOLE = 5.0  # s; of a run that is done sooner nobody asks how long it takes
STEPS = ((20.0, 1.0), (120.0, 5.0), (600.0, 30.0))  # s left, and to what it is rounded


_quiet: ContextVar[bool] = ContextVar("quiet", default=False)


def silent(_text: str) -> None:
    """Show nothing."""


@contextmanager
def no_progress() -> Iterator[None]:
    """Show no progress meanwhile: of what runs as one of many."""
    token = _quiet.set(True)
    try:
        yield
    finally:
        _quiet.reset(token)


class Clock:
    """How long what is left may take, by how long what is done took."""

    def __init__(self, now: Callable[[], float] = monotonic) -> None:
        self._now, self._start = now, now()
        self._share, self._whole = 0.0, 0.0

    def time_left(self, text: str) -> str:
        """The time left in words, once enough is done to tell; "" before, and where it has run out."""
        spent, share = self._now() - self._start, getattr(text, "share", 0.0)
        # A chapter that is done again with thinner sublayers does not put the clock back.
        if share > self._share and share >= LEAST_SHARE and spent >= LEAST_TIME:
            self._share, self._whole = share, spent / share
        left = self._whole - spent
        if left < 1.0 or self._whole < LEAST_WHOLE:
            return ""
        step = next((step for limit, step in STEPS if left <= limit), 60.0)
        rounded = max(step, step * round(left / step))
        return f"about {rounded:.0f} s left" if rounded < 120 else f"about {rounded / 60:.3g} min left"


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Give a function that shows progress on stderr.

    On a terminal it is one line, wiped at the end. Elsewhere every section and chapter is a line, said once.
    """
    if _quiet.get():
        yield silent
        return
    clock = Clock()
    if not sys.stderr.isatty():
        yield _teller(clock)
        return
    try:
        yield lambda text: click.echo(f"\r\x1b[K{_with_time(text, clock)[: _room()]}", nl=False, err=True)
    finally:
        click.echo("\r\x1b[K", nl=False, err=True)


def _teller(clock: Clock) -> Callable[[str], None]:
    said: set[str] = set()

    def tell(text: str) -> None:
        if getattr(text, "opens", False) and str(text) not in said:
            said.add(str(text))
            click.echo(_with_time(text, clock), err=True)

    return tell


def _room() -> int:
    """Columns of one line: what is longer would wrap and stay behind."""
    return max(20, shutil.get_terminal_size((80, 24)).columns - 1)


def _with_time(text: str, clock: Clock) -> str:
    left = clock.time_left(text)
    return f"{text}; {left}" if left else str(text)

"""Waiting for files to change."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from time import sleep

import click

PAUSE = 0.3  # s
Stamp = tuple[int, int] | None


def changes(path: Path, beside: Callable[[], Iterable[Path]] = tuple) -> Iterator[None]:
    """Go on at once, and then whenever a file or one of those beside it was written again, until interrupted."""
    while True:
        before, others = _stamp(path), _stamps(beside())
        yield
        click.echo(f"Waiting for {path} to change; Ctrl-C ends.", err=True)
        # An editor may take a file away before it puts the next one in its place.
        while (now := _stamp(path)) is None or (now == before and not _any_written(others, _stamps(beside()))):
            sleep(PAUSE)


def on_each_change(project: Path, write: Callable[[], None], report: Callable[[Exception], object]) -> None:
    """Write anew on each change, until interrupted; a message stands, and the next change is waited for."""
    from calc.package import PackageError  # noqa: PLC0415 - heavy imports wait

    for _ in changes(project / "project.toml", lambda: data_files(project)):
        try:
            write()
        except SystemExit:
            continue
        except click.ClickException as error:
            error.show()
        except (PackageError, OSError) as error:
            report(error)


def _any_written(before: dict[Path, Stamp], now: dict[Path, Stamp]) -> bool:
    """Whether one was written or came to be; one that is taken away comes back when it is written."""
    return any(stamp is not None and stamp != before.get(path) for path, stamp in now.items())


def _stamps(paths: Iterable[Path]) -> dict[Path, Stamp]:
    return {path: _stamp(path) for path in paths}


def _stamp(path: Path) -> Stamp:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_mtime_ns, status.st_size


def data_files(project: Path) -> list[Path]:
    """The files beside the project file that may be its results of tests, by their endings."""
    from calc.inputs.ground_file.ground_reader import ENDINGS  # noqa: PLC0415 - heavy imports wait

    # An editor keeps files of its own beside the one that it has open.
    files = [path for path in project.glob("*") if path.suffix.lower() in ENDINGS]
    return [path for path in files if not path.name.startswith(("~", "."))]

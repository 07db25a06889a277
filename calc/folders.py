"""Folders that are written whole or not at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory


@contextmanager
def written_whole(folder: Path) -> Iterator[Path]:
    """Yield an empty folder to write into; its files move into `folder` when the block ends without an error.

    Files of `folder` with other names stay. After an error `folder` is as it was before.
    """
    target = folder.resolve()
    target.parent.mkdir(parents=True, exist_ok=True)
    # Beside the target, because only within one file system a file moves in one step.
    with TemporaryDirectory(prefix=f".{target.name}-", dir=target.parent) as room:
        made = Path(room) / target.name
        made.mkdir()
        yield made
        _move(made, target)


def _move(made: Path, target: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    for file in sorted(path for path in made.rglob("*") if path.is_file()):
        place = target / file.relative_to(made)
        place.parent.mkdir(parents=True, exist_ok=True)
        file.replace(place)

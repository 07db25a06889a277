"""The files of one run in a folder: all of them or none, with a list by which the next run knows them."""

import csv
import fcntl
import io
import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from hashlib import sha256
from pathlib import Path
from tempfile import mkdtemp

HEAD = ("file", "sha256")
ROOM = ".writing-"


def write_files(files: Mapping[str, bytes], out: Path, listed: str = "") -> tuple[list[Path], list[Path]]:
    """Write files and their list into a folder; what was written, and what went with it.

    ``listed`` is the name of the list: each file with its SHA-256; without a name there is no list, and nothing goes.
    A file of the list before that this run does not make goes, as long as its bytes are those of that list; so does one
    that a run which was broken off had put there. Raises
    ``OSError`` with the folder as it was before. One run at a time writes into a folder; what a run that was broken off
    has left there is for people to look at.
    """
    out.mkdir(parents=True, exist_ok=True)
    with _alone(out):
        return _write_all(files, out, listed)


@contextmanager
def _alone(out: Path) -> Iterator[None]:
    """Wait until no other run writes into the folder."""
    folder = os.open(out, os.O_RDONLY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def _write_all(files: Mapping[str, bytes], out: Path, listed: str) -> tuple[list[Path], list[Path]]:
    begun = list[str]()
    for left in sorted(out.glob(f"{ROOM}*")):
        if any((left / "old").glob("*")):
            message = f"{left} is left of a run that was broken off: its folder old has files that stood here before it"
            raise FileExistsError(message)
        # No file that stood here was put aside. What it had put here stands in its list, which would have come last.
        begun += _unchanged_names(out, f"{left.name}/new/{listed}") if listed else []
        shutil.rmtree(left)
    known = dict.fromkeys([*(_unchanged_names(out, listed) if listed else ()), *begun])
    stale = [name for name in known if name not in files and name != listed]
    whole = dict(files)
    if listed:
        whole[listed] = table(HEAD, [(name, sha256(content).hexdigest()) for name, content in files.items()])
    for name in whole:
        if (out / name).is_dir():
            message = f"{out / name} is a folder"
            raise IsADirectoryError(message)
    # A room in the same folder: only within one file system a file takes its place in one step.
    room = Path(mkdtemp(prefix=ROOM, dir=out))
    new, old = room / "new", room / "old"
    done = False
    try:
        for folder in (new, old):
            folder.mkdir()
        for name, content in whole.items():
            (new / name).write_bytes(content)
        _exchange(out, new, old, [*stale, *whole])
        done = True
    finally:
        if done or not _only_copy_kept(old, out):
            shutil.rmtree(room)
    return [out / name for name in whole], [out / name for name in stale]


def _only_copy_kept(old: Path, out: Path) -> bool:
    """Whether the only copy of a file that stood in the folder is the one that was put aside."""
    return old.is_dir() and any(not (out / file.name).exists() for file in old.iterdir())


def _exchange(out: Path, new: Path, old: Path, names: Iterable[str]) -> None:
    """Put new files into a folder and what was there into another; where that ends early, put all of it back."""
    with ExitStack() as undo:
        for path in (out / name for name in names):
            if path.exists():
                _move(path, old / path.name)
                undo.callback(_move, old / path.name, path)
            if (new / path.name).exists():
                _move(new / path.name, path)
                undo.callback(path.unlink)
        undo.pop_all()


def _move(start: Path, end: Path) -> None:
    os.replace(start, end)  # noqa: PTH105 - the one call that is atomic everywhere


def _unchanged_names(out: Path, listed: str) -> list[str]:
    """Names of files in a folder that are as a list has them, that of the run before; none without a list."""
    try:
        rows = list(csv.reader(io.StringIO((out / listed).read_text(encoding="utf-8"))))
    except (OSError, UnicodeDecodeError, csv.Error):
        return []
    names = {row[0]: row[1] for row in rows[1:] if len(row) == len(HEAD) and rows[0] == list(HEAD)}
    return [name for name, said in names.items() if Path(name).name == name and (out / name).is_file()
            and sha256((out / name).read_bytes()).hexdigest() == said]  # fmt: skip


def table(head: Iterable[str], rows: Iterable[Iterable[str]], comments: Iterable[str] = ()) -> bytes:
    """A table as CSV, after lines of comments."""
    stream = io.StringIO()
    for text in comments:
        stream.write(f"# {text}\n")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(head)
    writer.writerows(rows)
    return stream.getvalue().encode("utf-8")

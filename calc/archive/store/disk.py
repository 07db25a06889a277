"""Files of an archive: nothing outside its folder is opened, and a file is on the disk before it has its name."""

import errno
import os
import stat
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from fcntl import LOCK_EX, LOCK_NB, flock
from hashlib import sha256
from pathlib import Path
from time import monotonic, sleep
from typing import BinaryIO

from calc.archive.refusals import ArchiveError, BusyArchive, DamagedArchive

_FOLDER = os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW
# Without O_NONBLOCK a named pipe in an archive from outside would wait for ever.
_FILE = os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK
READ_ONLY = 0o444
CHUNK = 1 << 20
WAIT = 60.0  # seconds that one process waits for another that is issuing


def open_inside(root: Path, *parts: str) -> BinaryIO:
    """Open a regular file below `root` without following any link; `FileNotFoundError` where it is not there."""
    name = "/".join(parts)
    folder = os.open(root, os.O_RDONLY | os.O_DIRECTORY)
    try:
        for part in parts[:-1]:
            below = os.open(part, _FOLDER, dir_fd=folder)
            os.close(folder)
            folder = below
        opened = os.open(parts[-1], _FILE, dir_fd=folder)
    except OSError as error:
        if error.errno in {errno.ELOOP, errno.ENOTDIR, errno.ENXIO, errno.EISDIR}:
            message = f"{name} must be a plain file inside the archive"
            raise DamagedArchive(message) from error
        raise
    finally:
        os.close(folder)
    if not stat.S_ISREG(os.fstat(opened).st_mode):
        os.close(opened)
        message = f"{name} must be a plain file inside the archive"
        raise DamagedArchive(message)
    return os.fdopen(opened, "rb")


def read_inside(root: Path, *parts: str, largest: int) -> bytes:
    """The content of a file below `root`, refused where it is larger than `largest` bytes."""
    with open_inside(root, *parts) as stream:
        content = stream.read(largest + 1)
    if len(content) > largest:
        message = f"{'/'.join(parts)} is larger than {largest} bytes"
        raise DamagedArchive(message)
    return content


def read_small(path: Path, largest: int) -> bytes:
    """The content of a file of the user's, which may be a pipe; refused where it is larger than `largest` bytes."""
    with path.open("rb") as stream:
        content = stream.read(largest + 1)
    if len(content) > largest:
        message = f"{path} must be a file of at most {largest} bytes"
        raise ArchiveError(message)
    return content


def digest_of(stream: BinaryIO) -> str:
    """The SHA-256 of what is left of a stream."""
    digest = sha256()
    while part := stream.read(CHUNK):
        digest.update(part)
    return digest.hexdigest()


def write_new(path: Path, content: bytes) -> None:
    """Write a file that is not there yet and that nobody changes later; on the disk when this returns."""
    opened = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, READ_ONLY)
    try:
        left = memoryview(content)
        while left:
            left = left[os.write(opened, left) :]
        os.fsync(opened)
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
    finally:
        os.close(opened)


def place_new(begun: Path, target: Path, content: bytes) -> None:
    """Write a file beside the kept ones and move it to its place: there it appears whole or not at all."""
    with removed_on_error(begun.unlink):
        write_new(begun, content)
        begun.rename(target)
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """Put the names in a folder on the disk."""
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def make_folder(folder: Path) -> None:
    """Make a folder if it is not there, with its name on the disk."""
    if not folder.is_dir():
        folder.mkdir(parents=True, exist_ok=True)
        sync_folder(folder.parent)


@contextmanager
def lock_folder(folder: Path, wait: float = WAIT) -> Iterator[None]:
    """Keep every other process out that locks the same folder; the lock ends with the process, however that ends."""
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        end = monotonic() + wait
        while not _take_lock(opened):
            if monotonic() > end:
                message = f"another process has been writing into {folder.parent} for {wait:.0f} seconds"
                raise BusyArchive(message)
            sleep(0.01)
        yield
    finally:
        os.close(opened)


def _take_lock(opened: int) -> bool:
    try:
        flock(opened, LOCK_EX | LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextmanager
def removed_on_error(remove: Callable[[], None]) -> Iterator[None]:
    """Take away what was begun where the work ends in an error; a killed process leaves it among the unfinished."""
    with ExitStack() as undo:
        undo.callback(_try, remove)
        yield
        undo.pop_all()


def _try(remove: Callable[[], None]) -> None:
    with suppress(OSError):
        remove()

"""Files of a review: read with a limit, written whole or not at all."""

import os
import stat
from contextlib import suppress
from pathlib import Path

from calc.review.refused import RefusedFile

LARGEST = 32 * 1024 * 1024


def read_limited(path: Path, largest: int = LARGEST) -> bytes:
    """The content of a plain file, refused where it is none or larger than `largest` bytes."""
    # Without O_NONBLOCK a named pipe would wait for ever.
    opened = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    with os.fdopen(opened, "rb") as stream:
        if not stat.S_ISREG(os.fstat(opened).st_mode):
            message = f"{path} must be a plain file"
            raise RefusedFile(message)
        content = stream.read(largest + 1)
    if len(content) > largest:
        message = f"{path} must be a file of at most {largest} bytes"
        raise RefusedFile(message)
    return content


def write_whole(path: Path, content: bytes) -> None:
    """Write a file that appears whole or not at all, and is on the disk when this returns."""
    path.parent.mkdir(parents=True, exist_ok=True)
    begun = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with begun.open("wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        begun.replace(path)
    finally:
        with suppress(FileNotFoundError):
            begun.unlink()

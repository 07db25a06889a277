"""Files in a folder of the user for what may be lost at any time: each whole and by its own name, or none.

What cannot be read, or lies where somebody else can write, is none. A folder that takes nothing is passed over.
"""

import os
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from stat import S_IMODE
from tempfile import NamedTemporaryFile
from time import time

MOST_BYTES = 200_000_000
LONG_AGO = 3600.0  # s, after which nobody writes any more at what was begun


class KeptFiles:
    """Files of a folder, each named by a hash; the longest unused go first."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self._folder = folder
        self._most_bytes = most_bytes

    def read(self, name: str) -> bytes | None:
        """The content kept under a name; None where none is, or it is not whole."""
        path = self._folder / name
        try:
            digest, _, content = path.read_bytes().partition(b"\n")
            if not _is_own(self._folder) or digest.decode() != _digest(name, content):
                return None
            os.utime(path)
        except (OSError, ValueError):
            return None
        return content

    def keep(self, name: str, content: bytes) -> None:
        """Write a content so that it appears whole or not at all."""
        with suppress(OSError):
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            if not _is_own(self._folder):
                return
            with NamedTemporaryFile(dir=self._folder, prefix=".", delete=False) as made:
                made.write(_digest(name, content).encode() + b"\n" + content)
            Path(made.name).replace(self._folder / name)

    def tidy(self) -> None:
        """Remove the longest unused beyond the size allowed, and files that were begun and left."""
        with suppress(OSError):
            if not _is_own(self._folder):
                return
            aged = sorted(
                ((file.stat(), file) for file in self._folder.iterdir()), key=lambda entry: -entry[0].st_mtime
            )
            total, begun = 0, time() - LONG_AGO
            for status, path in aged:
                total += status.st_size
                if total > self._most_bytes or (path.name.startswith(".") and status.st_mtime < begun):
                    path.unlink(missing_ok=True)


def user_folder(name: str) -> Path:
    """A folder of this program in the user's folder for what may be lost at any time."""
    base = os.environ.get("XDG_CACHE_HOME", "")
    # A relative address is none, as the convention for these folders has it.
    return (Path(base) if Path(base).is_absolute() else Path.home() / ".cache") / "sandsleeve" / name


def _is_own(folder: Path) -> bool:
    """Whether nobody but this user can have written into a folder."""
    if not hasattr(os, "getuid"):
        return True
    status = folder.stat()
    return status.st_uid == os.getuid() and not S_IMODE(status.st_mode) & 0o022


def _digest(name: str, content: bytes) -> str:
    return sha256(name.encode() + content).hexdigest()

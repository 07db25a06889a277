"""Files by their hash wherever fsspec reaches."""

from pathlib import Path
from typing import Any
from uuid import uuid4

import fsspec
from fsspec.implementations.local import LocalFileSystem

from calc.archive.refusals import DamagedArchive, NotAnArchive, NotWritable
from calc.archive.store.disk import make_folder, place_new

INCOMING = "incoming"


class ServerFiles:
    """A place for files that are never changed."""

    def __init__(self, address: str) -> None:
        try:
            self._place, root = fsspec.core.url_to_fs(address)
        except (ValueError, ImportError, OSError) as error:
            message = f"the files of the archive cannot be reached at {address}: {error}"
            raise NotAnArchive(message) from error
        self._root = root.rstrip("/")

    def has(self, digest: str) -> bool:
        """Whether a content is there."""
        return bool(self._place.exists(self._path(digest)))

    def open(self, digest: str) -> Any:
        """Open a content for reading."""
        try:
            return self._place.open(self._path(digest), "rb")
        except FileNotFoundError as error:
            message = f"the file {digest[:2]}/{digest[2:]} is missing"
            raise DamagedArchive(message) from error

    def write(self, digest: str, content: bytes) -> None:
        """Keep a content: it appears whole or not at all, and stays when this returns."""
        if isinstance(self._place, LocalFileSystem):
            target = Path(self._path(digest))
            begun = Path(self._root) / INCOMING / uuid4().hex
            for folder in (begun.parent, target.parent):
                make_folder(folder)
            place_new(begun, target, content)
            return
        # Elsewhere a file is put in one call, which is whole or fails; what came of it is asked.
        self._place.pipe_file(self._path(digest), content)
        self._place.invalidate_cache()
        if self._place.size(self._path(digest)) != len(content):
            message = f"the file {digest[:2]}/{digest[2:]} did not arrive whole"
            raise NotWritable(message)

    def unexpected_files(self, used: set[str]) -> list[str]:
        """Files that no record names."""
        names = [path.removeprefix(f"{self._root}/") for path in self._place.find(self._root)]
        unused = sum(name.replace("/", "") not in used for name in names if not name.startswith(f"{INCOMING}/"))
        left = sum(name.startswith(f"{INCOMING}/") for name in names)
        notes = []
        if unused:
            notes.append(f"{unused} stored files belong to no record: work that was broken off before its issue")
        if left:
            notes.append(f"{left} unfinished files in {INCOMING}: work that was broken off")
        return notes

    def _path(self, digest: str) -> str:
        return f"{self._root}/{digest[:2]}/{digest[2:]}"

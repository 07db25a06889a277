"""One revision as a plain folder."""

import os
from pathlib import Path
from tempfile import TemporaryDirectory

from calc.archive.record.find import content_of, issued_record, sign_offs
from calc.archive.refusals import NotAnArchive
from calc.archive.store.contract import Entry, Store
from calc.archive.store.layout import MANIFEST


def export(store: Store, entry: Entry, target: Path) -> list[Path]:
    """Write the files of a revision or an addendum and its record into a new folder, complete or not at all.

    Every hash is checked.
    With sign-offs their records and the newest signed copy, too.
    """
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        message = f"{target} must be a new or an empty folder"
        raise NotAnArchive(message)
    manifest = issued_record(store, entry)
    target.parent.mkdir(parents=True, exist_ok=True)
    with TemporaryDirectory(prefix=".export-", dir=target.parent) as room:
        made = Path(room) / "revision"
        made.mkdir()
        for stored in manifest.files:
            (made / stored.name).write_bytes(content_of(store, stored))
        (made / MANIFEST).write_bytes(store.record(entry.sequence))
        for number, (sign_off, _) in enumerate(sign_offs(store, store.entries(), entry), start=1):
            (made / f"sign-off-{number}-{sign_off.role}.json").write_bytes(store.record(sign_off.sequence))
            (made / sign_off.file("signed").name).write_bytes(content_of(store, sign_off.file("signed")))
        os.replace(made, target)  # noqa: PTH105 - takes the place of an empty folder in one step
    return sorted(target.iterdir())

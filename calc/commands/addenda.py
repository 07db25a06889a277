"""Issuing what the site recorded: the option of `installed` and `observe`, and what it does."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calc.commands.common import Place, translate_errors

if TYPE_CHECKING:
    from calc.archive.record.manifest import Subject
    from calc.archive.store.contract import KeptStore
    from calc.inputs import Design

issue_option = click.option(
    "--issue", "to_issue", is_flag=True,
    help="Issue it as an addendum to the newest revision, which must be issued and unchanged; sign signs it.",
)  # fmt: skip


def archive_of(project: Path, shared: Path | str | None, design: "Design", files: Sequence[Path]) -> "KeptStore":
    """The archive that an addendum goes into; refuses before anything is computed what can be refused by then."""
    with translate_errors():
        from calc.archive.record.issue_addendum import revision_of

        store = Place(project, shared).store()
        revision_of(store, design, [path.name for path in _files_of(design, files)])
    return store


def issue_addendum(
    store: "KeptStore", design: "Design", subject: "Subject", outcome: str, files: Sequence[Path],
    made: tuple[bytes, bytes],
) -> str:  # fmt: skip
    """Store an addendum, `made` being its pages and its values; what the terminal says of it."""
    with translate_errors():
        from calc.archive.record import issue_addendum as issuing

        data = {path.name: path.read_bytes() for path in _files_of(design, files)}
        entry = issuing.issue_addendum(store, design, issuing.Content(subject, outcome, *made, data))
    return f"Addendum {entry.label} is issued: record {entry.sequence} in {store.name}, SHA-256 {entry.sha256}"


def _files_of(design: "Design", files: Sequence[Path]) -> list[Path]:
    """Files of the site, and those that the plan names: that of its line, that of the plan before."""
    plan = design.plan
    names = [plan.line.file, plan.before] if plan else []
    return [*files, *(design.source.parent / name for name in names if name)]

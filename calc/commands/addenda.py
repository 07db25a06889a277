"""Issuing what the site recorded: the option of `installed` and `observe`, and what it does."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

import sys
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from calc.commands.common import USAGE, Place, translate_errors

if TYPE_CHECKING:
    from calc.archive.record.manifest import Subject
    from calc.archive.store.contract import KeptStore
    from calc.inputs import Design

issue_option = click.option(
    "--issue", "to_issue", is_flag=True,
    help="Issue it as an addendum to the newest revision, which must be issued and unchanged; sign signs it.",
)  # fmt: skip


class Begun(NamedTuple):
    """The archive that an addendum goes into, and the files of the site with their hashes before they are read."""

    store: "KeptStore"
    files: dict[Path, str]


def begin_addendum(project: Path, shared: Path | str | None, design: "Design", files: Sequence[Path]) -> Begun:
    """Refuse before anything is computed what can be refused by then."""
    with translate_errors():
        from calc.archive.record.issue_addendum import revision_of

        store, paths = Place(project, shared).store(), _files_of(design, files)
        revision_of(store, design, [path.name for path in paths])
        return Begun(store, {path: sha256(path.read_bytes()).hexdigest() for path in paths})


def issue_addendum(
    begun: Begun, design: "Design", subject: "Subject", outcome: str, made: tuple[Sequence[bytes], bytes],
    more: str = "",
) -> str:  # fmt: skip
    """Store an addendum, `made` being its pages in parts and its values; what the terminal says of it.

    `more` says what stands behind the first part.
    """
    with translate_errors():
        from calc.archive.record import issue_addendum as issuing

        data = {path.name: path.read_bytes() for path in begun.files}
        changed = [path for path, before in begun.files.items() if sha256(data[path.name]).hexdigest() != before]
        if changed:
            # What is stored would not be what was compared.
            click.echo(f"Error: {changed[0]} was changed meanwhile: nothing is issued, run the command again", err=True)
            sys.exit(USAGE)
        entry = issuing.issue_addendum(begun.store, design, issuing.Content(subject, outcome, *made, data, more))
    return f"Addendum {entry.label} is issued: record {entry.sequence} in {begun.store.name}, SHA-256 {entry.sha256}"


def _files_of(design: "Design", files: Sequence[Path]) -> list[Path]:
    """Files of the site, and those that the plan names: that of its line, that of the plan before."""
    plan = design.plan
    names = [plan.line.file, plan.before] if plan else []
    return [*files, *(design.source.parent / name for name in names if name)]

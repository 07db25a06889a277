"""The command that signs an issued revision off."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calc.commands.common import (
    Folder,
    Place,
    archive_option,
    json_option,
    print_json,
    refuse_unwritable,
    translate_errors,
    write,
)
from calc.commands.progress import progress

if TYPE_CHECKING:
    from calc.archive.signing.signer import Signer

PASSWORD = "SANDSLEEVE_KEY_PASSWORD"  # noqa: S105 - the name of a variable
LARGEST_PASSWORD = 10_000
ROLES = ("originator", "checker", "approver")


@click.command(epilog="Example: sandsleeve sign projects/marsh-approach --role originator")
@click.argument("place", metavar="PROJECT", type=Folder(exists=True, file_okay=False, path_type=Path))
@click.option("--role", required=True, type=click.Choice(ROLES), help="In which role you sign.")
@click.option("--name", help="Your name; default: whom the project names for the role.")
@click.option("--revision", help="Which revision, or addendum; default: the revision issued last.")
@click.option("--key", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="Sign with the key and the certificate of this PKCS#12 file.")  # fmt: skip
@click.option("--password-file", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help=f"File with the password of the key; default: {PASSWORD}, or it is asked for.")  # fmt: skip
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help="Write the signed copy.")
@archive_option
@json_option
def sign(
    place: Path,
    role: str,
    name: str | None,
    revision: str | None,
    key: Path | None,
    password_file: Path | None,
    out: Path | None,
    shared: Path | str | None,
    as_data: bool,
) -> None:
    """Sign an issued revision, or an addendum to one, off as its originator, checker or approver.

    They sign in this order, each once, each another person, as the project names them. The issued package stays as it
    is: a signed copy is stored beside it, and a record of who signed what and when is added to the chain.
    """
    with translate_errors(), progress() as tell:
        from calc.archive.record.find import newest
        from calc.archive.record.manifest import ISSUE
        from calc.archive.signing.sign_off import sign

        where = Place(place, shared)
        store = where.store()
        entry = where.revision(revision, with_addenda=True) if revision else newest(store.entries(), where.document())
        signer = _signer(key, password_file) if key else None
        if out is not None:
            refuse_unwritable(out)
        made, copy = sign(store, entry, role, name, signer, tell)  # type: ignore[arg-type]  # one of the choices
        if out is not None:
            write(out, copy)
    if as_data:
        print_json(made._asdict() | {"archive": store.name})
        return
    how = "with a certificate" if signer else "without a certificate"
    what = "Revision" if entry.kind == ISSUE else "Addendum"
    click.echo(f"{what} {made.label} of {made.document} is signed by its {role}, {made.author}, {how}.")
    click.echo(f"Record {made.sequence} in {store.name}, SHA-256 {made.sha256}")
    click.echo(f"The signed copy: {out or f'sandsleeve archive export {place} {made.label} --out FOLDER'}")


def _signer(key: Path, password_file: Path | None) -> "Signer":
    from calc.archive.extras import signer_from

    return signer_from(key, _password(key, password_file))


def _password(key: Path, password_file: Path | None) -> str:
    """The password of a key, from a file, a variable, or whoever sits at the terminal; never from the command line."""
    from calc.archive.store.disk import read_small

    if password_file is not None:
        line = read_small(password_file, LARGEST_PASSWORD).partition(b"\n")[0].rstrip(b"\r")
        return _decode(line, f"the first line of {password_file}")
    if PASSWORD in os.environ:
        return _decode(os.environb[PASSWORD.encode()], PASSWORD)
    if not sys.stdin.isatty():
        message = f"the password of {key} must be in a file (--password-file), in {PASSWORD}, or typed at a terminal"
        raise click.UsageError(message)
    return str(click.prompt(f"Password of {key}", hide_input=True, default="", show_default=False, err=True))


def _decode(password: bytes, where: str) -> str:
    """A password as text; which letters other bytes are meant to be nobody knows."""
    try:
        return password.decode("utf-8")
    except UnicodeDecodeError as error:
        message = f"{where} must hold the password in UTF-8: byte {error.start + 1} is none"
        raise click.UsageError(message) from error

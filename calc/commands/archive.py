"""The commands of the archive: issue a revision; list, show, compare, verify, export, rebuild."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help and lists stay quick

import re
import sys
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from calc.commands.all_projects import all_option, issue_all, refuse_options, several_argument
from calc.commands.common import (
    OUTCOMES,
    VERIFICATION,
    Place,
    archive_option,
    as_json,
    json_option,
    place_argument,
    print_json,
    refuse_unwritable,
    refuse_unwritable_folders,
    study_option,
    translate_errors,
    width,
    write,
)
from calc.commands.engine_options import engine_options
from calc.commands.progress import progress
from calc.commands.searches import searches


class Head(click.ParamType[str]):
    """The hash of a record, or enough of its first digits to name one."""

    name = "hash"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Give the digits as they are stored."""
        digits = str(value).strip().lower()
        if re.fullmatch(r"[0-9a-f]{8,64}", digits) is None:
            self.fail(f"must be 8 to 64 digits of a hash (0 to 9, a to f), got {str(value)[:80]!r}", param, ctx)
        return digits


@click.command(epilog="Example: sandsleeve issue projects/marsh-approach")
@several_argument
@all_option
@archive_option
@study_option
@engine_options
@json_option
def issue(
    project: Path, every: bool, shared: Path | str | None, records: tuple[Path, ...], jobs: int | None,
    cluster: str | None, as_data: bool,
) -> None:  # fmt: skip
    """Issue the newest revision of PROJECT into its archive.

    Runs every check, writes the package, and stores inputs, results, package and record for good. The revision is the
    last one in the revision record of the project file; a label is issued once. A study given with --with-study is the
    last chapter of the package and stored with it; no verdict relies on it.

    With --all PROJECT is a folder: every project below it, into one archive with --archive, and a summary as issued.csv
    and issued.json. What is refused stops no other; the exit code is the gravest, as with package.
    """
    if every:
        refuse_options({"--with-study": records})
        sys.exit(issue_all(project, shared, jobs, cluster, as_data=as_data))
    refuse_options({"--cluster": cluster}, "goes with --all only")
    with translate_errors(), progress() as tell:
        from calc.archive.extras import studies
        from calc.archive.record.issue import check_before, issue, prepare
        from calc.archive.record.issue_rules import refuse_run
        from calc.archive.store.addresses import existing_archive, prepare_archive
        from calc.archive.store.layout import FOLDERS
        from calc.chain import run_checks
        from calc.inputs import read_design
        from calc.study.study_record import content_of_record

        design = read_design(project)
        parts = studies({str(path): content_of_record(path) for path in records}, design)
        root = Place(project, shared).root
        if isinstance(root, Path):
            refuse_unwritable_folders(root, *(root / name for name in FOLDERS))
        status = check_before(existing_archive(root), design)
        tell("running the checks")
        with searches(fresh=True, jobs=jobs) as means:  # what is issued is computed and set anew
            run = run_checks(design, tell)
            column_plan = refuse_run(run, status)  # before an archive is made
            chapters = [part.chapter(run) for part in parts]
            store = prepare_archive(root)
            prepared = prepare(store, run, tell, means, column_plan, chapters)
        entry = issue(store, prepared)
        store.tidy()
    part = column_plan.part if column_plan else None
    if as_data:
        told = {"plan": {"outcome": part.outcome, "words": part.words}} if part else {}
        print_json(entry._asdict() | {"archive": store.name} | told)
    else:
        if part:
            click.echo(f"{part.words} Outcome of the plan: {part.outcome}.")
        click.echo(f"Revision {entry.label} of {entry.document} is issued as {entry.words}; outcome: {entry.outcome}.")
        click.echo(f"Record {entry.sequence} in {store.name}, SHA-256 {entry.sha256}")
        click.echo(f"Its files as a folder: sandsleeve archive export {project} {entry.label} --out FOLDER")
    sys.exit(OUTCOMES[run.outcome])


@click.group(epilog="Example: sandsleeve archive list projects/marsh-approach")
def archive() -> None:
    """History of what was issued: list, show, compare, verify.

    PLACE is a project folder or the folder of an archive; REVISION is a label, or the beginning of a record's hash.
    """


@archive.command("list", epilog="Example: sandsleeve archive list projects/marsh-approach")
@place_argument
@archive_option
@json_option
def list_revisions(place: Path | str, shared: Path | str | None, as_data: bool) -> None:
    """List every issued revision and the addenda to them, oldest first."""
    with translate_errors():
        from calc.archive.record.revisions import list_record, list_text
        from calc.archive.store.addresses import existing

        root = Place(place, shared).root
        store = existing(root) if isinstance(root, str) or root.is_dir() else None
        entries = store.entries() if store else []
        if store and entries and not store.has_index():
            click.echo("Note: the index is missing; the list is read from the records (see archive rebuild).", err=True)
        click.echo(as_json(list_record(entries)) if as_data else list_text(entries, width()))


@archive.command(epilog="Example: sandsleeve archive show projects/marsh-approach B")
@place_argument
@click.argument("revision")
@archive_option
@json_option
def show(place: Path | str, revision: str, shared: Path | str | None, as_data: bool) -> None:
    """Show the record of a revision or of an addendum: people, times, program, files."""
    with translate_errors():
        from calc.archive.printed import show_text
        from calc.archive.record.find import issued_record, sign_offs
        from calc.archive.record.revisions import standings

        where = Place(place, shared)
        entry, store = where.revision(revision, with_addenda=True), where.store()
        manifest, today = issued_record(store, entry), standings(store.entries()).get(entry.sequence, entry.words)
        signed = [sign_off for sign_off, _ in sign_offs(store, store.entries(), entry)]
        if as_data:
            more = {
                "sha256": entry.sha256,
                "today": today,
                "signed": [sign_off.model_dump(mode="json") for sign_off in signed],
            }
            print_json(manifest.model_dump(mode="json") | more)
        else:
            click.echo(show_text(manifest, entry.sha256, today, width(), signed))


@archive.command(epilog="Example: sandsleeve archive compare projects/marsh-approach A B --pdf changes.pdf")
@place_argument
@click.argument("before", metavar="A")
@click.argument("after", metavar="B")
@archive_option
@click.option("--tolerance", type=click.FloatRange(0, 1), default=0.001, show_default=True,
              help="Relative difference up to which a result counts as the same.")  # fmt: skip
@click.option("--all", "everything", is_flag=True, help="Print every line, not only the largest differences.")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write a change sheet for the checker.")
@json_option
def compare(
    place: Path | str,
    before: str,
    after: str,
    shared: Path | str | None,
    tolerance: float,
    everything: bool,
    pdf: Path | None,
    as_data: bool,
) -> None:
    """Compare revision A with the later revision B.

    Inputs with old and new text, verdicts that turned, results that differ, steps that are new, gone or changed, and
    which steps have to be checked again.
    """
    with translate_errors():
        from calc.archive.compare.compared import changes_record, compare_revisions, heads
        from calc.archive.printed import changes_text

        if pdf is not None:
            refuse_unwritable(pdf)
        where = Place(place, shared)
        comparison = compare_revisions(where.store(), where.revision(before), where.revision(after), tolerance)
        if pdf is not None:
            from calc.archive.compare.change_sheet import change_sheet, side_of

            write(pdf, change_sheet(comparison.changes, side_of(*comparison.before), side_of(*comparison.after)))
        click.echo(
            as_json(changes_record(comparison))
            if as_data
            else changes_text(comparison.changes, heads(comparison), everything, width())
        )


@archive.command(epilog="Example: sandsleeve archive verify projects/marsh-approach --rerun B")
@place_argument
@archive_option
@click.option("--head", "expected", type=Head(), metavar="HASH",
              help="A hash that the chain must have, as on a package; its first 8 digits or more.")  # fmt: skip
@click.option(
    "--rerun", "again", metavar="REVISION", multiple=True, help='Compute this revision or addendum again; "all": each.'
)
@click.option("--trust", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="Certificates of the authorities that signatures must come from (PEM).")  # fmt: skip
@json_option
def verify(
    place: Path | str,
    shared: Path | str | None,
    expected: str | None,
    again: tuple[str, ...],
    trust: Path | None,
    as_data: bool,
) -> None:
    """Verify every hash, the chain, the index, the files in each package, sign-offs and signatures.

    With --rerun the results are computed again from the stored inputs and compared step by step, and the column plan of
    a revision is laid out again.
    """
    with translate_errors():
        from calc.archive.printed import report_text, rerun_text
        from calc.archive.record.verification import verify

        where = Place(place, shared)
        with progress() as tell:
            report = verify(where.store(), expected or "", tell, str(trust or ""))
            reruns = _reruns(where, again, tell)
        if as_data:
            from calc.archive.compare.compared import rerun_record

            print_json(
                asdict(report) | {"sound": not report.problems, "reruns": [rerun_record(rerun) for rerun in reruns]}
            )
        else:
            click.echo("\n".join([report_text(report), *(rerun_text(rerun, width()) for rerun in reruns)]))
    if report.problems or not all(rerun.sound for rerun in reruns):
        sys.exit(VERIFICATION)


@archive.command(epilog="Example: sandsleeve archive export projects/marsh-approach B --out /tmp/marsh-B")
@place_argument
@click.argument("revision")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), required=True, help="New folder to write.")
@archive_option
def export(place: Path | str, revision: str, out: Path, shared: Path | str | None) -> None:
    """Write the files of one revision, or of an addendum, into a folder."""
    with translate_errors():
        from calc.archive.record.revision_folder import export

        refuse_unwritable_folders(out.parent)
        where = Place(place, shared)
        for path in export(where.store(), where.revision(revision, with_addenda=True), out):
            click.echo(path)


@archive.command(epilog="Example: sandsleeve archive rebuild projects/marsh-approach")
@place_argument
@archive_option
def rebuild(place: Path | str, shared: Path | str | None) -> None:
    """Make the index again from the records.

    Refused where a record is missing or damaged; nothing issued is touched.
    """
    with translate_errors():
        store = Place(place, shared).store()
        click.echo(f"The index of {store.name} has {len(store.rebuild())} records again.")


def _reruns(where: Place, again: tuple[str, ...], tell: Callable[[str], None]) -> list[Any]:
    if not again:
        return []
    from calc.archive.compare.rerun import rerun
    from calc.archive.compare.rerun_addendum import rerun_addendum
    from calc.archive.record.manifest import ISSUE
    from calc.archive.store.contract import addenda, issues

    stored = where.store().entries()
    entries = (
        issues(stored) + addenda(stored) if "all" in again
        else [where.revision(name, with_addenda=True) for name in again]
    )  # fmt: skip
    reruns: list[Any] = []
    for entry in entries:
        tell(f"computing {entry.label} again")
        reruns.append((rerun if entry.kind == ISSUE else rerun_addendum)(where.store(), entry))
    return reruns

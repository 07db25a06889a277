"""The commands: each takes its arguments, calls a few nouns, prints, and ends with the exit code of the outcome."""

import errno
import gc
import os
import shutil
import sys
import traceback
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

import click

from calc import __version__
from calc.commands.all_projects import all_option, package_all, refuse_options, several_argument
from calc.commands.archive import archive, issue
from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    USAGE,
    chosen_sections,
    project_argument,
    read_project,
    refuse_unwritable_folders,
    section_option,
    show_cautions,
    show_unread,
    study_option,
    translate_errors,
)
from calc.commands.engine_options import engine_options
from calc.commands.explain import explain
from calc.commands.export import export
from calc.commands.judge_records import installed
from calc.commands.observe import observe
from calc.commands.progress import no_progress, progress
from calc.commands.review import brief, review
from calc.commands.searches import searches
from calc.commands.set_out import plan, plan_of_package
from calc.commands.sign import sign
from calc.commands.site_office import site
from calc.commands.size import size
from calc.commands.vary_inputs import vary
from calc.commands.watch import on_each_change

# The matrices here are small: threads of the linear algebra, which is loaded later, would only wait for one another.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

if TYPE_CHECKING:
    from calc.chain import Run
    from calc.inputs import Design, Section
    from calc.package.checked import Checked
    from calc.site.plan.in_package import PlanPart
    from calc.terminal import Chosen

INTERNAL, INTERRUPTED = 70, 130
COLLECTS = 20_000, 20, 20  # new objects from which the collector looks at them, and how often at older ones
ONE_AT_A_TIME = Lock()  # threads of a worker share what is printed to
LIBRARIES = "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
NOT_WRITABLE = {errno.ENOENT, errno.ENOTDIR, errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOSPC, errno.EDQUOT}


class Commands(click.Group):
    """Commands whose errors end in one clear message and the exit code that stands for it."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was asked for."""
        # A run makes much and lets little go: by its usual count the collector would walk all of it again and again.
        gc.set_threshold(*COLLECTS)
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, BrokenPipeError):
            raise
        except (KeyboardInterrupt, click.Abort):
            # Click itself would end with 1, which here says that a check fails.
            sys.exit(INTERRUPTED)
        except Exception as error:  # noqa: BLE001  # the outermost place, and the only one: it becomes a message
            sys.exit(_report(error))


def _report(error: Exception) -> int:
    if os.environ.get("SANDSLEEVE_TRACEBACK"):
        traceback.print_exception(error)
    if isinstance(error, OSError) and "cannot load library" in str(error):
        click.echo(f"The PDF needs system libraries that are missing; as root: apt-get install {LIBRARIES}", err=True)
        return LIBRARY
    if isinstance(error, OSError) and error.errno in NOT_WRITABLE:
        # A full disk is noticed while writing, where no name is known.
        click.echo(f"Error: cannot write {error.filename or 'the package'}: {error.strerror}", err=True)
        return USAGE
    text = " ".join(str(error).split())
    click.echo(f"Internal error: {type(error).__name__}: {text} (SANDSLEEVE_TRACEBACK=1 shows where)", err=True)
    return INTERNAL


json_option = click.option("--json", "as_data", is_flag=True, help="Print the verdicts as JSON instead of a table.")
fresh_option = click.option("--fresh", is_flag=True, help="Take nothing from earlier runs. By default slip searches, "
                            "and with package drawings and pages, are kept where they come out the same.")  # fmt: skip


@click.group(cls=Commands, epilog="Begin with: sandsleeve new my-project")
@click.version_option(__version__, prog_name="sandsleeve")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Calculation packages for embankments on geotextile-encased sand columns.

    A PROJECT is a folder with a file project.toml.

    \b
    Exit codes: 0 everything required is verified and passes; 1 a check fails;
    2 wrong usage; 3 inputs not valid; 4 verification of the archive failed,
    or a signature is refused; 5 a system library or an optional package is
    missing; 6 nothing fails, but something required is not verified;
    70 internal error.
    """  # noqa: D301  # the mark keeps the lines of the list
    ctx.obj = run_command
    for stream in (sys.stdout, sys.stderr):
        if reconfigure := getattr(stream, "reconfigure", None):
            reconfigure(errors="replace")  # a sign that the terminal does not have must not end the run


@main.command(epilog="Example: sandsleeve new marsh-approach")
@click.argument("folder", metavar="DIR", type=click.Path(file_okay=False, path_type=Path))
@click.option("--title", help="Title of the project; default: the name of the folder.")
@click.option("--from", "ground", type=click.Path(exists=True, dir_okay=False, path_type=Path), metavar="FILE",
              help="Take the ground from a CSV, XLSX or AGS 4 file.")  # fmt: skip
def new(folder: Path, title: str | None, ground: Path | None) -> None:
    """Write a starter project into a new folder.

    DIR gets a commented project.toml that runs as it is; an existing folder must be empty. With --from its layers are
    those of the file; what the file does not say stays switched off, to be filled in: check names it.
    """
    from calc.inputs.reading.schema import schema_text
    from calc.inputs.reading.starter import starter_project

    if folder.exists() and any(folder.iterdir()):
        message = f"DIR must be a new or an empty folder ({folder} has files in it)."
        raise click.UsageError(message)
    try:
        name = title or folder.resolve().name
        text = _with_ground(name, ground) if ground else starter_project(name)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--title") from error
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "project.toml").write_text(text, encoding="utf-8")
    (folder / "project.schema.json").write_text(schema_text(), encoding="utf-8")
    click.echo(f"{folder / 'project.toml'} is written. Next: sandsleeve check {folder}")


def _with_ground(title: str, file: Path) -> str:
    """The starter with the ground of a file; where that cannot be read the command ends."""
    from calc.inputs import InputErrors
    from calc.inputs.ground_file.ground_reader import ENDINGS, read_ground
    from calc.inputs.ground_file.strata import project_with_ground

    if file.suffix.lower() not in ENDINGS:
        message = f"must end with {', '.join(ENDINGS)} (got {file.name})."
        raise click.BadParameter(message, param_hint="--from")
    try:
        return project_with_ground(title, read_ground(file), file.name)
    except InputErrors as errors:
        click.echo(str(errors), err=True)
        sys.exit(INPUTS)
    except ImportError:
        click.echo(
            "Error: a workbook needs a package that is not installed: pip install 'sandsleeve[export]'", err=True
        )
        sys.exit(LIBRARY)


@main.command(epilog="Example: sandsleeve check projects/marsh-approach --section A --failed")
@project_argument
@click.option("--all", "everything", is_flag=True, help="Print every verdict with numbers, case and reason.")
@click.option("--failed", is_flag=True, help="Print in full only what fails or is not verified.")
@click.option("--chapter", metavar="KEY|NUMBER", help="Print in full only this chapter, such as bearing or 7.")
@section_option
@click.option("--no-slip", is_flag=True, help="Leave the slip searches out: quick, but stability is not verified.")
@click.option(
    "--rescue", is_flag=True, help="Tell for every verdict that fails which change of one input satisfies it."
)
@fresh_option
@json_option
def check(
    project: Path, everything: bool, failed: bool, chapter: str | None, keys: tuple[str, ...], no_slip: bool,
    rescue: bool, fresh: bool, as_data: bool,
) -> None:  # fmt: skip
    """Run the checks and print what they say; nothing is written.

    About ten lines: outcome, governing verdict, failures, what is not verified. --failed and --chapter choose what is
    printed, and the outcome stays that of the run; --section and --no-slip choose what is run, and the outcome says so.
    """
    from dataclasses import replace

    from calc.study.rescue import offer_lines, rescue_lines, rescue_record, rescues
    from calc.terminal import Chosen, summary, verdict_table

    chosen = Chosen(_chapter_key(chapter) if chapter else "", failed)
    design = read_project(project)
    sections = chosen_sections(design, keys)
    show_cautions(design)
    left_out = _omissions(design, sections, no_slip)
    parts = tuple(section.without_slip() if no_slip else section for section in sections)
    with progress() as tell, searches(fresh=fresh):
        run = _run_design(replace(design, sections=parts), tell)
        remedies = list(rescues(run)) if rescue else None
    if not no_slip:
        show_unread(run)
    if as_data:
        _show_data(run, chosen, left_out, None if remedies is None else rescue_record(remedies))
    elif everything or chosen != Chosen():
        click.echo(verdict_table(run, _columns(), chosen, left_out))
    else:
        click.echo(summary(run, _columns(), str(project), left_out))
    if not as_data and (remedies is not None or run.outcome == "fail"):
        click.echo("\n".join(rescue_lines(remedies) if remedies is not None else offer_lines(str(project), _columns())))
    sys.exit(OUTCOMES[run.outcome])


def _chapter_key(name: str) -> str:
    """The key of a chapter given by key or number."""
    from calc.chain import CHAPTERS

    known = {str(number): chapter.key for number, chapter in enumerate(CHAPTERS, start=1)}
    key = known.get(name, name)
    if key not in known.values():
        listed = ", ".join(f"{number} {title}" for number, title in known.items())
        message = f"must be the key or the number of a chapter ({listed}), got {name}."
        raise click.BadParameter(message, param_hint="--chapter")
    return key


def _omissions(design: "Design", sections: "Sequence[Section]", no_slip: bool) -> list[str]:
    """What is not part of a run, in words."""
    kept = {section.key for section in sections}
    missing = [section.key for section in design.sections if section.key not in kept]
    omissions = [f"section{'s' * (len(missing) > 1)} {', '.join(missing)}"] if missing else []
    return omissions + ["the slip searches, so stability is not verified"] * no_slip


@main.command(epilog="Example: sandsleeve package projects/marsh-approach --out /tmp/marsh")
@several_argument
@all_option
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder to write; default: PROJECT/out.")
@click.option("--open", "shown", is_flag=True, help="Open the PDF with the program of the desktop.")
@click.option("--full", is_flag=True, help="Write an extract with every chain written out, for a checker who wants it.")
@click.option(
    "--watch",
    "watched",
    is_flag=True,
    help="Write it anew whenever project.toml or a data file beside it changes, until Ctrl-C.",
)
@section_option
@click.option("--chapter", "names", metavar="KEY|NUMBER", multiple=True, help="Only this chapter; can be given again.")
@study_option
@fresh_option
@engine_options
@json_option
def package(
    project: Path, every: bool, out: Path | None, shown: bool, full: bool, watched: bool, names: tuple[str, ...],
    keys: tuple[str, ...], records: tuple[Path, ...], fresh: bool, jobs: int | None, cluster: str | None, as_data: bool,
) -> None:  # fmt: skip
    """Run every check and write the package.

    The package is written also when a check fails. Until it is complete, an earlier one stays untouched. --section,
    --chapter and --full write an extract beside it, such as package-A-full.pdf, and leave the package as it is. Pages
    that an earlier package had are not set again, unless --fresh is given. With [plan] the drawings of the column plan
    are its last part; the exit code is that of the calculation, that of the plan is told by the command plan. A study
    given with --with-study is a chapter behind all that; no verdict relies on it.

    With --all PROJECT is a folder: the package of every project below it, --jobs of them side by side, and a summary
    of all as packages.csv and packages.json. One that is not valid stops no other; the exit code is the gravest, in
    the order 70, 5, 2, 4, 3, 1, 6, 0. --out has a folder for each project then, and the summary.
    """
    if every:
        refuse_options({"--open": shown, "--full": full, "--watch": watched, "--section": keys, "--chapter": names,
                        "--with-study": records})  # fmt: skip
        sys.exit(package_all(project, out, jobs, cluster, fresh=fresh, as_data=as_data))
    refuse_options({"--cluster": cluster}, "goes with --all only")
    if keys or names or full:
        refuse_options({"--with-study": records}, "does not go with an extract")

    def write(target: Path = out or project / "out") -> "tuple[Run, PlanPart | None, dict[str, Path]]":
        refuse_unwritable_folders(target)
        design = read_project(project)
        chosen_sections(design, keys)
        show_cautions(design)
        extract = bool(keys or full or chapters)
        part = None if extract else plan_of_package(design)
        with translate_errors():
            parts = studies({str(path): content_of_record(path) for path in records}, design)
        with progress() as tell, searches(fresh=fresh, jobs=jobs) as means:
            run = _run_design(design, tell)
            marks = _review_marks(project, run)
            if extract:
                made = write_extract(run, keys, target, tell, marks, means, full=full, chapters=chapters)
                return run, None, {"extract": made}
            with translate_errors():
                of_studies = [study.chapter(run) for study in parts]
            appendices = [*([part.appendix()] if part else []), *(study.appendix for study in of_studies)]
            more = [file for study in of_studies for file in study.attached]
            written = write_package(run, target, tell, marks, means, appendices, more)
        return run, part, {"pdf": written.pdf, "results": written.results}

    from calc.archive.extras import studies
    from calc.package import write_extract, write_package
    from calc.study.study_record import content_of_record

    chapters = [_chapter_key(name) for name in names]
    if watched:
        on_each_change(project, lambda: _show_package(project, *write(), as_data=as_data), _report)
    run, part, files = write()
    _show_package(project, run, part, files, as_data=as_data)
    main_file = next(iter(files.values()))
    if shown and click.launch(str(main_file.resolve())):
        click.echo(f"No program of this desktop opens {main_file}.", err=True)
    sys.exit(OUTCOMES[run.outcome])


def run_command(words: tuple[str, ...]) -> tuple[int, str, str]:
    """Run a command in this process as one of many: its exit code, what it prints, what it says of errors."""
    output, messages = StringIO(), StringIO()
    code: Any = 0
    with ONE_AT_A_TIME, redirect_stdout(output), redirect_stderr(messages), no_progress():
        try:
            main.main([*words], prog_name="sandsleeve")
        except SystemExit as end:
            code = end.code
    return int(code or 0), output.getvalue(), messages.getvalue()


main.add_command(issue)
main.add_command(archive)
main.add_command(review)
main.add_command(brief)
main.add_command(sign)
main.add_command(size)
main.add_command(vary)
main.add_command(plan)
main.add_command(installed)
main.add_command(export)
main.add_command(observe)
main.add_command(site)
main.add_command(explain)


def _run_design(design: "Design", tell: Callable[[str], None]) -> "Run":
    from calc.chain import CalculationError, run_checks

    try:
        return run_checks(design, tell)
    except CalculationError as error:
        click.echo(f"Error: these inputs have no solution: {error}", err=True)
        sys.exit(INPUTS)


def _review_marks(project: Path, run: "Run") -> "Checked | None":
    """What a checker has said about the lines of a run; nothing in most projects."""
    from calc.review.refused import ReviewError
    from calc.review.standing_printed import checked_run

    try:
        return checked_run(project, run)
    except ReviewError as error:
        click.echo(f"Error: {error}", err=True)
        sys.exit(INPUTS)


def _columns() -> int:
    return shutil.get_terminal_size((100, 24)).columns


def _show_package(project: Path, run: "Run", part: "PlanPart | None", files: dict[str, Path], *, as_data: bool) -> None:
    """What a package says, of calculation and column plan, and its files."""
    from calc.terminal import summary

    if as_data:
        plan = {"plan": {"outcome": part.outcome, "words": part.words}} if part else {}
        _show_data(run, more={"package": {name: str(path) for name, path in files.items()}} | plan)
        return
    click.echo(summary(run, _columns(), str(project)))
    if part:
        click.echo(f"{part.words} Outcome of the plan: {part.outcome}.")
    words = {"pdf": "Package", "results": "Results", "extract": "Extract"}
    click.echo("\n".join(f"{words[name]}: {path}" for name, path in files.items()))


def _show_data(
    run: "Run", chosen: "Chosen | None" = None, left_out: Sequence[str] = (), more: dict[str, Any] | None = None
) -> None:
    from calc.terminal import EVERYTHING, as_json, verdict_record

    click.echo(as_json(verdict_record(run, chosen or EVERYTHING, left_out) | (more or {})))

"""The commands of the checker: the review page, what comes back of it, the blind check."""

# ruff: noqa: PLC0415 - heavy imports wait until a command needs them, so that help stays quick

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from calc.commands.common import (
    Place,
    archive_option,
    print_json,
    project_argument,
    refuse_unwritable_folders,
    translate_errors,
)
from calc.commands.progress import progress

if TYPE_CHECKING:
    from calc.chain import Run
    from calc.review.earlier import Earlier
    from calc.review.standing import Standing

PAGE, FOLDER = "review.html", "review"


@click.command(epilog="Example: sandsleeve review projects/marsh-approach --out /tmp/marsh")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder to write; default: PROJECT/out.")
@click.option("--against", metavar="REVISION",
              help="Put the results of an issued revision beside those of the project where they differ.")  # fmt: skip
@archive_option
@click.option("--take", "file", type=click.Path(exists=True, dir_okay=False, path_type=Path),
              help="Take a review file in that was saved from the page.")  # fmt: skip
@click.option("--answer", "answers", type=(click.IntRange(1), str), multiple=True, metavar="N TEXT",
              help="Answer comment N as the designer.")  # fmt: skip
@click.option("--close", "closed", type=click.IntRange(1), multiple=True, metavar="N",
              help="Close comment N as the checker.")  # fmt: skip
@click.option("--list", "listing", is_flag=True, help="List the comments with what was said.")
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def review(
    project: Path,
    out: Path | None,
    against: str | None,
    shared: Path | str | None,
    file: Path | None,
    answers: tuple[tuple[int, str], ...],
    closed: tuple[int, ...],
    listing: bool,
    as_data: bool,
) -> None:
    """Write the review page of PROJECT, take the checker's review in, answer and close comments.

    The page is one HTML file that loads nothing: every step with equation, numbers, result and source, to be marked as
    agreed or queried. What the checker saves from it comes back with --take and stands in the next package.
    """
    options = {"--take": file, "--answer or --close": answers or closed, "--list": listing,
               "--out or --against": out or against}  # fmt: skip
    writes_page = _one_at_a_time(options) in {"", "--out or --against"}
    if not listing:
        refuse_unwritable_folders((out or project / "out") if writes_page else project / FOLDER)
    with translate_errors():
        if answers or closed:
            _say(project, answers, closed)
        if file is not None:
            _take(project, file)
        if not writes_page:
            _list(project, as_data, everything=listing)
            return
        path, state = _page(project, out, _earlier(Place(project, shared), against) if against else None)
    if as_data:
        print_json({"page": str(path), **state})
    else:
        click.echo(f"Review page: {path}")


@click.command(epilog="Example: sandsleeve brief projects/marsh-approach --out /tmp/marsh")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder to write; default: PROJECT/out.")
@click.option("--take", "file", type=click.Path(exists=True, dir_okay=False, path_type=Path),
              help="Take the form in with the checker's own values.")  # fmt: skip
def brief(project: Path, out: Path | None, file: Path | None) -> None:
    """Write the brief of an independent check of PROJECT, or take own values in.

    The brief holds inputs and questions and no result; the form comes back with the checker's own values and
    tolerances, and the next package compares them with the calculation.
    """
    _one_at_a_time({"--take": file, "--out": out})
    refuse_unwritable_folders(project / FOLDER if file else out or project / "out")
    with translate_errors():
        if file is None:
            _write_brief(project, out or project / "out")
        else:
            _take_own_values(project, file)


def _one_at_a_time(options: Mapping[str, object]) -> str:
    """The one option that is given, or none; several do not go together."""
    names = [name for name, value in options.items() if value]
    if len(names) > 1:
        message = f"one at a time: {' and '.join(names)} do not go together."
        raise click.UsageError(message)
    return "".join(names)


def _write_brief(project: Path, out: Path) -> None:
    from calc.chain import run_checks
    from calc.inputs import read_design
    from calc.review.brief import brief
    from calc.review.files import write_whole

    with progress() as tell:
        design = read_design(project)
        tell("collecting the questions")
        made = brief(run_checks(design, tell))
        pdf, form = out / "brief.pdf", out / "own-values.toml"
        write_whole(pdf, made.pdf)
        write_whole(form, made.form.encode())
    click.echo(f"Brief: {pdf}\nForm for own values: {form}")


def _take_own_values(project: Path, file: Path) -> None:
    from calc.chain import run_checks
    from calc.inputs import read_design
    from calc.review.files import read_limited
    from calc.review.own_values import LARGEST_FORM, read_form, take_own_values

    content, design = read_limited(file, LARGEST_FORM), read_design(project)
    read_form(content, str(file))  # what is no form need not wait for the checks
    with progress() as tell:
        tell("running the checks")
        run = run_checks(design, tell)
    sheet = take_own_values(project, run, content, str(file))
    click.echo(f"{sheet.summary} The next package compares them.")


def _earlier(where: Place, name: str) -> "Earlier":
    """The results of an issued revision."""
    from calc.archive.record.find import content_of, manifest_of
    from calc.archive.record.recorded import read_recorded
    from calc.engine.typeset import write_numbers
    from calc.review.earlier import Earlier, Former

    store = where.store()
    manifest = manifest_of(store, where.revision(name))
    label = manifest.revision.label
    steps = read_recorded(content_of(store, manifest.file("results")), f"results of revision {label}").steps()
    printed = {key: line.step.shown.get(line.step.symbol, "") for key, line in steps.items()}
    lines = [
        Former(key, f"{line.section} {line.step.number}", line.chapter, line.step.title, write_numbers(printed[key]))
        for key, line in steps.items() if line.step.number is not None
    ]  # fmt: skip
    return Earlier(label, printed, lines)


def _page(project: Path, out: Path | None, earlier: "Earlier | None") -> tuple[Path, dict[str, Any]]:
    from calc.review.files import write_whole
    from calc.review.page import review_page

    with progress() as tell:
        run, state = _run_and_standing(project, tell)
        tell("writing the page")
        path = (out or project / "out") / PAGE
        write_whole(path, review_page(run, state, earlier).encode())
    return path, {"run": state.known.run, "steps": state.counts()}


def _run_and_standing(project: Path, tell: Callable[[str], None]) -> "tuple[Run, Standing]":
    from calc.chain import run_checks
    from calc.inputs import read_design
    from calc.review.facts import facts
    from calc.review.ledger import read_ledger
    from calc.review.standing import standing

    design = read_design(project)
    ledger = read_ledger(project, design)
    tell("running the checks")
    run = run_checks(design, tell)
    return run, standing(ledger, facts(run))


def _take(project: Path, file: Path) -> None:
    """Take a review file in and say what came of it."""
    from calc.chain import run_checks
    from calc.inputs import read_design
    from calc.review.facts import facts
    from calc.review.files import read_limited
    from calc.review.people_texts import numbers, one_line
    from calc.review.records import ReviewFile, read_model
    from calc.review.take import take

    content, design = read_limited(file), read_design(project)
    read_model(ReviewFile, content, str(file))  # what is no review file need not wait for the checks
    with progress() as tell:
        tell("running the checks")
        known = facts(run_checks(design, tell))
    taken = take(project, design, known, content, str(file))
    marks = [entry.mark for entry in taken.file.steps]
    click.echo(
        f"Review of revision {one_line(taken.file.revision)} by {one_line(taken.file.by.name)} is taken in: "
        f"{marks.count('agreed')} agreed, {marks.count('query')} queries. Comments: raised {numbers(taken.raised)}, "
        f"continued {numbers(taken.continued)}, closed {numbers(taken.closed)}.", err=True
    )  # fmt: skip


def _say(project: Path, answers: tuple[tuple[int, str], ...], closed: tuple[int, ...]) -> None:
    """Answer and close comments; all of them, or none where one cannot be."""
    import datetime as dt

    from calc.inputs import read_design
    from calc.review.comments import checked_text, with_answers
    from calc.review.ledger import lock_reviews, read_ledger

    design = read_design(project)
    said = {number: checked_text(text) for number, text in answers}
    if len(said) < len(answers):
        message = "each comment must be answered once at a time."
        raise click.UsageError(message)
    today = dt.datetime.now().astimezone().date().isoformat()
    with_answers(read_ledger(project, design), design.people, said, closed, today)  # before anything is written
    with lock_reviews(project):
        ledger = read_ledger(project, design)
        ledger.write(with_answers(ledger, design.people, said, closed, today))


def _list(project: Path, as_data: bool, everything: bool) -> None:
    """Show the comments: all with what was said, or where they stand."""
    from calc.inputs import read_design
    from calc.review.comments import comments
    from calc.review.ledger import read_ledger
    from calc.review.listing import comments_record, comments_text

    threads = comments(read_ledger(project, read_design(project)))
    if as_data:
        print_json(comments_record(threads))
    else:
        click.echo(comments_text(threads, everything))

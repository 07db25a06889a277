"""The search of the grid of [size]: what the command does between its options and its exit code."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    as_json,
    read_project,
    refuse_unwritable,
    refuse_unwritable_folders,
    write_run,
)
from calc.commands.engine_options import chosen_engine
from calc.commands.progress import progress

if TYPE_CHECKING:
    from calc.inputs import Design
    from calc.study.dated_designs import Earliest
    from calc.study.size_search import Search
    from calc.study.whole_section import Outcome, Task

NOTHING = 1
MISSING = "the search for a design needs packages that are not installed: pip install 'sandsleeve[study]'"
FILE, RECORD = "size.pdf", "size.json"


@dataclass(frozen=True)
class GridWish:
    """What is asked of a search of the grid."""

    best: int
    runs: int
    jobs: int | None
    write: Path | None
    choose: int
    out: Path | None
    pages: bool
    as_data: bool


def search_designs(project: Path, wish: GridWish) -> None:
    """Search, print, write pages and the chosen copy, and end with the exit code."""
    try:
        from textwrap import wrap

        from calc.study.report import WIDTH
        from calc.study.size_report import search_record, search_text
    except ImportError:
        click.echo(f"Error: {MISSING}", err=True)
        sys.exit(LIBRARY)

    pages = (wish.out or project / "out") / FILE
    _refuse_targets(wish, pages)
    design = read_project(project)
    with _translate_errors(), progress() as tell, _kept_answers():
        search = _search(design, wish, tell)
        cautions = _cautions(search, wish)
        if wish.pages:
            _write_pages(search, pages.parent, cautions)
        written = _write_copy(search, project, wish)
    if wish.as_data:
        click.echo(as_json({**search_record(search, written), "cautions": cautions}))
    else:
        lines = [search_text(search)]
        lines += ["\n".join(["", *wrap(caution, WIDTH)]) for caution in cautions]
        lines += [f"\nPages: {pages}\nRecord: {pages.with_name(RECORD)}"] if wish.pages else []
        lines += [f"\nDesign {wish.choose} written: {written}"] if written else []
        click.echo("\n".join(lines))
    _refuse_choice(search, wish)
    sys.exit(_code(search))


@contextmanager
def _kept_answers() -> Iterator[None]:
    """Answers of slip searches that an earlier run has found; whole runs are what is done side by side here."""
    from calc.kept import user_folder
    from calc.procedures import answers
    from calc.procedures.kept_answers import KeptAnswers

    kept = KeptAnswers(user_folder("answers"))
    with answers.by_means(answers.Means(None, kept)):
        yield
    kept.tidy()


def _code(search: "Search") -> int:
    """1 without a design; 6 where the best one leaves a required verdict open, or may not be the best."""
    if not search.best:
        return NOTHING
    return OUTCOMES["pass" if search.proven and not search.best[0].outcome.open else "incomplete"]


def _refuse_targets(wish: GridWish, pages: Path) -> None:
    if wish.write and wish.write.exists():
        message = f"{wish.write} is there already: a copy of the project is written into a new folder."
        raise click.BadParameter(message, param_hint="--write")
    if wish.write:
        refuse_unwritable_folders(wish.write)
    if wish.pages:
        refuse_unwritable_folders(pages.parent)
        for file in (pages, pages.with_name(RECORD)):
            if file.exists():
                refuse_unwritable(file)


@contextmanager
def _translate_errors() -> Iterator[None]:
    """Name inputs that give no grid, or no solution."""
    from calc.chain import CalculationError
    from calc.inputs import InputErrors
    from calc.study.changed_file import ChangeError
    from calc.study.shortest import OpenError
    from calc.study.size_grid import SizeError

    try:
        yield
    except (SizeError, ChangeError, OpenError, CalculationError) as error:
        click.echo(f"Error: {error.args[0]}", err=True)
        sys.exit(INPUTS)
    except InputErrors as errors:
        click.echo(str(errors), err=True)
        sys.exit(INPUTS)


def _search(design: "Design", wish: GridWish, tell: Callable[[str], None]) -> "Search":
    from calc.inputs.reading.source import text_of
    from calc.study.dated_designs import dated_outcome, earliest, wish_of
    from calc.study.engines import in_order
    from calc.study.followed import follow
    from calc.study.screening import Screening
    from calc.study.shortest import Search as DateSearch
    from calc.study.size_grid import size_grid
    from calc.study.size_search import search
    from calc.study.whole_section import Task, outcome_of

    grid, programme = size_grid(design), None
    if grid.size.programme is not None:
        DateSearch(design, grid.section, programme := wish_of(grid.size.programme))  # is there anything to search with
    tell(f"section {grid.section.key}: the project as typed")
    typed = outcome_of(Task(str(design.source.parent), text_of(design.text), grid.section.key))
    with chosen_engine(wish.jobs, None) as engine_:
        screening = Screening(grid, engine_, follow)

        def runs(tasks: "Sequence[Task]") -> "Iterator[Outcome]":
            return in_order(engine_.results(dated_outcome if programme else outcome_of, tasks))

        def dates(tasks: "Sequence[Task]") -> "Iterator[Earliest]":
            return in_order(engine_.results(earliest, tasks))

        asked = max(wish.best, wish.choose if wish.write else 1)
        return search(
            screening, typed, runs, asked=asked, most=wish.runs, side_by_side=engine_.workers, tell=tell,
            dates=dates if programme else None,
        )  # fmt: skip


def _cautions(search: "Search", wish: GridWish) -> list[str]:
    """What [vary] says of other values than those of the design that is written."""
    if wish.write is None or wish.choose > len(search.best):
        return []
    from calc.study.chosen_design import cautions_of

    return [f"Caution, design {wish.choose}: {caution}" for caution in cautions_of(search, wish.choose)]


def _write_pages(search: "Search", folder: Path, cautions: Sequence[str]) -> None:
    """The record of the search, and the pages that are made of it."""
    from calc.package.study_pages import study_pages
    from calc.study.size_record import SizeRecord, size_pages, size_record

    design = search.grid.design
    data = as_json(size_record(search, cautions))
    pages = study_pages(design, size_pages(design, SizeRecord.model_validate_json(data)))
    write_run({FILE: pages, RECORD: data.encode()}, folder)


def _write_copy(search: "Search", project: Path, wish: GridWish) -> str | None:
    """A copy of the project with the chosen design in it, in a new folder."""
    if wish.write is None or wish.choose > len(search.best):
        return None
    from calc.study.chosen_design import write_chosen

    return str(write_chosen(search, wish.choose, project, wish.write))


def _refuse_choice(search: "Search", wish: GridWish) -> None:
    """End with wrong usage where the design to be written is none of those found, which are printed by now."""
    if wish.write and search.best and wish.choose > len(search.best):
        designs = f"{len(search.best)} design{'s' * (len(search.best) > 1)}"
        message = f"{designs} found, got {wish.choose}: no copy is written."
        raise click.BadParameter(message, param_hint="--choose")

"""The command that sizes: the filling programme, or the design over the grid of the table [size]."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource

from calc.commands.all_projects import refuse_options
from calc.commands.common import (
    INPUTS,
    OUTCOMES,
    as_json,
    chosen_sections,
    project_argument,
    read_project,
    refuse_unwritable,
    refuse_unwritable_folders,
    section_option,
)
from calc.commands.progress import progress

if TYPE_CHECKING:
    from calc.inputs import Design, Section
    from calc.study.confirm import Confirmed
    from calc.study.shortest import Nothing, Wish

NOTHING = 1
FILE, PAGES = "programme.toml", "size.pdf"
OF_GRID = {"best", "runs", "jobs", "write", "choose", "no_pages"}
OF_PROGRAMME = {"keys", "step", "least_wait", "latest", "cautious"}
"""Options of one of the two searches."""
LONGEST = 200_000.0  # day; no date of a project file is later


class Days(click.ParamType[float]):
    """A time with its unit, kept in days."""

    name = "time"

    def __init__(self, *, positive: bool = False) -> None:
        self.positive = positive

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read a number and a unit of time, with or without a space between them."""
        from calc.inputs.reading import units

        text = re.sub(r"(?<=[0-9.])(?=[A-Za-z])", " ", str(value).strip(), count=1)
        try:
            number, unit = units.split(text)
            days = float(number * units.factor(unit, "d"))
        except units.QuantityError as error:
            self.fail(f'must be a time with its unit such as "7 d" or "2 week", got "{value}": {error}', param, ctx)
        if not 0 <= days <= LONGEST or (self.positive and days == 0):
            least = "greater than 0 d" if self.positive else "at least 0 d"
            self.fail(f"must be {least} and at most {LONGEST:g} d, got {value}.", param, ctx)
        return days


@click.command(epilog="Example: sandsleeve size projects/marsh-approach --programme --round 7d")
@project_argument
@click.option("--programme", is_flag=True, help="The filling programme instead: the shortest waits between the stages.")
@section_option
@click.option("--round", "step", type=Days(positive=True), default="1 d", show_default=True,
              help="Step of the dates, from the start of the first stage.")  # fmt: skip
@click.option("--least-wait", type=Days(), default="0 d", show_default=True, help="Least wait after every stage.")
@click.option("--latest", type=Days(positive=True), default="10 a", show_default=True,
              help="Latest hand-over, from the start of works.")  # fmt: skip
@click.option("--cautious", is_flag=True, help="Search with the low c_h of [consolidation].")
@click.option("--best", type=click.IntRange(1, 50), default=5, show_default=True,
              help="Designs to find, with one objective.")  # fmt: skip
@click.option("--runs", type=click.IntRange(1, 100_000), default=200, show_default=True,
              help="Runs of all chapters after which the search ends, proven or not.")  # fmt: skip
@click.option("--jobs", type=click.IntRange(1, 256), help="Designs run side by side; default: one a processor.")
@click.option("--write", type=click.Path(path_type=Path), metavar="DIR",
              help="New folder for a copy of PROJECT with a design found in it.")  # fmt: skip
@click.option(
    "--choose", type=click.IntRange(1, 1000), default=1, show_default=True, help="Which design --write takes."
)
@click.option("--no-pages", is_flag=True, help="Do not write the pages of the search.")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help=f"Folder to write, of {PAGES}, or of {FILE} with --programme; default: PROJECT/out.")  # fmt: skip
@click.option("--json", "as_data", is_flag=True, help="Print JSON.")
def size(
    project: Path, programme: bool, keys: tuple[str, ...], step: float, least_wait: float, latest: float,
    cautious: bool, best: int, runs: int, jobs: int | None, write: Path | None, choose: int, no_pages: bool,
    out: Path | None, as_data: bool,
) -> None:  # fmt: skip
    """Find inputs that satisfy every check.

    Over the grid of the table [size] of PROJECT: the designs with the least cost, carbon, settlement or days to the
    hand-over, or those that none betters in two of these. Every required verdict is a condition. The best ones are run
    with every chapter, and what was excluded, run and left is told, so that it is proven that no better one was missed.
    With [size.programme] the earliest dates of each candidate are searched as well.

    With --programme, of the design as typed: the shortest filling programme of the stages of PROJECT, each section by
    itself. Stages keep heights, order, situations, water and durations; the waits between them and the hand-over are
    free. The proposal is confirmed by a run of all chapters and written as tables to be pasted into project.toml, which
    is not changed.
    --section, --round, --least-wait, --latest and --cautious are options of it alone.

    \b
    Exit codes: those of check for the design or programme found; 1 also
    where there is none, 6 also where it is not proven to be the best.
    """  # noqa: D301  # the mark keeps the lines of the list
    _refuse_other_search(programme)
    if not programme:
        from calc.commands.design_search import GridWish, search_designs

        search_designs(project, GridWish(best, runs, jobs, write, choose, out, not no_pages, as_data))
    from calc.study.confirm import Confirmed
    from calc.study.shortest import Nothing, Wish

    file = (out or project / "out") / FILE
    refuse_unwritable_folders(file.parent)
    if file.exists():
        refuse_unwritable(file)
    design = read_project(project)
    sections = chosen_sections(design, keys)
    wish = Wish(step, least_wait, latest, cautious)
    with _translate_errors(), progress() as tell:
        start = perf_counter()
        searches = _search_sections(design, sections, wish, tell)
        nothing = [result for result in searches if isinstance(result, Nothing)]
        if nothing:
            from calc.study.report import nothing_record, nothing_text

            click.echo(as_json(nothing_record(nothing)) if as_data else nothing_text(nothing, wish))
            sys.exit(NOTHING)
        parts = [result for result in searches if isinstance(result, Confirmed)]
        _finish(design, parts, wish, file, perf_counter() - start, as_data)


def _refuse_other_search(programme: bool) -> None:
    """End with wrong usage where an option is given that the search asked for does not take."""
    ctx = click.get_current_context()
    for param in ctx.command.params:
        if ctx.get_parameter_source(param.name or "") is ParameterSource.COMMANDLINE:
            if programme and param.name in OF_GRID:
                refuse_options({param.opts[0]: True}, "does not go with --programme")
            if not programme and param.name in OF_PROGRAMME:
                refuse_options({param.opts[0]: True}, "goes with --programme only")


@contextmanager
def _translate_errors() -> Iterator[None]:
    """Name inputs that give no numbers to search with, or no solution."""
    from calc.chain import CalculationError
    from calc.study.shortest import OpenError

    try:
        yield
    except (OpenError, CalculationError) as error:
        click.echo(f"Error: {error.args[0]}", err=True)
        sys.exit(INPUTS)


def _search_sections(
    design: "Design", sections: "list[Section]", wish: "Wish", tell: Callable[[str], None]
) -> "list[Confirmed | Nothing]":
    """What the search finds in every section; no run of all chapters where some section has no programme."""
    from calc.study.confirm import confirm_dates
    from calc.study.shortest import Found, Nothing, Search

    searches = []
    for section in sections:
        tell(f"section {section.key}: searching")
        searches.append(Search(design, section, wish))
    results = [search.dates() for search in searches]
    nothing = [result for result in results if isinstance(result, Nothing)]
    pairs = zip(searches, results, strict=True)
    return [*nothing] or [
        confirm_dates(search, programme, tell) for search, programme in pairs if isinstance(programme, Found)
    ]


def _finish(design: "Design", parts: "list[Confirmed]", wish: "Wish", file: Path, spent: float, as_data: bool) -> None:
    """Write, print, end with the outcome of the run of all chapters."""
    from calc.review.files import write_whole
    from calc.study.confirm import whole_run
    from calc.study.proposal import proposal_text
    from calc.study.report import file_head, found_record, found_text

    programmes, run, running = (
        [part.programme for part in parts],
        whole_run(design, parts),
        sum(part.running for part in parts),
    )
    write_whole(
        file,
        proposal_text(
            design, [programme.proposal for programme in programmes], file_head(design, programmes, run, wish)
        ).encode(),
    )
    if as_data:
        click.echo(as_json(found_record(programmes, run, wish) | {"file": str(file)}))
    else:
        click.echo(f"{found_text(programmes, run, wish)}\n\nSearch {spent - running:.1f} s, run of all chapters "
                   f"{running:.1f} s. To be pasted into project.toml: {file}")  # fmt: skip
    sys.exit(OUTCOMES[run.outcome])

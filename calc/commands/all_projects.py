"""One command for every project below a folder: side by side, each as if it were alone, with one summary of all."""

import csv
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from io import StringIO
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from calc.commands.common import (
    LIBRARY,
    OUTCOMES,
    USAGE,
    Folder,
    as_json,
    print_json,
    refuse_unwritable_folders,
    translate_errors,
    width,
    write,
)
from calc.commands.engine_options import chosen_engine
from calc.commands.progress import progress
from calc.run_progress import Progress

if TYPE_CHECKING:
    from calc.study.engines import Engine

INTERNAL = 70
GRAVEST_FIRST = (INTERNAL, LIBRARY, USAGE, 4, 3, 1, 6, 0)
WORDS = {2: "cannot be written", 3: "inputs", 4: "archive", 5: "library missing", INTERNAL: "internal error"}
OWN = {"out", "archive"}  # folders that this program writes into that of a project

Words = tuple[str, ...]
Ended = tuple[int, str, str]
WordsFor = Callable[[Path, Path], Iterator[str]]
RunCommand = Callable[[Words], Ended]


class Several(Folder):
    """A project as elsewhere, or with ``--all`` any folder."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Give the folder; `all_option` is read before."""
        folder = Path(super().convert(value, param, ctx))
        if not (ctx and ctx.params.get("every")) and not (folder / "project.toml").is_file():
            self.fail(f"{folder} must be a folder with a file project.toml, or that file.", param, ctx)
        return folder


several_argument = click.argument("project", type=Several(exists=True))
all_option = click.option("--all", "every", is_flag=True, is_eager=True, help="Every project below the folder PROJECT.")


def refuse_options(given: Mapping[str, object], why: str = "does not go with --all") -> None:
    """End with wrong usage where one of these options is given."""
    for name, value in given.items():
        if value:
            message = f"{name} {why}."
            raise click.UsageError(message)


class Row(NamedTuple):
    """How the command ended for one project."""

    project: str
    exit_code: int
    outcome: str
    governing: str
    utilisation: float | None
    seconds: float
    messages: str
    plan: str = ""
    """Outcome of the column plan; empty where the project has none."""


class Task(NamedTuple):
    """A project by its path below the folder, and the words of the command for it."""

    project: str
    words: Words


def projects_below(folder: Path) -> list[Path]:
    """Folders with a project file, in order; not those that lie in the output or the archive of a project."""
    folders = sorted(path.parent for path in folder.rglob("project.toml") if path.is_file())
    return [project for project in folders if not _is_written(project, folder)]


def _is_written(project: Path, folder: Path) -> bool:
    below = project.relative_to(folder)
    return any(
        part.name.startswith(".") or (part.name in OWN and (folder / part.parent / "project.toml").is_file())
        for part in (below, *below.parents)
    )


def package_all(
    folder: Path, out: Path | None, jobs: int | None, cluster: str | None, *, fresh: bool, as_data: bool
) -> int:
    """Write the package of every project below a folder, and the summary; the exit code."""

    def words(project: Path, below: Path) -> Iterator[str]:
        yield from ("package", str(project), "--jobs", "1", "--json")
        yield from ("--fresh",) * fresh
        yield from ("--out", str(out.resolve() / below)) if out else ()

    return _run_projects(folder, out or folder, "packages", words, (jobs, cluster), as_data)


def issue_all(folder: Path, shared: Path | str | None, jobs: int | None, cluster: str | None, *, as_data: bool) -> int:
    """Issue the newest revision of every project below a folder, and write the summary; the exit code."""
    from calc.archive.store.addresses import prepare_archive  # noqa: PLC0415 - it is heavy

    if shared is not None:
        with translate_errors():
            prepare_archive(shared)  # here, once, so that no two issues make it at the same time
    place = str(shared.resolve()) if isinstance(shared, Path) else shared

    def words(project: Path, _below: Path) -> Iterator[str]:
        yield from ("issue", str(project), "--jobs", "1", "--json")
        yield from ("--archive", place) if place else ()

    return _run_projects(folder, folder, "issued", words, (jobs, cluster), as_data)


def _run_projects(
    folder: Path, out: Path, name: str, words: WordsFor, engine: tuple[int | None, str | None], as_data: bool
) -> int:
    run: RunCommand = click.get_current_context().find_root().obj
    tasks = tasks_of(folder, words)
    refuse_unwritable_folders(out)
    with progress() as tell, chosen_engine(*engine) as made:
        rows = run_all(made, run, tasks, tell)
    files = write_summary(rows, out, name)
    if as_data:
        print_json(record_of(rows))
    else:
        click.echo(table(rows, width()))
        click.echo(f"Summary, with every message and caution: {', '.join(map(str, files))}")
    return worst(rows)


def run_all(engine: "Engine", run: RunCommand, tasks: Sequence[Task], tell: Callable[[str], None]) -> list[Row]:
    """A row for each task in order; a project that ends its process again and again has one too."""
    from calc.study.chunk_limits import LostChunkError  # noqa: PLC0415 - numpy is behind it

    rows: dict[int, Row] = {}
    work = partial(_project_row, run)
    while len(rows) < len(tasks):
        left = [place for place in range(len(tasks)) if place not in rows]
        try:
            for index, row in engine.results(work, [tasks[place] for place in left]):
                rows[left[index]] = Row(*row)
                text = f"{len(rows)} of {len(tasks)} projects; {row[0]}: {_how(Row(*row))}"
                tell(Progress(text, len(rows) / len(tasks), opens=True))
        except LostChunkError as lost:
            place = left[lost.index]
            rows[place] = Row(tasks[place].project, INTERNAL, "", "", None, 0.0, "it ended its process three times")
    return [rows[place] for place in range(len(tasks))]


def _project_row(run: RunCommand, task: Task) -> tuple[Any, ...]:
    """The row of a project, as a plain tuple."""
    start = perf_counter()
    code, output, messages = run(task.words)
    spent = round(perf_counter() - start, 1)
    record = json.loads(output) if code in OUTCOMES.values() and output.startswith("{") else {}
    governing = record.get("governing")
    name = f"{governing['section']}: {governing['title']}" if governing else ""
    utilisation = governing["utilisation"] if governing else None
    plan = (record.get("plan") or {}).get("outcome", "")
    return task.project, code, record.get("outcome", ""), name, utilisation, spent, messages.strip(), plan


def worst(rows: Sequence[Row]) -> int:
    """The gravest exit code: internal error, missing library, folder, archive, inputs, fail, not verified, pass.

    A code that no command of this program gives is graver than all: a signal, or a program in its place.
    """
    return min(
        (row.exit_code for row in rows), key=lambda code: code in GRAVEST_FIRST and 1 + GRAVEST_FIRST.index(code)
    )


def table(rows: Sequence[Row], width: int) -> str:
    """A line for each project, beneath it why it has no outcome; then how many ended how."""
    names = max(len("project"), *(len(row.project) for row in rows))
    plans = max(len(row.plan) for row in rows)
    plans = plans and max(plans, len("plan")) + 2  # no column where no project has a plan
    lines = [f"{'project':{names}}  exit  {'outcome':17}  {'plan' if plans else '':{plans}}{'time':>7}  governing"]
    for row in rows:
        ratio = "" if row.utilisation is None else f"{row.utilisation:.3f} "
        ended = f"{row.project:{names}}  {row.exit_code:4}  {_how(row):17}  {row.plan:{plans}}"
        line = f"{ended}{row.seconds:5.0f} s  {ratio}{row.governing}"
        line = line.rstrip()
        lines.append(line if len(line) <= width else f"{line[: width - 1]}…")
        if not row.outcome:
            lines += [f"  {text}" for text in row.messages.splitlines()[:3]]
    total = f"{len(rows)} project{'s' * (len(rows) > 1)}: {_counts(list(map(_how, rows)))}."
    if plans:
        total += f" Column plans: {_counts([row.plan for row in rows if row.plan])}; they change no exit code."
    lines.append(f"{total} Exit code {worst(rows)}: the gravest of them.")
    return "\n".join(lines)


def _counts(words: Sequence[str]) -> str:
    return ", ".join(f"{words.count(word)} {word}" for word in dict.fromkeys(words))


def _how(row: Row) -> str:
    if row.outcome:
        return row.outcome
    refused = row.exit_code in OUTCOMES.values()  # the code of an outcome without one: an issue that it forbids
    return "refused" if refused else WORDS.get(row.exit_code, f"exit {row.exit_code}")


def record_of(rows: Sequence[Row]) -> dict[str, Any]:
    """The rows as plain data."""
    return {"exit_code": worst(rows), "projects": [row._asdict() for row in rows]}


def write_summary(rows: Sequence[Row], folder: Path, name: str) -> list[Path]:
    """Write the rows as CSV and JSON."""
    text = StringIO(newline="")
    lines = csv.writer(text)
    lines.writerow(Row._fields)
    lines.writerows([_cell(value) for value in row] for row in rows)
    files = {".csv": text.getvalue().encode("utf-8-sig"), ".json": as_json(record_of(rows)).encode()}
    folder.mkdir(parents=True, exist_ok=True)
    for ending, content in files.items():
        write(folder / f"{name}{ending}", content)
    return [folder / f"{name}{ending}" for ending in files]


def _cell(value: object) -> object:
    """A value for a table; a text that a program for tables would take for a formula has a sign before it."""
    return f"'{value}" if isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t", "\r")) else value


def tasks_of(folder: Path, words: WordsFor) -> list[Task]:
    """A task for each project below a folder; `words` of the command by the project and its path below the folder."""
    folders = projects_below(folder)
    if not folders:
        message = f"no folder below {folder} has a file project.toml."
        raise click.UsageError(message)
    # By whole paths, because a worker may stand in another folder.
    return [
        Task(str(below), tuple(words(project.resolve(), below)))
        for project in folders
        for below in [project.relative_to(folder)]
    ]

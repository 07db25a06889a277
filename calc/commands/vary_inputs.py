"""The command that varies inputs: sensitivity and reliability."""

# ruff: noqa: PLC0415 - heavy imports wait until the command needs them, so that help stays quick

import sys
from importlib.util import find_spec
from pathlib import Path

import click

from calc.commands.common import (
    INPUTS,
    LIBRARY,
    OUTCOMES,
    as_json,
    json_option,
    project_argument,
    read_project,
    refuse_unwritable,
    refuse_unwritable_folders,
    translate_errors,
    width,
    write_run,
)
from calc.commands.engine_options import chosen_engine, engine_options, kept_chunks
from calc.commands.progress import progress
from calc.commands.searches import searches

NO_TABLE = (
    "Error: {file}: vary: must be given: the table [vary] says which inputs have which ranges and distributions, and "
    "which verdicts are asked about (docs/vary.md)"
)
PDF, JSON = "vary.pdf", "vary.json"
STUDY = ("openturns", "SALib", "scipy")


@click.command(epilog="Example: sandsleeve vary projects/weak-sleeve")
@project_argument
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to write; default: PROJECT/out.")  # fmt: skip
@click.option("--samples", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
              help="Write every point of the sampling with its utilisations into this Parquet file.")  # fmt: skip
@engine_options
@click.option("--fresh", is_flag=True, help="Take nothing from a run that was broken off, or is the same.")
@json_option
def vary(
    project: Path,
    out: Path | None,
    samples: Path | None,
    jobs: int | None,
    cluster: str | None,
    fresh: bool,
    as_data: bool,
) -> None:
    """Say what verdicts hang on and how sure they are.

    [vary] of the project file has ranges and distributions of inputs and the verdicts that are asked about; an input
    that is not named there is not varied. All partial factors are 1 in the study. Prints what each verdict hangs on,
    its probability of failure and reliability index; writes vary.pdf and vary.json. Numbers are the same to the last
    digit whatever works them out.

    \b
    Exit codes: 0 every target that is given is reached, or none is given;
    1 a target is missed; 3 inputs, data or verdicts do not fit;
    6 no target is missed, but for one the bounds lie on both sides of it.
    """  # noqa: D301  # the mark keeps the lines of the list
    target = out or project / "out"
    _refuse_places(target, samples)
    design = read_project(project)
    if design.vary is None:
        click.echo(NO_TABLE.format(file=design.source), err=True)
        sys.exit(INPUTS)
    _refuse_missing(samples)
    from calc.study.vary.read_vary import ReadVary, VaryRecord
    from calc.study.vary.samples_file import write_samples
    from calc.study.vary.vary_pages import vary_pages
    from calc.study.vary.vary_record import record
    from calc.study.vary.vary_run import vary_run
    from calc.study.vary.vary_text import vary_text

    with translate_errors(), progress() as tell, searches(fresh=fresh):
        with chosen_engine(jobs, cluster) as crew, kept_chunks(fresh=fresh) as chunks:
            study = vary_run(design, design.vary, crew, tell, chunks)
            rows = write_samples(study, samples, crew) if samples else 0
        data = as_json(record(study))
        pages = vary_pages(ReadVary(design, design.vary, VaryRecord.model_validate_json(data)))
    (pdf, values), _ = write_run({PDF: pages, JSON: data.encode()}, target)
    lines = [vary_text(study, width()), f"Pages: {pdf}", f"Values: {values}"]
    if samples:
        lines.append(f"Samples: {samples}, {rows} rows")
    click.echo(data if as_data else "\n".join(lines))
    sys.exit(OUTCOMES[study.outcome])


def _refuse_places(target: Path, samples: Path | None) -> None:
    refuse_unwritable_folders(target)
    for name in (PDF, JSON) if target.is_dir() else ():
        refuse_unwritable(target / name)
    if samples is not None:
        if samples.suffix.lower() != ".parquet":
            message = f"must end with .parquet (got {samples.name})."
            raise click.BadParameter(message, param_hint="--samples")
        refuse_unwritable(samples)


def _refuse_missing(samples: Path | None) -> None:
    """End where packages of an extra are not installed."""
    wanted = [("study", STUDY), *([("parquet", ("pyarrow",))] if samples else [])]
    missing = [extra for extra, names in wanted if any(find_spec(name) is None for name in names)]
    if missing:
        click.echo(f"Error: packages are not installed: pip install 'sandsleeve[{','.join(missing)}]'", err=True)
        sys.exit(LIBRARY)

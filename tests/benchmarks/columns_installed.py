"""Time and memory to read and judge the records of fifty thousand columns with a hundred readings in depth each.

Run: python -m tests.benchmarks.columns_installed [COLUMNS] [READINGS] [csv|parquet]
"""

# ruff: noqa: T201 - a script prints its table

import datetime as dt
import resource
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from time import process_time

import pyarrow as pa
import pyarrow.parquet as pq
from pyarrow import csv

from calc.inputs import read_design
from calc.site.installed.as_built import as_built
from calc.site.installed.by_depth import judge_by_depth
from calc.site.installed.judging import judge
from calc.site.installed.neighbour_times import judge_neighbours, judge_sequence
from calc.site.installed.progress_forecast import progress_of
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import compare
from calc.site.plan.write_plan import make_plan
from tests.site.planned import planned_text
from tests.site.recorded import COLUMNS as MAPPING
from tests.site.recorded import LIMITS, READING_HEADS, faultless, records_file

YEARS = dt.timedelta(days=4000)
COLUMNS, READINGS, A_METRE = 50_000, 100, 7.94  # columns a metre of the starter, roughly


def measure(columns: int = COLUMNS, readings: int = READINGS, kind: str = "csv") -> list[tuple[str, float]]:
    """What is done with its time of the processor in s."""
    length = int(columns / A_METRE)
    end = f"{length // 1000}+{length % 1000:03d}"
    text = planned_text(
        ('{ easting = "1060 m", northing = "2080 m" }', '{ easting = "1000 m", northing = "9500 m" }'),
        ('chainage = "0+000 to 0+100"', f'chainage = "0+000 to {end}"'), more=MAPPING + LIMITS,
    )  # fmt: skip
    times: list[tuple[str, float]] = []
    with tempfile.TemporaryDirectory() as room:
        folder = Path(room)
        (folder / "project.toml").write_text(text, encoding="utf-8")
        design = read_design(folder)
        plan, table = design.plan, design.installed
        assert plan is not None
        assert table is not None
        made = make_plan(design, plan)
        # So many columns take years, and none of them lies after today.
        rows = [replace(row, day=row.day - YEARS) for row in faultless(made.listed.columns)]
        records, deep = folder / "records.csv", folder / "depth.csv"
        records.write_text(records_file(rows), encoding="utf-8")
        with deep.open("w", encoding="utf-8") as stream:
            stream.write(";".join(READING_HEADS) + "\n")
            for one, row in zip(made.listed.columns, rows, strict=True):
                low, top = one.working_level - row.toe, one.working_level - one.head
                stream.writelines(
                    f"{one.id};{low + (top - low) * k / (readings - 1):.3f};{row.volume * k / (readings - 1):.3f}\n"
                    .replace(".", ",")
                    for k in range(readings)
                )  # fmt: skip
        if kind == "parquet":
            deep = as_parquet(deep)
        before, at = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, process_time()

        def timed(what: str) -> None:
            nonlocal at
            times.append((what, process_time() - at))
            at = process_time()

        found = read_records([records, deep], table)
        timed(f"read {len(found.counted)} records and {len(found.readings.of)} readings")
        own = compare(made, table, found)
        items = judge(own)
        timed("judge the columns")
        by_depth = judge_by_depth(own)
        timed("judge fill by depth")
        neighbours = judge_neighbours(own)
        sequence = judge_sequence(own)
        timed("judge times of neighbours")
        built = as_built(design, own)
        timed("area ratio as built")
        progress_of(own)
        timed("progress")
    assert sum(item.failed for item in (*items, by_depth, neighbours, sequence)) == 0
    assert built.grids
    times.append(("in all", sum(seconds for _, seconds in times)))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    times.append((f"memory at its peak {peak:.0f} MB, before {before:.0f} MB", 0.0))
    return times


def as_parquet(file: Path) -> Path:
    """The readings of a CSV file as a Parquet file beside it, a part at a time."""
    names, target = list(READING_HEADS), file.with_suffix(".parquet")
    parse = csv.ParseOptions(delimiter=";")
    types = dict(zip(names, (pa.string(), pa.float64(), pa.float64()), strict=True))
    convert = csv.ConvertOptions(column_types=types, decimal_point=",")
    stream = csv.open_csv(file, parse_options=parse, convert_options=convert)
    with pq.ParquetWriter(target, stream.schema) as writer:
        for batch in stream:
            writer.write_batch(batch)
    return target


if __name__ == "__main__":
    columns, readings, kind = [*sys.argv[1:], *(str(COLUMNS), str(READINGS), "csv")[len(sys.argv) - 1 :]]
    for what, seconds in measure(int(columns), int(readings), kind):
        print(f"{what:66} {seconds:6.2f} s")

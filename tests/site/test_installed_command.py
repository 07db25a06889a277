"""The command for installation records: its files, its pages, what it refuses; and the rules of its table."""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from calc.cli import main
from calc.inputs import InputErrors, read_design
from calc.site.installed.installed_run import judge_installed
from calc.site.plan.column_list import Column
from calc.site.plan.write_plan import make_plan
from tests.site import invented_records
from tests.site.planned import planned
from tests.site.recorded import COLUMNS, LIMITS, Row, faultless, readings, readings_file, records_file, written

SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+024"')


@pytest.fixture
def rows(tmp_path: Path) -> list[Row]:
    """A project with a plan, and a record for each of its columns."""
    return faultless(plan_of(tmp_path))


def plan_of(folder: Path) -> tuple[Column, ...]:
    design = planned(folder, SHORT, more=COLUMNS + LIMITS)
    assert design.plan is not None
    return make_plan(design, design.plan).listed.columns


def files(folder: Path, rows: list[Row]) -> list[str]:
    columns = plan_of(folder)
    return [str(written(folder, "records.csv", records_file(rows))),
            str(written(folder, "depth.csv", readings_file(readings(columns, rows))))]  # fmt: skip


def run(folder: Path, *more: str) -> Result:
    return CliRunner().invoke(main, ["installed", str(folder), *more, "--out", str(folder / "out")])


def test_a_field_without_faults_passes_and_its_files_are_whole(tmp_path: Path, rows: list[Row]) -> None:
    toes = {one.id: one.toe for one in plan_of(tmp_path)}
    rows = [replace(row, toe=toes[row.id]) for row in rows]
    found = run(tmp_path, *files(tmp_path, rows), "--no-slip")
    record = json.loads((tmp_path / "out" / "installed.json").read_text(encoding="utf-8"))

    slightly = run(tmp_path, *files(tmp_path, [replace(rows[0], toe=rows[0].toe - 0.05), *rows[1:]]), "--no-slip")
    assert found.exit_code == 0, found.output
    assert (slightly.exit_code, "Global stability was left out" in slightly.output) == (6, True)
    assert len([line for line in found.stdout.splitlines() if not line.startswith("Written")]) == 10
    assert (record["outcome"], record["findings"], record["refused"]) == ("pass", [], [])
    assert record["installed"] == len(rows) == len(record["columns"])
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        "installed-files.csv", "installed.json", "installed.pdf", "nonconformities.csv", "refused-rows.csv"
    ]  # fmt: skip


def test_faults_stand_in_every_file_and_in_the_drawing(tmp_path: Path, rows: list[Row]) -> None:
    rows[5] = replace(rows[5], easting=rows[5].easting + 0.3)
    rows[6] = replace(rows[6], id="=1+1")
    rows = [*(row for k, row in enumerate(rows) if k != 80), replace(rows[7], serial="S9")]
    paths = files(tmp_path, rows)
    Path(paths[0]).write_text(Path(paths[0]).read_text(encoding="utf-8") + "A;B\n", encoding="utf-8")
    found = run(tmp_path, *paths, "--no-design", "--json")
    record = json.loads(found.stdout)
    lines = [line for line in (tmp_path / "out" / "nonconformities.csv").read_text(encoding="utf-8").splitlines()
             if not line.startswith("#")]  # fmt: skip
    text = "".join(page.get_textpage().get_text_range()
                   for page in pypdfium2.PdfDocument(tmp_path / "out" / "installed.pdf"))  # fmt: skip
    names = {one["id"] for one in record["findings"]}

    assert found.exit_code == 1, found.output
    assert {one["column"].removeprefix("'") for one in csv.DictReader(lines)} == names
    assert all(name in text for name in names)
    assert f"{rows[5].id} P" in text.replace("\r", "").replace("\n", " ")
    assert record["design_again"] is None
    assert [one["why"] for one in record["refused"]] == ["the row has 2 cells where the head has 17"]
    assert [one["twice"] for one in record["sent_again"]] == [False]
    assert "is given again" in (tmp_path / "out" / "refused-rows.csv").read_text(encoding="utf-8")
    assert ["'=1+1"] == [row[0] for row in csv.reader(lines) if "=1+1" in row[0]]


def test_what_is_not_judged_makes_the_outcome_incomplete(tmp_path: Path, rows: list[Row]) -> None:
    found = run(tmp_path, files(tmp_path, rows)[0], "--no-design")

    assert found.exit_code == 1, "readings in depth are asked for and are not there"
    text = (tmp_path / "project.toml").read_text(encoding="utf-8")
    (tmp_path / "project.toml").write_text(text.replace(LIMITS, ""), encoding="utf-8")
    bare = run(tmp_path, str(tmp_path / "records.csv"), "--no-design")
    assert bare.exit_code == 6, bare.output
    assert "no limit is given" in bare.output
    assert "not calculated" in bare.output


@pytest.mark.usefixtures("rows")
def test_nothing_is_written_where_the_files_cannot_be_read(tmp_path: Path) -> None:
    found = run(tmp_path, str(written(tmp_path, "other.csv", "a;b\n1;2\n")))

    assert found.exit_code == 3
    assert "installed.column.id: must be the head of one column" in found.output
    assert not (tmp_path / "out").exists()


def test_wrong_use_is_told_in_words(tmp_path: Path) -> None:
    planned(tmp_path)
    table = run(tmp_path, str(written(tmp_path, "a.csv", "Column;E [m]\n")))
    kind = run(tmp_path, str(written(tmp_path, "a.txt", "Column\n")))
    none = run(tmp_path)
    mapping = run(tmp_path, "--propose", str(tmp_path / "a.csv"))
    empty = run(tmp_path, "--propose", str(written(tmp_path, "b.csv", "\n")))

    assert (table.exit_code, "installed: must be given" in table.output) == (3, True)
    assert (kind.exit_code, "must end with .csv, .xlsx or .parquet" in kind.output) == (2, True)
    assert (none.exit_code, "at least one file" in none.output) == (2, True)
    assert (mapping.exit_code, 'field = "easting", head = "E [m]", unit = "m"' in mapping.output) == (0, True)
    assert (empty.exit_code, "names of its columns" in empty.output) == (3, True)


RULES = [
    ('{ field = "id", head = "Column" },\n    { field = "rig"', '{ field = "rig"',
     'installed.column: must have a column with field = "id", got none'),
    ('head = "Rig" }', 'head = "Rig", unit = "m" }', "installed.column[2].unit: must be left out: the field is a text"),
    ('head = "E [m]", unit = "m"', 'head = "E [m]"', "installed.column[7].unit: must be given: the field is a number"),
    ('head = "E [m]", unit = "m"', 'head = "E [m]", unit = "kN"', "installed.column[7].unit: must be a unit that"),
    ('head = "Incl. x [%]", unit = "%"', 'head = "Incl. x [%]", unit = "kN"', 'must be "%", "-" or an angle'),
    ('field = "rig"', 'field = "serial"', "installed.column[16].field: must be used once only"),
    ('head = "Rig"', 'head = "Day"', "installed.column[3].head: must be used once only"),
    ('    { field = "inclination_y", head = "Incl. y [%]", unit = "%" },\n', "", "must have both inclination_x and"),
    ('{ field = "rig", head = "Rig" }', '{ field = "inclination", head = "I", unit = "deg" }', "have inclination, or"),
    ('    { field = "northing", head = "N [m]", unit = "m" },\n', "", "must have both easting and northing"),
    ('    { field = "depth", head = "Depth [m]", unit = "m" },\n', "", "installed.reading: must have a column with"),
    ('decimal = ","', 'decimal = ","\nyes = "no"', "installed.no: must be another word than yes"),
    ('decimal = ","', 'decimal = ","\nfinished = ["B"]', "must be the letter of an area of the plan (A)"),
    ('toe_by = "level or criterion"\n', "", "installed.limits.toe_by: must be given with toe_high, got nothing"),
    ('toe_high = "0.10 m"\n', "", 'installed.limits.toe_high: must be given with toe_by = "level or criterion"'),
    ("depth_least = 0.9\ndepth_most = 1.7\n", "", "depth_window: must be given with depth_least or depth_most"),
    ("volume_least = 1.0", "volume_least = 1.5", "installed.limits.volume_least: must be at most volume_most"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), RULES)
def test_a_table_that_cannot_be_used_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    more = (COLUMNS + LIMITS).replace(old, new, 1)
    assert more != COLUMNS + LIMITS
    with pytest.raises(InputErrors) as caught:
        planned(tmp_path, more=more)

    assert message in str(caught.value), str(caught.value)


def test_an_area_of_the_plan_may_be_finished(tmp_path: Path) -> None:
    table = planned(tmp_path, more=COLUMNS.replace('decimal = ","', 'decimal = ","\nfinished = ["A"]')).installed

    assert table is not None
    assert table.finished == ("A",)


def test_records_need_a_plan(tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match=r"installed: must be given with \[plan\]"):
        planned(tmp_path, plan="", more=COLUMNS)


def test_records_of_the_example_are_those_of_its_generator_and_have_the_faults_that_were_put_in() -> None:
    """Round trip: the files beside the project are written by the seeded generator of the tests."""
    for name, text in invented_records.files().items():
        assert (invented_records.PROJECT / name).read_text(encoding="utf-8") == text
    design = read_design(invented_records.PROJECT)
    assert design.plan is not None
    assert design.installed is not None
    paths = [invented_records.PROJECT / name for name in ("records.csv", "records-depth.csv")]
    found = judge_installed(design, design.plan, design.installed, paths, lambda _: None, again=False, slip=False)

    assert found.compared.records.refused == ()
    assert sorted((one.item, one.note.split(" from ")[0].split('" was')[-1]) for one in found.findings) == [
        ("depth", "necking"), ("diameter", "below"), ("ids", "no record where the work is done"),
        ("ids", "no record where the work is done"), ("inclination", "above"), ("interruption", "above"),
        ("position", "above"), ("serial", " used for A-004-002"),
        ("times", "ends before it starts"), ("toe", "toe too high"),
    ]  # fmt: skip
    assert found.progress.forecast is not None
    assert not found.windows_fail

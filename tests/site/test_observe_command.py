"""The command: what it prints and writes for readings of the example, and what it refuses."""

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import openpyxl
import pypdfium2
import pytest
from click.testing import CliRunner, Result

from calc.cli import main
from calc.inputs.reading.starter import starter_project
from calc.site.observed.addendum import addendum
from calc.site.observed.columns_there import ColumnsKnown
from calc.site.observed.observed_record import record
from calc.site.observed.observed_run import Observation, observed_section
from calc.site.observed.observed_text import observed_text
from calc.site.observed.readings_file import UnreadFile, read_files
from calc.site.observed.series import instrument_quantities, series_of
from tests.once import cached
from tests.site.invented_readings import FILE, PROJECT, chapters_of, design, text

Command = Callable[..., Result]


@pytest.fixture
def command() -> Command:
    def run(*arguments: object) -> Result:
        return CliRunner().invoke(main, [str(argument) for argument in arguments])

    return run


@cached
def observation(*keys: str) -> Observation:
    """Sections of the example with their readings, without slip searches; nobody changes them."""
    observed = design().observed
    assert observed is not None
    taken = read_files([FILE], observed, instrument_quantities(design(), observed))
    every = series_of(design(), observed, taken.readings, taken.conflicts)
    parts = []
    for key in keys:
        section, done = chapters_of(key)
        whole = next(one for one in design().sections if one.key == key)
        own = [one for one in every if one.section == key]
        parts.append(observed_section(design(), section, whole, done, own, slip=False, columns=ColumnsKnown(observed)))
    return Observation(design(), observed, taken, tuple(parts))


@pytest.fixture(scope="module")
def found() -> Observation:
    return observation("A", "C")


def words_of(pages: bytes) -> str:
    document = pypdfium2.PdfDocument(pages)
    return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


@pytest.mark.slow
def test_readings_of_the_example_are_those_of_the_generator() -> None:
    """Row by row; the last digit may be another one on another machine."""
    written, made = (list(csv.reader(one.splitlines())) for one in (FILE.read_text(encoding="utf-8"), text()))

    assert [row[:2] + row[3:] for row in written] == [row[:2] + row[3:] for row in made]
    for row, other in zip(written[1:], made[1:], strict=True):
        digits = len(row[2].partition(".")[2])
        assert float(row[2]) == pytest.approx(float(other[2]), abs=1.01 * 10.0**-digits)


@pytest.mark.slow
def test_terminal_says_in_a_few_lines_what_counts(found: Observation) -> None:
    lines = observed_text(found, 1000).splitlines()

    assert len(lines) == 16
    assert lines[0] == "1377 readings of 18 instruments from readings.csv; 57 rows refused, 0 repeated."
    assert lines[1].startswith("  Refused: readings.csv, 57 rows: lines 586, 601, ")
    assert lines[1].endswith(" and more: PP-A-3 does not count from 2025-08-08 on: lost.")
    assert lines[2] == "Section A, last reading 2025-12-19 (day 200)"
    assert lines[4].startswith("  Outside the expected range: PP-A-1 -0.34 kN/m² (0.01 to 1.32); PC-A-1 ")
    assert lines[4].endswith("; 1 more in the addendum.")
    # One reading of the rod that was touched: its rate is told, and what it is of.
    assert lines[5].startswith(
        "  ✗ amber: settlement rate SP-A-3 9.90 mm/d beyond 6.00 mm/d on 2025-09-29, by outliers "
    )
    assert lines[6].startswith("  ✗ amber: lateral rate IN-A-1 ")
    assert ", 2 readings, back on the right side from 2025-11-13: " in lines[6]
    assert lines[7].startswith("  Forecast SP-A-2: 148 mm under the load placed (148–160 at 95 %; equal steps 147")
    assert "limit 200 mm kept from 2026-01-03" in lines[7]
    assert lines[8].startswith("  Next lift, Stage 3: not verified (Global stability in the stage: The slip searches")
    assert lines[8].endswith(
        "degree 90 % by settlement, 96 % by pore pressure, required 85 %.".replace(" %", "\N{NO-BREAK SPACE}%")
    )
    assert lines[11:15] == [
        "  No trigger is crossed.",
        (
            "  Not judged, red triggers without a reading that can be relied on: lateral rate (T6); "
            "undrained strength (T9); stress ratio (T14, T15, T16); ring strain (T20)."
        ),
        "  No forecast: too few readings since the last lift: 2, 5 are needed.",
        "  All fill lies.",
    ]
    assert all(len(line) <= 80 for line in observed_text(found, 80).splitlines())


@pytest.mark.slow
def test_outcome_is_open_where_the_lift_is_not_verified(found: Observation) -> None:
    assert found.outcome == "incomplete"


@pytest.mark.slow
def test_record_has_every_reading_and_every_step(found: Observation) -> None:
    made = json.loads(json.dumps(record(found), allow_nan=False))
    section = made["sections"][0]
    plate = next(one for one in section["series"] if one["instruments"] == ["SP-A-3"])

    assert len(plate["days"]) == len(plate["values"]) == len(plate["expected"][0]) == 95
    assert sum(plate["outliers"]) == 1
    assert "rod touched?" in plate["remarks"]
    assert section["next_lift"]["degree_by_settlement"] == pytest.approx(0.90, abs=0.01)
    assert {"f_ch", "f_sf", "s_ft"} <= {step["symbol"] for step in section["plates"][1]["calculation"]["steps"]}
    assert [(one["kind"], one["outliers_alone"]) for one in section["crossed"]] == [("amber", True), ("amber", False)]
    assert made["refused"][0]["why"].startswith("PP-A-3 does not count")


@pytest.mark.slow
def test_addendum_prints_what_the_record_has(found: Observation) -> None:
    said = words_of(addendum(replace(found, sections=found.sections[:1])))

    for words in (
        "Addendum: readings of the monitoring", "SP-A-2, SP-A-2b", "2025-09-29", "Stage 3: not verified.",
        "amber, lateral rate", "Supervision", "From Consolidation, Vertical flow.",
        "Line of equal steps of SP-A-2", "Factor on cₕ by least squares",
        "readings.csv, 57 rows: lines", "What these pages do not say",
    ):  # fmt: skip
        assert words in said, words


@pytest.mark.slow
def test_addendum_of_a_section_without_forecast_prints_none(found: Observation) -> None:
    said = words_of(addendum(replace(found, sections=found.sections[1:])))

    assert "No forecast: too few readings since the last lift: 2, 5 are needed." in said
    assert "All fill lies." in said
    assert "No trigger is crossed." in said
    assert "Fit of the course of the design (plate" not in said


@pytest.mark.slow
def test_command_writes_both_files_and_ends_with_the_outcome(command: Command, tmp_path: Path) -> None:
    result = command("observe", PROJECT, FILE, "--section", "C", "--no-slip", "--out", tmp_path / "new")

    assert result.exit_code == 6, result.output  # nothing was read for some red triggers
    assert "Section C, last reading" in result.stdout
    assert "Section A" not in result.stdout
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == ["observed.json", "observed.pdf"]
    written = json.loads((tmp_path / "new" / "observed.json").read_text(encoding="utf-8"))
    assert [one["key"] for one in written["sections"]] == ["C"]


@pytest.mark.parametrize(
    ("rows", "keys", "lines"),
    [
        (["2025-06-10,SP-C-1,1,mm,"], ["B"], ["Section B is not compared: no instrument of [observed] stands in it."]),
        (["2025-06-10,SP-C-1,1,mm,"], ["A"],
         ["Section A is not compared: its instruments have no reading from the start of works on."]),
        (["2025-05-30,SP-C-1,1,mm,"], [],
         ["Section A is not compared: its instruments have no reading from the start of works on.",
          "Section C is not compared: its instruments have no reading from the start of works on.",
          "No instrument of [observed] stands in section B: not compared."]),
    ],
)  # fmt: skip
def test_a_run_that_compares_nothing_does_not_pass(
    command: Command, tmp_path: Path, rows: list[str], keys: list[str], lines: list[str]
) -> None:  # fmt: skip
    file = tmp_path / "week.csv"
    file.write_text("\n".join(["Date,Instrument,Reading,Unit,Remark", *rows]) + "\n", encoding="utf-8")
    sections = [part for key in keys for part in ("--section", key)]
    result = command("observe", PROJECT, file, "--no-slip", "--out", tmp_path / "out", *sections)

    assert result.exit_code == 6, result.output
    said = " ".join(result.stdout.split())
    assert said.startswith("1 reading of 1 instrument from week.csv; 0 rows refused, 0 repeated.")
    assert all(line in said for line in lines)
    assert (tmp_path / "out" / "observed.pdf").exists()


@pytest.mark.slow
def test_a_file_of_a_folder_that_cannot_be_read_leaves_the_run_open(found: Observation) -> None:
    """Everything else speaks for the works; the readings of that week may not."""
    whole = replace(found.sections[1], unread=())
    sound = replace(found, sections=(whole,))
    week = UnreadFile("in/week-07.csv", "file must be saved as UTF-8, got x", readings=True)
    lost = replace(found.taken, unread=(week, UnreadFile("in/letter.pdf", "no file of readings", readings=False)))
    open_run = replace(sound, taken=lost)

    assert sound.outcome == "pass"
    assert open_run.outcome == "incomplete"
    said = observed_text(open_run, 1000)
    assert "  Not read: week-07.csv: file must be saved as UTF-8, got x.\n" in said
    assert "  No files of readings by their names: letter.pdf.\n" in said
    assert "week-07.csv was not read" in words_of(addendum(open_run))
    assert [one["file"] for one in record(open_run)["files_not_read"]] == ["in/week-07.csv", "in/letter.pdf"]


def test_project_without_a_mapping_is_told_what_is_missing(command: Command, tmp_path: Path) -> None:
    (tmp_path / "project.toml").write_text(starter_project("Bank"), encoding="utf-8")
    result = command("observe", tmp_path, FILE)

    assert result.exit_code == 3
    assert "observed: must be given" in result.stderr
    assert not (tmp_path / "out").exists()


def test_file_that_fits_nothing_ends_before_anything_is_calculated(command: Command, tmp_path: Path) -> None:
    file = tmp_path / "other.csv"
    file.write_text("a,b\n1,2\n", encoding="utf-8")
    result = command("observe", PROJECT, file, "--out", tmp_path / "out")

    assert result.exit_code == 3
    assert result.stderr.count("must be the head of one column") == 5
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("arguments", [[], ["nowhere.csv"], [PROJECT / "project.toml"]])
def test_wrong_usage(command: Command, arguments: list[object]) -> None:
    assert command("observe", PROJECT, *arguments).exit_code == 2


def test_workbook_without_its_package_is_told(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:  # fmt: skip
    openpyxl.Workbook().save(tmp_path / "readings.xlsx")
    monkeypatch.setattr("importlib.util.find_spec", lambda _name: None)
    result = command("observe", PROJECT, tmp_path / "readings.xlsx")

    assert result.exit_code == 5
    assert "pip install 'sandsleeve[export]'" in result.stderr


@pytest.mark.slow
def test_records_answer_whether_the_columns_stand_and_the_day_is_written_down(command: Command, tmp_path: Path) -> None:
    """Two columns of section A are missing where the work went past, by the records of the example."""
    records = [part for name in ("records.csv", "records-depth.csv") for part in ("--records", PROJECT / name)]
    result = command("observe", PROJECT, FILE, "--section", "A", "--no-slip", "--on", "2025-12-20", "--out", tmp_path,
                     *records)  # fmt: skip

    assert result.exit_code == 1, result.output
    said = " ".join(result.stdout.split())
    assert "Asked on 2025-12-20, 1 day after the last reading" in said
    assert "Columns missing where the work is done, of 3856: 2 (A-016-010, A-016-012)" in said
    written = json.loads((tmp_path / "observed.json").read_text(encoding="utf-8"))
    assert written["asked_on"] == "2025-12-20"
    assert [Path(one).name for one in written["record_files"]] == ["records.csv", "records-depth.csv"]


@pytest.mark.slow
def test_readings_of_last_year_verify_nothing_today(command: Command, tmp_path: Path) -> None:
    """The day of the question is today, if nothing else is said; what is dated after it is refused."""
    late = command("observe", PROJECT, FILE, "--section", "C", "--no-slip", "--out", tmp_path / "late")
    early = command("observe", PROJECT, FILE, "--section", "C", "--no-slip", "--on", "2025-12-01", "--out", tmp_path)

    assert late.exit_code == early.exit_code == 6
    assert "It says nothing of the day of the question: not verified." in " ".join(late.stdout.split())
    assert "Section C, last reading 2025-12-01" in early.stdout
    assert command("observe", PROJECT, FILE, "--on", "1.12.2025").exit_code == 2


def test_records_need_plan_and_mapping(command: Command, tmp_path: Path) -> None:
    text = (PROJECT / "project.toml").read_text(encoding="utf-8")
    (tmp_path / "project.toml").write_text(text[: text.index("[installed]\n")], encoding="utf-8")
    result = command("observe", tmp_path, FILE, "--records", PROJECT / "records.csv")

    assert result.exit_code == 3
    assert "installed: must be given" in result.stderr
    assert not (tmp_path / "out").exists()

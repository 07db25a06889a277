"""What other programs read: the files are read back and compared with the recorded results."""

import csv
import hashlib
import json
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import ezdxf
import openpyxl
import pytest
from click.testing import CliRunner

from calc.chain import run_checks
from calc.cli import main
from calc.engine.figure import Line, Polygon, Scene
from calc.engine.symbols import symbol
from calc.inputs import read_design
from calc.package.export import export_files, write_export
from calc.package.export_drawing import plain_text
from calc.package.export_rows import LINE_HEAD, Exported
from calc.package.export_tables import csv_text, sheet_name, workbook
from calc.package.results import results
from tests.once import made_once
from tests.packages.scenario import write_project

NAMES = [
    "tables.xlsx", "lines.csv", "verdicts.csv", "inputs.csv", "limitations.csv", "page-tables.csv",
    "cross-section-A.dxf",
]  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The plain scenario, exported by the command in a process of its own."""

    def write(room: Path) -> None:
        subprocess.run(
            [sys.executable, "-m", "calc", "export", str(write_project(room))],
            check=False, capture_output=True, env=os.environ | {"PYTHONHASHSEED": "11", "HOME": str(room / "home")},
        )  # fmt: skip

    return made_once(tmp_path_factory, "exported", write)


@pytest.fixture(scope="module")
def record(folder: Path) -> dict[str, Any]:
    return results(run_checks(read_design(folder)))


def steps(record: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (section["key"], check["title"], step)
        for section in record["sections"] for check in section["checks"] for step in check["steps"]
    ]  # fmt: skip


def at_printed_case(step: dict[str, Any]) -> float | None:
    value = step["result"]["value"]
    for axis in step["axes"]:
        value = value[axis["labels"].index(step["governing"][axis["name"]])]
    return value  # type: ignore[no-any-return]


def sixteen_digits(value: float | None) -> float | None:
    """What the library of workbooks writes of a number; the CSV files hold all of it."""
    return None if value is None else float(f"{value:.16g}")


def rows_of(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(path.read_bytes().decode("utf-8-sig"), newline="")))


def test_command_writes_every_file_and_nothing_else(folder: Path) -> None:
    assert sorted(path.name for path in (folder / "out").iterdir()) == sorted(NAMES)
    assert not (folder / "home").exists(), "no library may write into the home of the user"


def test_same_run_gives_the_same_bytes_whatever_the_process_and_the_clock(folder: Path) -> None:
    made = export_files(run_checks(read_design(folder)))

    assert {name: hashlib.sha256(content).hexdigest() for name, content in made.items()} == {
        name: hashlib.sha256((folder / "out" / name).read_bytes()).hexdigest() for name in NAMES
    }


def test_workbook_holds_every_line_with_number_value_and_unit_of_the_record(
    folder: Path, record: dict[str, Any]
) -> None:
    book = openpyxl.load_workbook(folder / "out" / "tables.xlsx")
    found: dict[Any, dict[str, Any]] = {}
    for chapter in dict.fromkeys(title for _, title, _ in steps(record)):
        head, *rows = book[sheet_name(chapter)].iter_rows(values_only=True)
        assert head == LINE_HEAD
        found |= {row[-1]: dict(zip(head, row, strict=True)) for row in rows}

    assert len(found) == len(steps(record))
    for section, chapter, step in steps(record):
        row = found[step["key"]]
        assert (row["line"], row["section"], row["chapter"]) == (step["number"], section, chapter)
        assert row["value"] == sixteen_digits(at_printed_case(step))
        assert (row["unit"], row["name"]) == (step["result"]["unit"], step["title"])
        assert row["symbol"] == symbol(step["symbol"]).plain
        assert row["expression"] == step["expression"]
        assert (row["value"] is None) == bool(row["no number because"])


def test_workbook_has_verdicts_inputs_tables_and_limitations(folder: Path, record: dict[str, Any]) -> None:
    book = openpyxl.load_workbook(folder / "out" / "tables.xlsx")
    verdicts = [
        one for section in record["sections"] for check in section["checks"] for one in check["verdicts"]
    ]  # fmt: skip
    _, *rows = book["Verdicts"].iter_rows(values_only=True)
    _, *inputs = book["Inputs"].iter_rows(values_only=True)

    assert [(row[3], row[4], row[6] or "", row[7]) for row in rows] == [
        (verdict["stamp"], sixteen_digits(verdict["effect"]), verdict["unit"], sixteen_digits(verdict["utilisation"]))
        for verdict in verdicts
    ]
    assert [(row[1] or "", row[2]) for row in inputs] == [
        (one["text"], one["line"]) for one in record["provenance"].values()
    ]
    assert book["Limitations"].max_row == 1 + len(record["limitations"])
    assert ("outcome", record["outcome"]) in list(book["Overview"].iter_rows(values_only=True))
    assert book.properties.created.date().isoformat() == record["date"]
    assert book.properties.modified.date().isoformat() == record["date"]


def test_numbers_of_printed_tables_are_numbers_with_the_decimals_of_the_page(folder: Path) -> None:
    sheet = openpyxl.load_workbook(folder / "out" / "tables.xlsx")["Tables"]
    numbers = [cell for row in sheet.iter_rows(min_row=2) for cell in row if cell.data_type == "n" and cell.value]

    assert len(numbers) > 20
    assert {cell.number_format for cell in numbers} >= {"0", "0.00"}


def test_csv_holds_the_same_lines(folder: Path, record: dict[str, Any]) -> None:
    rows = rows_of(folder / "out" / "lines.csv")

    assert [row["key"] for row in rows] == [step["key"] for _, _, step in steps(record)]
    for row, (_, _, step) in zip(rows, steps(record), strict=True):
        assert (float(row["value"]) if row["value"] else None) == at_printed_case(step)
        assert (row["line"] or None, row["unit"]) == (step["number"], step["result"]["unit"])
    assert [row["state"] for row in rows_of(folder / "out" / "verdicts.csv")] == [
        one["stamp"] for section in record["sections"] for check in section["checks"] for one in check["verdicts"]
    ]


DAY = date(2026, 3, 1)
STEERING = ("=1+1", "+cmd", "-2+3", "@sum", "\tx", "=HYPERLINK(1)")
PLAIN = ("-", "-0.25", "a=b", "–", "1:2", "")


def test_text_never_becomes_a_formula() -> None:
    table = Exported("Bad", ("=head", "b"), [(one, 1.5) for one in (*STEERING, *PLAIN)])
    sheet = openpyxl.load_workbook(BytesIO(workbook([table], "=title", DAY)))["Bad"]
    rows = list(csv.reader(StringIO(csv_text(table).decode("utf-8-sig"), newline="")))

    assert {cell.data_type for row in sheet.iter_rows() for cell in row if cell.value is not None} == {"s", "n"}
    assert [sheet.cell(k, 1).value or "" for k in range(1, 14)] == ["=head", *STEERING, *PLAIN]
    assert [row[0] for row in rows] == ["'=head", *(f"'{one}" for one in STEERING), *PLAIN]
    assert [row[1] for row in rows[1:]] == ["1.5"] * 12


def test_negative_numbers_stay_numbers() -> None:
    table = Exported("N", ("a",), [(-0.1,), (-1e-300,), (3,)])
    sheet = openpyxl.load_workbook(BytesIO(workbook([table], "n", DAY)))["N"]

    assert [sheet.cell(k, 1).value for k in (2, 3, 4)] == [-0.1, -1e-300, 3]
    assert csv_text(table).decode("utf-8-sig").split("\r\n") == ["a", "-0.1", "-1e-300", "3", ""]


def test_control_characters_and_names_of_sheets_are_what_a_workbook_can_hold() -> None:
    table = Exported("A/very: long [title] of a chapter that no sheet can bear", ("a",), [("x\x1b[2J",)])
    book = openpyxl.load_workbook(BytesIO(workbook([table, table], "t", DAY)))

    assert [len(name) <= 31 for name in book.sheetnames] == [True, True]
    assert len(set(book.sheetnames)) == 2
    assert book.worksheets[0]["A2"].value == "x\N{REPLACEMENT CHARACTER}[2J"


def test_cross_section_is_the_figure_of_the_package_in_metres_on_layers(folder: Path) -> None:
    run = run_checks(read_design(folder))
    [scene] = [figure for figure in run.sections[0].sheets[0].page.figures if figure.key == "cross_section"]
    assert isinstance(scene, Scene)
    document = ezdxf.readfile(folder / "out" / "cross-section-A.dxf")
    drawn: list[Any] = [
        one for one in document.modelspace() if one.dxftype() == "LWPOLYLINE" and one.dxf.layer != "text"
    ]
    columns = [one for one in drawn if one.dxf.layer == "columns"]
    wanted = [item.points for item in scene.items if isinstance(item, Polygon | Line)]

    assert document.audit().errors == []
    assert document.header["$INSUNITS"] == 6
    assert [[tuple(point) for point in one.get_points("xy")] for one in drawn] == [list(one) for one in wanted]
    assert len(columns) == sum(isinstance(item, Polygon) and item.fill == "column" for item in scene.items)
    assert {"embankment fill", "soft ground", "bearing layer", "water", "reinforcement", "dimensions", "text"} <= {
        one.dxf.layer for one in document.modelspace()
    }
    assert {one.dxf.layer for one in document.modelspace()} <= {layer.dxf.name for layer in document.layers}
    texts = [one.dxf.text for one in document.modelspace() if one.dxftype() == "TEXT"]
    assert any(text.startswith("crest ") for text in texts)
    assert any(run.design.project.title in text for text in texts)


def test_text_of_a_project_does_not_steer_a_drawing_program() -> None:
    assert plain_text("50%%d ^J\nline") == "50% %d J line"


def test_files_appear_whole_or_not_at_all(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_arguments: object) -> bytes:
        raise OSError(28, "No space left on device")

    run = run_checks(read_design(folder))
    (tmp_path / "lines.csv").write_text("older", encoding="utf-8")
    monkeypatch.setattr("calc.package.export.drawing", fail)
    with pytest.raises(OSError, match="No space"):
        write_export(run, tmp_path)

    assert [path.name for path in tmp_path.iterdir()] == ["lines.csv"]
    assert (tmp_path / "lines.csv").read_text(encoding="utf-8") == "older"


@pytest.fixture
def command() -> Callable[..., Any]:
    return lambda *arguments: CliRunner().invoke(main, [str(argument) for argument in arguments])


def test_command_says_what_it_wrote_as_data(command: Callable[..., Any], folder: Path, tmp_path: Path) -> None:
    result = command("export", folder, "--out", tmp_path / "new", "--json")
    said = json.loads(result.stdout)

    assert said["files"] == [str(tmp_path / "new" / name) for name in NAMES]
    assert result.exit_code == {"pass": 0, "fail": 1, "incomplete": 6}[said["outcome"]]


def test_wrong_usage_and_wrong_inputs_are_one_clear_error_and_write_nothing(
    command: Callable[..., Any], folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert command("export", tmp_path).exit_code == 2
    assert command("export", tmp_path / "nowhere").exit_code == 2

    (tmp_path / "file").write_text("", encoding="utf-8")
    refused = command("export", folder, "--out", tmp_path / "file" / "out")
    assert (refused.exit_code, refused.stderr.count("Error:")) == (2, 1)

    locked = tmp_path / "locked"
    locked.mkdir()
    monkeypatch.setattr("os.access", lambda path, _mode: Path(path) != locked)
    refused = command("export", folder, "--out", locked / "out")
    assert (refused.exit_code, refused.stderr.count("Error:")) == (2, 1)
    assert "may not be written" in refused.stderr
    assert list(locked.iterdir()) == []

    (tmp_path / "project.toml").write_text("surprise = 1\n", encoding="utf-8")
    refused = command("export", tmp_path, "--out", tmp_path / "out")
    assert refused.exit_code == 3
    assert not (tmp_path / "out").exists()


def test_missing_package_is_named_with_the_line_that_installs_it(folder: Path, tmp_path: Path) -> None:
    code = "import sys; sys.modules['openpyxl'] = None; from calc.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "export", str(folder), "--out", str(tmp_path / "out")],
        check=False, capture_output=True, text=True,
    )  # fmt: skip

    assert done.returncode == 5
    assert done.stderr == (
        "Error: the export needs packages that are not installed: pip install 'sandsleeve[export]'\n"
    )
    assert not (tmp_path / "out").exists()


def test_export_works_without_pango(folder: Path, tmp_path: Path) -> None:
    from tests.cli.test_process import WITHOUT_PANGO

    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_PANGO, "export", str(folder), "--out", str(tmp_path / "out")],
        check=False, capture_output=True, text=True,
    )  # fmt: skip

    assert "cannot load" not in done.stderr
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(NAMES)

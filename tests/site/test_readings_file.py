"""Files of readings: every defect is listed with its line, good rows are never lost, a wrong mapping is refused."""

import datetime as dt
import random
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from calc.inputs import InputErrors
from calc.inputs.tables.observed import Observed
from calc.site.observed.readings_file import Taken, read_files
from tests.site.mutated_files import mutated

approx = pytest.approx

HEAD = "Date,Point,Reading,Unit,Remark"
QUANTITIES = {"SP-1": "settlement", "SP-2": "settlement", "PP-1": "pore pressure", "SR-1": "ring strain"}
MAPPING = {
    "start": "2025-06-02", "date_column": "Date", "instrument_column": "Point", "value_column": "Reading",
    "unit_column": "Unit", "remark_column": "Remark",
    "instrument": [
        {"name": "SP-1", "section": "A", "of": "SP", "unit": "mm"},
        {"name": "SP-2", "section": "A", "of": "SP", "lost_on": "2025-06-20"},
        {"name": "PP-1", "section": "A", "of": "PP"},
        {"name": "SR-1", "section": "A", "of": "SR"},
    ],
}  # fmt: skip

Read = Callable[..., Taken]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Read rows below the head of a CSV file."""

    def read_rows(*rows: str, head: str = HEAD, **changes: object) -> Taken:
        file = tmp_path / "readings.csv"
        file.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
        return read_files([file], Observed.model_validate(MAPPING | changes), QUANTITIES)

    return read_rows


def test_a_row_becomes_a_reading_in_coherent_units(read: Read) -> None:
    (one,) = read("2025-06-05,SP-1,41.5,mm,wet").readings

    assert (one.day, one.remark, one.line) == (3.0, "wet", 2)
    assert one.value == approx(0.0415)


def test_a_time_of_the_day_counts(read: Read) -> None:
    found = read("2025-06-05T12:00,SP-1,1,mm,", "2025-06-05 18:00:00,SP-1,2,mm,").readings

    assert [one.day for one in found] == [3.5, 3.75]


def test_readings_before_the_start_are_kept(read: Read) -> None:
    assert read("2025-05-30,SP-1,0,mm,").readings[0].day == -3.0


@pytest.mark.parametrize(
    ("unit", "value"), [("mm", 0.012), ("cm", 0.12), ("m", 12.0), ("", 0.012)], ids=["mm", "cm", "m", "own"]
)
def test_units_of_the_column_and_of_the_instrument(read: Read, unit: str, value: float) -> None:
    assert read(f"2025-06-05,SP-1,12,{unit},").readings[0].value == approx(value)


@pytest.mark.parametrize(("unit", "value"), [("%", 0.012), ("-", 1.2)])
def test_units_of_a_strain(read: Read, unit: str, value: float) -> None:
    assert read(f"2025-06-05,SR-1,1.2,{unit},").readings[0].value == approx(value)


@pytest.mark.parametrize(
    ("form", "date"),
    [("day.month.year", "5.6.2025"), ("day/month/year", "05/06/2025"), ("month/day/year", "6/5/2025 00:00")],
)
def test_other_forms_of_dates_where_the_mapping_says_so(read: Read, form: str, date: str) -> None:
    assert read(f"{date},SP-1,1,mm,", date_form=form).readings[0].day == 3.0


def test_decimal_commas_where_the_mapping_says_so(read: Read) -> None:
    found = read('2025-06-05;SP-1;"41,5";mm;', "2025-06-06;SP-1;-2;mm;", head=HEAD.replace(",", ";"), decimal=",")

    assert [one.value for one in found.readings] == approx([0.0415, -0.002])


DEFECTS = [
    ("5.6.2025,SP-1,1,mm,", "the date must be written year-month-day"),
    ("2025-06-31,SP-1,1,mm,", "no day of the calendar"),
    ("2025-06-05T10:00+02:00,SP-1,1,mm,", "without a time zone"),
    ("1925-06-05,SP-1,1,mm,", "more than ten years before the start of works"),
    ("2925-06-05,SP-1,1,mm,", "the date must not lie after today, got 2925-06-05"),
    ("0000-06-05,SP-1,1,mm,", "no day of the calendar"),
    ("2025-06-05T24:00,SP-1,1,mm,", "no day of the calendar"),
    (",SP-1,1,mm,", "no date"),
    ("2025-06-05,SP-9,1,mm,", 'got "SP-9" (near: SP-'),
    ("2025-06-05,XY,1,mm,", 'got "XY"'),
    ("2025-06-05,,1,mm,", "no instrument"),
    ("2025-06-05,SP-1,,mm,", "no value"),
    ('2025-06-05,SP-1,"1,5",mm,', "decimal mark “.”"),
    ('2025-06-05,SP-1,"1,500.0",mm,', "no marks of thousands"),
    ("2025-06-05,SP-1,nan,mm,", "the value must be a number"),
    ("2025-06-05,SP-1,inf,mm,", "the value must be a number"),
    ("2025-06-05,SP-1,1e99,mm,", "the value must be a number"),
    ("2025-06-05,SP-1,#DIV/0!,mm,", "the value must be a number"),
    ("2025-06-05,SP-1,true,mm,", "the value must be a number"),
    ("2025-06-05,SP-1,1,kPa,", "the unit must be a unit that converts to m"),
    ("2025-06-05,SP-1,1,furlong,", "the unit must be a unit that converts to m"),
    ("2025-06-05,SR-1,1,mm,", 'the unit must be "%" or "-"'),
    ("2025-06-05,PP-1,1,,", "no unit"),
    ("2025-06-20,SP-2,1,mm,", "lost"),
    ('2025-06-05,SP-1,"1,mm,', "quotation mark"),
    ("2025-06-05", "has 1 cells where the head has 5"),
    ("2025-06-05,SP-1,131,5,mm,gap", "has 6 cells where the head has 5: a decimal comma"),
]


@pytest.mark.parametrize(("row", "why"), DEFECTS, ids=[row for row, _ in DEFECTS])
def test_a_bad_row_is_listed_and_good_ones_are_kept(read: Read, row: str, why: str) -> None:
    taken = read("2025-06-04,SP-1,1,mm,", row, "2025-06-06,SP-1,2,mm,")

    assert [one.value for one in taken.readings] == approx([0.001, 0.002])
    assert [(one.line, one.repeated) for one in taken.refused] == [(3, False)]
    assert why in taken.refused[0].why


def test_a_reading_sent_again_counts_once_whatever_its_unit(read: Read) -> None:
    taken = read("2025-06-04,SP-1,412,mm,", "2025-06-04,SP-1,0.412,m,", "2025-06-04,SP-1,41.2,cm,")

    assert [one.value for one in taken.readings] == approx([0.412])
    assert [(one.line, one.repeated) for one in taken.refused] == [(3, True), (4, True)]
    assert taken.conflicts == ()


def test_of_two_values_at_one_time_none_counts(read: Read, tmp_path: Path) -> None:
    """The order decides nothing; a third row that repeats one of them does not, either."""
    rows = ["2025-06-04,SP-1,1,mm,", "2025-06-04,SP-1,0.1,cm,", "2025-06-04,SP-1,3,mm,"]
    for order in (rows, rows[::-1]):
        taken = read(*order, "2025-06-05,SP-1,4,mm,")
        assert [one.value for one in taken.readings] == approx([0.004])
        assert [(one.line, one.repeated) for one in taken.refused] == [(2, False), (3, False), (4, False)]
        assert taken.conflicts == (("SP-1", 2.0),)
    assert taken.refused[0].why.endswith(f"{tmp_path / 'readings.csv'}, line 3; neither counts")
    assert taken.refused[1].why.endswith(f"{tmp_path / 'readings.csv'}, line 2; neither counts")


def test_several_files_are_one_and_sorted(read: Read, tmp_path: Path) -> None:
    read("2025-06-09,SP-1,5,mm,")
    other = tmp_path / "later.csv"
    other.write_text(f"\ufeff{HEAD}\r\n\r\n2025-06-03,SP-1,1,mm,\r\n2025-06-09,SP-1,5,mm,\r\n", encoding="utf-8")
    taken = read_files([tmp_path / "readings.csv", other], Observed.model_validate(MAPPING), QUANTITIES)

    assert [one.day for one in taken.readings] == [1.0, 7.0]
    assert [one.repeated for one in taken.refused] == [True]


def test_a_folder_is_read_by_the_names_of_its_files(tmp_path: Path) -> None:
    """Both of two values of one time are refused; what cannot be read, and what else is there, is listed."""
    for name, text in {
        "week-02.csv": f"{HEAD}\n2025-06-09,SP-1,2,mm,\n2025-06-16,SP-1,3,mm,\n",
        "week-01.CSV": f"{HEAD}\n2025-06-09,SP-1,1,mm,\n",
        "week-03.csv": "Day,Point\n2025-06-23,SP-1\n",
        "week-04.xlsx": "no workbook",
        "~$week-04.xlsx": "open elsewhere",
        "letter.pdf": "%PDF",
    }.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "older.csv").mkdir()
    taken = read_files([tmp_path], Observed.model_validate(MAPPING), QUANTITIES)

    assert [Path(one).name for one in taken.files] == ["week-01.CSV", "week-02.csv"]
    assert [one.value for one in taken.readings] == approx([0.003])
    assert [(Path(one.file).name, one.line) for one in taken.refused] == [("week-01.CSV", 2), ("week-02.csv", 2)]
    assert {Path(one.file).name: one.readings for one in taken.unread} == {
        "week-03.csv": True, "week-04.xlsx": True, "~$week-04.xlsx": False, "letter.pdf": False, "older.csv": False,
    }  # fmt: skip
    why = {Path(one.file).name: one.why for one in taken.unread}
    assert why["week-03.csv"].startswith('observed.date_column must be the head of one column: "Date", got none')
    assert why["week-04.xlsx"].startswith("file must be a workbook (XLSX)")


def test_a_folder_without_a_reading_is_refused(tmp_path: Path) -> None:
    (tmp_path / "week-03.csv").write_text("Day,Point\n", encoding="utf-8")

    with pytest.raises(InputErrors, match=r"have at least one reading, got none, and 0 rows without one; .*week-03"):
        read_files([tmp_path], Observed.model_validate(MAPPING), QUANTITIES)


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match="be a file that can be read, got FileNotFoundError"):
        read_files([tmp_path / "gone.csv"], Observed.model_validate(MAPPING), QUANTITIES)


def test_columns_that_files_with_heads_need_are_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "readings.csv"
    file.write_text(f"{HEAD}\n", encoding="utf-8")
    mapping = {key: value for key, value in MAPPING.items() if key not in {"date_column", "value_column"}}

    with pytest.raises(InputErrors) as caught:
        read_files([file], Observed.model_validate(mapping), QUANTITIES)

    assert [error.path for error in caught.value.errors] == ["observed.date_column", "observed.value_column"]


def test_a_workbook_is_read_with_its_dates_and_numbers(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    for row in (
        ["Date", "Point", "Reading", "Unit", "Remark"],
        [dt.datetime(2025, 6, 5, 6, 0), "SP-1", 41.5, "mm", None],  # noqa: DTZ001 - local time
        [dt.date(2025, 6, 6), "SP-1", 42, "mm", "wet"],
        ["2025-06-07", "SP-1", "43", "mm", None],
        ["2025-06-08", "SP-1", True, "mm", None],
        [45000, "SP-1", 1, "mm", None],
        [None, None, None, None, None],
    ):
        book.active.append(row)
    book.save(tmp_path / "readings.xlsx")
    taken = read_files([tmp_path / "readings.xlsx"], Observed.model_validate(MAPPING), QUANTITIES)

    assert [one.day for one in taken.readings] == [3.25, 4.0, 5.0]
    assert [one.value for one in taken.readings] == approx([0.0415, 0.042, 0.043])
    assert [one.line for one in taken.refused] == [5, 6]


def test_a_damaged_workbook_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "readings.xlsx"
    file.write_bytes(b"PK\x03\x04 nothing")

    with pytest.raises(InputErrors, match=r"be a workbook \(XLSX\)"):
        read_files([file], Observed.model_validate(MAPPING), QUANTITIES)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "observed.date_column: must be the head of one column"),
        (b"Datum,Point,Reading,Unit,Remark\n2025-06-05,SP-1,1,mm,\n", 'none (near: "Date'),
        (b"Date,Date,Point,Reading,Unit,Remark\n", "got 2 of them"),
        (b"Date,Point,Reading,Unit,Remark\n", "have at least one reading, got none, and 0 rows without one"),
        (b"Date,Point,Reading,Unit,Remark\n2025,SP-1,1,mm,\n", "got none, and 1 row without one"),
        ("Date,Point,Reading,Unit,Remark\n2025-06-05,SP-1,1,mm,é\n".encode("latin-1"), "be saved as UTF-8"),
        (b'"Date,Point\n', "head with every quotation mark closed"),
    ],
)
def test_a_file_that_does_not_fit_the_mapping_is_refused(tmp_path: Path, content: bytes, message: str) -> None:
    file = tmp_path / "readings.csv"
    file.write_bytes(content)
    if "near" in message:
        message = "observed.date_column"

    with pytest.raises(InputErrors) as caught:
        read_files([file], Observed.model_validate(MAPPING), QUANTITIES)

    assert message in str(caught.value)


def test_a_file_too_large_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "readings.csv"
    file.write_text(HEAD)
    monkeypatch.setattr("calc.site.observed.readings_file.LARGEST", 10)

    with pytest.raises(InputErrors, match="not be larger than"):
        read_files([file], Observed.model_validate(MAPPING), QUANTITIES)


def test_remarks_are_kept_without_signs_that_steer(read: Read) -> None:
    assert read("2025-06-04,SP-1,1,mm,a\x1b[2Jb").readings[0].remark == "a [2Jb"


def test_mutated_files_never_end_in_a_traceback(tmp_path: Path) -> None:
    """300 files with bytes changed, cut, doubled: readings, refused rows or one clear refusal."""
    rows = [HEAD, *(f'2025-06-{2 + k:02d},SP-{1 + k % 2},{k / 3:.2f},mm,"r, {k}"' for k in range(20))]
    good, draw = "\n".join(rows).encode(), random.Random(5)  # noqa: S311 - no secret
    file, mapping, kept = tmp_path / "readings.csv", Observed.model_validate(MAPPING), 0
    for _ in range(300):
        file.write_bytes(mutated(good, draw, 8))
        try:
            taken = read_files([file], mapping, QUANTITIES)
        except InputErrors as errors:
            assert str(errors)  # noqa: PT017 - either is right
        else:
            kept += len(taken.readings)
            assert all(one.why for one in taken.refused)

    assert kept > 1000

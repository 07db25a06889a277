"""Files of installation records: what is read, what is refused and why. All of it is invented."""

import datetime as dt
import json
from pathlib import Path
from random import Random

import openpyxl
import pytest

from calc.inputs import InputErrors
from calc.inputs.tables.installed import Installed
from calc.site.installed.mapping_proposal import proposal
from calc.site.installed.record_files import Records, read_records
from calc.site.rows.cell_values import EPOCH
from tests.site.recorded import written

HEAD = "Column;Day;Start;Toe;Criterion;Fill;Slant;Serial"
GOOD = "A-001-001;02.03.2026;07:10;-6,50;yes;3,20;1,5;S1"
DEEP = "Column;Depth;Placed"


def mapping(**changes: object) -> Installed:
    fields = (("id", None), ("date", None), ("start", None), ("toe_level", "m"), ("criterion", None), ("volume", "m^3"),
              ("inclination", "deg"), ("serial", None))  # fmt: skip
    given = {
        "date_form": "day.month.year", "decimal": ",", "time_zone": "+01:00",
        "column": [{"field": name, "head": head} | ({"unit": unit} if unit else {})
                   for (name, unit), head in zip(fields, HEAD.split(";"), strict=True)],
        "reading": [{"field": "id", "head": "Column"}, {"field": "depth", "head": "Depth", "unit": "cm"},
                    {"field": "volume", "head": "Placed", "unit": "m^3"}],
    }  # fmt: skip
    return Installed(**(given | changes))  # type: ignore[arg-type]


def read(folder: Path, *texts: str, **changes: object) -> Records:
    files = [written(folder, f"{k}.csv", text) for k, text in enumerate(texts)]
    return read_records(files, mapping(**changes))


def test_a_time_zone_that_is_none_is_refused_in_a_line() -> None:
    with pytest.raises(ValueError, match="be an offset from UTC such as") as caught:
        mapping(time_zone="?")

    assert "-14:00" not in str(caught.value)


def test_values_are_in_coherent_units_and_one_time_zone(tmp_path: Path) -> None:
    row = "A-001-001;02.03.2026;02.03.2026 06:10Z;-6,50;YES;3,20;1,5;S1"
    found = read(tmp_path, f"# from the rig\n{HEAD}\n\n{GOOD}\n{row.replace('001;', '002;', 1)}\n").counted
    begins = (dt.datetime(2026, 3, 2, 7, 10) - EPOCH) / dt.timedelta(days=1)  # noqa: DTZ001

    assert [one.values["start"] for one in found.values()] == [begins, begins]
    assert found["A-001-001"].values["toe_level"] == -6.5
    assert found["A-001-001"].values["criterion"] is True
    assert found["A-001-001"].values["inclination"] == pytest.approx(0.026186, abs=5e-7)  # tan 1.5°, from tables
    assert found["A-001-002"].line == 5


WRONG = {
    "a decimal point": ("-6,50", "-6.50", 'toe_level ("Toe") must be a number'),
    "a unit": ("3,20", "3,20 m3", 'volume ("Fill") must be a number'),
    "a number that is none": ("3,20", "nan", 'volume ("Fill") must be a number'),
    "a huge number": ("3,20", "9" * 15, 'volume ("Fill") must be a number'),
    "no fill": ("3,20", "0", 'volume ("Fill") must be positive'),
    "a right angle": ("1,5", "90", "less than a right angle"),
    "another form of the day": ("02.03.2026", "2026-03-02", 'date ("Day") must be written day.month.year'),
    "a day that is none": ("02.03.2026", "31.02.2026", "no such day"),
    "a day long ago": ("02.03.2026", "02.03.1026", "between 1990 and 2100"),
    "an hour that is none": ("07:10", "25:10", "no such day or time"),
    "a day without a time": ("07:10", "02.03.2026", "must have a time of the day"),
    "a word for the criterion": ("yes", "perhaps", "must be “yes” or “no”"),
    "a control character": ("S1", "S\x071", "control characters"),
    "no id": ("A-001-001", "", "is empty"),
    "a time without a day": ("02.03.2026", "", "has no date"),
    "a cell too many": ("S1", "S1;S2", "9 cells where the head has 8"),
    "an open quotation mark": ("S1", '"S1', "quotation mark"),
}


@pytest.mark.parametrize("slip", WRONG)
def test_a_bad_row_is_listed_and_good_ones_are_kept(tmp_path: Path, slip: str) -> None:
    old, new, why = WRONG[slip]
    bad = GOOD.replace(old, new, 1)
    found = read(tmp_path, f"{HEAD}\n{bad}\n{GOOD.replace('001;', '002;', 1)}\n")

    assert list(found.counted) == ["A-001-002"]
    assert [(one.line, why in one.why) for one in found.refused] == [(2, True)], found.refused
    assert found.rows == 2


def test_a_row_tells_everything_that_is_wrong_with_it_and_nothing_that_follows_from_it(tmp_path: Path) -> None:
    bad = ";31.02.2026;07:10;-6.50;perhaps;0;1,5;S1"
    found = read(tmp_path, f"{HEAD}\n{bad}\n{GOOD}\n", f"{DEEP}\n;-1;x\n")

    parts = [one.why.split("; ") for one in found.refused]
    assert [[part.split(" (")[0] for part in row] for row in parts] == [
        ["date", "id", "toe_level", "criterion", "volume"], ["id", "depth", "volume"]
    ]  # fmt: skip


def test_a_slip_in_the_head_of_the_depth_is_told_as_such(tmp_path: Path) -> None:
    with pytest.raises(InputErrors) as caught:
        read(tmp_path, f"{HEAD}\n{GOOD}\n", f"{DEEP.replace('Depth', 'Depth.')}\nA-001-001;600;0\n")

    assert [one.path for one in caught.value.errors] == ["installed.reading.depth"]


def test_the_later_record_counts_and_both_are_kept(tmp_path: Path) -> None:
    later = GOOD.replace("3,20", "3,40")
    found = read(tmp_path, f"{HEAD}\n{GOOD}\n", f"{HEAD}\n{later}\n")

    assert found.counted["A-001-001"].values["volume"] == 3.4
    assert [(one.earlier.values["volume"], one.later.values["volume"], one.twice) for one in found.again] == [
        (3.2, 3.4, False)
    ]


def test_an_id_with_two_beginnings_is_of_two_columns(tmp_path: Path) -> None:
    found = read(tmp_path, f"{HEAD}\n{GOOD}\n{GOOD.replace('07:10', '09:30')}\n")

    assert [one.twice for one in found.again] == [True]


def test_readings_of_a_later_file_replace_those_before(tmp_path: Path) -> None:
    first = f"{DEEP}\nA-001-001;600;0\nA-001-001;500;0,5\nA-001-002;600;0\n"
    found = read(tmp_path, f"{HEAD}\n{GOOD}\n", first, f"{DEEP}\nA-001-001;400;1,5\nA-001-001;600;0\n").readings

    own = found.of == found.ids.index("A-001-001")
    assert found.depth[own].tolist() == [6.0, 4.0]
    assert found.volume[own].tolist() == [0.0, 1.5]
    assert found.replaced == ("A-001-001",)


def test_of_one_depth_the_last_reading_counts(tmp_path: Path) -> None:
    found = read(tmp_path, f"{HEAD}\n{GOOD}\n", f"{DEEP}\nA-001-001;600;0\nA-001-001;600;0,4\n").readings

    assert (found.depth.tolist(), found.volume.tolist()) == ([6.0], [0.4])


@pytest.mark.parametrize(("row", "why"), [
    ("A-001-001;-5;1", 'depth ("Depth") must not be negative'),
    ("A-001-001;5.0;1", "number"), ("A-001-001;;1", "empty"), (";5;1", "empty"),
    ("A-001-001;5", "cells"),
    ("A-001-001;5;-1", 'volume ("Placed") must not be negative'), ("A-001-001;5,;1", "number"),
    ("A-001-001;5,0,0;1", "number"), ("A-001-001;1234567890123456;1", "number"),
])  # fmt: skip
def test_a_bad_reading_is_listed_and_good_ones_are_kept(tmp_path: Path, row: str, why: str) -> None:
    found = read(tmp_path, f"{HEAD}\n{GOOD}\n", f"{DEEP}\nA-001-001;600;0\n{row}\n A-001-001;500;0,5\n")

    assert found.readings.depth.tolist() == [6.0, 5.0]
    assert [(one.line, why in one.why) for one in found.refused] == [(3, True)], found.refused


def test_a_workbook_reads_like_its_text(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEAD.split(";"))
    day = dt.datetime(2026, 3, 2)  # noqa: DTZ001
    sheet.append(["A-001-001", day, dt.time(7, 10), -6.5, "yes", 3.2, 1.5, "S1"])
    sheet.append(["A-001-002", day.date(), day.replace(hour=7, minute=10), -6.5, True, 3.2, 1.5, 17.0])
    sheet.append(["A-001-003", day, dt.time(7, 10), True, "yes", 3.2, 1.5, "S1"])
    sheet.append(["A-001-004", day, day.date(), -6.5, "yes", 3.2])
    sheet.append([None] * 8)
    book.save(tmp_path / "records.xlsx")
    found = read_records([tmp_path / "records.xlsx"], mapping())
    text = read(tmp_path, f"{HEAD}\n{GOOD}\n").counted["A-001-001"]

    assert found.counted["A-001-001"].values == text.values
    assert found.counted["A-001-002"].values["serial"] == "17"
    assert [(one.line, one.why.split(" ")[0]) for one in found.refused] == [(4, "toe_level"), (5, "start")]


@pytest.mark.parametrize(("content", "says"), [
    (b"", "be the head of one column"), (b"Column;Toe\nx;1\n", "got none"), (b"\xff\xfe\n", "saved as UTF-8"),
    (HEAD.encode() + b"\n\xff\n", "saved as UTF-8"), (b'"Column;Day\n', "quotation mark"),
    (HEAD.encode() + b"\n", "at least one record"), (HEAD.encode() + b"\nA;1\n", "rows that do not count"),
    (f"{HEAD};Toe\n".encode(), "got 2 of them"), (HEAD.replace("Toe", "Toes").encode(), 'near: "Toes"'),
])  # fmt: skip
def test_a_file_that_cannot_be_read_says_what_it_must_be(tmp_path: Path, content: bytes, says: str) -> None:
    (tmp_path / "0.csv").write_bytes(content)
    with pytest.raises(InputErrors) as caught:
        read_records([tmp_path / "0.csv"], mapping())

    assert says in str(caught.value)
    assert "0.csv:" in str(caught.value)


def test_a_damaged_workbook_is_refused(tmp_path: Path) -> None:
    (tmp_path / "0.xlsx").write_bytes(b"PK\x03\x04 no archive")
    with pytest.raises(InputErrors, match="be a workbook"):
        read_records([tmp_path / "0.xlsx"], mapping())


def test_what_cannot_be_opened_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputErrors, match="be a file that can be read, got IsADirectoryError"):
        read_records([tmp_path], mapping())


def test_a_file_too_large_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("calc.site.rows.row_files.LARGEST", 10)
    with pytest.raises(InputErrors, match="not be larger"):
        read(tmp_path, f"{HEAD}\n{GOOD}\n")


def test_mutated_files_give_errors_in_words(tmp_path: Path) -> None:
    """Three thousand files with signs changed, left out and put in: rows or files are refused, nothing else happens."""
    chance = Random(7)  # noqa: S311 - invented files, no secret
    whole = f"{HEAD}\n{GOOD}\n{GOOD.replace('001;', '002;', 1)}\n"
    deep = f"{DEEP}\nA-001-001;600;0\nA-001-001;500;0,5\n"
    signs = [*';,."\n\r\t 0-+eE:Z\x00\u2028é', *"0123456789"]
    for k in range(3000):
        text = list(whole if k % 2 else deep)
        for _ in range(chance.randrange(1, 6)):
            place = chance.randrange(len(text))
            text[place : place + chance.randrange(3)] = chance.choice(["", chance.choice(signs)])
        files = [written(tmp_path, "a.csv", "".join(text)), written(tmp_path, "b.csv", f"{HEAD}\n{GOOD}\n")]
        try:
            found = read_records(files, mapping())
        except InputErrors:
            continue
        assert "A-001-001" in found.counted
        assert json.dumps([dict(one.values) for one in found.counted.values()], allow_nan=False)


def test_a_midnight_of_a_workbook_is_a_time_where_the_sheet_shows_one(tmp_path: Path) -> None:
    for form, refused in (("yyyy-mm-dd hh:mm", 0), ("yyyy-mm-dd", 1)):
        book = openpyxl.Workbook()
        sheet = book.worksheets[0]
        sheet.append(HEAD.split(";"))
        sheet.append([*GOOD.split(";")[:2], dt.datetime(2026, 3, 2), *GOOD.split(";")[3:]])  # noqa: DTZ001
        sheet["C2"].number_format = form
        sheet.append(["A-001-002", *GOOD.split(";")[1:]])
        book.save(tmp_path / "a.xlsx")
        found = read_records([tmp_path / "a.xlsx"], mapping())
        assert ["must have a time of the day" in one.why for one in found.refused] == [True] * refused


def test_a_mapping_is_proposed_from_the_head(tmp_path: Path) -> None:
    text = proposal(
        written(tmp_path, "a.csv", 'No.;E [m];N [m];Incl. x [%];Incl. y [°];Toe;Fill [m³];"Colour ""a"""\n')
    )

    assert '{ field = "id", head = "No." },' in text
    assert '{ field = "inclination_x", head = "Incl. x [%]", unit = "%" },' in text
    assert '{ field = "inclination_y", head = "Incl. y [°]", unit = "deg" },' in text
    assert '{ field = "volume", head = "Fill [m³]", unit = "m^3" },' in text
    assert '# not used: "Colour \\"a\\""' in text


def test_a_mapping_of_readings_is_proposed(tmp_path: Path) -> None:
    text = proposal(written(tmp_path, "a.csv", "Depth [cm],Volume\n"))

    assert 'field = "depth"\nhead = "Depth [cm]"\nunit = "cm"\n' in text
    assert 'to be added: field = "id"' in text
    with pytest.raises(InputErrors, match="names of its columns"):
        proposal(written(tmp_path, "b.csv", "\n"))


def test_a_head_that_says_something_else_is_not_proposed(tmp_path: Path) -> None:
    """Tonnes are no volume, a depth is no level, a length is no time; a remark in brackets is no unit."""
    heads = "Id;Fill [t];Toe depth [m];Start (m);Diameter (as built) [cm];Volume [m3];Fill weight (t);Begin [time]"
    text = proposal(written(tmp_path, "a.csv", f"{heads}\n"))

    for head in ("Fill [t]", "Toe depth [m]", "Start (m)", "Fill weight (t)"):
        assert f'# not used: "{head}"' in text
    assert '{ field = "diameter", head = "Diameter (as built) [cm]", unit = "cm" },' in text
    assert '{ field = "volume", head = "Volume [m3]", unit = "m^3" },' in text
    assert '{ field = "start", head = "Begin [time]" },' in text


def test_a_record_of_a_later_day_does_not_count(tmp_path: Path) -> None:
    """A typing error in the month would make it the rig's last day, and hide what is missing."""
    row = GOOD.replace("02.03.2026", "22.03.2026")
    file = written(tmp_path, "a.csv", f"{HEAD}\n{row}\n{row.replace('001;', '002;', 1)}\n")
    day = dt.date(2026, 3, 22)

    assert len(read_records([file], mapping(), day).counted) == 2
    with pytest.raises(InputErrors, match="must not lie after today, got"):
        read_records([file], mapping(), day - dt.timedelta(days=1))

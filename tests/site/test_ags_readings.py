"""Readings in AGS 4 files: codes and points by the mapping alone, every defect listed, good rows never lost."""

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from calc.inputs import InputErrors
from calc.inputs.tables.observed import Observed
from calc.site.observed.readings_file import Taken, read_files
from tests.site.mutated_files import mutated

approx = pytest.approx

QUANTITIES = {"BH1/P1": "pore pressure", "BH1/P1/2.00": "pore pressure", "S1/SP": "settlement", "BH1/SR": "ring strain"}
MAPPING = {
    "start": "2025-06-02",
    "ags_type": [
        {"code": "PPRS", "quantity": "pore pressure"}, {"code": "SETT", "quantity": "settlement"},
        {"code": "STRN", "quantity": "ring strain"}, {"code": "TEMP", "quantity": "other"},
    ],
    "instrument": [
        {"name": "BH1/P1", "section": "A", "of": "PP"},
        {"name": "BH1/P1/2.00", "section": "A", "of": "PP"},
        {"name": "S1/SP", "section": "A", "of": "SP", "unit": "mm", "lost_on": "2025-06-20"},
        {"name": "BH1/SR", "section": "A", "of": "SR"},
    ],
}  # fmt: skip
HEAD = ("LOCA_ID", "MONG_ID", "MONG_DIS", "MOND_DTIM", "MOND_TYPE", "MOND_RDNG", "MOND_UNIT", "MOND_REM")
UNIT = ("", "", "m", "yyyy-mm-ddThh:mm", "", "", "", "")
POINTS = ("BH1,P1", "S1,SP", "BH1,SR")

Read = Callable[..., Taken]


def quoted(*cells: str) -> str:
    return ",".join(f'"{cell}"' for cell in cells)


def ags(*rows: tuple[str, ...], unit: tuple[str, ...] = UNIT, points: tuple[str, ...] = POINTS) -> str:
    """A file with the groups of points and readings."""
    lines = [quoted("GROUP", "PROJ"), quoted("HEADING", "PROJ_ID"), quoted("UNIT", ""), quoted("TYPE", "ID"),
             quoted("DATA", "x"), "", quoted("GROUP", "MONG"), quoted("HEADING", "LOCA_ID", "MONG_ID"),
             quoted("UNIT", "", ""), quoted("TYPE", "ID", "X"),
             *(quoted("DATA", *point.split(",")) for point in points), "",
             quoted("GROUP", "MOND"), quoted("HEADING", *HEAD), quoted("UNIT", *unit),
             quoted("TYPE", "ID", "X", "2DP", "DT", "PA", "XN", "PU", "X"),
             *(quoted("DATA", *row) for row in rows)]  # fmt: skip
    return "\r\n".join(lines) + "\r\n"


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Read the text of an AGS 4 file."""

    def read_text(text: str, **changes: object) -> Taken:
        file = tmp_path / "week.ags"
        file.write_bytes(text.encode())
        return read_files([file], Observed.model_validate(MAPPING | changes), QUANTITIES)

    return read_text


GOOD = ("BH1", "P1", "", "2025-06-05T12:00", "PPRS", "12.5", "kN/m2", "wet")


def test_a_row_becomes_a_reading_in_coherent_units(read: Read) -> None:
    """The unit is that of the row, else that of its heading, else that of the instrument."""
    taken = read(ags(GOOD, ("S1", "SP", "", "2025-06-05", "SETT", "41.5", "", ""),
                     ("BH1", "SR", "", "2025-06-05 00:00:00", "STRN", "1.2", "%", ""),
                     ("BH1", "P1", "2.00", "2025-06-05", "PPRS", "3", "kPa", "")))  # fmt: skip

    found = {one.instrument: (one.day, one.remark) for one in taken.readings}
    assert found == {"BH1/P1": (3.5, "wet"), "S1/SP": (3.0, ""), "BH1/SR": (3.0, ""), "BH1/P1/2.00": (3.0, "")}
    assert [one.value for one in taken.readings] == approx([12.5, 3.0, 0.012, 0.0415])
    assert taken.refused == ()
    of_heading = (*UNIT[:5], "cm", *UNIT[6:])
    assert read(ags(("S1", "SP", "", "2025-06-05", "SETT", "4", "", ""), unit=of_heading)).readings[0].value == 0.04


@pytest.mark.parametrize(
    ("unit", "date"),
    [("dd/mm/yyyy", "05/06/2025"), ("dd/mm/yyyy hh:mm", "05/06/2025 00:00"), ("mm/dd/yyyy hh:mm:ss", "06/05/2025"),
     ("YYYY-MM-DD", "2025-06-05")],
)  # fmt: skip
def test_the_form_of_dates_is_that_of_the_file(read: Read, unit: str, date: str) -> None:
    """5 June and not 6 May, whichever way the file writes it."""
    taken = read(ags((*GOOD[:3], date, *GOOD[4:]), unit=(*UNIT[:3], unit, *UNIT[4:])))

    assert [one.day for one in taken.readings] == [3.0]


def changed(**cells: str) -> tuple[str, ...]:
    """The good row with other cells."""
    return tuple(cells.get(name, cell) for name, cell in zip(HEAD, GOOD, strict=True))


DEFECTS = [
    (changed(MOND_TYPE="WLEV"), 'the code of MOND_TYPE must be one of [[observed.ags_type]], got "WLEV"'),
    (changed(MOND_TYPE=""), "the code of MOND_TYPE must be one of"),
    (changed(MOND_TYPE="SETT"), "BH1/P1 reads pore pressure, and the row settlement"),
    (changed(MONG_ID="P9"), 'the point must stand in the group MONG, got "BH1/P9"'),
    (changed(MONG_DIS="7.00"), 'got "BH1/P1/7.00" (near: BH1/P1'),
    (changed(MOND_DTIM="05/06/2025"), "the date must be written year-month-day"),
    (changed(MOND_DTIM="2025-06-31"), "no day of the calendar"),
    (changed(MOND_DTIM="2925-06-30"), "must not lie after today"),
    (changed(MOND_DTIM=""), "no date"),
    (changed(MOND_RDNG=""), "no value"),
    (changed(MOND_RDNG="12,5"), "the value must be a number"),
    (changed(MOND_RDNG="dry"), "the value must be a number"),
    (changed(MOND_UNIT=""), "no unit"),
    (changed(MOND_UNIT="mm"), "the unit must be a unit that converts to kPa"),
    (changed(LOCA_ID="S1", MONG_ID="SP", MOND_TYPE="SETT", MOND_UNIT="mm", MOND_DTIM="2025-06-20"), "lost"),
    (GOOD[:-1], "must have as many fields as the line HEADING of its group (8), got 7"),
]  # fmt: skip


@pytest.mark.parametrize(("row", "why"), DEFECTS, ids=[why for _, why in DEFECTS])
def test_a_bad_row_is_listed_and_good_ones_are_kept(read: Read, row: tuple[str, ...], why: str) -> None:
    later = changed(MOND_DTIM="2025-06-06")
    taken = read(ags(GOOD, row, later))

    assert [one.day for one in taken.readings] == [3.5, 4.0]
    assert [(one.line, one.repeated) for one in taken.refused] == [(20, False)]
    assert why in taken.refused[0].why


@pytest.mark.parametrize("line", ['"DATA","BH1","P1', '"DAAT","BH1"'])
def test_a_line_of_no_form_is_listed(read: Read, line: str) -> None:
    taken = read(ags(GOOD) + line + "\r\n")

    assert len(taken.readings) == 1
    assert taken.refused[0].why.startswith("the line must ")


def test_what_the_project_passes_over_is_no_mistake(read: Read) -> None:
    taken = read(ags(GOOD, changed(MOND_TYPE="TEMP", MOND_UNIT="DegC")))

    assert [(one.why, one.repeated) for one in taken.refused] == [
        ("the code TEMP is passed over, as [[observed.ags_type]] says", True)
    ]


def test_a_row_sent_again_counts_once_and_of_two_values_none_does(read: Read) -> None:
    later = changed(MOND_DTIM="2025-06-07")
    taken = read(ags(GOOD, GOOD, later, changed(MOND_DTIM="2025-06-07", MOND_RDNG="13")))

    assert [one.value for one in taken.readings] == [12.5]
    assert [one.repeated for one in taken.refused] == [True, False, False]


def test_points_need_no_group_of_their_own(read: Read) -> None:
    text = ags(GOOD)
    start, end = text.index('"GROUP","MONG"'), text.index('"GROUP","MOND"')

    assert len(read(text[:start] + text[end:]).readings) == 1


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (('"GROUP","MOND"', '"GROUP","MONX"'), "MOND: must have the heading LOCA_ID, got none"),
        (('"MOND_RDNG"', '"MOND_READ"'), "MOND: must have the heading MOND_RDNG, got none"),
        (("yyyy-mm-ddThh:mm", "dd-mmm-yy"), 'MOND_DTIM: must have the unit "yyyy-mm-ddThh:mm", "dd/mm/yyyy'),
        (("yyyy-mm-ddThh:mm", ""), "MOND_DTIM: must have the unit"),
        (('"GROUP","PROJ"', '"GROUP","MOND"'), "file: must have each group once"),
        (("PPRS", "ABCD"), "have at least one reading, got none, and 1 row without one"),
    ],
)
def test_a_file_that_has_no_readings_is_refused(read: Read, change: tuple[str, str], message: str) -> None:
    with pytest.raises(InputErrors) as caught:
        read(ags(GOOD).replace(*change))

    assert message in str(caught.value)


def test_no_code_is_guessed(read: Read) -> None:
    with pytest.raises(InputErrors, match=r"must be one of \[\[observed.ags_type\]\]"):
        read(ags(GOOD), ags_type=[])


def test_mutated_files_never_end_in_a_traceback(tmp_path: Path) -> None:
    """300 files with bytes changed, cut, doubled: readings, refused rows or one clear refusal."""
    rows = [changed(MOND_DTIM=f"2025-06-{day:02d}", MOND_RDNG=f"{day / 7:.2f}") for day in range(3, 30)]
    good, draw = ags(*rows).encode(), random.Random(7)  # noqa: S311 - no secret
    file, mapping, kept = tmp_path / "week.ags", Observed.model_validate(MAPPING), 0
    for _ in range(300):
        file.write_bytes(mutated(good, draw, 6))
        try:
            taken = read_files([file], mapping, QUANTITIES)
        except InputErrors as errors:
            assert str(errors)  # noqa: PT017 - either is right
        else:
            kept += len(taken.readings)
            assert all(one.why for one in taken.refused)

    assert kept > 1000

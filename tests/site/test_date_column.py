"""Dates whose day and month may have changed places: the whole column is refused, and a sound one never."""

import datetime as dt
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest

from calc.inputs import InputErrors
from calc.inputs.tables.observed import Observed
from calc.site.installed.record_files import read_records
from calc.site.observed.readings_file import read_files
from calc.site.rows.date_column import DateColumn
from tests.site.recorded import written
from tests.site.test_ags_readings import MAPPING as AGS_MAPPING
from tests.site.test_ags_readings import QUANTITIES as AGS_QUANTITIES
from tests.site.test_ags_readings import UNIT, ags
from tests.site.test_readings_file import HEAD as READINGS_HEAD
from tests.site.test_readings_file import MAPPING, QUANTITIES
from tests.site.test_records_read import GOOD, HEAD, mapping

LATEST = dt.date(2026, 6, 30)


def column(*cells: object, form: str = "day/month/year", daily: bool = True, groups: Sequence[str] = ()) -> DateColumn:
    found = DateColumn("a.csv", "installed.date_form", "Day", form, LATEST, daily)
    for k, cell in enumerate(cells):
        found.add(k + 2, cell, groups[k] if groups else "")
    return found


def why(found: DateColumn) -> str:
    try:
        found.refuse()
    except InputErrors as errors:
        (one,) = errors.errors
        assert '"Day"' in one.must
        return one.got
    return ""


def test_a_form_that_fits_a_part_of_the_rows_is_refused_whole() -> None:
    """January 2nd to February 3rd, typed with the month first: all but the last are days in the other form, too."""
    found = why(column(*(f"01/{day:02d}/2026" for day in range(2, 14)), "02/03/2026"))

    assert '"01/13/2026" in line 13' in found
    assert "correct line 13 at its source, or date_form" in found


@pytest.mark.parametrize(("cells", "told"), [
    (("01/02/2026", "03/25/2026"), '"03/25/2026" in line 3'),
    ((*["13/02/2026"] * 19, "02/13/2026"), '"02/13/2026" in line 21, which'),
    ((*["14/02/2026"] * 25, "13/02/2026", "15/02/2026", "02/13/2026"), '"02/13/2026" in line 29'),
    ((*(f"06/{day:02d}/2025" for day in range(1, 13)), "13/06/2025"), "out of order"),
    (("03/02/2026", "02/07/2026"), "after today"),
    (("01/10/2025", "02/03/2025", "03/01/2025", "04/05/2025", "05/02/2025"), "out of order"),
    (("05/02/2025", "04/05/2025", "03/01/2025", "02/03/2025", "01/10/2025"), "out of order"),
    (("01/03/2026", "01/04/2026", "01/05/2026") * 2, "a month apart"),
    ((*["01/03/2026"] * 4, "01/04/2026", "01/05/2026"), "a month apart"),  # two a day on average
    ((dt.date(2026, 3, 2), "25/03/2026"), "as a program leaves them"),
    ((dt.date(2026, 3, 2), "04/03/2026", "25/03/2026"), "as a program leaves them"),
    ((dt.datetime(2026, 3, 2), "25.03.2026"), "the date 2026-03-02 in line 2"),  # noqa: DTZ001
    (tuple(dt.date(2025, day, 6) for day in range(1, 13) for _ in range(2)), "a month apart"),
    ((dt.date(2026, 7, 2),), "after today"),
])  # fmt: skip
def test_dates_are_doubtful(cells: tuple[object, ...], told: str) -> None:
    assert told in why(column(*cells))
    assert told.replace("/", ".") in why(
        column(*(one.replace("/", ".") if isinstance(one, str) else one for one in cells), form="day.month.year")
    )


@pytest.mark.parametrize(("cells", "daily"), [
    (("01/03/2026", "31/02/2026", "x", "07:10", None, 3), True),  # a row that is no day in either form
    (("02/03/2026", "05/12/2026", "13/03/2026"), True),  # a slip in a month, in a file whose form is certain
    (("02/03/2026", "08/12/2026"), True),  # after today both ways
    (("01/03/2026", "01/04/2026", "01/05/2026") * 2, False),  # readings of a month
    (("05/01/2026", "05/02/2026", "05/03/2026", "05/04/2026"), True),  # a trial column a month
    ((*["05/01/2026"] * 2, "05/02/2026", "05/03/2026"), True),
    (("05/02/2026", "12/01/2026"), True),  # the newest first
    (("09/03/2026", "11/03/2026", "10/03/2026", "12/03/2026", "09/03/2026"), True),  # in the order of ids
    ((dt.date(2026, 3, 2), dt.date(2026, 3, 25), "26/03/2026"), True),
    ((*["13/02/2026"] * 20, "02/13/2026"), True),  # a slip, which its row is refused for
    ((*(f"{day}/06/2025" for day in range(20, 30)), "08/06/2025"), True),  # a record that came late
    ((dt.datetime(2026, 3, 2, 7, 10), "02/03/2026 08:00"), True),  # noqa: DTZ001
])  # fmt: skip
def test_sound_dates_are_read(cells: tuple[object, ...], daily: bool) -> None:
    assert why(column(*cells, daily=daily)) == ""


def test_the_year_first_is_never_doubted() -> None:
    assert why(column("2026-01-02", "2026-02-02", "2026-03-02", "2026-25-03", form="year-month-day")) == ""


def test_a_program_may_change_the_dates_of_a_workbook_whatever_the_form() -> None:
    """Days up to the twelfth became dates, with the month first; the others stayed texts of no form that is agreed."""
    cells = [*(dt.date(2025, day, 6) for day in range(3, 13)), "13/06/2025", "14/06/2025"]

    assert 'texts such as "13/06/2025" in line 12' in why(column(*cells, form="year-month-day"))
    assert why(column(*cells[:1], "31/02/2026", "x", form="year-month-day")) == ""
    assert why(column(dt.date(2025, 6, 12), dt.date(2025, 6, 13), "2025-06-14", form="year-month-day")) == ""


def _weekly(folder: Path, days: Sequence[str]) -> list[Path]:
    return [written(folder, f"w{k}.csv", f"{READINGS_HEAD}\n{day}/2025,SP-1,{k},mm,\n") for k, day in enumerate(days)]


def test_files_of_one_day_each_are_judged_together(tmp_path: Path) -> None:
    """September to November, typed with the month first; the same days with the day first are sound."""
    observed = Observed.model_validate(MAPPING | {"date_form": "day/month/year"})
    with pytest.raises(InputErrors, match="out of order") as caught:
        read_files(_weekly(tmp_path, ("09/03", "09/10", "10/01", "10/08", "11/05")), observed, QUANTITIES, LATEST)
    assert Path(caught.value.errors[0].file).name == "w0.csv"

    sound = _weekly(tmp_path, ("03/09", "10/09", "01/10", "08/10", "05/11"))
    assert len(read_files(sound, observed, QUANTITIES, LATEST).readings) == 5


def test_files_named_by_their_day_are_sound(tmp_path: Path) -> None:
    """In the order of their names they are out of order in time, and in order with the month first."""
    observed = Observed.model_validate(MAPPING | {"date_form": "day/month/year"})
    named = _weekly(tmp_path, ("01/07", "02/06", "05/06", "09/06"))

    assert len(read_files(named, observed, QUANTITIES, LATEST).readings) == 4


def test_records_of_a_day_each_are_judged_together(tmp_path: Path) -> None:
    rows = {day: GOOD.replace("02.03.2026", f"03.{day:02d}.2026") for day in range(1, 6)}
    files = [written(tmp_path, f"d{day}.csv", f"{HEAD}\n{row}\n{row.replace('001;', '002;', 1)}\n")
             for day, row in rows.items()]  # fmt: skip
    with pytest.raises(InputErrors, match="a month apart"):
        read_records(files, mapping(), LATEST)


def test_every_instrument_is_in_order_by_itself() -> None:
    """A file with one instrument below the other goes back in time once for each of them."""
    days = ("01/02/2025", "01/03/2025", "01/04/2025", "01/05/2025")

    assert why(column(*days, *days, daily=False, groups=("P1",) * 4 + ("P2",) * 4)) == ""


def test_records_with_the_month_first_are_refused_with_one_message(tmp_path: Path) -> None:
    rows = [GOOD.replace("001;02.03.2026", f"{day:03d};03.{day:02d}.2026", 1) for day in range(1, 28)]
    with pytest.raises(InputErrors) as caught:
        read_records([written(tmp_path, "a.csv", "\n".join([HEAD, *rows]))], mapping(), LATEST)

    (one,) = caught.value.errors
    assert (one.line, one.path) == (14, "installed.date_form")
    assert '"Day", here day.month.year' in one.must


def test_readings_with_the_month_first_are_refused_with_one_message(tmp_path: Path) -> None:
    rows = [f"06/{day:02d}/2025,SP-1,{day},mm," for day in range(3, 20)]
    file = written(tmp_path, "a.csv", "\n".join([READINGS_HEAD, *rows]))
    with pytest.raises(InputErrors) as caught:
        read_files([file], Observed.model_validate(MAPPING | {"date_form": "day/month/year"}), QUANTITIES)
    (one,) = caught.value.errors
    assert (one.line, one.path) == (12, "observed.date_form")

    found = read_files([tmp_path, written(tmp_path, "b.csv", f"{READINGS_HEAD}\n20/06/2025,SP-1,5,mm,\n")],
                       Observed.model_validate(MAPPING | {"date_form": "day/month/year"}), QUANTITIES)  # fmt: skip
    assert [Path(one.file).name for one in found.unread] == ["a.csv"]
    assert "no date of it can be relied on" in found.unread[0].why


def test_an_interchange_file_with_the_month_first_is_refused(tmp_path: Path) -> None:
    unit = tuple("dd/mm/yyyy" if one.startswith("yyyy") else one for one in UNIT)
    rows = [("BH1", "P1", "", f"06/{day:02d}/2025", "PPRS", "12.50", "kPa", "") for day in (11, 12, 13)]
    with pytest.raises(InputErrors, match="MOND_DTIM"):
        read_files([written(tmp_path, "a.ags", ags(*rows, unit=unit))], Observed.model_validate(AGS_MAPPING),
                   AGS_QUANTITIES)  # fmt: skip


def test_a_workbook_of_which_a_program_took_half_for_dates_is_refused(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append(HEAD.split(";"))
    for k, day in enumerate((dt.date(2026, 2, 3), "13.02.2026")):
        cells: list[object] = list(GOOD.replace("001;", f"{k:03d};", 1).split(";"))
        cells[1] = day
        sheet.append(cells)
    book.save(tmp_path / "a.xlsx")
    with pytest.raises(InputErrors, match="as a program leaves them"):
        read_records([tmp_path / "a.xlsx"], mapping(), LATEST)

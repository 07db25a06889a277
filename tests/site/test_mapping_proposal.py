"""What a proposed mapping says of dates and numbers: what all cells say, or a question to be answered first."""

import datetime as dt
import tomllib
from pathlib import Path

import pytest

from calc.inputs import InputErrors
from calc.site.installed.mapping_proposal import ASK, date_form_of, decimal_of, proposal
from tests.site.planned import planned
from tests.site.recorded import COLUMNS, HEADS, LIMITS, readings_file, records_file, written

LATEST = dt.date(2026, 6, 30)


@pytest.mark.parametrize(("cells", "form"), [
    (["2026-03-02", "2026-03-25 07:10"], "year-month-day"),
    (["02.03.2026", "02.03.2026T07:10Z"], "day.month.year"),
    (["02/03/2026", "25/03/2026"], "day/month/year"),
    (["03/02/2026", "03/25/2026"], "month/day/year"),
    (["03/02/2026", "03/03/2026", "03/04/2026"] * 2, "month/day/year"),  # days one after the other, not a month apart
    (["03/02/2026", "03/03/2026", "03/04/2026"], ASK),  # a column a day, or a trial column a month
    (["06/08/2026"], "month/day/year"),  # else after today
    ([dt.date(2026, 3, 2)], "year-month-day"),
    (["02/03/2026", "03/03/2026"], ASK),
    (["03.25.2026"], ASK),
    (["25/03/2026", "03/25/2026"], ASK),
    (["02.03.2026", "2026-03-02"], ASK),
    (["31.02.2026"], ASK),
    (["07:10"], ASK),
    ([], ASK),
])  # fmt: skip
def test_the_form_of_dates_is_that_of_all_cells_or_a_question(cells: list[object], form: str) -> None:
    found, why = date_form_of([cells, ["07:10"]], LATEST)

    assert found == form
    assert ("to be answered" in why) is (form == ASK)


@pytest.mark.parametrize(("cells", "mark"), [
    (["1", "1,5"], ","), (["-6.50", "\u22126.5"], "."), (["1234.567"], "."), (["0.500"], "."), ([1.5, 2], "."),
    (["1.234", "2.345"], ASK), (["1", "2"], ASK), (["1,5", "1.5"], ASK), (["1.234,5"], ASK), (["x"], ASK), ([], ASK),
])  # fmt: skip
def test_the_decimal_mark_is_that_of_all_cells_or_a_question(cells: list[object], mark: str) -> None:
    found, why = decimal_of(cells)

    assert found == mark
    assert ("to be answered" in why) is (mark == ASK)


def test_records_and_readings_make_one_file(tmp_path: Path) -> None:
    """Both proposals one behind the other, and limits between them: every head of the files of the tests is found."""
    records = written(tmp_path, "a.csv", records_file([]) + ";".join(["A-001", *["1,5"] * (len(HEADS) - 1)]))
    readings = written(tmp_path, "d.csv", readings_file(iter([("A-001", 6.5, 0.25)])))
    first, second = (proposal(file, LATEST) for file in (records, readings))
    found = tomllib.loads(f"{first}\n{LIMITS}\n{second}\n")["installed"]
    mapped = tomllib.loads(COLUMNS[COLUMNS.index("[installed]") :])["installed"]

    assert "\n[installed]" not in second
    assert "Decimal mark of this file: , (" in second
    assert found["column"] == mapped["column"]
    assert found["reading"] == mapped["reading"]
    assert "not used" not in first + second


@pytest.mark.parametrize(("heads", "field"), [
    ("Sleeve [m]", "sleeve_length"), ("Sleeve", "sleeve"), ("Casing (cm)", "sleeve_length"), ("Placed [m3]", "volume"),
    ("Placed [m³]", "volume"), ("Placed", None), ("Placed [kg]", None), ("Sleeve [kN/m]", None),
])  # fmt: skip
def test_some_words_are_a_field_beside_its_unit(tmp_path: Path, heads: str, field: str | None) -> None:
    """What was placed may be a date, a sleeve its type: only a unit tells."""
    found = tomllib.loads(proposal(written(tmp_path, "a.csv", f"Id;{heads}\n"), LATEST))["installed"]["column"]

    assert [one["field"] for one in found] == ["id", *([field] if field else [])]


def test_a_question_is_refused_until_it_is_answered(tmp_path: Path) -> None:
    rows = "A-001;02/03/2026;1\nA-002;03/03/2026;\n"
    lines = proposal(written(tmp_path, "a.csv", f"Id;Day;Fill [m3]\n{rows}"), LATEST).splitlines()
    asked = [line.split(" = ")[0] for line in lines if f'"{ASK}"' in line]
    assert asked == ["date_form", "decimal", "time_zone"]

    text = COLUMNS.replace('"day.month.year"', f'"{ASK}"').replace('decimal = ","', f'decimal = "{ASK}"')
    with pytest.raises(InputErrors) as caught:
        planned(tmp_path, more=text.replace('"+01:00"', f'"{ASK}"'))
    assert [one.path for one in caught.value.errors] == [f"installed.{name}" for name in asked]

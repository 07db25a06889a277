"""Parquet files of records and of readings in depth read like their text. All of it is invented."""

import datetime as dt
from decimal import Decimal
from pathlib import Path
from random import Random

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from calc.inputs import InputErrors
from calc.site.installed.mapping_proposal import proposal
from calc.site.installed.record_files import Records, read_records
from calc.site.rows import row_files
from calc.site.rows.row_files import Cells
from tests.site.recorded import written
from tests.site.test_records_read import DEEP, GOOD, HEAD, mapping, read

DAY, ZONE = dt.date(2026, 3, 2), dt.timezone(dt.timedelta(hours=3))
ROW: dict[str, object] = {
    "Column": "A-001-001", "Day": DAY, "Start": dt.time(7, 10), "Toe": -6.5, "Criterion": True, "Fill": 3.2,
    "Slant": 1.5, "Serial": "S1",
}  # fmt: skip


def table(folder: Path, name: str, rows: list[dict[str, object]], **types: pa.DataType) -> Path:
    made = pa.Table.from_pylist(rows)
    for head, kind in types.items():
        made = made.set_column(made.schema.get_field_index(head), head, made[head].cast(kind))
    pq.write_table(made, folder / name)
    return folder / name


def of(folder: Path, rows: list[dict[str, object]], **types: pa.DataType) -> Records:
    return read_records([table(folder, "a.parquet", rows, **types)], mapping())


def test_a_record_reads_like_its_text(tmp_path: Path) -> None:
    text = read(tmp_path, f"{HEAD}\n{GOOD}\n").counted["A-001-001"]
    at = dt.datetime(2026, 3, 2, 9, 10, tzinfo=ZONE)
    plain = of(tmp_path, [ROW])
    zoned = of(tmp_path, [{**ROW, "Start": at}], Start=pa.timestamp("ns", "UTC"))
    exact = of(tmp_path, [{**ROW, "Toe": Decimal("-6.50"), "Fill": "3,20"}])

    assert [found.counted["A-001-001"].values for found in (plain, zoned, exact)] == [text.values] * 3
    assert (plain.counted["A-001-001"].line, plain.refused) == (1, ())


@pytest.mark.parametrize(("change", "why"), [
    ({"Toe": float("nan")}, None), ({"Toe": None}, None), ({"Fill": float("inf")}, "volume"),
    ({"Fill": -1.0}, "volume"), ({"Criterion": 2}, "criterion"), ({"Toe": True}, "toe_level"),
    ({"Toe": [1.0]}, "toe_level"), ({"Column": None}, "id"),
])  # fmt: skip
def test_a_bad_row_is_listed_and_good_ones_are_kept(tmp_path: Path, change: dict[str, object], why: str | None) -> None:
    good = table(tmp_path, "good.parquet", [{**ROW, "Column": "A-001-002"}])
    bad = table(tmp_path, "bad.parquet", [{**ROW, **change}])
    found = read_records([good, bad], mapping())

    assert [(one.line, one.why.split(" (")[0]) for one in found.refused] == ([(1, why)] if why else [])
    assert "A-001-002" in found.counted
    if why is None:
        assert "toe_level" not in found.counted["A-001-001"].values


def test_readings_read_like_their_text_row_by_row_and_at_once(tmp_path: Path) -> None:
    rows: list[dict[str, object]] = [
        {"Column": "A-001-001", "Depth": 600.0, "Placed": 0.0}, {"Column": "A-001-001", "Depth": 500.0, "Placed": 0.5}
    ]  # fmt: skip
    text = read(tmp_path, f"{HEAD}\n{GOOD}\n", f"{DEEP}\nA-001-001;600;0\nA-001-001;500;0,5\n").readings
    records = written(tmp_path, "r.csv", f"{HEAD}\n{GOOD}\n")
    bad: list[dict[str, object]] = [
        {"Column": "A-001-001", "Depth": -5.0, "Placed": 0.7}, {"Column": None, "Depth": 1.0, "Placed": 2.0}
    ]  # fmt: skip
    spoiled = [*rows, *bad]
    whole, partly = (read_records([records, table(tmp_path, "d.parquet", each)], mapping()) for each in (rows, spoiled))

    for found in (whole, partly):
        assert np.array_equal(found.readings.depth, text.depth)
        assert np.array_equal(found.readings.volume, text.volume)
    assert [(one.line, one.why.split(" (")[0]) for one in partly.refused] == [(3, "depth"), (4, "id")]


def test_a_file_that_is_none_is_refused_and_a_mapping_proposed(tmp_path: Path) -> None:
    whole = table(tmp_path, "w.parquet", [{**ROW, "Serial": str(k)} for k in range(1000)])
    content = whole.read_bytes()
    for name, broken in (("a.parquet", b"PAR1"), ("b.parquet", b""), ("c.parquet", b"\0" * 400 + content[400:])):
        (tmp_path / name).write_bytes(broken)
        with pytest.raises(InputErrors, match="be a Parquet file"):
            read_records([tmp_path / name], mapping())

    assert '{ field = "volume", head = "Fill", unit = "m^3" },' in proposal(whole)


def test_a_midnight_is_a_time_by_its_type_and_a_day_is_none(tmp_path: Path) -> None:
    """A column begun at midnight is no day; a date is, and so are timestamps that are all midnights."""
    day, later = (dt.datetime.combine(DAY + dt.timedelta(days=k), dt.time()) for k in (0, 1))
    rows = [{**ROW, "Column": f"A-{k:03d}", "Start": start} for k, start in enumerate((day, later))]
    found = of(tmp_path, [rows[0], {**rows[1], "Start": later.replace(hour=5)}], Start=pa.timestamp("us"))
    alone = of(tmp_path, rows[:1], Start=pa.timestamp("us"))

    assert found.counted["A-000"].values["start"] == found.counted["A-000"].values["date"]
    assert (len(found.counted), found.refused, alone.refused) == (2, (), ())
    one_day = [rows[0], {**rows[1], "Start": day}]
    for kind, some in ((pa.timestamp("us"), rows), (pa.timestamp("us"), one_day), (pa.date32(), rows[:1])):
        with pytest.raises(InputErrors, match="must have a time of the day"):
            of(tmp_path, some, Start=kind)


def test_a_column_of_times_is_read_up_to_the_first_that_is_no_midnight(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its rows come once more with the others; a column of days is made from its first reading, gaps included."""
    monkeypatch.setattr(row_files, "ROWS", 2)
    whole, column = list[int](), row_files._column

    def counted(cells: pa.Array) -> Cells:
        whole.append(len(cells) if pa.types.is_timestamp(cells.type) else 0)
        return column(cells)

    monkeypatch.setattr(row_files, "_column", counted)
    moments = [dt.datetime(2026, 3, 2, 7, 10) + dt.timedelta(days=k) for k in range(6)]  # noqa: DTZ001
    days: list[dt.datetime | None] = [dt.datetime.combine(one, dt.time()) for one in moments]
    days[3] = None
    file = table(tmp_path, "a.parquet", [{"Start": one, "Day": day} for one, day in zip(moments, days, strict=True)])
    portions = [portion.columns() for portion in row_files.open_rows(file, []).portions]

    assert [one for starts, _ in portions for one in starts] == moments
    assert [one for _, own in portions for one in own] == [one and one.date() for one in days]
    # Two of the times before the rows and six with them, six of the days.
    assert sum(whole) == 2 + 6 + 6


def test_a_day_that_is_kept_as_a_midnight_in_a_zone_stays_that_day(tmp_path: Path) -> None:
    rows = [{**ROW, "Column": f"A-{k:03d}", "Day": dt.datetime(2026, 3, 2 + k, tzinfo=ZONE)} for k in range(2)]
    made = table(tmp_path, "a.parquet", rows, Day=pa.timestamp("us", "+03:00"))
    found = read_records([made], mapping(time_zone="-05:00")).counted

    assert [one.values["date"] for one in found.values()] == [20514.0, 20515.0]  # 2026-03-02 is day 20514 from 1970


def test_mutated_files_give_errors_in_words(tmp_path: Path) -> None:
    """Bytes changed, cut and put in: pages of texts that are none, dates out of range, sizes that are not true."""
    chance = Random(3)  # noqa: S311 - invented files, no secret
    good = table(tmp_path, "w.parquet", [{**ROW, "Column": f"A-{k:03d}-001"} for k in range(60)]).read_bytes()
    for _ in range(300):
        content = bytearray(good)
        for _ in range(chance.randrange(1, 6)):
            place = chance.randrange(len(content))
            content[place : place + chance.randrange(3)] = bytes(
                chance.randrange(256) for _ in range(chance.randrange(3))
            )
        (tmp_path / "m.parquet").write_bytes(bytes(content))
        try:
            found = read_records([tmp_path / "m.parquet"], mapping())
        except InputErrors as errors:
            assert "m.parquet" in str(errors)  # noqa: PT017 - either is right
        else:
            assert len(found.counted) + len(found.refused) <= 60

"""Rare records: what is left out, what cannot be known, and the words for it. All of them are invented."""

import datetime as dt
import importlib.util
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import openpyxl
import pypdfium2
import pytest
from click.testing import CliRunner

from calc.cli import main
from calc.inputs.tables.installed import CRITERION, LEVEL
from calc.site.installed import as_built as windows
from calc.site.installed.as_built import as_built
from calc.site.installed.as_built_drawing import drawn_as_built, progress_chart
from calc.site.installed.by_depth import judge_by_depth
from calc.site.installed.design_again import Again, Changed, _pairs, design_again
from calc.site.installed.installed_pages import installed_pages
from calc.site.installed.installed_record import findings_csv
from calc.site.installed.installed_run import Installation, judge_installed
from calc.site.installed.installed_text import section_text
from calc.site.installed.judging import judge
from calc.site.installed.neighbour_times import judge_neighbours
from calc.site.installed.progress_forecast import progress_of
from calc.site.installed.record_files import read_records
from calc.site.plan.column_layout import inside_polygon
from calc.site.plan.plan_drawing import drawing_sheet
from calc.site.plan.write_plan import plan_pages
from calc.site.rows.cell_values import CellWords, moment, numbers
from tests.site.recorded import readings_file, records_file, written
from tests.site.test_as_built import ALONE, SQUARE, Field, compared, exact, field, of
from tests.site.test_plan_told import FOOTPRINT
from tests.site.test_records_read import DEEP, GOOD, HEAD, mapping, read

ZONE = """
[[plan.exclusion]]
name = "Drain"
reason = "in use"
distance = "0.5 m"
corner = [
    { easting = "1005 m", northing = "2010 m" },
    { easting = "1015 m", northing = "2010 m" },
    { easting = "1015 m", northing = "2018 m" },
    { easting = "1005 m", northing = "2018 m" },
]
"""


def limited(one: Field, folder: Path, **limits: object) -> Installation:
    """The records of a field with other limits, judged without the design."""
    design, made, rows = one
    assert design.installed is not None
    assert design.installed.limits is not None
    assert design.plan is not None
    table = design.installed.model_copy(update={"limits": design.installed.limits.model_copy(update=limits)})
    files = [written(folder, "records.csv", records_file(rows)), written(folder, "deep.csv", readings_file(iter(())))]
    return judge_installed(design, design.plan, table, files, lambda _: None, again=False, slip=False, made=made)


def test_a_toe_is_judged_by_the_criterion_or_by_its_level_alone(tmp_path: Path) -> None:
    one = field(tmp_path)
    one[2][5] = replace(one[2][5], criterion="no")
    one[2][6] = replace(one[2][6], toe=one[2][6].toe + 0.4)
    found = {by: {finding.id for item in limited(one, tmp_path, toe_by=by, toe_low=None).items if item.key == "toe"
                  for finding in item.findings} for by in (CRITERION, LEVEL)}  # fmt: skip

    assert found == {CRITERION: {one[2][5].id}, LEVEL: {one[2][6].id}}


def test_an_id_of_an_earlier_plan_and_readings_alone_are_told(tmp_path: Path) -> None:
    one = field(tmp_path)
    own = compared(one, tmp_path, [*one[2][:-1], replace(one[2][-1], id="A-099-001", serial="")])
    gone = replace(own, made=replace(own.made, identity=replace(own.made.identity, removed=("A-099-001",))))
    deep = replace(own.records, readings=replace(own.records.readings, ids=("A-001-002", "A-001-999")))
    items = {item.key: item for item in judge(replace(gone, records=deep))}

    assert [finding.note for finding in items["ids"].findings if finding.id == "A-099-001"] == ["no longer of the plan"]
    assert [finding.note for finding in items["ids"].findings if finding.id == "A-001-999"] == [
        "readings in depth without a record of the column"
    ]
    assert items["serial"].findings == ()


def test_one_limit_by_depth_and_one_record_in_time_are_enough(tmp_path: Path) -> None:
    one = field(tmp_path)
    found = limited(one, tmp_path, depth_most=None)

    assert {finding.open for finding in judge_by_depth(found.compared).findings} == {True}
    assert judge_neighbours(compared(one, tmp_path, one[2][:1])).judged == 1


def test_places_proposed_end_at_their_number_and_keep_out_of_zones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = field(tmp_path, SQUARE, more=ZONE)
    thin = [replace(row, diameter=700.0) for row in exact(one[1], one[2])]
    [grid] = of(one, tmp_path, thin)[1].grids

    assert grid.extras
    assert not [extra for extra in grid.extras if 1004.5 < extra.easting < 1015.5 and 2009.5 < extra.northing < 2018.5]
    monkeypatch.setattr(windows, "MOST_PROPOSED", 1)
    assert len(of(one, tmp_path, thin)[1].grids[0].extras) == 1
    monkeypatch.undo()
    alone = field(tmp_path / "alone", SQUARE, ALONE)
    assert (
        of(alone, tmp_path, [replace(row, diameter=700.0) for row in exact(alone[1], alone[2])])[1].grids[0].extras
        == ()
    )


def test_places_proposed_keep_within_the_footprint(tmp_path: Path) -> None:
    """Corners of cells at the border lie beyond it, where nothing is to be treated."""
    one = field(tmp_path, SQUARE, more=FOOTPRINT)
    thin = [replace(row, diameter=700.0) for row in exact(one[1], one[2])]
    own, built = of(one, tmp_path, thin)
    [part] = own.made.plan.footprint.part[:1] if own.made.plan.footprint else []
    corners = np.array([(corner.easting, corner.northing) for corner in part.corner])
    extras = np.array([(extra.easting, extra.northing) for grid in built.grids for extra in grid.extras])

    assert len(extras)
    assert inside_polygon(corners, *extras.T)[0].all()


def test_sheets_as_built_are_numbered_through_all_sheets_of_the_plan(tmp_path: Path) -> None:
    """A wide field of two sheets, of which only the last has columns that are installed."""
    one = field(tmp_path, ('chainage = "0+000 to 0+040"', 'chainage = "0+000 to 0+100"'))
    last = [row for row in one[2] if one[1].layout.columns.chainage[one[1].identity.ids.index(row.id)] > 95]
    drawn = drawn_as_built(limited((one[0], one[1], last), tmp_path))
    of_plan, count = plan_pages(one[0], one[1]).drawn.cuts, len(drawn.cuts)

    assert count > 1
    assert [cut.number for cut in drawn.shown] == [count]
    assert f"sheet {count} of {count}, " in drawing_sheet(drawn, drawn.shown[0]).svg()
    # The same part of the field has the same number on the plan, however long the letters are.
    assert [(cut.number, cut.begins, cut.left, cut.scale) for cut in drawn.cuts] == [
        (cut.number, cut.begins, cut.left, cut.scale) for cut in of_plan
    ]


def test_pages_show_proposals_and_what_was_not_calculated(tmp_path: Path) -> None:
    one = field(tmp_path, SQUARE)
    thin = [replace(row, diameter=700.0) for row in exact(one[1], one[2])]
    found = limited((one[0], one[1], [*thin, replace(thin[0], id="=A1", serial="")]), tmp_path)
    whole = replace(found, again=(Again("A", (), 0.0, 0.0, why_not="as planned"),))
    pages = installed_pages(whole)

    text = "".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pages))
    assert "as planned" in text
    assert f"proposal {sum(len(grid.extras) for grid in found.built.grids)}" in text
    assert b"'=A1,ids" in findings_csv(found)
    assert whole.outcome == "fail"


def test_what_the_design_as_built_says_is_in_words() -> None:
    passing = Changed("A", "Bearing", "toe", "not verified", "pass", None, 0.9)
    again = Again("A", (), 0.0, 0.0)

    assert "no verdict changes" in section_text(again)
    assert section_text(replace(again, changed=(passing,))) == "1 verdicts change, none fails that did not."
    failing = replace(again, changed=(replace(passing, after="fail"),))
    opened = replace(again, changed=(replace(passing, before="pass", after="not verified"),))
    assert section_text(failing) == "FAILS as built: Bearing: toe."
    assert section_text(opened) == "NO LONGER VERIFIED as built: Bearing: toe."
    assert (
        section_text(replace(again, why_not="As planned.", unsettled=("A toe.",))) == "As planned. Not covered: A toe."
    )
    assert [(one.turns, one.open) for one in (again, replace(again, changed=(passing,)), failing, opened)] == [
        (False, False),
        (False, False),
        (True, False),
        (False, True),
    ]
    many = replace(again, changed=tuple(replace(passing, title=str(k), after="fail") for k in range(10)))
    assert section_text(many).endswith("Bearing: 7 (+2).")


def test_a_verdict_that_is_there_in_one_run_only_is_told() -> None:
    def run(*keys: str) -> SimpleNamespace:
        part = SimpleNamespace(section=SimpleNamespace(key="A", of="A"))
        verdicts = [(part, SimpleNamespace(key="bearing", title="B"),
                     SimpleNamespace(key=key, title=key, stamp="pass", utilisation=0.5)) for key in keys]  # fmt: skip
        return SimpleNamespace(verdicts=lambda: verdicts)

    pairs = _pairs(run("toe", "old"), run("toe", "new"), "A")  # type: ignore[arg-type]
    found = [(one.change.title, one.change.before, one.change.after) for one in pairs]

    assert found == [("toe", "pass", "pass"), ("new", "not there", "pass"), ("old", "pass", "not there")]
    assert _pairs(run("toe"), run("toe"), "B") == []  # type: ignore[arg-type]


def test_what_cannot_be_calculated_again_is_open(tmp_path: Path) -> None:
    alone, rows = field(tmp_path, ALONE), field(tmp_path)[2]
    own, built = of(alone, tmp_path, [row for row in rows if row.id != "A-005-010"])
    [gap] = design_again(alone[0], own, built, (), lambda _: None, slip=False)
    stranger = compared(alone, tmp_path, [replace(rows[0], id="A-099-099")])
    few = compared(alone, tmp_path, [replace(rows[0], toe=alone[1].listed.columns[0].toe)], finished=())
    none = replace(as_built(alone[0], few), grids=())
    [unknown] = design_again(alone[0], few, none, (), lambda _: None, slip=False)

    assert ("no grid stands for it" in gap.why_not, gap.open) == (True, True)
    assert design_again(alone[0], stranger, built, (), lambda _: None, slip=False) == ()
    assert ("not known" in unknown.why_not, unknown.open) == (True, True)


def test_a_toe_that_met_the_criterion_higher_up_is_embedded_there(tmp_path: Path) -> None:
    one = field(tmp_path)
    rows = exact(one[1], one[2])
    own, built = of(one, tmp_path, [replace(rows[0], toe=rows[0].toe + 0.4), *rows[1:]])
    [met] = design_again(one[0], own, built, (), lambda _: None, slip=False)

    assert "nothing to calculate again" in met.why_not


def test_progress_without_days_or_with_few_columns_has_no_forecast(tmp_path: Path) -> None:
    one = field(tmp_path)
    own = compared(one, tmp_path, one[2][:30])
    times = {"start", "end", "date"}
    records = (one and replace(one, values={name: value for name, value in one.values.items() if name not in times})
               for one in own.own)  # fmt: skip
    undated = replace(own, own=tuple(records))
    slow = [replace(row, day=dt.date(1991, 1, 1) + dt.timedelta(days=12_000 * k)) for k, row in enumerate(one[2][:2])]

    assert "No record has a day" in progress_of(undated).why_not
    assert progress_of(undated).undated == 30
    assert "century" in progress_of(compared(one, tmp_path, slow, forecast_days=12_001)).why_not


def test_a_chart_of_many_days_leaves_every_second_date_out(tmp_path: Path) -> None:
    one = field(tmp_path)
    rows = [replace(row, day=row.day + dt.timedelta(days=k)) for k, row in enumerate(one[2][:50])]
    work = progress_of(compared(one, tmp_path, rows))
    svg = "".join(progress_chart(work).parts)

    shown = [f"{day:%m-%d}" in svg for day in work.counts]
    assert shown == [k % 2 == 0 for k in range(50)]


def test_a_file_damaged_far_down_and_cells_beyond_the_head(tmp_path: Path) -> None:
    (tmp_path / "far.csv").write_bytes(f"{HEAD}\n{GOOD}\n".encode() * 1 + f"{GOOD}\n".encode() * 2000 + b"\xff\n")
    with pytest.raises(ValueError, match="saved as UTF-8"):
        read_records([tmp_path / "far.csv"], mapping())
    assert list(read(tmp_path, f"{HEAD}\n{GOOD};;\n").counted) == ["A-001-001"]
    empty = f"{DEEP}\n;;\n\n"
    assert len(read(tmp_path, f"{HEAD}\n{GOOD}\n", empty, f"{DEEP}\nA;x;1\n").readings.of) == 0


def test_records_without_times_are_told_apart_by_their_file(tmp_path: Path) -> None:
    column = tuple(one for one in mapping().column if one.field_name not in {"date", "start"})
    other = GOOD.replace("3,20", "3,30")
    same = read(tmp_path, f"{HEAD}\n{GOOD}\n{other}\n", column=column)
    later = read(tmp_path, f"{HEAD}\n{GOOD}\n", f"{HEAD}\n{other}\n", column=column)

    assert [[one.twice for one in found.again] for found in (same, later)] == [[True], [False]]


def test_readings_of_a_workbook_and_days_of_a_calendar(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (DEEP.split(";"), ["A-001-001", 600, 0], ["A-001-001", 500, 0.5]):
        sheet.append(row)
    book.save(tmp_path / "deep.xlsx")
    records = written(tmp_path, "records.csv", f"{HEAD}\n{GOOD}\n{GOOD.replace('07:10', '02.03.2026 07:10+15:00')}\n")
    found = read_records([records, tmp_path / "deep.xlsx"], mapping())
    assert found.readings.volume.tolist() == [0.0, 0.5]
    assert [("no such day" in one.why) for one in found.refused] == [True]
    words = CellWords(",", "day.month.year", "+01:00")
    assert moment("date", dt.date(2026, 3, 2), words) == moment("date", "02.03.2026", words)
    with pytest.raises(ValueError, match="time of the day"):
        moment("start", dt.date(2026, 3, 2), words, clock=True)
    plain = numbers(("1,0", "2"), ",")
    assert plain is not None
    assert plain.tolist() == [1.0, 2.0]


def test_packages_that_are_missing_are_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one = field(tmp_path)
    records = written(tmp_path, "records.csv", records_file(one[2]))
    (tmp_path / "a.xlsx").write_bytes(b"")
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    (tmp_path / "a.parquet").write_bytes(b"")
    workbook = CliRunner().invoke(main, ["installed", str(tmp_path), str(tmp_path / "a.xlsx")])
    columns = CliRunner().invoke(main, ["installed", str(tmp_path), str(tmp_path / "a.parquet")])
    monkeypatch.setitem(sys.modules, "calc.site.installed.installed_run", None)
    plain = CliRunner().invoke(main, ["installed", str(tmp_path), str(records)])

    assert (workbook.exit_code, "[site,export]" in workbook.output) == (5, True)
    assert (columns.exit_code, "[site,parquet]" in columns.output) == (5, True)
    assert (plain.exit_code, "[site]" in plain.output) == (5, True)

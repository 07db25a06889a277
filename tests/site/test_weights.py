"""What is serious stands before what is many, on the terminal, in the list and on the page."""

from dataclasses import replace
from pathlib import Path

import pypdfium2

from calc.site.installed.installed_pages import installed_pages
from calc.site.installed.installed_record import findings_csv
from calc.site.installed.installed_run import Installation, judge_installed
from calc.site.installed.installed_text import installed_text
from calc.site.installed.judging import HOURS, METRE, Finding
from calc.site.installed.weights import BY_WEIGHT, MANY, Group, by_weight, findings_in_groups
from calc.site.plan.write_plan import make_plan
from tests.site.planned import planned
from tests.site.recorded import COLUMNS, LIMITS, faultless, records_file, written

SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+010"')


def soon(count: int, item: str = "neighbours") -> list[Finding]:
    return [Finding(f"A-{k:03d}", item, k / 240, 0.5, HOURS, "after") for k in range(count)]


def test_the_serious_come_first_and_the_farthest_of_them() -> None:
    toes = [Finding("B-001", "toe", -6.0, -6.1, METRE), Finding("B-002", "toe", -5.0, -6.1, METRE)]
    gaps = [Finding("A-900", "toe", note="not recorded", open=True), Finding("Z-001", "ids", note="missing")]
    found = by_weight([*soon(3), *gaps, *toes])

    assert [one.id for one in found] == ["Z-001", "B-002", "B-001", "A-900", "A-000", "A-001", "A-002"]


def test_many_light_ones_are_one_line_and_many_serious_ones_are_not() -> None:
    few, many = soon(MANY), soon(MANY + 1)
    toes = [Finding(f"B-{k:03d}", "toe", -5.0, -6.1, METRE) for k in range(40)]
    gaps = [replace(one, value=None, limit=None, note="not recorded", open=True) for one in toes]

    assert list(findings_in_groups(by_weight(few))) == few
    assert len(list(findings_in_groups(by_weight(toes)))) == 40
    (group,) = findings_in_groups(by_weight(many))
    assert isinstance(group, Group)
    assert group.text == "11 on 11 columns, the farthest 0.0 h at A-000, limit 12.0 h"
    (gap,) = findings_in_groups(by_weight(gaps))
    assert isinstance(gap, Group)
    assert gap.text == "not recorded on 40 columns"
    (mixed,) = findings_in_groups(by_weight([replace(gaps[0], note="another"), *gaps[1:]]))
    assert isinstance(mixed, Group)
    assert mixed.text == "40 on 40 columns"


def judged(folder: Path) -> Installation:
    """Every column starts one minute after the one before, and one toe is a metre high."""
    design = planned(folder, SHORT, more=COLUMNS + LIMITS)
    assert design.plan is not None
    assert design.installed is not None
    rows = faultless(make_plan(design, design.plan).listed.columns)
    rows = [replace(row, start=f"07:{k % 60:02d}", end=f"07:{k % 60:02d}", rig=f"R{k}") for k, row in enumerate(rows)]
    rows[9] = replace(rows[9], toe=rows[9].toe + 1.0, criterion="no")
    file = written(folder, "records.csv", records_file(rows))
    return judge_installed(design, design.plan, design.installed, [file], lambda _: None, again=False, slip=False)


def test_one_high_toe_stands_before_a_hundred_neighbours(tmp_path: Path) -> None:
    found = judged(tmp_path)
    neighbours = [one for one in found.findings if one.item == "neighbours"]
    assert {item.key for item in found.items} <= set(BY_WEIGHT)
    assert len(neighbours) > MANY

    line = next(line for line in installed_text(found).split("\n") if line.startswith("Non-conformities"))
    assert line.index("Toe 1") < line.index("Time between neighbours")
    assert f"{len(neighbours)} on " in line
    rows = [row for row in findings_csv(found).decode().splitlines()[3:] if ",toe," in row or ",neighbours," in row]
    assert [",toe," in row for row in rows] == [True] + [False] * len(neighbours)
    text = pypdfium2.PdfDocument(installed_pages(found))[0].get_textpage().get_text_range()
    assert text.startswith("Test: columns as built") or "Installation records" in text
    assert text.count("after A-") == 0
    assert "toe too high" in text
    assert "all in the CSV file" in text

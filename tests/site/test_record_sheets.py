"""Sheets of records: one page a column with what was found of it, those that are asked for, side by side or alone."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from math import hypot, pi
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from calc.cli import main
from calc.site.installed import record_sheets
from calc.site.installed.installed_run import Installation, judge_installed
from calc.site.installed.record_sheets import RecordSheets, record_sheet_files
from calc.site.installed.sheet_choice import UnknownColumnError, chosen_columns
from calc.site.plan.write_plan import make_plan
from tests.site.planned import planned
from tests.site.recorded import COLUMNS, LIMITS, Row, changed, faultless, readings, readings_file, records_file, written

SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+010"')
LEANING, BARE, HIGH = 4, 6, 8


def faulty(rows: list[Row]) -> list[Row]:
    changes: dict[int, dict[str, object]] = {
        LEANING: {"slant_x": 5.0}, BARE: {"sleeve": "<b>x</b>"}, HIGH: {"toe": rows[HIGH].toe + 0.35, "criterion": "no"}
    }  # fmt: skip
    return changed(rows, changes)


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Installation:
    """A small field with a leaning column and one without readings."""
    folder = tmp_path_factory.mktemp("field")
    design = planned(folder, SHORT, more=COLUMNS + LIMITS)
    assert design.plan is not None
    assert design.installed is not None
    made = make_plan(design, design.plan)
    rows = faulty(faultless(made.listed.columns))
    deep = (one for one in readings(made.listed.columns, rows) if one[0] != rows[BARE].id)
    files = [written(folder, "records.csv", records_file(rows)), written(folder, "deep.csv", readings_file(deep))]
    return judge_installed(design, design.plan, design.installed, files, lambda _: None, again=False, slip=False)


def names(found: Installation) -> list[str]:
    return sorted(found.compared.ids)


def test_columns_are_chosen_by_what_was_found_or_by_their_ids(found: Installation) -> None:
    every = names(found)
    ids = found.compared.ids

    assert [ids[k] for k in chosen_columns(found, "all")] == every
    assert [ids[k] for k in chosen_columns(found, "failing")] == sorted([every[LEANING], every[BARE], every[HIGH]])
    assert [ids[k] for k in chosen_columns(found, f"{every[3]} , {every[1]}")] == [every[1], every[3]]
    with pytest.raises(UnknownColumnError, match=r"no record: A-099-001\)"):
        chosen_columns(found, f"A-099-001,{every[0]}")


def test_a_sheet_says_of_every_item_what_was_planned_recorded_and_found(found: Installation) -> None:
    sheets, every = RecordSheets(found), names(found)
    leaning, bare = (sheets.sheet(found.compared.ids.index(every[k])) for k in (LEANING, BARE))
    lines = {line.title: line for line in leaning.lines}

    assert {title: line.state for title, line in lines.items() if line.fails} == {"Inclination": "does not conform"}
    assert {line.state for line in leaning.lines if not line.fails} == {"conforms"}
    assert leaning.lines[0].limits == ""
    assert (lines["Diameter"].planned, lines["Diameter"].limits) == (
        "0.800 m", "at least 0.76 m, at most 0.88 m"
    )  # fmt: skip
    assert lines["Inclination"].limits == "at most 0.04 m/m"
    assert [row[0] for row in leaning.findings] == ["Inclination"]
    assert (bool(leaning.chart), leaning.why_no_chart) == (True, "")
    assert (bare.chart, bare.why_no_chart) == ("", "No readings in depth that can be compared.")
    assert {line.title: line.state for line in bare.lines}["Fill by depth over the theoretical one"] == "not recorded"


def test_a_sheet_says_how_far_a_column_stands_off_and_what_its_worst_parts_are(found: Installation) -> None:
    """Evenly filled to the record's volume: every part has the ratio of the whole column, but for rounded readings."""
    k = found.compared.ids.index(names(found)[LEANING])
    plan, own = found.compared.made.columns[k], found.compared.own[k]
    assert own is not None
    lines = {line.title: line for line in RecordSheets(found).sheet(k).lines}
    away = hypot(own.values["easting"] - plan.easting, own.values["northing"] - plan.northing)
    text = lines["Fill by depth over the theoretical one"].built
    least, most = (float(one) for one in re.findall(r"(?:least|most) ([0-9.]+) at [0-9.]+ to [0-9.]+ m depth", text))
    whole = own.values["volume"] / (pi * plan.diameter**2 / 4 * (plan.head - own.values["toe_level"]))

    assert lines["Position"].built.endswith(f"; {away:.3f} m from the plan")
    assert 0 < away < 0.05
    assert least <= most
    assert [least, most] == pytest.approx([whole, whole], rel=0.03)


def test_a_length_that_its_toe_excuses_is_judged_with_the_toe(found: Installation) -> None:
    """Short by 0.35 m where 0.10 m are allowed, and listed for its toe; the other columns keep the limit."""
    for place, toe, length in ((HIGH, "does not conform", "judged with the toe"), (LEANING, "conforms", "conforms")):
        sheet = RecordSheets(found).sheet(found.compared.ids.index(names(found)[place]))
        states = {line.title: line.state for line in sheet.lines}
        assert (states["Toe"], states["Length"]) == (toe, length)


def test_a_page_has_a_true_minus_and_no_name_of_a_field(found: Installation) -> None:
    text = RecordSheets(found).html([found.compared.ids.index(names(found)[HIGH])])

    assert "−6." in text
    assert ">-6." not in text
    assert "_least" not in text


def test_values_that_are_not_recorded_leave_their_places_empty(found: Installation) -> None:
    one, k = found.compared, 0
    own = one.own[k]
    assert own is not None
    few = replace(own, values={"id": own.id, "date": own.values["date"]})
    own = replace(few, values={"id": few.id})
    for record, start in ((few, "2026-03-02"), (own, "not recorded")):
        other = replace(found, compared=replace(one, own=(record, *one.own[1:])))
        sheet = RecordSheets(other).sheet(k)
        assert {line.built for line in sheet.lines} == {""}
        assert dict(sheet.facts)["Start"] == start
        assert sheet.why_no_chart


def test_sheets_are_the_same_side_by_side_and_alone(found: Installation, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(record_sheets, "BATCH", 2)
    chosen = chosen_columns(found, "all")[:3]
    handed: list[int] = []

    def beside(work: Callable[[str], bytes], on: Sequence[str], begin: Callable[[], None], /) -> dict[int, bytes]:
        begin()
        handed.append(len(on))
        return {0: work(on[0])}  # the second one failed there, and is made here

    alone, both = record_sheet_files(found, chosen, None), record_sheet_files(found, chosen, beside)

    assert list(alone) == ["record-sheets-001.pdf", "record-sheets-002.pdf"]
    assert (both, handed) == (alone, [2])
    pages = [
        page.get_textpage().get_text_range() for content in alone.values() for page in pypdfium2.PdfDocument(content)
    ]
    assert [name in page for name, page in zip(names(found), pages, strict=False)] == [True] * 3
    assert len(pages) == 3, "a page a column"


def test_the_command_writes_sheets_and_names_ids_without_a_record(found: Installation, tmp_path: Path) -> None:
    planned(tmp_path, SHORT, more=COLUMNS + LIMITS)
    rows = faulty(faultless(found.compared.made.listed.columns))
    file = str(written(tmp_path, "records.csv", records_file(rows)))

    def run(words: str) -> tuple[int, str]:
        made = CliRunner().invoke(main, ["installed", str(tmp_path), file, "--no-design", "--sheets", words, "--out",
                                         str(tmp_path / "out")])  # fmt: skip
        return made.exit_code, made.output

    wrong = run("A-099-001")
    assert (wrong[0], "no record: A-099-001" in wrong[1], (tmp_path / "out").exists()) == (2, True, False)
    assert run(rows[BARE].id)[0] == 1
    text = pypdfium2.PdfDocument(tmp_path / "out" / "record-sheets-001.pdf")[0].get_textpage().get_text_range()
    assert "<b>x</b>" in text


def test_an_item_that_was_not_judged_says_why(found: Installation) -> None:
    other = replace(found, items=tuple(replace(item, why_not="no limit") for item in found.items))
    sheet = RecordSheets(other).sheet(found.compared.ids.index(names(found)[LEANING]))

    assert {line.state for line in sheet.lines} == {"not judged: no limit", "does not conform"}

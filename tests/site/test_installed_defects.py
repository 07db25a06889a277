"""Installation records with one fault each; the records are invented, the limits those of the tests."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from calc.inputs import Design
from calc.site.installed.by_depth import judge_by_depth
from calc.site.installed.judging import Finding, Item, _unknown, judge
from calc.site.installed.neighbour_times import judge_neighbours, judge_sequence
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import Compared, compare
from calc.site.installed.weights import by_weight
from calc.site.plan.write_plan import MadePlan, make_plan
from tests.site.planned import planned
from tests.site.recorded import COLUMNS, LIMITS, Row, faultless, readings, readings_file, records_file, written

Field = tuple[Design, MadePlan, list[Row]]


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Field:
    """A small field, and a record without a fault for each of its columns."""
    end = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+016"')
    design = planned(tmp_path_factory.mktemp("field"), end, more=COLUMNS + LIMITS)
    assert design.plan is not None
    made = make_plan(design, design.plan)
    return design, made, faultless(made.listed.columns)


def compared(field: Field, folder: Path, rows: list[Row], deep: str | None = None) -> Compared:
    design, made, _ = field
    text = readings_file(readings(made.listed.columns, rows)) if deep is None else deep
    files = [written(folder, "records.csv", records_file(rows)), written(folder, "depth.csv", text)]
    assert design.installed is not None
    return compare(made, design.installed, read_records(files, design.installed))


def items(one: Compared) -> tuple[Item, ...]:
    return (*judge(one), judge_by_depth(one), judge_neighbours(one), judge_sequence(one))


def all_findings(found: tuple[Item, ...]) -> tuple[Finding, ...]:
    return by_weight([one for item in found for one in item.findings])


def findings(field: Field, folder: Path, rows: list[Row], deep: str | None = None) -> tuple[Finding, ...]:
    return all_findings(items(compared(field, folder, rows, deep)))


def at(rows: list[Row], k: int, **changes: object) -> list[Row]:
    return [replace(row, **changes) if place == k else row for place, row in enumerate(rows)]  # type: ignore[arg-type]


def test_a_field_without_a_fault_has_no_non_conformity(field: Field, tmp_path: Path) -> None:
    found = items(compared(field, tmp_path, field[2]))

    assert all_findings(found) == ()
    assert {item.why_not for item in found} == {""}
    assert {item.judged for item in found} == {len(field[2])}


Fault = Callable[[list[Row]], list[Row]]
FAULTS: dict[str, tuple[Fault, str, str]] = {
    "beside its place": (lambda rows: at(rows, 5, easting=rows[5].easting + 0.2), "position", "above"),
    "leaning": (lambda rows: at(rows, 5, slant_x=3.0, slant_y=3.0), "inclination", "above"),
    "toe high without the criterion": (lambda rows: at(rows, 5, toe=rows[5].toe + 0.3, criterion="no"), "toe",
                                       "toe too high"),
    "toe low": (lambda rows: at(rows, 5, toe=rows[5].toe - 1.5, volume=rows[5].volume + 0.8), "toe_low", "below"),
    "thin": (lambda rows: at(rows, 5, diameter=700.0), "diameter", "below"),
    "thick": (lambda rows: at(rows, 5, diameter=950.0), "diameter", "above"),
    "too little fill": (lambda rows: at(rows, 5, volume=0.8 * rows[5].volume), "volume", "below"),
    "too much fill": (lambda rows: at(rows, 5, volume=1.4 * rows[5].volume), "volume", "above"),
    "another diameter": (lambda rows: at(rows, 5, sleeve=f"{rows[5].sleeve} D 900 mm"), "sleeve", "instead of"),
    "another sleeve": (lambda rows: at(rows, 5, sleeve="Another 100 kN/m"), "sleeve", "instead of"),
    "a serial number again": (lambda rows: at(rows, 5, serial=rows[4].serial), "serial", "was used for"),
    "ends before it starts": (lambda rows: at(rows, 5, end="05:00"), "times", "ends before"),
    "too long a time": (lambda rows: at(rows, 5, end="23:00"), "duration", "above"),
    "a rig at two columns": (lambda rows: at(rows, 5, start="07:52"), "sequence", "was at"),
    "an end on another day": (lambda rows: at(rows, 5, end=f"{rows[5].day:%d.%m.%Y} 18:00"), "sequence", "was at"),
    "interrupted": (lambda rows: at(rows, 5, stop="20"), "interruption", "above"),
    "too soon after a neighbour": (lambda rows: at(rows, 5, start=rows[4].start), "neighbours", "after"),
    "an id that the plan has not": (lambda rows: [*rows, replace(rows[5], id="A-001-9O1", serial="S-X")], "ids",
                                    "nearest to its place: "),
    "an id for two columns": (lambda rows: [*rows, replace(rows[5], day=rows[5].day + timedelta(days=1))], "ids",
                              "used for two columns"),
    "a column without a record": (lambda rows: [row for row in rows if row.id != "A-006-003"], "ids", "no record"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_found(field: Field, tmp_path: Path, fault: str) -> None:
    spoil, item, note = FAULTS[fault]
    found = findings(field, tmp_path, spoil(field[2]))

    assert [one for one in found if one.item == item and note in one.note], found
    assert len({one.id for one in found}) == 1, "no other column is touched"


def test_a_missing_column_whose_row_was_refused_is_told_with_that_row(field: Field, tmp_path: Path) -> None:
    """A slip in the end of the record makes no column of it; without its row it is missing without a word of one."""
    row = field[2][20]
    bad = [replace(one, end="25:61") if one is row else one for one in field[2]]
    without, deep = [one for one in field[2] if one is not row], readings_file(iter(()))
    for rows, note, line in ((bad, "its row was refused", 22), (without, "", 0)):
        own = [each for item in judge(compared(field, tmp_path, rows, deep)) for each in item.findings]
        (found,) = [each for each in own if each.item == "ids" and each.id == row.id]
        assert note in found.note
        assert (found.line, "refused" in found.note) == (line, bool(note))


def test_an_unknown_id_is_told_by_its_place_and_without_one_by_its_spelling(field: Field, tmp_path: Path) -> None:
    """A place 0.10 m north of a column is nearest to that one, whatever its id is spelt like."""
    column, like = field[1].columns[40], field[2][5].id
    moved = replace(field[2][40], id=f"{like}1", easting=column.easting, northing=column.northing + 0.1, serial="S-X")
    one = compared(field, tmp_path, [*field[2], moved])
    [note] = [found.note for found in all_findings(items(one)) if found.id == moved.id]
    record = one.records.counted[moved.id]
    bare = [replace(record, values={"id": name}) for name in (moved.id, "of another site")]

    assert note == f"not of the plan (nearest to its place: {column.id}, 0.100 m)"
    assert _unknown(one, bare) == [f"not of the plan (near: {like})", "not of the plan"]


def test_a_sleeve_may_be_named_as_its_label_names_it(field: Field, tmp_path: Path) -> None:
    rows = at(field[2], 5, sleeve=f"{field[2][5].sleeve} D 800 mm")

    assert findings(field, tmp_path, rows) == ()


def test_a_toe_is_accepted_by_the_criterion_where_either_will_do(field: Field, tmp_path: Path) -> None:
    rows = at(field[2], 5, toe=field[2][5].toe + 0.15)  # 0.05 m lower than the plan at most before
    found = findings(field, tmp_path, rows)

    assert [one for one in found if one.item == "toe"] == []


def spoiled(field: Field, k: int, part: Callable[[float, float], float]) -> str:
    """Readings whose volume is changed for one column by depth."""
    name = field[2][k].id
    return readings_file((one, depth, part(depth, volume) if one == name else volume)
                         for one, depth, volume in readings(field[1].listed.columns, field[2]))  # fmt: skip


def test_necking_and_loss_are_found_by_depth(field: Field, tmp_path: Path) -> None:
    """Half of the fill is missing from 3 to 4.5 m, and is placed again above."""
    necked = findings(field, tmp_path, field[2], spoiled(field, 7, lambda z, v: v - min(max(4.5 - z, 0), 1.5) * 0.3))
    lost = findings(field, tmp_path, field[2], spoiled(field, 7, lambda z, v: v + min(max(4.5 - z, 0), 1.5) * 0.6))

    assert [(one.item, one.note.split(" from")[0]) for one in necked] == [("depth", "necking")]
    assert [(one.item, one.note.split(" from")[0]) for one in lost] == [("depth", "loss of fill")]


def test_readings_that_end_too_low_are_not_taken_for_the_whole(field: Field, tmp_path: Path) -> None:
    name = field[2][7].id
    cut = readings_file(one for one in readings(field[1].listed.columns, field[2]) if one[0] != name or one[1] > 3)
    found = findings(field, tmp_path, field[2], cut)

    assert [(one.id, one.item, one.open) for one in found] == [(name, "depth", True)]


def test_without_limits_nothing_is_judged_and_that_is_said(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2])
    bare = replace(one, installed=one.installed.model_copy(update={"limits": None}))
    found = {item.key: item for item in items(bare)}

    asked = set(found) - {"ids", "plausible", "sleeve", "sleeve_length", "serial", "times", "sequence"}
    assert {key for key in asked if "no limit" not in found[key].why_not} == set()
    assert all(found[key].judged == 0 for key in asked)


def test_a_field_that_the_mapping_has_not_is_not_judged(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2])
    column = tuple(column for column in one.installed.column if column.field_name == "id")
    bare = replace(one, installed=one.installed.model_copy(update={"column": column, "reading": ()}))

    assert {item.key for item in items(bare) if not item.why_not} == {"ids"}


def test_a_record_that_does_not_say_what_is_asked_does_not_conform(field: Field, tmp_path: Path) -> None:
    text = records_file(field[2]).replace(f";{field[2][5].diameter:.0f};", ";;", 1)
    design, made, rows = field
    assert design.installed is not None
    files = [written(tmp_path, "records.csv", text),
             written(tmp_path, "depth.csv", readings_file(readings(made.listed.columns, rows)))]  # fmt: skip
    found = all_findings(items(compare(made, design.installed, read_records(files, design.installed))))

    assert [(one.item, one.note, one.open) for one in found] == [("diameter", "not recorded", True)]

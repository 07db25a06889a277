"""What a record may not pass by: slips, toes met anywhere, grids and values that are not there."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from calc.chain import CalculationError, run_checks
from calc.inputs import Design, read_design
from calc.inputs.tables.columns import Floating
from calc.inputs.tables.installed import CRITERION, EITHER, LEVEL
from calc.site.installed import as_built as windows
from calc.site.installed import design_again as redesign
from calc.site.installed.as_built import as_built
from calc.site.installed.by_depth import judge_by_depth, parts_of
from calc.site.installed.design_again import design_again
from calc.site.installed.installed_run import Installation
from calc.site.installed.installed_text import area_text, decide_text
from calc.site.installed.judging import Finding, Item, judge
from calc.site.installed.progress_forecast import progress_of
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import Compared, compare
from calc.site.plan.write_plan import MadePlan, make_plan
from tests.site.invented_records import PROJECT
from tests.site.planned import planned
from tests.site.recorded import COLUMNS, LIMITS, Row, faultless, readings, readings_file, records_file, written
from tests.site.test_as_built import exact

Field = tuple[Design, MadePlan, list[Row]]
AT = 20


@pytest.fixture(scope="module")
def field(tmp_path_factory: pytest.TempPathFactory) -> Field:
    """A small field, and a record at its place for each of its columns."""
    end = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+016"')
    design = planned(tmp_path_factory.mktemp("field"), end, more=COLUMNS + LIMITS)
    assert design.plan is not None
    made = make_plan(design, design.plan)
    return design, made, exact(made, faultless(made.listed.columns))


def compared(field: Field, folder: Path, rows: list[Row], deep: str | None = None, **limits: object) -> Compared:
    design, made, _ = field
    assert design.installed is not None
    assert design.installed.limits is not None
    table = design.installed.model_copy(update={"limits": design.installed.limits.model_copy(update=limits)})
    text = readings_file(readings(made.listed.columns, rows)) if deep is None else deep
    files = [written(folder, "records.csv", records_file(rows)), written(folder, "depth.csv", text)]
    return compare(made, table, read_records(files, table))


def at(rows: list[Row], **changes: object) -> list[Row]:
    return [replace(row, **changes) if k == AT else row for k, row in enumerate(rows)]  # type: ignore[arg-type]


def without(one: Compared, *names: str) -> Compared:
    """The same without some fields in the mapping and in the records."""
    column = tuple(each for each in one.installed.column if each.field_name not in names)
    own = tuple(each and replace(each, values={key: value for key, value in each.values.items() if key not in names})
                for each in one.own)  # fmt: skip
    return replace(one, installed=one.installed.model_copy(update={"column": column}), own=own)


def item(one: Compared, key: str) -> Item:
    return next(each for each in (*judge(one), judge_by_depth(one)) if each.key == key)


def told(found: tuple[Finding, ...]) -> list[tuple[str, str, bool]]:
    return [(each.id, each.note, each.open) for each in found]


SLIPS: dict[str, Callable[[Row], dict[str, object]]] = {
    "a toe without its decimal mark": lambda row: {"toe": 100 * row.toe},
    "a toe above the head": lambda _: {"toe": 5.0},
    "a diameter in another unit": lambda row: {"diameter": 10 * row.diameter},
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_one_record_is_told_and_changes_no_other_judgement(field: Field, tmp_path: Path, slip: str) -> None:
    rows = field[2]
    wrong = at(rows, **SLIPS[slip](rows[AT]))
    one, good = compared(field, tmp_path, wrong, readings_file(readings(field[1].listed.columns, rows))), compared(
        field, tmp_path, rows)  # fmt: skip
    built = as_built(field[0], one)
    [again] = design_again(field[0], one, built, (), lambda _: None, slip=False)

    assert [each.id for each in item(one, "plausible").findings] == [rows[AT].id]
    assert {each.id for key in ("toe", "toe_low", "length", "diameter", "volume", "depth")
            for each in item(one, key).findings} <= {rows[AT].id}  # fmt: skip
    assert (again.deeper_toe, again.higher_toe, again.why_not != "") == (0.0, 0.0, True)
    assert any("not plausible" in text and rows[AT].id in text for text in again.unsettled)
    assert built.grids[0].least == pytest.approx(as_built(field[0], good).grids[0].least)


def test_a_depth_that_no_column_has_is_told_and_its_reading_left_out(field: Field, tmp_path: Path) -> None:
    """A depth of 20 km stood between the columns in the one array that all parts are looked up in."""
    rows, name = field[2], field[2][AT].id
    deep = list(readings(field[1].listed.columns, rows))
    spoiled = [*deep[:30], (deep[30][0], 20_000.0, 0.0), *deep[30:]]
    found = item(compared(field, tmp_path, rows, readings_file(iter(spoiled))), "depth")

    assert [(each.id, "not plausible" in each.note) for each in found.findings] == [(deep[30][0], True)]
    assert (found.judged, name != deep[30][0]) == (len(rows), True)


def test_a_neck_in_coarse_readings_is_not_evened_out(field: Field, tmp_path: Path) -> None:
    """Readings every 0.9 of a window: a part over two of them would have but half of what is missing."""
    rows, name = field[2], field[2][AT].id
    deep = [(one, depth, volume - 0.30 * min(max(4.5 - depth, 0), 0.9) if one == name else volume)
            for one, depth, volume in readings(field[1].listed.columns, rows, step=0.9)]  # fmt: skip
    found = item(compared(field, tmp_path, rows, readings_file(iter(deep))), "depth")
    coarse = readings_file(readings(field[1].listed.columns, rows, step=1.4))

    assert [(each.id, each.note.split(" from")[0]) for each in found.findings] == [(name, "necking")]
    assert {each.note for each in item(compared(field, tmp_path, rows, coarse), "depth").findings} == {
        "the readings leave more of the fill out than a window between two, or half of one at head or toe"
    }


def test_a_part_is_no_longer_than_the_window() -> None:
    depth = np.array([6.0, 5.4, 4.8, 4.2, 3.6])
    parts = parts_of(np.zeros(5, dtype=np.int64), depth, 6.0 - depth, np.array([0.8]), 1.3, np.array([np.inf]))

    assert (parts.begins - parts.ends).tolist() == pytest.approx([1.2, 1.2, 1.2])


@pytest.mark.parametrize(("by", "change", "keys"), [
    (EITHER, {"toe": 0.6, "criterion": "yes"}, {"refusal"}),
    (EITHER, {"toe": 0.3, "criterion": "yes"}, set()),
    (EITHER, {"toe": 0.3, "criterion": "no"}, {"toe"}),
    (EITHER, {"toe": -1.2, "criterion": "yes"}, {"toe_low"}),
    (CRITERION, {"toe": 0.6, "criterion": "yes"}, {"refusal"}),
    (CRITERION, {"toe": -1.2, "criterion": "yes"}, {"toe_low"}),
    (CRITERION, {"criterion": "no"}, {"toe"}),
    (LEVEL, {"toe": 0.3, "criterion": "yes"}, {"toe"}),
    (LEVEL, {"toe": -1.2, "criterion": "yes"}, {"toe_low"}),
    (LEVEL, {"criterion": "no"}, set()),
])  # fmt: skip
def test_a_criterion_accepts_a_toe_only_where_it_is_asked_and_between_levels(
    field: Field, tmp_path: Path, by: str, change: dict[str, object], keys: set[str]
) -> None:
    row = field[2][AT]
    change = {**change, "toe": row.toe + float(change.get("toe", 0.0))}  # type: ignore[arg-type]
    limits = {"toe_by": by} | ({"criterion_high": None} if by == LEVEL else {})
    one = compared(field, tmp_path, at(field[2], **change), **limits)

    assert {each.key for each in judge(one) if each.key in {"toe", "toe_low", "refusal"} and each.findings} == keys


def test_a_criterion_without_levels_leaves_them_unjudged(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2], toe_by=CRITERION, toe_high=None, criterion_high=None)
    none = without(compared(field, tmp_path, field[2], toe_by=CRITERION), "toe_level")

    assert ("no limit" in item(one, "refusal").why_not, item(one, "toe").why_not) == (True, "")
    assert [(key, "toe_level" in item(none, key).why_not) for key in ("refusal", "toe_low")] == [
        ("refusal", True), ("toe_low", True)
    ]  # fmt: skip
    assert not one.met.any(), "without its level a criterion embeds no toe in the design as built"


def test_a_criterion_says_nothing_in_the_design_as_built_where_the_level_counts(field: Field, tmp_path: Path) -> None:
    raised = at(field[2], toe=field[2][AT].toe + 0.3, criterion="yes")
    by_level, by_either = (compared(field, tmp_path, raised, toe_by=by) for by in (LEVEL, EITHER))
    higher = [design_again(field[0], one, as_built(field[0], one), (), lambda _: None, slip=False)[0].higher_toe
              for one in (by_level, by_either)]  # fmt: skip

    assert higher == [pytest.approx(0.3), 0.0]


def test_a_verdict_that_is_no_longer_verified_leaves_the_outcome_open(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2])
    items, built = judge(one), as_built(field[0], one)
    [again] = design_again(field[0], one, built, (), lambda _: None, slip=False)
    lost = redesign.Changed("A", "Filters", "drainage", "pass", "not verified", 0.5, None)
    opened = replace(again, changed=(lost,))

    whole = Installation(field[0], one, items, built, (again,), progress_of(one))
    assert (whole.outcome, replace(whole, again=(opened,)).outcome) == ("pass", "incomplete")


def test_a_section_without_a_solution_as_built_is_told(
    field: Field, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = compared(field, tmp_path, at(field[2], toe=field[2][AT].toe - 0.2))

    def fails_as_built(design: Design, tell: object) -> object:
        if design.sections[0].layers[-1].thickness != field[0].sections[0].layers[-1].thickness:
            message = "section A, Unit cell: no root"
            raise CalculationError(message)
        return run_checks(design, tell)  # type: ignore[arg-type]

    monkeypatch.setattr(redesign, "run_checks", fails_as_built)
    [again] = design_again(field[0], one, as_built(field[0], one), (), lambda _: None, slip=False)

    assert ("no root" in again.why_not, again.open) == (True, True)


def test_a_grid_with_columns_and_no_whole_window_is_not_judged_and_that_is_told(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2][:3])
    built = as_built(field[0], one)
    judged = replace(built, grids=as_built(field[0], compared(field, tmp_path, field[2])).grids)
    found = Installation(field[0], one, judge(one), replace(judged, why_not=""), (), progress_of(one))

    assert built.unjudged == ("A",)
    assert "no window is complete in A" in area_text(found)
    again = design_again(field[0], one, built, (), lambda _: None, slip=False)[0]
    assert any("No window is complete in the grid of A" in text for text in again.unsettled)


def test_values_of_the_plan_in_place_of_records_are_told(field: Field, tmp_path: Path) -> None:
    text = records_file(field[2]).replace(f";{field[2][AT].diameter:.0f};", ";;", 1)
    design, made, rows = field
    assert design.installed is not None
    files = [written(tmp_path, "r.csv", text), written(tmp_path, "d.csv", readings_file(iter(())))]
    one = compare(made, design.installed, read_records(files, design.installed))
    found = Installation(design, one, (), as_built(design, one), (), progress_of(one))
    places = without(one, "easting", "northing")

    assert "1 columns with the diameter of the plan" in area_text(found)
    assert as_built(design, replace(places, installed=one.installed)).without_place == len(rows)


def test_without_toe_or_length_no_volume_is_compared_with_that_of_the_plan(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2])
    bare = without(one, "toe_level", "length")
    gap = replace(one, own=tuple(
        each and replace(each, values={key: value for key, value in each.values.items() if key != "toe_level"})
        if k == AT else each for k, each in enumerate(one.own)))  # fmt: skip

    assert [item(bare, key).why_not != "" for key in ("volume", "depth")] == [True, True]
    assert [told(item(gap, key).findings)[0][1:] for key in ("volume", "depth", "sleeve_length")] == [
        ("not judged: the length as built is not known, or not plausible", True),
        ("not judged: the toe as built is not known or not plausible, or the length of the plug is not given", True),
        ("not judged: the length as built is not known, or not plausible", True),
    ]
    [again] = design_again(field[0], gap, as_built(field[0], gap), (), lambda _: None, slip=False)
    assert any("toes of 1 columns are not known" in text for text in again.unsettled)


def test_a_sleeve_too_short_for_the_column_as_built_is_none(field: Field, tmp_path: Path) -> None:
    """The column is 0.3 m longer than planned, the sleeve 0.1 m longer than planned with its allowances."""
    deeper = at(field[2], toe=field[2][AT].toe - 0.3)
    found = item(compared(field, tmp_path, deeper), "sleeve_length").findings
    row = field[2][AT]

    assert [(each.id, each.note) for each in found] == [(row.id, "below")]
    assert [each.value for each in found] == pytest.approx([row.sleeve_length], abs=0.006)
    assert [each.limit for each in found] == pytest.approx([row.sleeve_length + 0.2], abs=0.006)
    assert "no column" in item(without(compared(field, tmp_path, deeper), "sleeve_length"), "sleeve_length").why_not


def test_proposals_that_end_at_their_number_say_what_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    square = ('pattern = "triangular"', 'pattern = "square"')
    design = planned(tmp_path / "square", square, more=COLUMNS + LIMITS)
    assert design.plan is not None
    made = make_plan(design, design.plan)
    thin = [replace(row, diameter=700.0) for row in exact(made, faultless(made.listed.columns))]
    one = compared((design, made, thin), tmp_path, thin)
    monkeypatch.setattr(windows, "MOST_PROPOSED", 1)
    built = as_built(design, one)
    found = Installation(design, one, (), built, (), progress_of(one))

    assert len(built.grids[0].extras) == 1
    assert built.grids[0].not_searched > 0
    assert f"ended with {built.grids[0].not_searched} windows still short" in decide_text(found)


def test_a_year_that_is_a_slip_is_told_and_no_work_is_counted_from_it(field: Field, tmp_path: Path) -> None:
    rows = field[2][:150]
    one = compared(field, tmp_path, at(rows, day=rows[AT].day.replace(year=2025)))
    good = compared(field, tmp_path, rows)
    own = [each.note for each in item(one, "plausible").findings]

    assert own == ["day not plausible: more than half a year from nearly all others"]
    assert max(progress_of(one).counts) == max(progress_of(good).counts)
    assert one.missing.tolist() == good.missing.tolist()
    assert not good.stray.any()


def test_two_halves_of_the_work_with_a_winter_between_are_no_slip(field: Field, tmp_path: Path) -> None:
    rows = [replace(row, day=row.day.replace(year=2027)) if k > 60 else row for k, row in enumerate(field[2])]

    assert item(compared(field, tmp_path, rows), "plausible").findings == ()


def test_a_start_on_another_day_than_that_of_the_record_is_told(field: Field, tmp_path: Path) -> None:
    wrong, night = (at(field[2], start=f"{field[2][AT].day.replace(day=day):%d.%m.%Y} 07:00",
                       end=f"{field[2][AT].day.replace(day=day):%d.%m.%Y} 07:10") for day in (17, 3))  # fmt: skip

    assert [each.note for each in item(compared(field, tmp_path, wrong), "times").findings] == [
        "starts more than a day from the date of its record"
    ]
    assert item(compared(field, tmp_path, night), "times").findings == ()


def test_sections_are_compared_with_one_another_as_built_and_what_turns_elsewhere_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A verdict of a section without records, such as a change of gradient, turns with the one beside it."""
    design = read_design(PROJECT)
    assert design.plan is not None
    assert design.installed is not None
    made = make_plan(design, design.plan)
    own = tuple(one for one in made.listed.columns if one.section == "A")[:200]
    rows = [replace(row, toe=row.toe - 0.3) for row in faultless(own)]
    records = read_records([written(tmp_path, "r.csv", records_file(rows))], design.installed)
    one = compare(made, design.installed, records)
    runs: list[list[float]] = []

    def told(now: Design, _tell: object) -> SimpleNamespace:
        runs.append([section.layers[-1].thickness for section in now.stated])
        stamp = "pass" if len(runs) == 1 else "not verified"
        return SimpleNamespace(verdicts=lambda: [
            (SimpleNamespace(section=section), SimpleNamespace(key="alignment", title="Along"),
             SimpleNamespace(key="gradient", title="Gradient", stamp=stamp if section.key == "B" else "pass",
                             utilisation=0.5)) for section in now.stated
        ])  # fmt: skip

    monkeypatch.setattr(redesign, "run_checks", told)
    first, second = design_again(design, one, as_built(design, one), (), lambda _: None, slip=True)

    assert [len(run) for run in runs] == [len(design.stated)] * 2
    assert [k for k, (before, after) in enumerate(zip(*runs, strict=True)) if before != after] == [0]
    assert (first.section, first.changed, second.section) == ("A", (), "B")
    assert [(each.title, each.after) for each in second.opened] == [("Gradient", "not verified")]
    assert second.open


def test_a_name_of_two_types_of_sleeve_does_not_tell_which_was_used(field: Field, tmp_path: Path) -> None:
    name = field[0].sections[0].sleeve.name
    one = compared(field, tmp_path, at(field[2], sleeve=name))
    weaker = tuple(
        replace(each, sleeve=f"{name} 100 kN/m") if k == 0 else each for k, each in enumerate(one.made.columns)
    )
    two = replace(one, made=replace(one.made, columns=weaker))
    [found] = [each for each in item(two, "sleeve").findings if each.id == field[2][AT].id]

    assert item(one, "sleeve").findings == ()
    assert found.open
    assert "does not tell which" in found.note
    assert "100 kN/m" in found.note


def changed_section(one: Compared, **changes: object) -> Compared:
    """The same with another section under the only area of the plan."""
    [area] = one.made.layout.areas
    other = replace(area, section=area.section.model_copy(update=changes))
    return replace(one, made=replace(one.made, layout=replace(one.made.layout, areas=(other,))))


def test_shorter_columns_in_soft_ground_and_an_unknown_area_ratio_leave_the_section_open(
    field: Field, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(redesign, "run_checks", lambda _design, _tell: SimpleNamespace(verdicts=list))
    one = compared(field, tmp_path, at(field[2], toe=field[2][AT].toe + 0.3, criterion="no"))
    columns = one.made.layout.areas[0].section.columns
    floating = {"floating": Floating.model_construct(), "embedment": 0.0}
    soft = changed_section(one, columns=columns.model_copy(update=floating))
    bare = replace(as_built(field[0], soft), grids=(), why_not="no window is given")
    [again] = design_again(field[0], soft, bare, (), lambda _: None, slip=False)

    assert not soft.floating.any()
    assert [
        any(words in text for text in again.unsettled)
        for words in ("no shorter column was calculated", "The area ratio as built is not known: no window is given")
    ] == [True, True]
    assert again.open


def test_without_allowances_no_length_of_a_sleeve_is_judged(field: Field, tmp_path: Path) -> None:
    one = compared(field, tmp_path, field[2])

    assert "sleeve_top" in item(changed_section(one, construction=None), "sleeve_length").why_not

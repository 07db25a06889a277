"""Area ratio as built, places for other columns, the design again, progress: invented records."""

import datetime as dt
from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
import pytest

from calc.engine.sheet import Origin, Sheet, Verdict
from calc.inputs import Design
from calc.site.installed.as_built import AsBuilt, as_built
from calc.site.installed.design_again import Again, Changed, _largest, _Pair, design_again
from calc.site.installed.progress_forecast import progress_of
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import Compared, compare
from calc.site.plan.write_plan import MadePlan, make_plan
from tests.site.planned import Change, planned
from tests.site.recorded import COLUMNS, LIMITS, Row, faultless, records_file, written

SHORT = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+040"')
SQUARE = ('pattern = "triangular"', 'pattern = "square"')
ALONE = ('window = "5.0 m"', 'window = "0.5 m"')
POINT = """
[[plan.investigation]]
name = "S1"
easting = "1030 m"
northing = "2040 m"
bearing_level = "{level} m"
"""
Field = tuple[Design, MadePlan, list[Row]]


def field(folder: Path, *changes: Change, more: str = "") -> Field:
    design = planned(folder, SHORT, *changes, more=more + COLUMNS + LIMITS)
    assert design.plan is not None
    made = make_plan(design, design.plan)
    return design, made, faultless(made.listed.columns)


def exact(made: MadePlan, rows: list[Row]) -> list[Row]:
    """The rows at the places and with the diameters of the plan."""
    return [replace(row, easting=one.easting, northing=one.northing, diameter=1000 * one.diameter, toe=one.toe)
            for one, row in zip(made.listed.columns, rows, strict=True)]  # fmt: skip


def compared(one: Field, folder: Path, rows: list[Row], **changes: object) -> Compared:
    design, made, _ = one
    assert design.installed is not None
    table = design.installed.model_copy(update=changes)
    return compare(made, table, read_records([written(folder, "records.csv", records_file(rows))], table))


def of(one: Field, folder: Path, rows: list[Row]) -> tuple[Compared, AsBuilt]:
    own = compared(one, folder, rows)
    return own, as_built(one[0], own)


def test_a_field_at_its_places_has_the_area_ratio_of_the_layout(tmp_path: Path) -> None:
    one = field(tmp_path, SQUARE, ALONE)
    _, made, rows = one
    own, built = of(one, tmp_path, exact(made, rows))
    [grid] = built.grids
    laid = made.layout.columns

    assert grid.ratio == pytest.approx(pi * 0.8**2 / 4 / laid.cell, rel=2e-3)  # places to the millimetre
    assert grid.sheet.verdicts[0].state == "pass"
    assert (grid.extras, built.astray, own.missing.any()) == ((), (), np.False_)


def test_wide_columns_make_up_for_no_others(tmp_path: Path) -> None:
    """Half of the columns are 160 mm too thin, half as much too wide: a mean would hide what is missing."""
    one = field(tmp_path, SQUARE)
    rows = exact(one[1], one[2])
    mixed, thin = ([replace(row, diameter=640.0 if k % 2 else wide) for k, row in enumerate(rows)]
                   for wide in (960.0, 800.0))  # fmt: skip
    found, asked = (of(one, tmp_path, each)[1].grids[0] for each in (mixed, thin))

    assert found.ratio == pytest.approx(asked.ratio, nan_ok=True)
    assert found.sheet.verdicts[0].state == "fail"


def test_a_design_is_calculated_again_for_toes_that_the_plan_has_deeper(tmp_path: Path) -> None:
    """Built to the plan to the centimetre: soundings have the bearing layer deeper, the design has it at one level."""
    far = ('source = "test"\n', 'source = "test"\ninvestigation_far = "200 m"\n')
    flat = field(tmp_path / "flat")
    firm = float(flat[1].levels.firm[0])
    for shift, deeper, shorter in ((-0.8, 0.8, False), (0.8, 0.0, True)):
        text = POINT.format(level=firm + shift)
        one = field(tmp_path / str(shift), far, ("\n[[plan.area]]", f"{text}\n[[plan.area]]"))
        again = redone(one, tmp_path / str(shift), exact(one[1], one[2]))

        assert again.deeper_toe == pytest.approx(deeper, abs=0.01)
        assert again.higher_toe == 0.0
        assert (again.why_not == "") is (deeper > 0)
        assert any("0.80 m above those of the design" in text for text in again.unsettled) is shorter
    covered = ('working_level = "0.50 m"', 'working_level = "0.50 m"\ndesign_shorter = "0.8 m"')
    one = field(tmp_path / "covered", far, covered, ("\n[[plan.area]]", f"{text}\n[[plan.area]]"))
    assert not any("above those" in text for text in redone(one, tmp_path, exact(one[1], one[2])).unsettled)


def test_a_shifted_half_has_the_area_ratio_that_a_hand_calculation_gives(tmp_path: Path) -> None:
    """Square grid, all beyond chainage 20 m stand 0.3 m farther on: at the seam half of it is added to a cell."""
    one = field(tmp_path, SQUARE, ALONE)
    _, made, rows = one
    laid = made.layout.columns
    place = dict(zip(made.identity.ids, laid.chainage, strict=True))
    # The line runs with 3 to 4 from south to north.
    moved = [replace(row, easting=row.easting + 0.18, northing=row.northing + 0.24) if place[row.id] > 20 else row
             for row in exact(made, rows)]  # fmt: skip
    own, built = of(one, tmp_path, moved)
    [grid] = built.grids
    spacing, distance = laid.spacing[0], laid.distance[0]
    hand = pi * 0.8**2 / 4 / ((spacing + 0.15) * distance)

    assert grid.least == pytest.approx(hand, rel=2e-3)  # places to the millimetre
    assert abs(laid.chainage[grid.worst] - 20) < spacing
    assert own.has.all()


def test_a_missing_column_is_counted_at_its_place_and_no_other_is_proposed_for_it(tmp_path: Path) -> None:
    one = field(tmp_path)
    gone = "A-005-010"
    own, built = of(one, tmp_path, [row for row in one[2] if row.id != gone])
    [grid] = built.grids

    assert [own.ids[k] for k in np.flatnonzero(own.missing)] == [gone]
    [alone] = of(field(tmp_path, ALONE), tmp_path, [row for row in one[2] if row.id != gone])[1].grids
    assert alone.least == 0
    assert own.ids[alone.worst] == gone
    assert alone.sheet.verdicts[0].state == "fail"
    assert grid.least < 0.97 * np.nanmedian(grid.ratio), "one of some 23 columns of a window"
    assert (grid.extras, alone.extras) == ((), ())


def test_thin_columns_leave_places_for_others_where_a_grid_has_room(tmp_path: Path) -> None:
    """In a square grid the middle of four columns has the clear distance; that of three in a triangular one has not."""
    one = field(tmp_path, SQUARE)
    own, built = of(one, tmp_path, [replace(row, diameter=700.0) for row in exact(one[1], one[2])])
    [grid] = built.grids
    spots = np.column_stack([own.number("easting"), own.number("northing")])

    assert grid.extras
    for extra in grid.extras:
        apart = np.hypot(*(spots - [extra.easting, extra.northing]).T).min()
        assert apart == pytest.approx(extra.nearest, abs=2e-3)
        assert apart >= one[1].plan.clear_distance - 2e-3
    tight = field(tmp_path)
    [grid] = of(tight, tmp_path, [replace(row, diameter=700.0) for row in exact(tight[1], tight[2])])[1].grids
    assert grid.extras == ()
    assert grid.without_place > 0


def test_a_column_far_from_its_place_does_not_count_there(tmp_path: Path) -> None:
    one = field(tmp_path)
    rows = [replace(row, easting=row.easting + 500) if row.id == "A-005-010" else row for row in one[2]]
    own, built = of(one, tmp_path, rows)
    beside = of(one, tmp_path, one[2])[1].grids[0].ratio
    [grid] = built.grids
    place = own.ids.index("A-005-010")

    assert built.astray == ("A-005-010",)
    assert grid.ratio[place] < 0.97 * beside[place], "its own window has a column less, of some 23"
    far = np.hypot(*(np.column_stack([own.planned("easting"), own.planned("northing")])
                     - [own.planned("easting")[place], own.planned("northing")[place]]).T) > 2 * 5.0  # fmt: skip
    assert grid.ratio[far] == pytest.approx(beside[far], rel=1e-9), "no other window is touched"


def test_windows_at_the_front_of_the_work_are_not_judged(tmp_path: Path) -> None:
    one = field(tmp_path)
    place = dict(zip(one[1].identity.ids, one[1].layout.columns.chainage, strict=True))
    rows = [row for row in one[2] if place[row.id] < 20]
    own, built = of(one, tmp_path, rows)
    [grid] = built.grids

    assert not own.missing.any()
    assert grid.sheet.verdicts[0].state == "pass"
    assert np.isnan(grid.ratio).sum() > own.open.sum()
    assert compared(one, tmp_path, rows, finished=("A",)).missing.sum() == own.open.sum()


def test_without_window_tolerance_or_places_it_is_said(tmp_path: Path) -> None:
    one = field(tmp_path)
    design, _, rows = one
    assert design.installed is not None
    assert design.installed.limits is not None
    bare = design.installed.limits.model_copy(update={"window": None, "area_ratio": None})
    loose = design.installed.limits.model_copy(update={"area_ratio": None})
    column = tuple(column for column in design.installed.column if column.field_name not in {"easting", "northing"})

    assert "no window" in as_built(design, compared(one, tmp_path, rows, limits=bare)).why_not
    assert "no places" in as_built(design, compared(one, tmp_path, rows, column=column)).why_not
    [grid] = as_built(design, compared(one, tmp_path, rows, limits=loose)).grids
    assert grid.sheet.verdicts[0].state == "not verified"
    assert "complete" in as_built(design, compared(one, tmp_path, rows[:1])).why_not


def redone(one: Field, folder: Path, rows: list[Row]) -> Again:
    own, built = of(one, folder, rows)
    [again] = design_again(one[0], own, built, (), lambda _: None, slip=False)
    return again


def test_the_design_is_not_calculated_again_for_what_is_as_planned(tmp_path: Path) -> None:
    one = field(tmp_path)

    again = redone(one, tmp_path, exact(one[1], one[2]))
    assert "nothing to calculate again" in again.why_not
    assert not again.open


def test_a_column_above_the_bearing_layer_is_none_and_the_others_are_calculated(tmp_path: Path) -> None:
    one = field(tmp_path)
    rows = exact(one[1], one[2])
    short = "A-005-010"
    raised = [replace(row, toe=row.toe + 1.5, criterion="no") if row.id == short else row for row in rows]
    raised[0] = replace(raised[0], toe=raised[0].toe - 0.1)

    own, built = of(one, tmp_path, raised)
    [again] = design_again(one[0], own, built, (), lambda _: None, slip=False)
    [alone] = of(field(tmp_path / "alone", ALONE), tmp_path, raised)[1].grids
    assert again.deeper_toe == pytest.approx(0.1)
    assert again.higher_toe == 0.0
    assert again.largest, "what is left is calculated again"
    assert (again.open, short in again.unsettled[0]) == (True, True)
    assert (alone.least, own.ids[alone.worst]) == (0.0, short)


def test_thin_columns_turn_a_verdict_of_the_design(tmp_path: Path) -> None:
    """Every column 0.40 m wide instead of 0.80 m has a fourth of the area: no design stands that."""
    one = field(tmp_path)
    again = redone(one, tmp_path, [replace(row, diameter=400.0) for row in exact(one[1], one[2])])
    [(_, asked, least)] = again.ratio

    assert least == pytest.approx(asked / 4, rel=0.15)  # the layout is closer than the grid of the design
    assert again.turns
    assert [change.chapter for change in again.largest][:2] == ["Unit cell", "Sleeve"]
    assert all((change.utilisation_after or 0) > (change.utilisation_before or 0) for change in again.largest[:2])


def test_the_largest_utilisation_is_told_with_that_of_the_design_at_its_case() -> None:
    """By hand: as built stage 2 with 0.9 is the largest; as designed stage 1 was, with 0.8, and stage 2 had 0.6."""
    before, after = (verdict_of([[0.8, 0.3], [0.6, 0.2]]), verdict_of([[0.85, 0.4], [0.9, 0.5]]))
    thicker = verdict_of([[0.85, 0.4], [0.9, 0.5]], layers=("0–1.5 m", "1.5–3 m"))
    change = Changed("A", "Bearing", "toe", "pass", "pass", before.utilisation, after.utilisation)

    paired = _Pair("bearing", change, before, after).at_one_case()
    assert (paired.utilisation_before, paired.utilisation_after, paired.case) == (0.6, 0.9, "“stage 2”, layer 0–1 m")
    # A sublayer that has another name as built is any of the design: the largest of the stage.
    assert _Pair("bearing", change, before, thicker).at_one_case().utilisation_before == 0.6
    assert _Pair("bearing", change, None, after).at_one_case().utilisation_before == 0.8
    assert _largest([_Pair("bearing", change, before, after), _Pair("filters", change, before, after)]) == (paired,)


def verdict_of(numbers: list[list[float]], layers: tuple[str, str] = ("0–1 m", "1–2 m")) -> Verdict:
    """A verdict over two stages and two layers with these utilisations."""
    sheet = Sheet(section="A", key="bearing")
    sheet.axis("stage", ("stage 1", "stage 2"))
    sheet.axis("layer", layers)
    origin = Origin("project rule", text="test")
    effect = sheet.given("d_clr", np.array(numbers), ["stage", "layer"], origin=origin)
    return sheet.verdict("toe", "Toe", effect=effect, resistance=sheet.given("d_min", 1.0, origin=origin))


def test_progress_counts_days_and_rigs_and_tells_a_range(tmp_path: Path) -> None:
    """Two days of 10 and 20 columns, three without: 6 a day, scatter 8.944; 2.132·8.944·√(1/5+1/T) about it."""
    one = field(tmp_path)
    rows = [replace(row, day=dt.date(2026, 3, 2) + dt.timedelta(days=4 * (k >= 10)), rig="R1" if k < 10 else "R2")
            for k, row in enumerate(one[2][:30])]  # fmt: skip
    own = compared(one, tmp_path, rows)
    work = progress_of(own)
    left = len(own.ids) - 30
    expected = left / 6
    half = 2.1318 * 8.9443 * (1 / 5 + 1 / expected) ** 0.5

    assert [dict(rigs) for rigs in work.counts.values()] == [{"R1": 10}, {"R2": 20}]
    assert work.forecast is not None
    assert (work.forecast.rate, work.left) == (6.0, left)
    assert work.forecast.scatter == pytest.approx(8.9443, abs=5e-5)
    assert work.forecast.expected == dt.date(2026, 3, 6) + dt.timedelta(days=int(np.ceil(expected)))
    assert work.forecast.early == dt.date(2026, 3, 6) + dt.timedelta(days=int(np.ceil(left / (6 + half))))
    assert work.forecast.late is None, "the slow end of the range has no columns a day"


@pytest.mark.parametrize(("rows", "changes", "why"), [
    (slice(None), {}, "No column"), (slice(30), {}, "span 1 days"), (slice(30), {"forecast_days": None}, "not given"),
])  # fmt: skip
def test_a_forecast_that_cannot_be_made_says_why(
    tmp_path: Path, rows: slice, changes: dict[str, object], why: str
) -> None:
    one = field(tmp_path)

    assert why in progress_of(compared(one, tmp_path, one[2][rows], **changes)).why_not

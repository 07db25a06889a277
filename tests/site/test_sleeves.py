"""Classes of length, boxes and cuts, held against every other way to do it where there are few."""

import csv
from collections import Counter
from dataclasses import replace
from datetime import date
from io import StringIO
from itertools import combinations, product
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pytest import approx  # noqa: PT013 - as everywhere here

from calc.inputs.tables.plan import SleeveCuts
from calc.site.plan.column_list import Column
from calc.site.sleeves import cutting
from calc.site.sleeves.boxes import boxes
from calc.site.sleeves.cut_list import CutList, cut_files, cut_list, metres, pieces_text, rest
from calc.site.sleeves.cutting import CuttingError, cut_rolls
from calc.site.sleeves.labels import code_text, label_files
from calc.site.sleeves.length_classes import length_classes
from tests.site.planned import PLAN, QUANTITIES, SLEEVES, made, planned

COLUMN = Column("A-001-001", 0.0, 0.0, 1.0, 0.0, -6.0, 6.0, 0.8, "A", "", "type 1 260 kN/m", 0.82)
CUTS = SleeveCuts.model_validate({
    "classes": 3, "step": "0.10 m", "roll": ["60 m"], "cut_loss": "0.02 m", "box": 7, "boxes_by": "row"
})  # fmt: skip
SECONDS = 10.0
RADIUS = 0.4  # of the sleeve of the starter, m


@given(st.lists(st.integers(1, 40), min_size=1, max_size=9), st.integers(1, 4))
def test_classes_have_the_least_waste_of_all_divisions(steps: list[int], classes: int) -> None:
    """Brute force: every choice of so many of the lengths, with the longest among them."""
    values = sorted(set(steps))
    least = min(
        sum(min(one for one in (*chosen, values[-1]) if one >= step) for step in steps)
        for count in range(min(classes, len(values)))
        for chosen in combinations(values[:-1], count)
    )

    found = length_classes(np.array(steps) / 10, classes, 0.1)

    assert found.metres == approx(least / 10)
    assert len(found.lengths) <= classes
    assert all(found.lengths[k] >= step / 10 - 1e-9 for k, step in zip(found.of, steps, strict=True))
    assert sum(found.counts) == len(steps)


def test_lengths_are_rounded_up_to_the_step_and_never_down() -> None:
    found = length_classes(np.array([7.0, 7.01, 7.1]), 5, 0.1)

    assert found.lengths == (7.0, 7.1)
    assert found.counts == (1, 2)


def fewest(lengths: tuple[int, ...], counts: tuple[int, ...], rolls: tuple[int, ...]) -> int:
    """The least length of rolls by trying every pattern for every roll, one after another."""
    patterns = [
        (roll, pieces) for roll in rolls
        for pieces in product(*(range(count + 1) for count in counts))
        if any(pieces) and sum(a * b for a, b in zip(pieces, lengths, strict=True)) <= roll
    ]  # fmt: skip
    best: dict[tuple[int, ...], int] = {(0,) * len(counts): 0}
    for left in sorted(product(*(range(count + 1) for count in counts)), key=sum):
        if any(left):
            best[left] = min(
                cost + best[tuple(max(a - b, 0) for a, b in zip(left, pieces, strict=True))]
                for cost, pieces in patterns if any(min(a, b) for a, b in zip(left, pieces, strict=True))
            )  # fmt: skip
    return best[counts]


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.integers(3, 12), st.integers(1, 4)), min_size=1, max_size=3, unique_by=lambda one: one[0]),
    st.sets(st.integers(12, 30), min_size=1, max_size=2),
)
def test_cuts_need_the_fewest_rolls_of_all_plans(pieces: list[tuple[int, int]], rolls: set[int]) -> None:
    """Brute force over every pattern; and the same with the patterns that column generation asks for."""
    lengths, counts = (tuple(one[k] for one in sorted(pieces)) for k in (0, 1))
    least = fewest(lengths, counts, tuple(rolls))

    found = cut_rolls([float(one) for one in lengths], counts, [float(one) for one in rolls], 0.0, SECONDS)

    assert found.metres == approx(least)
    assert found.bound <= least + 1e-9
    cut = np.sum([np.array(one.pieces) * one.rolls for one in found.patterns], axis=0)
    assert (cut >= np.array(counts)).all()
    assert all(sum(a * b for a, b in zip(one.pieces, lengths, strict=True)) <= one.roll for one in found.patterns)


def test_column_generation_gives_a_bound_and_a_plan_where_patterns_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same question with all patterns and with those that the linear programme asks for."""
    question = ([7.1, 8.3, 6.4, 5.2], [40, 31, 22, 57], [50.0, 80.0], 0.02, SECONDS)
    whole = cut_rolls(*question)
    monkeypatch.setattr(cutting, "MOST_PATTERNS", 10)

    part = cut_rolls(*question)

    assert part.bound <= whole.metres <= part.metres <= 1.05 * part.bound
    assert whole.bound <= whole.metres


def test_a_bound_is_a_multiple_of_what_the_rolls_have_in_common_and_at_least_the_material() -> None:
    found = cut_rolls([9.0], [11], [30.0], 0.5, SECONDS)

    assert found.metres == found.bound == 30.0 * ceil(11 / 3)
    assert found.optimal
    assert replace(found, metres=found.metres + 30).optimal is False


def test_the_loss_of_cutting_counts_for_every_sleeve() -> None:
    assert cut_rolls([10.0], [3], [30.0], 0.0, SECONDS).metres == 30.0
    assert cut_rolls([10.0], [3], [30.0], 0.01, SECONDS).metres == 60.0


def test_a_plan_is_made_where_the_search_found_none_in_time(monkeypatch: pytest.MonkeyPatch) -> None:
    class Ended:
        x, mip_dual_bound = None, None

    monkeypatch.setattr(cutting, "milp", lambda *_, **__: Ended())

    found = cut_rolls([7.0, 9.0], [5, 4], [20.0], 0.0, SECONDS)

    cut = np.sum([np.array(one.pieces) * one.rolls for one in found.patterns], axis=0)
    assert (cut >= [5, 4]).all()
    assert found.bound <= found.metres


def test_what_is_below_a_millimetre_is_never_cut_off_a_sleeve() -> None:
    """Three sleeves of 10 m with 0.4 mm lost for each do not come from 30.001 m."""
    assert cut_rolls([10.0], [3], [30.001], 0.0004, SECONDS).metres == approx(60.002)
    assert [metres(one) for one in (7.1, 7.125, 7.12001, 0.0)] == ["7.10", "7.125", "7.121", "0.00"]


def test_sleeves_of_another_diameter_are_another_type_in_list_boxes_and_labels(tmp_path: Path) -> None:
    """One product, two radii: two types with rolls of their own, and no box that holds both."""
    plan = made(tmp_path, plan=PLAN + SLEEVES, more=QUANTITIES)
    columns = [replace(one, sleeve_diameter=0.9) if k % 20 < 8 else one for k, one in enumerate(plan.listed.columns)]
    listed = replace(plan.listed, columns=tuple(columns))
    found = cut_list(planned(tmp_path, plan=PLAN + SLEEVES, more=QUANTITIES), CUTS, listed, SECONDS)

    assert len(found.types) == 2
    assert {kind.name.rpartition(" D ")[2] for kind in found.types} == {"900 mm", f"{1000 * 2 * RADIUS:g} mm"}
    in_box: dict[str, set[str]] = {}
    for one in found.sleeves:
        in_box.setdefault(one.box, set()).add(one.type)
        assert f";{one.column.sleeve_type};" in code_text(one, "0123")
    assert {len(types) for types in in_box.values()} == {1}
    assert max(Counter(one.box for one in found.sleeves).values()) <= CUTS.box
    rows = [row for row in csv.reader(StringIO(cut_files(found, listed)["sleeves.csv"].decode())) if row[0][0] != "#"]
    assert {row[1] for row in rows[1:]} == {kind.name for kind in found.types}
    assert listed.checksum != plan.listed.checksum


def test_the_radius_of_the_sleeve_is_given_or_that_of_the_column_with_its_oversize(tmp_path: Path) -> None:
    given = made(tmp_path / "a", ('oversize = "0 mm"', 'installed_radius = "0.405 m"'), more=QUANTITIES).columns[0]
    wider = made(tmp_path / "b", ('oversize = "0 mm"', 'oversize = "7 mm"'), more=QUANTITIES).columns[0]

    assert given.sleeve_type == f"{given.sleeve} D 810 mm"
    assert wider.sleeve_type == f"{wider.sleeve} D 814 mm"


def test_what_a_column_needs_is_not_rounded_down(tmp_path: Path) -> None:
    more = QUANTITIES.replace('"0.5 m"', '"0.504 m"')
    plan = made(tmp_path, plan=PLAN + SLEEVES, more=more)
    found = cut_list(planned(tmp_path, plan=PLAN + SLEEVES, more=more), CUTS, plan.listed, SECONDS)

    assert all(one.needed == approx(one.column.length + 0.804) for one in found.sleeves)
    assert all(one.length >= one.needed - 1e-6 for one in found.sleeves)
    assert cut_files(found, plan.listed)["sleeves.csv"].decode().splitlines()[-1].split(",")[2].endswith("4")


def test_a_sleeve_that_no_roll_is_long_enough_for_is_refused() -> None:
    with pytest.raises(CuttingError, match=r"a sleeve of 31 m is longer than every roll \(30 m\)"):
        cut_rolls([31.0], [1], [30.0], 0.0, SECONDS)


def test_boxes_hold_no_more_than_their_capacity_and_one_row_or_shift() -> None:
    columns = [replace(COLUMN, id=f"A-{row:03d}-{k:03d}") for row in (1, 2) for k in range(1, 16)]
    by_shift = CUTS.model_copy(update={"boxes_by": "shift", "shift": 10})

    rows, shifts = boxes(columns, CUTS), boxes(columns, by_shift)

    assert len(rows) == len(shifts) == 30
    assert max(map(rows.count, rows)) <= 7
    assert all(one.startswith(column.id[:5]) for one, column in zip(rows, columns, strict=True))
    assert sorted(set(shifts)) == ["S0001/1", "S0001/2", "S0002/1", "S0002/2", "S0003/1", "S0003/2"]


@pytest.fixture(scope="module")
def cuts(tmp_path_factory: pytest.TempPathFactory) -> tuple[CutList, str]:
    folder = tmp_path_factory.mktemp("cuts")
    plan = made(folder, plan=PLAN + SLEEVES, more=QUANTITIES)
    design = planned(folder, plan=PLAN + SLEEVES, more=QUANTITIES)
    assert plan.plan.sleeves is not None
    found = cut_list(design, plan.plan.sleeves, plan.listed, SECONDS)
    return found, cut_files(found, plan.listed)["sleeves.csv"].decode("utf-8")


def test_every_column_has_a_sleeve_with_its_allowances(cuts: tuple[CutList, str]) -> None:
    found, text = cuts
    rows = [row for row in csv.reader(StringIO(text)) if not row[0].startswith("#")][1:]

    assert [row[0] for row in rows] == [one.column.id for one in found.sleeves]
    assert all(one.needed == approx(one.column.length + 0.8) for one in found.sleeves)
    assert all(one.length >= one.needed for one in found.sleeves)
    assert {float(row[3]) for row in rows} <= set(found.types[0].classes.lengths)


def test_cuts_of_the_list_make_all_its_sleeves(cuts: tuple[CutList, str]) -> None:
    (kind,) = cuts[0].types
    made_of_rolls = np.sum([np.array(one.pieces) * one.rolls for one in kind.cuts.patterns], axis=0)

    assert (made_of_rolls >= np.array(kind.classes.counts)).all()
    assert all(rest(kind, k) >= 0 for k in range(len(kind.cuts.patterns)))
    assert " m" in pieces_text(kind, kind.cuts.patterns[0].pieces)
    assert float(kind.sheet["w_cut"].array) >= 0


def test_labels_say_what_the_cut_list_says_and_their_codes_too(cuts: tuple[CutList, str]) -> None:
    import pypdfium2

    sleeves = cuts[0].sleeves[:30]
    ((name, content),) = label_files(sleeves, "0123456789abcdef", "P1", date(2025, 4, 30))
    pages = pypdfium2.PdfDocument(content)
    text = "\n".join(page.get_textpage().get_text_range() for page in pages)

    assert (name, len(pages)) == ("labels-01.pdf", 2)
    assert all(text.count(one.column.id) == 1 for one in sleeves)
    assert text.count(f"L = {sleeves[0].length:.2f} m") >= 1
    assert text.count(sleeves[0].column.sleeve_size) == len(sleeves)
    assert code_text(sleeves[0], "0123").startswith(f"{sleeves[0].column.id};{sleeves[0].length:.2f};")
    pages.close()

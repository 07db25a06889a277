"""Fill between uneven readings, lengths beside their toes, refused rows: what is told once, and not missed."""

from pathlib import Path

import numpy as np
import pytest

from calc.site.installed.judging import judge
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import compare
from tests.site import test_installed_judgement as judgement
from tests.site.recorded import readings, readings_file, records_file, written
from tests.site.test_installed_judgement import AT, Field, at, compared, item

field = judgement.field


def uneven(one: Field, depths: list[float], bare: float) -> str:
    """Readings of one column at some depths, with no fill at all above one of them up to the next."""
    name, volume, deep = one[2][AT].id, 0.0, []
    for below, depth in zip([depths[0], *depths], depths, strict=False):
        volume += 0.0 if below == bare else 0.61 * (below - depth)
        deep.append((name, depth, volume))
    others = [each for each in readings(one[1].listed.columns, one[2]) if each[0] != name]
    return readings_file(iter([*others, *deep]))


@pytest.mark.parametrize("bare", [5.6, 3.5])
def test_a_neck_between_uneven_readings_is_in_a_part(field: Field, tmp_path: Path, bare: float) -> None:
    """In 1.2 m, the shortest part between readings that holds it, 0.3 m without fill would be 0.91 of the theory.

    With a fifth more than the theory beside it, as here, half a window has 0.49.
    """
    column, row = field[1].listed.columns[AT], field[2][AT]
    toe, head = column.working_level - row.toe, column.working_level - column.head
    depths = [*np.linspace(toe, 6.5, 4).tolist(), 5.6, 5.3, 4.4, 3.5, 3.2, 2.3, 1.4, head]
    found, whole = (item(compared(field, tmp_path, field[2], uneven(field, depths, at_)), "depth")
                    for at_ in (bare, -1.0))  # fmt: skip

    assert [(each.id, each.note.split(" from")[0]) for each in found.findings] == [(row.id, "necking")]
    assert whole.findings == ()


@pytest.mark.parametrize("flip", [False, True])
def test_a_neck_at_head_or_toe_is_in_a_part(field: Field, tmp_path: Path, *, flip: bool) -> None:
    """The last reading stands closer than half a window to the one before."""
    column, row = field[1].listed.columns[AT], field[2][AT]
    toe, head = column.working_level - row.toe, column.working_level - column.head
    steps = np.array([0.0, 0.3, *np.linspace(1.2, toe - head, 9)])
    depths = (toe - steps if flip else (head + steps)[::-1]).tolist()
    found = item(compared(field, tmp_path, field[2], uneven(field, depths, depths[0 if flip else -2])), "depth")

    assert [(each.id, each.note.split(" from")[0]) for each in found.findings] == [(row.id, "necking")]


@pytest.mark.parametrize(("end", "told"), [(0.4, 0), (0.6, 1)])
def test_half_a_window_that_was_not_read_at_head_or_toe_is_a_gap(
    field: Field, tmp_path: Path, end: float, told: int
) -> None:
    column, row = field[1].listed.columns[AT], field[2][AT]
    toe, head = column.working_level - row.toe, column.working_level - column.head
    for low, high in ((toe - end, head), (toe, head + end)):
        depths = np.linspace(low, high, 12).tolist()
        found = item(compared(field, tmp_path, field[2], uneven(field, depths, -1.0)), "depth")

        assert [(each.id, each.open) for each in found.findings] == [(row.id, True)] * told


@pytest.mark.parametrize(("change", "keys"), [
    ({"toe": 0.39}, set()),
    ({"toe": 0.39, "criterion": "no"}, {"toe"}),
    ({"toe": 0.6}, {"refusal"}),
    ({"toe": -1.2}, {"toe_low"}),
])  # fmt: skip
def test_a_length_is_not_judged_for_its_toe_once_more(
    field: Field, tmp_path: Path, change: dict[str, object], keys: set[str]
) -> None:
    change = {**change, "toe": field[2][AT].toe + float(change["toe"])}  # type: ignore[arg-type]
    one = compared(field, tmp_path, at(field[2], **change), length_long=0.5)
    found = {each.key for each in judge(one) if each.key in {"toe", "toe_low", "refusal", "length"} and each.findings}

    assert found == keys


def test_a_length_is_judged_for_what_its_toe_does_not_say(field: Field, tmp_path: Path) -> None:
    """Deeper than in the plan within the limit of the toe, or higher without the criterion: the length has its own."""
    for toe, criterion in ((-0.6, "yes"), (0.3, "no")):
        rows = at(field[2], toe=field[2][AT].toe + toe, criterion=criterion)
        one = compared(field, tmp_path, rows, length_long=0.5, toe_high=0.4)
        assert [each.id for each in item(one, "length").findings] == [rows[AT].id]
        assert item(one, "toe").findings == item(one, "toe_low").findings == ()


def test_a_column_whose_row_was_refused_says_so(field: Field, tmp_path: Path) -> None:
    lines = records_file(field[2]).split("\n")
    cells = lines[AT + 1].split(";")
    lines[AT + 1] = ";".join([*cells[:2], "31.02.2026", *cells[3:]])
    table = field[0].installed
    assert table is not None
    one = compare(field[1], table, read_records([written(tmp_path, "records.csv", "\n".join(lines))], table))
    [found] = [each for each in item(one, "ids").findings if each.id == field[2][AT].id]

    assert (found.note, found.line) == ("no record that counts: its row was refused", AT + 2)

"""Ids: kept while a column stays, never given twice, bound to places by the checksum of the earlier plan."""

import json
from pathlib import Path
from typing import Any

import pytest

from calc.inputs import InputErrors
from calc.site.plan.column_list import checksum_of
from calc.site.plan.identity import EarlierPlanError, read_earlier
from calc.site.plan.setting_out import geojson
from calc.site.plan.write_plan import MadePlan
from tests.site.planned import PLAN, made
from tests.site.test_layout_laws import EXCLUSION, ZONE

PLAN_REVISION = "P1"


def written(plan: MadePlan, path: Path) -> Path:
    path.write_bytes(geojson(plan.listed))
    return path


def with_before(folder: Path, earlier: MadePlan, *changes: tuple[str, str], plan: str = PLAN) -> MadePlan:
    """The plan of a changed text beside which the one before lies."""
    folder.mkdir(parents=True, exist_ok=True)
    written(earlier, folder / "before.geojson")
    named = plan.replace("\nrevision =", '\nbefore = "before.geojson"\nrevision =', 1)
    return made(folder, *changes, plan=named)


def after(folder: Path, earlier: MadePlan, *changes: tuple[str, str], plan: str = PLAN) -> MadePlan:
    """The plan of a changed text, under the next revision, that is told the one before."""
    last = earlier.plan.revision
    changes = ((f'revision = "{PLAN_REVISION}"', f'revision = "P{int(last[1:]) + 1}"'), *changes)
    return with_before(folder, earlier, *changes, plan=plan)


def by_id(plan: MadePlan) -> dict[str, tuple[float, float]]:
    return {one.id: (one.easting, one.northing) for one in plan.columns}


def test_ids_are_area_row_number_each_once(tmp_path: Path) -> None:
    plan = made(tmp_path)
    ids = [one.id for one in plan.listed.columns]

    assert len(set(ids)) == len(ids)
    assert ids[0] == "A-001-001"
    assert ids == sorted(ids)


def test_the_same_plan_keeps_every_id(tmp_path: Path) -> None:
    first = made(tmp_path / "a")

    again = after(tmp_path / "b", first)
    same = with_before(tmp_path / "c", first)

    assert by_id(again) == by_id(first)
    assert (again.identity.new, again.identity.removed) == ((), ())
    assert same.listed.checksum == first.listed.checksum != again.listed.checksum


def test_other_columns_under_the_same_revision_are_refused(tmp_path: Path) -> None:
    first = made(tmp_path / "a")

    with pytest.raises(InputErrors, match=r'plan.revision: must be another than that of the plan before.*got "P1"'):
        with_before(tmp_path / "b", first, plan=PLAN + EXCLUSION)


def test_an_exclusion_zone_takes_ids_away_and_leaves_all_others(tmp_path: Path) -> None:
    first = made(tmp_path / "a")

    cut = after(tmp_path / "b", first, plan=PLAN + EXCLUSION)

    kept, before = by_id(cut), by_id(first)
    assert {one: before[one] for one in kept} == kept
    assert set(cut.identity.removed) == set(before) - set(kept) != set()
    assert cut.identity.new == ()


def test_a_number_that_was_removed_is_never_given_again(tmp_path: Path) -> None:
    """The zone goes again: its columns come back under numbers of their own."""
    first = made(tmp_path / "a")
    cut = after(tmp_path / "b", first, plan=PLAN + EXCLUSION)

    back = after(tmp_path / "c", cut)

    assert sorted(by_id(back).values()) == sorted(by_id(first).values())
    assert set(back.identity.new).isdisjoint(by_id(first))
    assert set(back.identity.removed) == set(cut.identity.removed)
    assert set(by_id(cut).items()) <= set(by_id(back).items())


def test_ids_are_stable_where_a_zone_with_another_grid_is_put_in(tmp_path: Path) -> None:
    """Whatever moves, an id stands where it stood, to the distance that the project gives, or is never used again."""
    first = made(tmp_path / "a")

    zoned = after(tmp_path / "b", first, ZONE, ("makeup_fill = true", "makeup_fill = false"))

    now, before = by_id(zoned), by_id(first)
    both = set(now) & set(before)
    assert all(abs(now[one][0] - before[one][0]) < 0.011 and abs(now[one][1] - before[one][1]) < 0.011 for one in both)
    assert set(zoned.identity.removed) == set(before) - both
    assert set(zoned.identity.new) == set(now) - both


def test_a_column_that_moves_a_little_keeps_its_id(tmp_path: Path) -> None:
    first = made(tmp_path / "a")
    near = ('easting = "1000 m", northing = "2000 m"', 'easting = "1000.004 m", northing = "2000.003 m"')
    far = ('easting = "1000 m", northing = "2000 m"', 'easting = "1000.4 m", northing = "2000.3 m"')

    assert after(tmp_path / "b", first, near, ("1060 m", "1060.004 m"), ("2080 m", "2080.003 m")).identity.new == ()
    moved = after(tmp_path / "c", first, far, ("1060 m", "1060.4 m"), ("2080 m", "2080.3 m"))
    assert len(moved.identity.new) == len(moved.columns) == len(moved.identity.removed)


def summed(record: dict[str, Any], removed: list[str]) -> None:
    """Removed ids that no plan can have, with the checksum that they would have."""
    head = {name: text for name, text in record["plan"].items() if name not in {"checksum", "removed", "caution"}}
    lines = [one["properties"]["canonical"] for one in record["features"]]
    record["plan"].update(removed=removed, checksum=checksum_of(head, lines, removed))


CHANGES = [
    (lambda record: record.pop("features"), "no column plan in GeoJSON"),
    (lambda record: record["features"][0]["properties"].update(easting=1.0), "are not those of its checksum"),
    (lambda record: record["features"].pop(), "are not those of its checksum"),
    (lambda record: record["plan"].update(revision="P9"), "are not those of its checksum"),
    (lambda record: record["plan"].update(removed=["A-001-001"]), "or its removed ids are not those of its checksum"),
    (lambda record: record["plan"].update(removed=["x"]), "or its removed ids are not those of its checksum"),
    (lambda record: record["plan"].update(removed=3), "no column plan in GeoJSON"),
    (lambda record: summed(record, ["A-001-001"]), "area-row-number, each once"),
    (lambda record: summed(record, ["x"]), "area-row-number, each once"),
]


@pytest.mark.parametrize(("change", "expected"), CHANGES)
def test_an_earlier_plan_that_somebody_has_changed_is_refused(tmp_path: Path, change, expected: str) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001
    path = written(made(tmp_path), tmp_path / "before.geojson")
    record = json.loads(path.read_text(encoding="utf-8"))
    change(record)
    path.write_text(json.dumps(record), encoding="utf-8")

    with pytest.raises(EarlierPlanError, match=expected):
        read_earlier(path)


def test_an_earlier_plan_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x.geojson").write_text("[" * 5000, encoding="utf-8")

    with pytest.raises(EarlierPlanError, match="no column plan"):
        read_earlier(tmp_path / "x.geojson")
    with pytest.raises(EarlierPlanError, match="No such file"):
        read_earlier(tmp_path / "none.geojson")


def test_another_area_in_the_place_of_a_column_gives_it_an_id_of_its_own(tmp_path: Path) -> None:
    first = made(tmp_path / "a")

    other = after(tmp_path / "b", first, ('letter = "A"', 'letter = "Z"'))

    assert len(other.identity.new) == len(other.columns) == len(other.identity.removed)
    assert {one.id[0] for one in other.columns} == {"Z"}

"""Toes by zone in the column plan, in the sleeves and in the installation records."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from calc.inputs import Design
from calc.site.installed import design_again as redesign
from calc.site.installed.as_built import as_built
from calc.site.installed.design_again import design_again
from calc.site.installed.record_files import read_records
from calc.site.installed.recorded_columns import Compared, compare
from calc.site.plan.plan_steps import SHORTEST, TOE
from calc.site.plan.write_plan import MadePlan, make_plan
from calc.site.sleeves.cut_list import cut_list
from tests.site.planned import PLAN, SLEEVES, Change, made, planned
from tests.site.planned import QUANTITIES as ALLOWANCES
from tests.site.recorded import COLUMNS, LIMITS, faultless, readings, readings_file, records_file, written
from tests.site.test_as_built import exact
from tests.site.test_layout_laws import ZONE
from tests.site.test_plan_pages import FAR, POINTS

approx = pytest.approx
LEVEL = ("makeup_fill = true", "makeup_fill = false")
STRENGTH = (
    '# c_u = "16 kPa" # undrained strength; without it squeezing and soft ground stay open',
    'c_u = "16 kPa"\nc_v = "1 m^2/a"',
)
FLOATING = ('floating = { alpha = 0.5, K = 0.6, delta = "16 deg", N_c = 9.0, toe_share = 0.5, toe_in = "clay", '
            'E = "1500 kPa", source = "invented" }')  # fmt: skip


def zoned(more: str, *others: Change) -> tuple[Change, ...]:
    """The zone of the layout with a length of its own."""
    old, new = ZONE
    return ((old, new.replace('spacing = "2.3 m"', f'spacing = "2.3 m", {more}')), LEVEL, *others)


SHORT = zoned(FLOATING, STRENGTH)
DEEP = zoned('embedment = "1.5 m"')


def of_zone(plan: MadePlan) -> np.ndarray:
    return np.array([one.zone == "slope" for one in plan.columns])


def test_every_column_has_the_toe_of_its_zone(tmp_path: Path) -> None:
    """By hand: 6 m of soft layers, of which 2 m are above the short toes, and 0.5 m or 1.5 m of embedment."""
    short, deep = (made(tmp_path / name, *changes) for name, changes in (("short", SHORT), ("deep", DEEP)))
    ground = short.layout.areas[0].section.ground_level

    for plan, own in ((short, ground - 2.0), (deep, ground - 7.5)):
        inside = of_zone(plan)
        assert inside.any()
        assert {one.toe for one, zone in zip(plan.columns, inside, strict=True) if zone} == {round(own, 2)}
        assert {one.toe for one, zone in zip(plan.columns, inside, strict=True) if not zone} == {round(ground - 6.5, 2)}
        assert plan.levels.length == approx(plan.levels.design)
    scopes = [plan.sheets[0].sheet.scopes[TOE] for plan in (short, deep)]
    assert [float(scope["t_emb"].array) for scope in scopes] == [0.5, 1.5]


def test_soundings_move_the_toes_on_firm_ground_alone(tmp_path: Path) -> None:
    """Short columns keep the level of the design, and are in no comparison with what the design covers."""
    given = 'working_level = "0.50 m"\ndesign_longer = "3 m"\ndesign_shorter = "0.5 m"'
    plan = made(tmp_path, *SHORT, FAR, ('working_level = "0.50 m"', given), plan=PLAN + POINTS)
    inside, sheet = of_zone(plan), plan.sheets[0].sheet

    assert np.ptp(plan.levels.toe[inside]) == 0
    assert np.ptp(plan.levels.toe[~inside]) > 0.5
    assert {verdict.key: verdict.state for verdict in sheet.verdicts if verdict.key in ("longer", "shorter")} == {
        "longer": "pass", "shorter": "pass"
    }  # fmt: skip
    assert float(sheet.scopes[SHORTEST]["z_fh"].array) == approx(float(plan.levels.firm[~inside].max()))
    told = next(one.text for one in sheet.limitations if one.key == "lengths")
    assert "has columns of 2.00 or 6.50 m; those of the plan are up to 2.00 m longer and 0.00 m shorter" in told
    assert plan.sheets[0].longest in {one.id for one, zone in zip(plan.columns, inside, strict=True) if not zone}


def test_sleeves_are_cut_by_the_length_of_every_column(tmp_path: Path) -> None:
    design = planned(tmp_path, ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+016"'), *SHORT,
                     plan=PLAN + SLEEVES, more=ALLOWANCES)  # fmt: skip
    assert design.plan is not None
    assert design.plan.sleeves is not None
    plan = make_plan(design, design.plan)
    found = cut_list(design, design.plan.sleeves, plan.listed, 5.0)
    lengths = [one.length for one in found.sleeves]

    assert lengths == approx(np.where(of_zone(plan), 2.8, 7.3).tolist())


def built(folder: Path, changes: tuple[Change, ...], *, higher: float, short: bool) -> tuple[Compared, Design, int]:
    """Records as planned but for one column of the zone or of the rest, whose toe is higher and meets no criterion."""
    end = ('chainage = "0+000 to 0+100"', 'chainage = "0+000 to 0+016"')
    design = planned(folder, end, *changes, more=COLUMNS + LIMITS)
    assert design.plan is not None
    assert design.installed is not None
    plan = make_plan(design, design.plan)
    rows = exact(plan, faultless(plan.listed.columns))
    k = int(np.flatnonzero(of_zone(plan) == short)[5])
    rows[k] = replace(rows[k], toe=rows[k].toe + higher, criterion="no")
    files = [written(folder, "records.csv", records_file(rows)),
             written(folder, "depth.csv", readings_file(readings(plan.listed.columns, rows)))]  # fmt: skip
    return compare(plan, design.installed, read_records(files, design.installed)), design, k


@pytest.mark.parametrize(("short", "floats", "told"), [(True, False, True), (False, True, False)])
def test_a_higher_toe_is_judged_by_what_its_column_stands_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, short: bool, floats: bool, told: bool
) -> None:
    """Above the embedment of 0.5 m a column of the rest does not reach firm ground; a short one is shorter, told so."""
    monkeypatch.setattr(redesign, "run_checks", lambda _design, _tell: SimpleNamespace(verdicts=list))
    one, design, k = built(tmp_path, SHORT, higher=0.8, short=short)
    [again] = design_again(design, one, as_built(design, one), (), lambda _: None, slip=False)

    assert one.floating[k] == floats
    words = "A toe is 0.80 m above the plan where columns end in soft ground"
    assert any(words in text for text in again.unsettled) == told
    assert again.higher_toe == 0.0


@pytest.mark.parametrize(("short", "higher", "left"), [(False, 0.3, (0.2, 1.5)), (True, 0.8, (0.5, 0.7))])
def test_a_higher_toe_takes_from_the_embedment_that_its_own_grid_has(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, short: bool, higher: float, left: tuple[float, float]
) -> None:
    """Of 0.5 m in the rest and 1.5 m in the zone; by both at once the rest would stand above its bearing layer."""
    runs = list[Design]()

    def kept(changed: Design, _tell: object) -> SimpleNamespace:
        runs.append(changed)
        return SimpleNamespace(verdicts=list)

    monkeypatch.setattr(redesign, "run_checks", kept)
    one, design, _ = built(tmp_path, DEEP, higher=higher, short=short)
    [again] = design_again(design, one, as_built(design, one), (), lambda _: None, slip=False)
    columns = runs[-1].sections[0].columns

    assert again.higher_toe == approx(higher, abs=0.01)
    assert (columns.embedment, columns.zone[0].embedment) == approx(left, abs=0.01)

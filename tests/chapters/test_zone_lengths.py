"""Columns of a zone that are shorter or longer than the rest: cells, borders, stability, extrusion, quantities."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from calc.chain import CHAPTERS, Run, run_chapters, run_checks
from calc.engine.figure import Callouts, Polygon, Scene
from calc.engine.sheet import Sheet
from calc.inputs import read_design
from tests.chapters.length_case import BELOW, short_text, stage_of
from tests.chapters.settled import state
from tests.chapters.zone_case import numbers, of, rated

approx = pytest.approx
FINAL = {"stage": "4 Traffic"}
WEAK = (('c_u = "25 kPa"', 'c_u = "9 kPa"'), ('c_u = "30 kPa"', 'c_u = "12 kPa"'))
DEEP = ("mirrored = true", 'mirrored = true\nembedment = "2.0 m"')
SEARCHED = (
    ("centres = 5", "centres = 4"), ("levels = 5", "levels = 4"), ("slices = 16", "slices = 24"),
    *((stage_of(name), "") for name in ("Platform", "Final")),
)  # fmt: skip
Sheets = dict[str, Sheet]


@cache
def run(*changes: tuple[str, str], floating: bool = True, slip: bool = False) -> Run:
    with TemporaryDirectory() as folder:
        text = short_text(*changes, floating=floating, slip=slip)
        (Path(folder) / "project.toml").write_text(text, encoding="utf-8")
        return run_checks(read_design(Path(folder)))


@cache
def cells(*changes: tuple[str, str], floating: bool = True, toe_in: str = "clay-lower") -> tuple[Sheets, Sheets]:
    """The section up to its unit cell, and its zone up to bearing: all that the difference at a border needs."""
    with TemporaryDirectory() as folder:
        text = short_text(*changes, floating=floating, toe_in=toe_in)
        (Path(folder) / "project.toml").write_text(text, encoding="utf-8")
        design = read_design(Path(folder))
    (section,) = design.sections
    (part,) = section.by_zones()
    zone, whole = Sheets(), Sheets()
    run_chapters(design, part, CHAPTERS[:7], zone)
    run_chapters(
        design, section, CHAPTERS[:4], whole, others={f"{part.key}/{key}": sheet for key, sheet in zone.items()}
    )
    return whole, zone


EMBEDDED = (("mirrored = true", 'mirrored = true\nembedment = "0.5 m"'),)


def test_a_zone_with_the_length_of_the_section_has_the_digits_of_one_without_a_length() -> None:
    for plain, given in zip(cells(floating=False), cells(*EMBEDDED, floating=False), strict=True):
        assert numbers(given) == numbers(plain)


@pytest.mark.slow
def test_all_verdicts_of_a_low_bank_on_short_columns_pass_and_those_of_one_on_weak_ground_fail() -> None:
    """The short columns carry their load by shaft and toe in the stronger clay; in the weaker one nowhere near."""
    stands, fails = (of(run(*changes), "R.slope") for changes in ((), WEAK))

    assert state(stands["unit_cell"], "sharing_length") == "pass"
    assert {state(stands["bearing"], key) for key in ("shaft_and_toe", "shaft_and_toe_undrained")} == {"pass"}
    assert rated(of(run(), "R")["unit_cell"])["settlement_borders"] < 1
    assert state(fails["unit_cell"], "sharing_length") == "fail"
    assert state(fails["bearing"], "shaft_and_toe_undrained") == "fail"
    assert run(*WEAK).outcome == "fail"


def test_block_of_a_zone_is_as_wide_as_the_zone() -> None:
    """Columns from 6.5 m to 9 m over 2 m of clay are a raft; over 3 m they are not, however wide the whole field is."""
    thin, thick = (cells(*changes)[1]["bearing"] for changes in ((), (('thickness = "2.0 m"', 'thickness = "3.0 m"'),)))

    assert rated(thin)["soft_below_block"] == approx(2.0 / 2.5)
    assert state(thick, "soft_below_block") == "not verified"


def test_a_longer_zone_never_settles_more() -> None:
    """From 1 m to 4 m, and to firm ground, all below the toes counted."""
    settled = [
        float(zone["bearing"].scopes["below"]["s_tot"].at(**FINAL).array)
        for _, zone in (cells(toe_in="clay"), cells(), cells(floating=False))
    ]

    assert settled == sorted(settled, reverse=True)
    assert settled[0] > settled[-1]


def test_difference_at_a_border_counts_what_settles_below_the_short_columns_as_it_is_worst() -> None:
    whole, zone = cells()
    scope, below = whole["unit_cell"].scopes["border_difference"], zone["bearing"].scopes["below"]
    deep = float(below["s_b"].largest().array)
    inner = {"border": "x = 6.5 m"}
    left, right = (float(scope[name].number({**FINAL, **inner}) or 0.0) for name in ("s_bo1", "s_bo2"))

    assert deep > 0.02
    assert [scope[name].number(inner) for name in ("s_bb1", "s_bb2")] == approx([0.0, deep])
    assert scope["Ds_bo"].number({**FINAL, **inner}) == approx(max(abs(left - right), abs(left - right - deep)))
    for one, other in (("x = 6.5 m", "x = -6.5 m"), ("x = 9 m", "x = -9 m")):
        found = [scope["Ds_bo"].number({**FINAL, "border": label}) for label in (one, other)]
        assert found[0] == approx(found[1])


def test_a_short_zone_on_the_left_is_the_mirror_image_of_one_on_the_right() -> None:
    one_side = ("mirrored = true\npattern", "mirrored = false\npattern")
    left = (('x_left = "6.5 m"', 'x_left = "-9.0 m"'), ('x_right = "9.0 m"', 'x_right = "-6.5 m"'))
    runs = (cells(one_side)[0], cells(one_side, *left)[0])

    (first, second) = (rated(whole["unit_cell"])["settlement_borders"] for whole in runs)
    assert first == approx(second)
    assert first > 0


def test_short_columns_at_the_crest_edge_count_with_and_without_what_settles_below_them() -> None:
    whole, zone = cells(('x_left = "6.5 m"', 'x_left = "4.0 m"'))
    scope = whole["unit_cell"].scopes["limits"]
    both = [zone["unit_cell"].scopes["settlement"]["s"].at(position="crest edge", load="G+Q", stiffness="long-term"),
            zone["bearing"].scopes["below"]["s_tot"]]  # fmt: skip
    centre = float(scope["s_cen"].at(**FINAL).array)
    farthest = max((float(one.at(**FINAL).array) for one in both), key=lambda settled: abs(settled - centre))

    assert float(scope["s_sho"].at(**FINAL).array) == approx(farthest)
    assert "below-toe-beside" not in [limitation.key for limitation in zone["bearing"].limitations]


def test_load_of_higher_fill_beside_a_zone_is_said_to_spread_below_its_toes() -> None:
    said = {limitation.key: limitation for limitation in of(run(), "R.slope")["bearing"].limitations}

    assert "settlement_below_toe" in said["below-toe-beside"].turns
    assert "below-toe-beside" not in [one.key for one in of(run(), "R")["bearing"].limitations]


def test_the_gap_between_short_columns_and_the_layers_below_the_section_is_said() -> None:
    """Not where the toes of the section stand on top of its bearing layer."""
    said = {limitation.key: limitation for limitation in of(run(), "R.slope")["bearing"].limitations}
    _, flush = cells(('embedment = "0.5 m"', 'embedment = "0 m"'))

    assert "down to these toes, 0.50 m, is left out" in said["below-toe-left-out"].text
    assert "settlement_below_toe" in said["below-toe-left-out"].turns
    assert "below-toe-left-out" not in [one.key for one in flush["bearing"].limitations]
    assert "below-toe-left-out" not in [one.key for one in of(run(), "R")["bearing"].limitations]


def test_what_long_columns_beside_a_border_take_on_is_stated_beside_their_verdicts() -> None:
    said = {limitation.key: limitation for limitation in of(run(), "R")["columns"].limitations}

    assert {"ring_tension", "toe_bearing", "tension_across"} <= set(said["column-lengths"].turns)
    # Of several layers each has a key of its own; the border runs along.
    tells, one = of(run(), "R")["columns"].turning["column-lengths"], of(run(), "R")["sleeve"].verdicts[0]
    assert [key for key in ("tension_across_2", "lap_across_1", "creep_strain", "creep_strain_along", "tension_along")
            if tells(replace(one, key=key))] == ["tension_across_2", "lap_across_1", "creep_strain"]  # fmt: skip
    assert "column-lengths" not in [one.key for one in of(run(floating=False), "R")["columns"].limitations]


def softer(upper: str, lower: str) -> tuple[tuple[str, str], ...]:
    """Fill of 2 m on a clay with these strengths."""
    return (('"1.6 m"', '"2.0 m"'), ('c_u = "25 kPa"', f'c_u = "{upper}"'), ('c_u = "30 kPa"', f'c_u = "{lower}"'))


@pytest.mark.slow
def test_no_extruding_wedge_counts_short_columns() -> None:
    """Where the soil alone is not enough the wedge without columns decides; where that fails nothing is verified."""
    held = run(*softer("18 kPa", "21.6 kPa"))
    open_ = run(*softer("15 kPa", "18.6 kPa"))
    at_top = run(
        *softer("15 kPa", "18.6 kPa"), ("mirrored = true", 'mirrored = true\nembedment = "0 m"'), (BELOW, ""),
        floating=False,
    )  # fmt: skip
    verdicts = [
        next(one for one in of(each, "R")["bearing"].verdicts if one.key == "squeeze_lift")
        for each in (held, open_, at_top)
    ]

    assert [one.state for one in verdicts] == ["pass", "not verified", "not verified"]
    assert "The wedge without columns holds" in verdicts[0].note
    assert "those of “slope” end in soft ground" in verdicts[1].note
    assert "the columns do not stand in a firm layer" in verdicts[2].note


@pytest.mark.slow
def test_a_lift_is_not_judged_by_a_wedge_that_holds_at_the_end_of_other_stages_alone() -> None:
    """The wedge without columns holds under the traffic, the only stage left there, not below heavy plant."""
    heavy = of(run(*softer("30 kPa", "36 kPa"), ('plant = "10 kPa"', 'plant = "60 kPa"')), "R")["bearing"]
    by_key = {one.key: one for one in heavy.verdicts}

    assert "The wedge without columns holds" in by_key["squeeze"].note
    assert state(heavy, "squeeze_lift") == "not verified"
    assert "those of “slope” end in soft ground" in by_key["squeeze_lift"].note


def test_quantities_have_every_column_in_its_length() -> None:
    """By hand: the counts of both grids, of 6.5 m and of 4 m; sleeves are longer by what is tied and closed."""
    sheet = of(run(), "R")["construction"]
    scope, own, slope = (sheet.scopes[name] for name in ("quantities", "grid", "grid_slope"))
    counts = [float(one["N_col"].array) for one in (own, slope)]

    assert [float(one["L_c"].array) for one in (own, slope)] == [6.5, 4.0]
    assert float(scope["l_col"].array) == approx(6.5 * counts[0] + 4.0 * counts[1])
    assert float(scope["l_sl"].array) == approx(7.5 * counts[0] + 5.0 * counts[1])
    assert float(scope["t_emb"].array) == approx(0.5 * counts[0] / sum(counts))


def test_drawings_and_tables_have_both_lengths() -> None:
    sheets = of(run(), "R")
    drawn = next(figure for figure in sheets["basis"].page.figures if isinstance(figure, Scene))
    columns = [item for item in drawn.items if isinstance(item, Polygon) and item.fill == "column"]
    named = next(item for item in drawn.items if isinstance(item, Callouts) and item.side == "right")

    assert {round(min(y for _, y in column.points), 3) for column in columns} == {-6.5, -4.0}
    assert {"toe −6.50", "toe −4.00"} <= {text for _, text in named.entries}
    assert "length 4.00 m" in drawn.note
    (grids,) = [table for table in sheets["columns"].page.tables if table.key == "grids"]
    assert {row[-3] for row in grids.rows} == {"6.50", "4.00"}


@pytest.mark.slow
def test_slip_surfaces_below_short_columns_meet_soil_alone() -> None:
    """Beside a zone that reaches 2 m into firm ground: by hand 3 m below its toes at −8 m for the surfaces; the shear
    force that holds a column goes with its embedment, 2 m for 0.5 m. Short columns hold less and nothing below them.
    """
    short, deep = (run(*SEARCHED, slip=True), run(*SEARCHED, DEEP, (BELOW, ""), floating=False, slip=True))
    own, long = (of(each, "R")["stability"] for each in (short, deep))

    rates = rated(long)
    searched = [key for key in rates if key.startswith("global_stability")]
    assert len(searched) == 6
    assert all(rated(own)[key] >= rates[key] - 1e-3 for key in searched)
    assert any(rated(own)[key] > rates[key] + 1e-3 for key in searched)
    (handed,) = [table for table in own.page.tables if table.key == "handed-ground"]
    assert "Their toes stand 4.00 m below the ground; further down the soil alone resists." in handed.note
    assert [sheet.scopes["slip_places"]["z_bot"].array for sheet in (own, long)] == approx([-9.5, -11.0])
    held = [float(sheet["V_toe"].at(stage=sheet.axes["stage"][-1]).array.min())
            for sheet in (long, of(deep, "R.slope")["stability"])]  # fmt: skip
    assert held[1] == approx(4 * held[0])
    assert of(short, "R.slope")["stability"]["V_toe"].array == 0

"""Drawing sheets: every column on one, also in a bend, and match lines that name the sheets that go on there."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calc.inputs.tables.alignment import place_text
from calc.package.canvas import Canvas, Place, text_width
from calc.site.plan.key_plan import key_plan
from calc.site.plan.plan_drawing import Drawn, drawing_sheet
from calc.site.plan.sheet_cuts import FIELD, SCALES, Cut, cut_into_sheets, neighbours
from calc.site.plan.write_plan import MadePlan
from tests.site.planned import PLAN, made
from tests.site.test_joined_areas import marsh  # noqa: F401 - a fixture
from tests.site.test_layout_laws import BEND, EXCLUSION
from tests.site.test_plan_pages import FAR, POINTS
from tests.site.test_plan_told import FOOTPRINT

TIGHT = BEND.replace('"200 m"', '"40 m"').replace('"1045 m", northing = "2130 m"', '"990 m", northing = "2130 m"')


def sheets(plan: MadePlan, scale: int) -> tuple[Cut, ...]:
    return cut_into_sheets(plan.plan, plan.layout.areas, plan.elements, scale)


def drawn_of(plan: MadePlan, cuts: tuple[Cut, ...], marked: frozenset[int] = frozenset()) -> Drawn:
    return Drawn(plan.plan, plan.layout, plan.elements, plan.columns, plan.listed, cuts, 1,
                 marked=marked, outcome=plan.outcome, status=("B", "for approval"))  # fmt: skip


@pytest.mark.parametrize("end", ["0+100", "0+097", "0+050.3"])
@pytest.mark.parametrize("scale", SCALES)
def test_in_a_tight_bend_every_column_stands_within_the_field_of_one_sheet(
    tmp_path: Path, scale: int, end: str
) -> None:  # fmt: skip
    plan = made(tmp_path, ('chainage = "0+000 to 0+100"', f'chainage = "0+000 to {end}"'), plan=TIGHT)
    cuts, columns = sheets(plan, scale), plan.layout.columns

    assert (np.sum([cut.shows(columns) for cut in cuts], axis=0) == 1).all()
    for cut in cuts:
        own = cut.shows(columns)
        x, y = cut.on_paper(columns.easting[own], columns.northing[own])
        radius = 500 * plan.columns[0].diameter / scale
        assert FIELD[0] + radius < x.min() <= x.max() < FIELD[2] - radius
        assert FIELD[1] + radius < y.min() <= y.max() < FIELD[3] - radius
    assert cuts[0].begins == plan.layout.areas[0].begins
    assert cuts[-1].ends == plan.layout.areas[0].ends


def test_a_wide_area_has_sheets_beside_one_another_that_name_each_other(tmp_path: Path) -> None:
    """Three sheets across: the next along the line is not the next number."""
    plan = made(tmp_path)
    cuts = sheets(plan, 50)
    across = sum(cut.begins == cuts[0].begins for cut in cuts)

    assert across == 3
    assert [one.number for one in neighbours(cuts[1], cuts, "ends")] == [1 + across + 1]
    assert [one.number for one in neighbours(cuts[1], cuts, "begins")] == []
    assert [one.number for one in neighbours(cuts[1], cuts, "left")] == [1]
    assert [one.number for one in neighbours(cuts[1], cuts, "right")] == [3]
    text = drawing_sheet(drawn_of(plan, cuts), cuts[1]).svg()
    end = place_text(round(cuts[1].ends, 2))
    assert all(f">{words}<" in text for words in (f"{end}, sheet {2 + across}", "0+000", "sheet 1", "sheet 3"))
    assert "0+000, sheet" not in text


@pytest.mark.slow
def test_areas_in_another_order_keep_their_neighbours_along_the_line(marsh: MadePlan) -> None:  # noqa: F811 - the fixture
    """Sheets are numbered by area: the last of C comes before the first of B, where B ends at the beginning of C."""
    cuts = cut_into_sheets(marsh.plan, marsh.layout.areas[::-1], marsh.elements, 150)
    of = {letter: [cut for cut in cuts if cut.area.given.letter == letter] for letter in "ABC"}

    assert of["C"][0].number == 1
    assert neighbours(of["C"][0], cuts, "begins") == [of["B"][-1]]
    assert neighbours(of["C"][-1], cuts, "ends") == []
    assert neighbours(of["B"][-1], cuts, "ends") == [of["C"][0]]
    assert neighbours(of["A"][0], cuts, "begins") == []


def test_sheets_show_investigation_points_toe_levels_and_what_is_out_of_tolerance(tmp_path: Path) -> None:
    plan = made(tmp_path, FAR, plan=PLAN + POINTS)
    cuts = sheets(plan, 150)
    third = drawn_of(plan, cuts, frozenset([2]))
    text, quiet = (drawing_sheet(one, cuts[0]).svg() for one in (third, drawn_of(plan, cuts)))

    assert ">S1<" in text
    assert "top of the bearing layer in m: S1 −6.00" in text
    fifth = next(one for one in plan.columns if one.id == "A-001-005")
    assert text.count(f">{fifth.toe:.2f}<".replace("-", "−")) >= 1
    assert "out of tolerance" in text
    assert "out of tolerance" not in quiet
    assert text.count('stroke-dasharray="1 0.6"') == 2  # around the column, and in the legend
    assert quiet.count('stroke-dasharray="1 0.6"') == 0


def test_the_key_plan_has_chainages_and_exclusion_zones_cut_to_its_frame(tmp_path: Path) -> None:
    """A zone that goes far beyond the sheets ends at the frame; one that lies elsewhere is not there."""
    box = (10.0, 10.0, 210.0, 160.0)
    wide = EXCLUSION.replace('easting = "1030', 'easting = "1930')
    plan = made(tmp_path, plan=PLAN + wide)
    cuts = sheets(plan, 150)
    key_plan(plan.plan, plan.elements, cuts, canvas := Canvas(420.0, 297.0), box)
    text = canvas.svg()
    points = [
        tuple(map(float, one.split(",")))
        for part in re.findall(r'<polyline points="([^"]+)"', text)
        for one in part.split()
    ]

    assert all(f">{chainage}<" in text for chainage in ("0+000", "0+100"))
    assert "Key plan, north up; hatched: exclusion zones" in text
    assert ">Drain<" in text
    assert all(10.0 <= x <= 210.0 and 10.0 <= y <= 160.0 for x, y in points)
    away = made(tmp_path / "away", plan=PLAN + EXCLUSION.replace('northing = "20', 'northing = "90'))
    key_plan(away.plan, away.elements, cuts, other := Canvas(420.0, 297.0), box)
    assert ">Drain<" not in other.svg()


def test_a_sheet_without_points_has_no_levels_of_them(tmp_path: Path) -> None:
    plan = made(tmp_path)
    cuts = sheets(plan, 150)
    canvas = drawing_sheet(drawn_of(plan, cuts), cuts[0])

    assert isinstance(canvas, Canvas)
    assert "bearing layer" not in canvas.svg()


def test_the_footprint_is_drawn_and_zones_that_lie_elsewhere_are_not(tmp_path: Path) -> None:
    away = EXCLUSION.replace('northing = "20', 'northing = "90')
    plan = made(tmp_path, plan=PLAN + FOOTPRINT + away)
    text = drawing_sheet(drawn_of(plan, sheets(plan, 150)), sheets(plan, 150)[0]).svg()

    assert "footprint “first contract”" in text
    assert text.count('stroke-dasharray="10 3"') == 2
    assert ">Drain<" not in text


def grid_at(cut: Cut, x: float, y: float) -> dict[str, float]:
    """The easting and the northing of a point of the paper, in mm."""
    along, right = (cut.scale / 1000 * (at - (FIELD[k] + FIELD[k + 2]) / 2) for k, at in enumerate((x, y)))
    east = cut.middle[0] + along * np.sin(cut.bearing) + right * np.cos(cut.bearing)
    north = cut.middle[1] + along * np.cos(cut.bearing) - right * np.sin(cut.bearing)
    return {"E": float(east), "N": float(north)}


TURNED = r'<g transform="rotate\(-90 (?P<x>[\d.]+) (?P<y>[\d.]+)\)"><text [^>]*>(?P<letter>[EN]) (?P<value>\d+)</text>'


@pytest.mark.parametrize("scale", [100, 200])
def test_lines_of_the_grid_are_named_where_they_meet_the_field(tmp_path: Path, scale: int) -> None:
    plan = made(tmp_path, plan=TIGHT)
    cuts = sheets(plan, scale)
    for cut in cuts:
        text = drawing_sheet(drawn_of(plan, cuts), cut).svg()

        beside = list(re.finditer(TURNED, text))
        above = re.findall(r'(?<!\)">)<text [^>]*>([EN]) (\d+)</text>', text)
        assert len(beside) + len(above) >= 2
        for one in beside:
            assert float(one["value"]) % 20 == 0
            at = grid_at(cut, FIELD[0], float(one["y"]))
            assert at[one["letter"]] == pytest.approx(float(one["value"]), abs=0.05)


@pytest.mark.parametrize("scale", SCALES)
def test_the_places_of_the_grid_are_named_within_the_field(
    tmp_path: Path, scale: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beyond its frame a sheet is cleared, and a name that reaches over it would be cut."""
    plan, ends, write = made(tmp_path, plan=TIGHT), [], Canvas.text

    def noted(canvas: Canvas, place: Place, text: str, **look: Any) -> None:
        write(canvas, place, text, **look)
        if re.fullmatch(r"E \d+  N \d+", text):
            wide, anchor = text_width(text, look["size"]), look.get("anchor")
            ends.extend([place[0] - wide, place[0]] if anchor == "end" else [place[0], place[0] + wide])

    monkeypatch.setattr(Canvas, "text", noted)
    cuts = sheets(plan, scale)
    for cut in cuts:
        drawing_sheet(drawn_of(plan, cuts), cut)

    assert ends
    assert FIELD[0] < min(ends) <= max(ends) < FIELD[2]

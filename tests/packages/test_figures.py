from dataclasses import replace
from datetime import date
from io import BytesIO
from itertools import combinations, pairwise
from math import hypot, pi
from re import findall
from xml.etree import ElementTree as ET

import pikepdf
import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

from calc.engine.figure import (
    Callouts,
    Chart,
    Curve,
    Dimension,
    Item,
    Label,
    Level,
    Line,
    Panel,
    Polygon,
    Profile,
    Scene,
    Series,
    TimeChart,
    Track,
    symbol_text,
)  # fmt: skip
from calc.package.axes import LIMIT, Scale, round_range, round_step
from calc.package.canvas import SIZES, Canvas, hatch_lines, runs, shorten, text_width
from calc.package.depth_profiles import draw_chart, draw_profile
from calc.package.figures import figure_picture
from calc.package.render import render_pdf
from calc.package.scenes import draw_scene, side_by_side, spread
from calc.package.time_charts import draw_time_chart
from calc.resources import template_folder
from tests.packages.conftest import Made

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
L_SHAPE = ((0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (4.0, 4.0), (4.0, 10.0), (0.0, 10.0))


def texts(canvas: Canvas) -> str:
    return "".join(ET.fromstring(canvas.svg()).itertext())  # noqa: S314 - drawn by ourselves


def places_of_texts(canvas: Canvas) -> dict[str, tuple[float, float]]:
    """Left end and baseline of every text, mm."""
    drawn = ET.fromstring(canvas.svg()).iter("{http://www.w3.org/2000/svg}text")  # noqa: S314 - drawn by ourselves
    return {text.text or "": (float(text.get("x", "")), float(text.get("y", ""))) for text in drawn}


def test_labels_of_one_place_stand_below_each_other_however_thin_their_layers_are() -> None:
    """Names of two thin layers stood on each other beside a shallow slip circle."""
    layers = [("crust", -1.0), ("peat", -1.1), ("clay", -9.0)]
    items: tuple[Item, ...] = (
        Polygon(SQUARE, "fill"),
        *(Label(9.0, level, name, "end", "small") for name, level in layers),
    )
    levels = [places_of_texts(draw_scene(Scene("s", "S", "", items)))[name][1] for name, _ in layers]

    assert all(lower - upper >= 2.05 for upper, lower in pairwise(levels))


def test_a_length_that_is_too_short_for_its_text_has_it_beyond_its_end() -> None:
    for first, second in ((4.0, 4.4), (4.4, 4.0)):
        items = (Polygon(SQUARE, "fill"), Dimension(first, 10.0, second, 10.0, "0.40 m", 3.0))
        canvas = draw_scene(Scene("s", "S", "", items))
        middle = canvas.width / 2
        assert (places_of_texts(canvas)["0.40 m"][0] < middle - 20.0) == (second < first)


@given(angle=st.floats(-pi, pi), spacing=st.floats(0.3, 3.0))
def test_hatch_of_an_area_has_a_length_of_area_over_spacing(angle: float, spacing: float) -> None:
    """Equidistant parallels cut an area to chords whose sum times their distance approaches the area."""
    for points, area in ((SQUARE, 100.0), (L_SHAPE, 64.0)):
        length = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in hatch_lines(points, angle, spacing))
        assert length * spacing == pytest.approx(area, abs=32.0 * spacing)


@given(angle=st.floats(-pi, pi))
def test_hatch_stays_inside_its_area(angle: float) -> None:
    for start, end in hatch_lines(L_SHAPE, angle, 0.7):
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        assert -1e-9 <= middle[0] <= 10 + 1e-9
        assert not (middle[0] > 4 + 1e-9 and middle[1] > 4 + 1e-9)


@given(st.lists(st.floats(0, 100), max_size=20).map(sorted))
def test_notes_move_apart_and_keep_their_order(wanted: list[float]) -> None:
    placed = spread(wanted, 3.2, -10.0, 150.0)

    assert len(placed) == len(wanted)
    assert all(after - before >= 3.2 - 1e-9 for before, after in pairwise(placed))
    assert all(-10.0 <= place <= 150.0 + 1e-9 for place in placed)


def test_notes_with_room_stay_where_they_belong() -> None:
    assert spread([1.0, 10.0, 11.0, 40.0], 3.0, 0.0, 50.0) == pytest.approx([1.0, 9.0, 12.0, 40.0])
    assert spread([49.0, 49.0, 49.0], 3.0, 0.0, 50.0) == pytest.approx([44.0, 47.0, 50.0])


@pytest.mark.parametrize("from_zero", [True, False])
@given(values=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=10))
def test_axis_holds_every_value_between_round_ends(from_zero: bool, values: list[float]) -> None:
    low, high = round_range(values, from_zero=from_zero)

    assert low < high
    assert all(low - 1e-9 * (high - low) <= value <= high + 1e-9 * (high - low) for value in values)
    ticks = Scale(low, high, 0.0, 100.0).ticks()
    assert len(ticks) >= 2
    assert all(low - 1e-6 * (high - low) <= tick <= high + 1e-6 * (high - low) for tick in ticks)


def test_axis_of_logarithms_is_scaled_to_its_values() -> None:
    assert round_range([-8.5, -8.66, -9.05, -9.13], 3, from_zero=False) == pytest.approx((-9.5, -8.5))
    assert round_range([-9.0], 3, from_zero=False) == pytest.approx((-9.5, -8.5))


@pytest.mark.parametrize(
    ("rough", "step"), [(0.9, 1.0), (1.0, 1.0), (1.1, 2.0), (2.3, 5.0), (51.0, 100.0), (0.004, 0.005)]
)
def test_steps_of_an_axis_are_one_two_or_five(rough: float, step: float) -> None:
    assert round_step(rough) == pytest.approx(step, rel=1e-12)


def test_ticks_of_a_logarithmic_axis_are_powers_of_ten() -> None:
    assert Scale(1.0, 1000.0, 0.0, 90.0, log=True).ticks() == pytest.approx([1.0, 10.0, 100.0, 1000.0])
    assert Scale(1.0, 1000.0, 0.0, 90.0, log=True)(10.0) == pytest.approx(30.0)


def test_plain_text_is_data_and_only_marked_text_has_indices() -> None:
    assert runs("<sub>x</sub>") == [("<sub>x</sub>", frozenset())]
    assert runs(Markup("<i>d</i><sub>c</sub> &lt; 1")) == [("d", {"i"}), ("c", {"sub"}), (" < 1", frozenset())]
    assert text_width(symbol_text("d_c"), 10.0) < text_width("dc", 10.0)


def test_runs_of_a_bold_text_leave_the_ones_before_them_their_room() -> None:
    """Bold letters are wider, by the widths of their own face; a symbol beside them stays thin."""
    title = Markup("<i>E</i><sub>ref</sub> oedometer")
    canvas = Canvas(100.0, 10.0)
    canvas.text((5.0, 5.0), title, size=3.0, bold=True)
    first, index, word = ET.fromstring(canvas.svg()).iter("{http://www.w3.org/2000/svg}text")  # noqa: S314

    with TTFont(template_folder() / "fonts" / "DejaVuSansCondensed-Bold.ttf") as face:
        em, glyphs, widths = face["head"].unitsPerEm, face.getBestCmap(), face["hmtx"].metrics
        wide = sum(widths[glyphs[ord(sign)]][0] for sign in "ref") / em * float(index.attrib["font-size"])
        space = widths[glyphs[ord(" ")]][0] / em * 3.0
    assert float(word.attrib["x"]) - float(index.attrib["x"]) == pytest.approx(wide + space, abs=0.002)
    assert "font-weight" not in first.attrib
    assert text_width(Markup("<i>E</i>"), 3.0, bold=True) == text_width(Markup("<i>E</i>"), 3.0)


def test_shortened_text_fits_and_says_that_it_was_cut() -> None:
    cut = shorten("Layer of a very long name, organic and silty", 2.35, 20.0)

    assert text_width(cut, 2.35) <= 20.0
    assert cut.endswith("…")
    assert shorten("Peat", 2.35, 20.0) == "Peat"


def test_a_scene_is_drawn_to_one_scale() -> None:
    scene = Scene("k", "t", "a", (Polygon(SQUARE, "soft"), Dimension(0.0, 0.0, 10.0, 0.0, "10 m", -4.0)))
    outline = ET.fromstring(draw_scene(scene).svg()).find(".//{*}polygon")  # noqa: S314 - drawn by ourselves

    assert outline is not None
    corners = [tuple(map(float, pair.split(","))) for pair in outline.attrib["points"].split()]
    assert corners[1][0] - corners[0][0] == pytest.approx(corners[0][1] - corners[3][1], abs=0.002)


def test_twenty_five_layers_keep_their_names_apart() -> None:
    names = tuple((-0.1 * k, f"Layer {k}") for k in range(25))
    scene = Scene("k", "t", "a", (Line(((0.0, 0.0), (60.0, 0.0), (60.0, -2.4))), Callouts("left", names)))
    levels = sorted(
        float(text.attrib["y"])
        for text in ET.fromstring(draw_scene(scene).svg()).iter("{http://www.w3.org/2000/svg}text")  # noqa: S314
        if (text.text or "").startswith("Layer")
    )
    assert len(levels) == 25
    assert min(b - a for a, b in pairwise(levels)) > 3.1


def test_a_chart_of_a_line_has_a_curve_for_every_part_and_a_name_for_every_date() -> None:
    curves = (
        Curve("early", (0.0, 10.0, 10.0, 30.0), (5.0, 5.0, 8.0, 8.0)),
        Curve("early", (40.0, 50.0), (2.0, 2.0)),
        Curve("late", (0.0, 10.0), (9.0, 9.0)),
    )
    places = ((0.0, "0+000"), (30.0, "0+030"), (50.0, "0+050"))
    drawn = draw_chart(Chart("k", "t", "a", "chainage", "settlement, mm", curves, ((5.0, "A"),), places))
    shown = texts(drawn)

    assert all(one in shown for one in ("0+000", "0+030", "0+050", "chainage", "A", "late"))
    assert shown.count("early") == 1
    # A curve of the second date looks different from both parts of the first.
    pens = findall(r'stroke-width="([\d.]+)" stroke-linejoin="round"( stroke-dasharray="[^"]+")?/>', drawn.svg())[-5:-2]
    assert pens[0] == pens[1] != pens[2]


def test_a_profile_with_many_curves_names_each_and_draws_limits_alone_with_their_pen() -> None:
    curves = tuple(Series(f"stage {k}", (float(k), float(k + 1)), (0.0, 5.0)) for k in range(6))
    limit = Series("strength", (9.0, 9.0), (0.0, 5.0), limit=True)
    drawn = draw_profile(Profile("k", "t", "a", "depth", (Panel("F", "kN/m", (*curves, limit)),)))

    assert all(curve.label in texts(drawn) for curve in (*curves, limit))
    assert drawn.svg().count(LIMIT.attributes) == 2  # the line and its sample


LEVEL_LINE = r'points="([\d.]+),[\d.]+ ([\d.]+),[\d.]+"[^>]*stroke-dasharray="5 1 0.8 1 0.8 1"'
LEVELS = (Level(150.0, "red level"), Level(120.0, "in service", late=True))


def test_a_time_chart_shows_its_tracks_levels_marks_and_both_time_axes() -> None:
    days = (0.0, 40.0, 400.0, 30_000.0)
    given, low, high = (Curve(words, days, tuple(one * y for y in (0.0, 0.4, 0.9, 1.0))) for words, one in
                        (("as given", 200.0), ("low", 180.0), ("high", 210.0)))  # fmt: skip
    tracks = (
        Track("fill", "m", (Curve("", days, (0.0, 1.0, 2.0, 2.0)),), share=0.4),
        Track("settlement", "mm", (given, low, high), downward=True, levels=LEVELS, band=(high, low)),
    )
    marks = ((40.0, "1 First"), (41.0, "2 Second"), (399.0, "3 Third, a long name"), (900.0, "4 later"))
    drawn = draw_time_chart(TimeChart("k", "t", "a", tracks, 400.0, 30_000.0, marks))
    shown = texts(drawn)

    named = ("fill, m", "settlement, mm", "red level", "in service", "days, logarithmic", "10000", "low")
    assert all(one in shown for one in named)
    # By their numbers where there is no room, and by name below; the last lies beyond the linear part.
    assert ">1, 2<" in drawn.svg()
    assert ">3<" in drawn.svg()
    assert "1 First · 2 Second · 3 Third, a long name" in shown
    assert "later" not in shown
    assert drawn.svg().count("<polygon") == 4  # the band on both axes, and the white behind the names of the levels
    first, second = sorted((float(left), float(right)) for left, right in findall(LEVEL_LINE, drawn.svg()))
    assert first[1] < second[0]  # each on the axis of its time


def test_a_level_with_spans_is_drawn_in_them_alone_and_names_that_take_more_than_a_line_go_on() -> None:
    given = Curve("given", (0.0, 400.0), (0.0, 10.0))
    levels = (Level(8.0, "T3", spans=((100.0, 200.0), (200.0, 300.0))),)
    marks = tuple((float(k), f"{k} stage with a name of some length") for k in range(1, 6))
    chart = TimeChart("k", "t", "a", (Track("pressure", "kN/m²", (given,), levels=levels),), 400.0, 1000.0, marks)
    drawn = draw_time_chart(chart)
    ends = sorted((float(left), float(right)) for left, right in findall(LEVEL_LINE, drawn.svg()))

    assert len(ends) == 2
    assert ends[0][1] == pytest.approx(ends[1][0], abs=0.02)
    assert ends[0][1] - ends[0][0] == pytest.approx((ends[1][1] - ends[0][0]) / 2, abs=0.02)
    assert ">1, 2, 3, 4, 5<" in drawn.svg()
    assert drawn.height > draw_time_chart(replace(chart, marks=marks[:2])).height


def test_a_legend_that_the_next_track_has_too_stands_once() -> None:
    given, other = (Curve(name, (0.0, 400.0), (0.0, 10.0)) for name in ("given", "other"))
    heights = []
    for second, legends in ((given, 1), (other, 2)):
        tracks = (Track("settlement", "mm", (given,)), Track("pressure", "kN/m²", (second,)))
        drawn = draw_time_chart(TimeChart("k", "t", "a", tracks, 400.0, 1000.0))
        heights.append(drawn.height)

        assert sum(drawn.svg().count(f">{name}<") for name in ("given", "other")) == legends
    assert heights[0] < heights[1]


@pytest.mark.parametrize("late", [False, True])
def test_names_of_levels_that_lie_close_together_stand_apart(late: bool) -> None:
    """The name of a trigger hid that of another one, 0.5 kN/m² above it and of the same stage."""
    given = Curve("given", (0.0, 30_000.0), (0.0, 10.0))
    levels = tuple(
        Level(8.0 - 0.1 * k, f"T{k} of a stage", late=late, spans=((20_000.0, 30_000.0),) * late) for k in range(4)
    )
    drawn = draw_time_chart(TimeChart("k", "t", "a", (Track("u", "kPa", (given,), levels=levels),), 400.0, 30_000.0))
    places = [places_of_texts(drawn)[level.text] for level in levels]
    width = text_width(levels[0].text, SIZES["small"])

    assert all(abs(x - a) > width or abs(y - b) > SIZES["small"] for (x, y), (a, b) in combinations(places, 2))


def test_a_curve_that_begins_late_is_not_drawn_where_it_has_no_point() -> None:
    late = Curve("late", (500.0, 900.0), (1.0, 2.0))
    chart = TimeChart("k", "t", "a", (Track("x", "m", (late,), band=(late, late)),), 400.0, 1000.0)

    assert draw_time_chart(chart).svg().count("<polygon") == 1


def test_text_of_figures_is_text_in_the_faces_of_the_project() -> None:
    scene = Scene("k", "t", "words", (Line(((0.0, 0.0), (9.0, 3.0))), Label(4.0, 1.0, "Łódź σ φ′ − ≤")))
    picture = figure_picture(scene)
    head = '<!DOCTYPE html><html lang="en"><title>t</title><link rel="stylesheet" href="package.css">'
    page = f'{head}<img alt="x" src="{picture.source}"></html>'
    with pikepdf.Pdf.open(BytesIO(render_pdf(page, [], date(2025, 1, 1)))) as pdf:
        items = [item for item in pdf.objects if isinstance(item, pikepdf.Dictionary)]
        names = {str(item.BaseFont) for item in items if "/BaseFont" in item}

    assert names
    assert all(name.rpartition("+")[2].startswith("Sheet") for name in names)


def test_every_sketch_of_a_run_is_drawn_with_its_texts(package: Made) -> None:
    (part,) = package.run.sections
    scenes = {figure.key: figure for sheet in part.sheets for figure in sheet.page.figures if isinstance(figure, Scene)}

    assert {"cross_section", "unit_cell"} <= set(scenes)
    shown = texts(draw_scene(scenes["cross_section"]))
    for layer in part.section.layers:
        assert layer.name in shown


def lines_of(scene: Scene) -> list[tuple[str, list[tuple[float, float]], float]]:
    """Colour, places and width of every line that is drawn."""
    drawn = ET.fromstring(draw_scene(scene).svg()).iter("{http://www.w3.org/2000/svg}polyline")  # noqa: S314
    return [
        (
            line.attrib["stroke"],
            [(float(pair.split(",")[0]), float(pair.split(",")[1])) for pair in line.attrib["points"].split()],
            float(line.attrib["stroke-width"]),
        )
        for line in drawn
    ]


def test_marks_of_near_water_levels_stand_side_by_side() -> None:
    levels = tuple(Line(((0.0, level), (40.0, level)), "water") for level in (-0.6, -0.1, 0.3))
    scene = Scene("k", "t", "a", (Line(((0.0, 5.0), (40.0, -6.0))), *levels))
    marks = [places for _, places, _ in lines_of(scene) if len(places) == 4 and places[0] == places[-1]]
    assert len(marks) == 3
    for one, other in combinations(marks, 2):
        across, up = (
            [(min(point[k] for point in mark), max(point[k] for point in mark)) for mark in (one, other)]
            for k in (0, 1)
        )
        assert any(first[1] < second[0] or second[1] < first[0] for first, second in (across, up))


def test_water_marks_take_the_first_place_that_is_free() -> None:
    assert side_by_side([0.0, 2.0, 4.0, 20.0], 3.0) == [0, 1, 0, 0]
    assert side_by_side([0.0, 1.0, 2.0], 3.0) == [0, 1, 2]


def test_near_layers_of_reinforcement_stay_two_lines() -> None:
    layers = tuple(Line(((0.0, level), (40.0, level)), "reinforcement") for level in (0.70, 0.85))
    scene = Scene("k", "t", "a", (Line(((0.0, 5.0), (40.0, -6.0))), *layers))
    (_, one, width), (_, other, _) = [line for line in lines_of(scene) if line[1][0][1] == line[1][1][1]][:2]

    assert width < abs(one[0][1] - other[0][1])

"""The long sections: chainages read, parabolas over transitions, steps without them, values as recorded."""

from pathlib import Path
from typing import Any

import pytest

from calc.engine.figure import Chart
from calc.engine.sheet import Sheet
from calc.inputs.tables.alignment import ends_of, place_text
from tests.chapters.alignment_case import Change, follow, run, transition
from tests.chapters.test_alignment import thinner

Found = dict[str, dict[str, Sheet]]


@pytest.mark.parametrize(
    ("text", "ends"),
    [
        ("0+120 to 0+480", (120.0, 480.0)),
        ("km 2+400.5 – 2+760", (2400.5, 2760.0)),
        ("0+480 to 0+120", None),
        ("north abutment", None),
        ("12+50 to 12+90", None),
    ],
)
def test_a_chainage_is_read_where_it_names_two_places_in_order(text: str, ends: Any) -> None:
    assert ends_of(text) == ends


@pytest.mark.parametrize(("place", "text"), [(120.0, "0+120"), (2005.0, "2+005"), (12_050.25, "12+050.25")])
def test_a_place_is_written_with_three_digits_of_metres(place: float, text: str) -> None:
    assert place_text(place) == text


def drawn(found: Found) -> list[Chart]:
    return [figure for figure in found["A"]["alignment"].page.figures if isinstance(figure, Chart)]


def apart(second: str, change: Change | None = None) -> Change:
    return follow(("0+000 to 0+100", None), (second, change), transitions=None)


def settles_below_in_time(document: Any) -> None:
    for section in document["section"]:
        section["layer_below"][0]["c_v"] = "20 m^2/a"


def test_settlement_at_stages_and_at_hand_over_is_that_of_the_table_of_dates(tmp_path: Path) -> None:
    _, found = run(tmp_path, apart("0+100 to 0+300"), settles_below_in_time)
    settled, later = drawn(found)
    course = found["A"]["consolidation"].scopes["course"]["s_t"]
    rest = found["A"]["bearing"].scopes["rest"]
    below = {"end of design life": float(rest["s_b"].array)}
    below["hand-over"] = below["end of design life"] - float(rest["s_bre"].array)
    assert below["hand-over"] > 0.0
    named = {curve.label: curve for curve in settled.curves}

    assert [curve.label for curve in settled.curves][-2:] == ["hand-over", "end of design life"]
    assert [curve.label for curve in later.curves] == [
        "1 year after hand-over", "3 years after hand-over", "10 years after hand-over", "30 years after hand-over",
        "end of design life",
    ]  # fmt: skip
    for date in ("hand-over", "end of design life"):
        assert named[date].x == (0.0, 100.0, 100.0, 300.0)
        recorded = course.number({"date": date, "scenario": "cₕ best estimate"})
        assert recorded is not None
        assert named[date].y == pytest.approx([1000 * (recorded + below[date])] * 4)
    first = settled.curves[0]
    label = next(label for label in course.labels("date") if label.endswith(f" {first.label.removeprefix('end of ')}"))
    soft = course.number({"date": label, "scenario": "cₕ best estimate"})
    assert soft is not None
    assert 1000 * soft < first.y[0] < 1000 * (soft + below["hand-over"])
    stages = [curve for curve in settled.curves if curve.label.startswith("end of ")][:-1]
    assert [stage.y[0] for stage in stages] == sorted(stage.y[0] for stage in stages)


def test_a_gap_parts_the_curves_and_sections_that_overlap_or_stand_alone_are_not_drawn(tmp_path: Path) -> None:
    _, found = run(tmp_path, apart("0+150 to 0+300"))
    settled, _ = drawn(found)
    assert [curve.x for curve in settled.curves if curve.label == "hand-over"] == [(0.0, 100.0), (150.0, 300.0)]

    _, found = run(tmp_path, apart("0+050 to 0+300"))
    assert drawn(found) == []
    _, found = run(tmp_path, apart("south abutment"))
    assert drawn(found) == []


def test_settlement_changes_in_two_parabolas_over_a_transition_and_out_to_what_lies_beyond(tmp_path: Path) -> None:
    wall = {"settlement_hand_over": "8 mm", "settlement_residual": "2 mm", "source": "design", "name": "wall"}
    made = [transition("0+100", "40 m"), transition("0+200", "10 m", to="structure", **wall)]
    _, found = run(tmp_path, follow(("0+000 to 0+100", None), ("0+100 to 0+200", thinner), transitions=made))
    settled, later = drawn(found)
    last, handed = settled.curves[-1], settled.curves[-2]

    assert last.x == handed.x
    assert last.x == pytest.approx((0, 80, *range(85, 120, 5), 120, 200, *(200 + 1.25 * k for k in range(1, 8)), 210))
    assert (handed.y[-1], last.y[-1], later.curves[-1].y[-1]) == pytest.approx((8.0, 10.0, 2.0))
    assert last.y[0] == last.y[1] > last.y[9] == last.y[10]
    shares = [(y - last.y[9]) / (last.y[0] - last.y[9]) for y in last.y[1:10]]
    assert shares == pytest.approx([1, 31 / 32, 7 / 8, 23 / 32, 1 / 2, 9 / 32, 1 / 8, 1 / 32, 0])
    assert later.curves[0].x == pytest.approx((0, 80, *range(85, 120, 5), 120, 200))
    assert settled.places == ((0.0, "0+000"), (100.0, "0+100"), (200.0, "0+200"), (210.0, ""))


def test_a_stage_that_a_section_lacks_is_left_out_there(tmp_path: Path) -> None:
    def other_name(section: Any) -> None:
        section["stage"] = [{**stage, "name": f"{stage['name']} of B"} for stage in STAGES]

    def keep(document: Any) -> None:
        STAGES[:] = document["stage"].unwrap()

    STAGES: list[dict[str, Any]] = []
    _, found = run(tmp_path, keep, apart("0+100 to 0+200", other_name))
    settled, _ = drawn(found)

    spans = {curve.label: curve.x for curve in settled.curves}
    own = [label for label in spans if label.endswith(" of B")]
    assert own
    assert all(spans[label] == (100.0, 200.0) for label in own)
    assert all(spans[label.removesuffix(" of B")] == (0.0, 100.0) for label in own)


def test_no_curve_is_drawn_for_a_date_beyond_the_design_life(tmp_path: Path) -> None:
    def short(document: Any) -> None:
        document["basis"]["design_life"] = "5 a"

    _, found = run(tmp_path, apart("0+100 to 0+300"), short)
    _, later = drawn(found)

    assert [curve.label for curve in later.curves] == [
        "1 year after hand-over", "3 years after hand-over", "end of design life",
    ]  # fmt: skip

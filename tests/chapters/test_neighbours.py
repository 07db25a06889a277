"""The chapter on neighbours, from the project file to its verdicts: what stood, what must fail, what stays open."""

from collections.abc import Callable
from typing import Any

import pytest

from calc.chain import SectionRun
from calc.engine.figure import Chart, Scene
from tests.chapters.neighbour_case import (
    LIMITS,
    OWN,
    Chapters,
    beside,
    found,
    made,
    only_main,
    station,
    without,
)
from tests.chapters.timed import reach

approx = pytest.approx


def test_no_neighbour_is_one_line_and_moves_nothing(chapters: Chapters) -> None:
    sheet = chapters()["neighbours"]

    assert [(verdict.key, verdict.stamp) for verdict in sheet.verdicts] == [("neighbours", "not applicable")]
    printed = sheet.page
    assert [sheet.steps, sheet.limitations, printed.tables, printed.figures, printed.notes] == [[]] * 5


def test_other_chapters_do_not_know_neighbours(run_project: Callable[..., Any]) -> None:
    def verdicts(run: SectionRun) -> list[Any]:
        others = [sheet for sheet in run.sheets if sheet.key != "neighbours"]
        return [(verdict.key, verdict.state, verdict.utilisation) for sheet in others for verdict in sheet.verdicts]

    with_them, alone = (run_project(change).sections[0] for change in (beside(), reach))

    assert [verdict for verdict in verdicts(with_them) if verdict[0] != "outside"] == [
        verdict for verdict in verdicts(alone) if verdict[0] != "outside"
    ]


def test_neighbours_that_stood_by_hand(chapters: Chapters) -> None:
    """6 m at 19 kN/m³ and 20 kPa: 134 kPa. On 50 kPa 2.68, earth pressure 34·1.8 = 61.2 kN/m, moment 61.2·6²/8."""
    sheet = made(chapters)
    scope = sheet.scopes["pressure"]

    assert float(scope["q_N"].array) == approx(134.0)
    assert scope["r_qc"].array.tolist() == approx([2.68])
    assert scope["p_N"].array.tolist() == approx([61.2])
    assert found(sheet, "pressure").stamp == "not required"
    assert found(sheet, "moment").utilisation == approx(61.2 * 36 / 8 / 300)
    vibration = found(sheet, "vibration")
    assert (vibration.state, vibration.case["neighbour"], vibration.case["exceeded"]) == ("pass", "Station", "5 %")
    assert vibration.utilisation == approx(266 / 23**1.2 / 10)
    assert {found(sheet, key).state for key in ("heave", "lateral", "site")} == {"pass"}


def test_limit_that_even_the_nearest_column_exceeds_fails(chapters: Chapters) -> None:
    """At 23 m the nearest column alone lifts by 0.15 mm and pushes by 1.0 mm; the limits are below."""
    sheet = made(chapters, station(heave_max="0.1 mm", lateral_max="0.5 mm"))

    for key, alone in (("heave", 0.1507), ("lateral", 1.0127)):
        one = found(sheet, key)
        assert (one.state, one.case["neighbour"]) == ("fail", "Station")
        assert 1000 * (one.effect or 0.0) == approx(alone, abs=1e-4)


def test_vibration_exceeded_in_half_of_all_cases_fails(chapters: Chapters) -> None:
    """Steady driving at 23 m: 60/23^1.4 = 0.74 mm/s in the middle of all readings."""
    one = found(made(chapters, station(vibration_max="0.5 mm/s")), "vibration")

    assert one.state == "fail"
    assert one.utilisation == approx(60 / 23**1.4 / 0.5)


@pytest.mark.parametrize(
    ("key", "limit", "value"),
    [("heave", "heave_max", "5 mm"), ("lateral", "lateral_max", "50 mm"), ("vibration", "vibration_max", "3 mm/s")],
)
def test_limit_within_the_range_is_left_to_the_owner(chapters: Chapters, key: str, limit: str, value: str) -> None:
    left, own = (found(made(chapters, station(**{limit: value}, **more)), key) for more in ({}, OWN))

    assert (left.state, left.required) == ("not verified", True)
    assert "within the range for “Station”" in left.note
    assert own.state == "pass"  # of the main, which is compared; the station stands by its analysis
    assert own.case["neighbour"] == "Main"
    assert "Water board has accepted: report 1; letter 1." in own.note


def test_neighbour_without_limit_is_not_verified(chapters: Chapters) -> None:
    bare = station(vibration_max=None, heave_max=None, lateral_max=None)

    for key in ("vibration", "heave", "lateral"):
        one = found(made(chapters, bare), key)
        assert (one.state, one.required) == ("not verified", True)
        assert f"field neighbours.neighbour.{key}_max" in one.note


def test_without_any_limit_there_is_no_distance_to_keep_and_no_source_of_limits(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        for name in LIMITS:
            del document["neighbours"]["neighbour"][0][name]

    sheet, limited = (made(chapters, only_main, *more) for more in ((bare,), ()))

    assert found(sheet, "vibration").state == "not verified"
    assert ["r_vm" in one.scopes["vibration"] for one in (sheet, limited)] == [False, True]
    noted = [[note for note in one.page.notes if "agreed, invented" in note] for one in (sheet, limited)]
    assert [len(one) for one in noted] == [0, 1]


def test_limit_that_no_neighbour_has_is_accepted_by_analysis_alone(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        for one in document["neighbours"]["neighbour"]:
            del one["heave_max"]
            one.update(OWN)

    one = found(made(chapters, bare), "heave")

    assert one.stamp == "accepted by statement"
    assert one.note.startswith("The screen finds 0.0 to ")


def test_neighbour_stands_from_the_toe_of_the_berm(chapters: Chapters) -> None:
    """A berm of 4 m, 1 m high, of 1:3 beside 1:2 reaches 4 + 1·1 m beyond the side slope, the columns 3 m less."""

    def berm(document: Any) -> None:
        stage = document["stage"][0]["name"]
        document["embankment"]["berm_right"] = {"width": "4 m", "height": "1 m", "slope": "1:3", "stage": stage}

    sheet, plain = made(chapters, berm), made(chapters)

    assert sheet["r_N"].array.tolist() == approx([28.0, 63.0])
    assert plain["r_N"].array.tolist() == approx([23.0, 63.0])


def test_excavated_columns_displace_nothing_but_shake(chapters: Chapters) -> None:
    def excavated(document: Any) -> None:
        document["columns"]["installation"] = "excavation"

    sheet = made(chapters, excavated)

    assert {found(sheet, key).stamp for key in ("heave", "lateral")} == {"not applicable"}
    assert found(sheet, "vibration").state == "pass"
    assert "neighbour-excavation" in {limitation.key for limitation in sheet.limitations}


def test_plant_not_given_leaves_vibration_open(chapters: Chapters) -> None:
    def owned(document: Any) -> None:
        for one in document["neighbours"]["neighbour"]:
            one.update(OWN)

    left, own = (found(made(chapters, without("plant"), *more), "vibration") for more in ((), (owned,)))

    assert left.state == "not verified"
    assert "field neighbours.plant" in left.note
    assert own.stamp == "accepted by statement"


def test_vibro_replacement_has_its_own_equation(chapters: Chapters) -> None:
    def vibro(document: Any) -> None:
        document["neighbours"]["plant"] = "vibro replacement"

    assert found(made(chapters, vibro), "vibration").utilisation == approx(95 / 23**1.4 / 10)


def test_heave_inside_the_field_is_a_range_for_information(chapters: Chapters) -> None:
    one = next(verdict for verdict in made(chapters).verdicts if verdict.key == "heave_inside")
    bare = next(verdict for verdict in made(chapters, without("heave_share")).verdicts if verdict.key == "heave_inside")

    assert one.informs
    assert one.note.startswith("314 to 1047 mm; ")  # 0.3 and 1.0 of 0.14956·7.0 m
    assert "field neighbours.heave_share" in bare.note


def test_site_rules_that_are_missing_are_named(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        del document["neighbours"]["site"]["redriving"]

    one, none = (found(made(chapters, change), "site") for change in (bare, without("site")))

    assert "field neighbours.site.redriving" in one.note
    assert none.note.count("field neighbours.site.") == 5


def test_columns_reach_to_the_toe_where_no_field_is_given(chapters: Chapters) -> None:
    def no_field(document: Any) -> None:
        del document["field"]

    assert made(chapters, no_field)["r_N"].array.tolist() == approx([20.0, 60.0])


def test_owner_of_every_neighbour_is_among_what_the_results_rest_on(chapters: Chapters) -> None:
    texts = {(rest.title, rest.text) for rest in made(chapters).rests}

    assert texts == {
        ("Neighbours", "Station (owner: Water board)"),
        ("Neighbours", "Main (owner: Gas works)"),
    }


def test_page_shows_both_sides_and_the_bands(chapters: Chapters) -> None:
    page = made(chapters).page
    charts = [figure for figure in page.figures if isinstance(figure, Chart)]
    scenes = [figure for figure in page.figures if isinstance(figure, Scene)]

    assert [scene.key for scene in scenes] == ["neighbours_left", "neighbours_right"]
    assert [chart.band for chart in charts] == [True, True]
    for chart in charts:
        upper, lower = chart.curves
        assert all(a > b > 0 for a, b in zip(upper.y, lower.y, strict=True))
    assert {table.key for table in page.tables} == {
        "neighbours", "pressures", "displacements", "velocities", "site-rules",
    }  # fmt: skip
    assert "distances" in page.aside

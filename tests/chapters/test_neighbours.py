"""The chapter on neighbours, from the project file to its verdicts: what stood, what must fail, what stays open."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from calc.chain import SectionRun
from calc.engine.figure import Chart, Scene
from calc.engine.sheet import Sheet, Verdict
from tests.chapters.timed import reach

Chapters = Callable[..., dict[str, Sheet]]
Change = Callable[[Any], None]
approx = pytest.approx

PILES = {"diameter": "0.6 m", "spacing": "2.4 m", "length": "6 m", "c_u": "50 kPa", "moment_max": "300 kN*m",
         "head": "held"}  # fmt: skip
LIMITS = {
    "vibration_max": "10 mm/s",
    "heave_max": "60 mm",
    "lateral_max": "400 mm",
    "limits_source": "agreed, invented",
}
STATION = {"name": "Station", "kind": "piles", "side": "right", "distance": "20 m", "owner": "Water board"}
MAIN = {"name": "Main", "kind": "pipe", "side": "left", "distance": "60 m", "owner": "Gas works"}
SURCHARGE = {"slope": "60 deg", "phi": "20 deg", "safety": 1.7, "safety_min": 1.6, "source": "invented"}
METHODS = {"adhesion": 0.5, "flow_factor": 7.0, "width_factor": 3.0, "source": "invented", "surcharge": SURCHARGE}
OWN = {"analysis": "report 1", "acceptance": "letter 1"}
SITE = dict.fromkeys(("order", "heave_survey", "redriving", "pore_pressure", "condition_survey"), "laid down")


def beside(*changes: Change) -> Change:
    """A station on piles at the right and a main at the left, then changed."""

    def change(document: Any) -> None:
        reach(document)
        for key in ("neighbours", "lateral_pressure"):
            document["outside"][key] = "see the chapter on neighbours"
        document["neighbours"] = {
            "plant": "vibratory driving",
            "heave_share": {"low": 0.3, "high": 1.0, "source": "invented"},
            "pile_methods": deepcopy(METHODS),
            "site": dict(SITE),
            "neighbour": [{**STATION, **LIMITS, "piles": dict(PILES)}, {**MAIN, **LIMITS}],
        }
        for one in changes:
            one(document)

    return change


def station(**values: Any) -> Change:
    """The station with these values; None takes one out, those of its piles go there."""

    def change(document: Any) -> None:
        table = document["neighbours"]["neighbour"][0]
        for name, value in values.items():
            where = table["piles"] if name in PILES else table
            if value is None:
                del where[name]
            else:
                where[name] = value

    return change


def surcharge(**values: Any) -> Change:
    """The share of the surcharge with these values."""

    def change(document: Any) -> None:
        document["neighbours"]["pile_methods"]["surcharge"].update(values)

    return change


def without_surcharge(document: Any) -> None:
    del document["neighbours"]["pile_methods"]["surcharge"]


def without(*names: str) -> Change:
    def change(document: Any) -> None:
        for name in names:
            del document["neighbours"][name]

    return change


def only_main(document: Any) -> None:
    del document["neighbours"]["neighbour"][0]


def found(sheet: Sheet, key: str) -> Verdict:
    return next(one for one in sheet.verdicts if one.key == f"neighbour_{key}")


def made(chapters: Chapters, *changes: Change) -> Sheet:
    return chapters(beside(*changes))["neighbours"]


def test_no_neighbour_is_one_line_and_moves_nothing(chapters: Chapters) -> None:
    sheet = chapters()["neighbours"]

    assert [(one.key, one.stamp) for one in sheet.verdicts] == [("neighbours", "not applicable")]
    printed = sheet.page
    assert [sheet.steps, sheet.limitations, printed.tables, printed.figures, printed.notes] == [[]] * 5


def test_other_chapters_do_not_know_neighbours(run_project: Callable[..., Any]) -> None:
    def verdicts(run: SectionRun) -> list[Any]:
        return [(one.key, one.state, one.utilisation) for sheet in run.sheets[:-1] for one in sheet.verdicts]

    with_them, alone = (run_project(change).sections[0] for change in (beside(), reach))

    assert [one for one in verdicts(with_them) if one[0] != "outside"] == [
        one for one in verdicts(alone) if one[0] != "outside"
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


@pytest.mark.parametrize(
    ("c_u", "words"), [("44 kPa", "the owner checks the piles"), ("25 kPa", "the soft ground itself fails")]
)
def test_load_level_above_three_is_left_to_the_owner(chapters: Chapters, c_u: str, words: str) -> None:
    """134/44 = 3.05; 134/25 = 5.36, above 2 + π."""
    left, own = (found(made(chapters, station(c_u=c_u, **more)), "pressure") for more in ({}, OWN))

    assert (left.state, left.required) == ("not verified", True)
    assert words in left.note
    assert own.stamp == "accepted by statement"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ((station(c_u="25 kPa"),), "q/c_u is above 5.14 (“Station”)"),
        ((station(c_u="70 kPa"), surcharge(slope="10 deg")), "No method gives a lateral pressure (“Station”)"),
        ((surcharge(safety=1.5),), "bounded by flow round the pile alone"),
        ((without_surcharge,), "bounded by flow round the pile alone"),
    ],
)
def test_moment_is_left_open_where_no_method_proves_it(
    chapters: Chapters, changes: tuple[Change, ...], words: str
) -> None:  # fmt: skip
    """134/25 = 5.36 is above 2 + π; 134 kPa is less than 2·70; 1.5 is below 1.6, without the method it is unknown."""
    left, claimed, own = (
        found(made(chapters, *changes, station(**more)), "moment")
        for more in ({}, {"analysis": "report 1"}, OWN)
    )  # fmt: skip

    assert (left.state, left.required, left.utilisation) == ("not verified", True, None)
    assert words in left.note
    assert (claimed.state, "field neighbours.neighbour.acceptance" in claimed.note) == ("not verified", True)
    assert own.stamp == "accepted by statement"


def test_less_safe_bank_never_has_the_smaller_moment(chapters: Chapters) -> None:
    """On 30 kPa earth pressure and flow give 126 kN/m, flow round a pile of adhesion 0.5 10.82·30·0.6."""
    safe, unsafe = (
        float(made(chapters, station(c_u="30 kPa"), surcharge(safety=safety)).scopes["pressure"]["M_N"].array[0])
        for safety in (1.7, 1.5)
    )

    assert safe == approx(126.0 * 36 / 8)
    assert unsafe == approx(10.81982 * 30 * 0.6 * 36 / 8, rel=1e-6)


def test_moment_that_the_bound_by_flow_does_not_exceed_passes(chapters: Chapters) -> None:
    one = found(made(chapters, surcharge(safety=1.5), station(moment_max="1500 kN*m")), "moment")

    assert (one.state, one.utilisation) == ("pass", approx(10.81982 * 50 * 0.6 * 36 / 8 / 1500, rel=1e-6))


def test_free_head_has_four_times_the_moment_of_a_propped_one(chapters: Chapters) -> None:
    """Statics: q·l²/2 of the cantilever to q·l²/8 of the propped beam."""
    one = found(made(chapters, station(head="free")), "moment")

    assert (one.state, one.utilisation) == ("fail", approx(61.2 * 36 / 2 / 300))


def test_moment_above_the_limit_fails_unless_the_acceptance_is_recorded(chapters: Chapters) -> None:
    over = station(moment_max="250 kN*m")
    bare, claimed, own = (
        found(made(chapters, over, station(**more)), "moment") for more in ({}, {"analysis": "report 1"}, OWN)
    )

    assert (bare.state, claimed.state, own.stamp) == ("fail", "fail", "accepted by statement")


def test_platform_of_the_initial_state_loads_the_ground_beside_piles(chapters: Chapters) -> None:
    """1 m at 18 kN/m³ more, whichever part of the calculation it belongs to; only the cell sees a difference."""

    def platform(role: str) -> Change:
        def change(document: Any) -> None:
            document["platform"] = {"thickness": "1 m", "gamma": "18 kN/m^3", "role": role}

        return change

    pressures = [float(made(chapters, platform(role)).scopes["pressure"]["q_N"].array) for role in ("load", "initial")]

    assert pressures == approx([152.0, 152.0])


def test_neighbour_stands_from_the_toe_of_the_berm(chapters: Chapters) -> None:
    """A berm of 4 m, 1 m high, of 1:3 beside 1:2 reaches 4 + 1·1 m beyond the side slope, the columns 3 m less."""

    def berm(document: Any) -> None:
        stage = document["stage"][0]["name"]
        document["embankment"]["berm_right"] = {"width": "4 m", "height": "1 m", "slope": "1:3", "stage": stage}

    sheet, plain = made(chapters, berm), made(chapters)

    assert sheet["r_N"].array.tolist() == approx([28.0, 63.0])
    assert plain["r_N"].array.tolist() == approx([23.0, 63.0])


def test_moment_without_methods_or_limit_stays_open(chapters: Chapters) -> None:
    methods, claimed, own = (
        found(made(chapters, without("pile_methods"), station(**more)), "moment")
        for more in ({}, {"analysis": "report 1"}, OWN)
    )
    limit = found(made(chapters, station(moment_max=None)), "moment")

    assert methods.note == "Not given: values of the methods (field neighbours.pile_methods)."
    assert "field neighbours.neighbour.acceptance" in claimed.note
    assert [one.required for one in (methods, limit)] == [True, False]
    assert own.stamp == "accepted by statement"


def test_share_of_the_surcharge_counts_where_it_is_larger(chapters: Chapters) -> None:
    """f(60°, 20°) = 0.625 of 134 kPa on 0.6 m is less than 61.2 kN/m; f(85°, 20°) = 0.9375 more."""
    found_of = [made(chapters, surcharge(slope=one)).scopes["pressure"]["p_N"].array.tolist()
                for one in ("60 deg", "85 deg")]  # fmt: skip

    assert found_of == [approx([61.2]), approx([0.9375 * 134 * 0.6])]


def test_abutment_whose_piles_nobody_describes_stays_open(chapters: Chapters) -> None:
    def abutment(document: Any) -> None:
        document["neighbours"]["neighbour"][1]["kind"] = "abutment"

    def owned(document: Any) -> None:
        document["neighbours"]["neighbour"][1].update(OWN)

    states = [
        found(made(chapters, abutment, *changes), "pressure").stamp
        for changes in ((), (only_main,), (owned, only_main))
    ]

    assert states == ["not verified", "not verified", "accepted by statement"]


def test_no_piles_no_pressure(chapters: Chapters) -> None:
    sheet = made(chapters, only_main)

    assert {found(sheet, key).stamp for key in ("pressure", "moment")} == {"not applicable"}


def test_excavated_columns_displace_nothing_but_shake(chapters: Chapters) -> None:
    def excavated(document: Any) -> None:
        document["columns"]["installation"] = "excavation"

    sheet = made(chapters, excavated)

    assert {found(sheet, key).stamp for key in ("heave", "lateral")} == {"not applicable"}
    assert found(sheet, "vibration").state == "pass"
    assert "neighbour-excavation" in {one.key for one in sheet.limitations}


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
    one = next(one for one in made(chapters).verdicts if one.key == "heave_inside")
    bare = next(one for one in made(chapters, without("heave_share")).verdicts if one.key == "heave_inside")

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
    texts = {(one.title, one.text) for one in made(chapters).rests}

    assert texts == {
        ("Neighbours", "Station (owner: Water board)"),
        ("Neighbours", "Main (owner: Gas works)"),
    }


def test_page_shows_both_sides_and_the_bands(chapters: Chapters) -> None:
    page = made(chapters).page
    charts = [one for one in page.figures if isinstance(one, Chart)]
    scenes = [one for one in page.figures if isinstance(one, Scene)]

    assert [one.key for one in scenes] == ["neighbours_left", "neighbours_right"]
    assert [one.band for one in charts] == [True, True]
    for one in charts:
        upper, lower = one.curves
        assert all(a > b > 0 for a, b in zip(upper.y, lower.y, strict=True))
    assert {one.key for one in page.tables} == {
        "neighbours", "pressures", "displacements", "velocities", "site-rules",
    }  # fmt: skip
    assert "distances" in page.aside

"""Piles beside the embankment: the screen by q/c_u, pressures that hold, moments that pass, fail and stay open."""

from typing import Any

import pytest

from tests.chapters.neighbour_case import (
    OWN,
    Change,
    Chapters,
    found,
    made,
    only_main,
    station,
    surcharge,
    without,
    without_surcharge,
)

approx = pytest.approx


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
        ((station(c_u="25 kPa"),), "q/cᵤ is above 5.14 (“Station”)"),
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

    assert one.state == "pass"
    assert one.utilisation == approx(10.81982 * 50 * 0.6 * 36 / 8 / 1500, rel=1e-6)


def test_free_head_has_four_times_the_moment_of_a_propped_one(chapters: Chapters) -> None:
    """Statics: q·l²/2 of the cantilever to q·l²/8 of the propped beam."""
    one = found(made(chapters, station(head="free")), "moment")

    assert one.state == "fail"
    assert one.utilisation == approx(61.2 * 36 / 2 / 300)


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

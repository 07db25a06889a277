"""Casings that are open to an aquifer: what the site is told of the water in them, by hand calculations."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.chapters.filter_cases import AQUIFER
from tests.chapters.test_construction import Chapters, built, noted, verdict

CASING = {"top": "3.00 m", "water_level": "2.00 m", "source": "invented"}
UPLIFT = {
    "seals": False,
    "gamma_dst": 1.0,
    "gamma_stb": 0.9,
    "gamma_S_dst": 1.35,
    "gamma_S_stb": 0.9,
    "source": "invented",
}


def over_aquifer(asked: str | None, *, held: bool) -> Callable[[Any], None]:
    """A casing open to an aquifer, with what the site is told of the water in it."""

    def change(document: Any) -> None:
        document["water"]["head"] = AQUIFER
        document["uplift"] = {**UPLIFT, "casing": CASING}
        if asked is not None:
            document["construction"]["tolerance"][0]["casing_level"] = asked
        document["construction"]["hold_point"][0]["casing"] = held

    return built(change)


@pytest.mark.parametrize(
    ("asked", "state", "said"),
    [
        ("2.00 m", "pass", "2.00 m or above, the calculation requires 2.00 m"),
        ("1.99 m", "not verified", "allows 1.99 m; the calculation requires 2.00 m"),
        (None, "not verified", "(field casing_level), which the calculation requires at 2.00 m"),
    ],
)
def test_rule_of_the_site_for_water_in_casings_is_that_of_the_calculation(
    chapters: Chapters, asked: str | None, state: str, said: str
) -> None:
    found = chapters(over_aquifer(asked, held=True))["construction"]

    assert verdict(found, "tolerances").state == state
    assert said in verdict(found, "tolerances").note
    assert verdict(found, "hold_points").state == "pass"


def test_what_is_missing_of_open_casings_is_said_beside_what_else_is_missing(chapters: Chapters) -> None:
    def bare(document: Any) -> None:
        over_aquifer(None, held=False)(document)
        del document["construction"]["tolerance"], document["construction"]["hold_point"]

    found = chapters(bare)["construction"]

    for key, field in (("tolerances", "casing_level"), ("hold_points", "casing")):
        assert f"(field {field})" in verdict(found, key).note
        assert "(field construction." in verdict(found, key).note


def test_open_casings_over_an_aquifer_have_a_hold_point(chapters: Chapters) -> None:
    found = chapters(over_aquifer("2.00 m", held=False))["construction"]

    assert verdict(found, "hold_points").state == "not verified"
    assert "(field casing)" in noted(found, "hold_points")

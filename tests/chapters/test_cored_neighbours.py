"""A bank with a core beside other sections of the road, and its zones counted with a berm."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calc.engine.sheet import Sheet
from tests.chapters.alignment_case import ends, follow, run, transition
from tests.chapters.test_alignment import LIMITS, at_joint
from tests.chapters.test_construction import built, rolls

approx = pytest.approx


@pytest.mark.parametrize("cored", ["B", "AB"])
def test_place_where_the_fill_weighs_least_is_told_and_turns_what_it_would_turn(
    tmp_path: Path, cored: str
) -> None:  # fmt: skip
    """A core below the middle leaves the fill beside it, by which the sections are alike. The middle of a section with
    a core settles less than all of one without; of two with a core it does so in both: what governs is one to the other
    side, the middle of one beside the rest of the other, all the same."""
    core = {"name": "Core", "bottom": "1 m", "top": "5 m", "gamma": "4 kN/m^3", "phi": "35 deg", "c": "0 kPa",
            "left": "-4 m", "right": "4 m"}  # fmt: skip

    def without_gain(document: Any) -> None:
        for stage in document["stage"]:
            stage.pop("c_u_gain", None)

    def with_core(section: Any) -> None:
        section["embankment"] = {"zone": [core]}

    sections = follow(*(((f"0+{place}00 to 0+{place + 1}00", with_core if key in cored else None))
                        for place, key in enumerate("AB")),
                      transitions=[*ends("0+000", "0+200"), transition("0+100", "1 m")], **LIMITS)  # fmt: skip
    _, found = run(tmp_path, sections, without_gain)
    for key in "AB":
        sheet = found[key]["alignment"]
        (one,) = [one for one in sheet.limitations if one.key == "alignment-crest"]
        assert "Where zones of the fill that end within the bank make it lightest" in one.text
        turned = [made.key for made in sheet.verdicts if sheet.turning[one.key](made)]
        assert turned == ["gradient_hand_over", "gradient_residual"]
        assert at_joint(found[key], "BA"["AB".index(key)]) < 1e-12


def test_zones_that_end_within_the_bank_are_counted_with_the_berm_they_reach(
    chapters: Callable[..., dict[str, Sheet]]
) -> None:  # fmt: skip
    """Core from 1 to 4 m: to the left half of 26 m and 10.4 m in 0.8 m of the berm, to the right 8 m, the slope being
    10 m out at its top. The upper one from 2 m left of the axis to the right slope, 7 m out in its middle."""

    def ended(document: Any) -> None:
        rolls(document)
        berm = {"width": "10 m", "height": "1.8 m", "slope": "1:3", "stage": "First lift"}
        document["embankment"]["berm_left"] = berm
        of_soil = {"gamma": "8 kN/m^3", "phi": "36 deg", "c": "0 kPa"}
        document["embankment"]["zone"] = [
            {"name": "Core", "bottom": "1 m", "top": "4 m", "right": "8 m", **of_soil},
            {"name": "Top", "bottom": "5 m", "top": "6 m", "left": "-2 m", **of_soil},
        ]
        for stage in document["stage"]:
            stage.pop("c_u_gain", None)

    sheet = chapters(built(ended, level="0.60 m"))["construction"]
    counted = sheet.scopes["zones"]["V_z"].array
    assert counted == approx([100 * (13 * 3 + 10.4 * 0.8 + 8 * 3), 100 * (7 + 2)])
    (step,) = [one for one in sheet.steps if one.key.endswith("/zones/V_z")]
    assert step.note == "the part in a berm counts only where the zone reaches the side slope there"

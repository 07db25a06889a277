"""Where the extruding wedge is used outside what it was compared with, and where circles alone would miss."""

from typing import Any

from tests.chapters.test_bearing import found
from tests.chapters.test_extrusion import Bearing, soft


def weaker(document: Any) -> None:
    for one in document["section"][0]["layer"]:
        one["c_u"] = "9 kPa"


def test_design_outside_the_range_of_the_limit_analysis_says_so_beside_the_verdict(bearing: Bearing) -> None:
    """Strength at the top of 18 kN/m2 and 8 of gain, beyond the 15 of the cases that the wedge was compared with."""
    sheet = bearing(soft)
    [said] = [limitation for limitation in sheet.limitations if limitation.key == "squeeze-range"]

    assert "design strength at the top 26.00 kN/m² in “Final”, range 3.5 to 15" in said.text
    assert set(said.turns) == {"squeeze_lift", "squeeze"}
    within = bearing(soft, weaker)
    assert "design strength at the top" not in "".join(
        limitation.text for limitation in within.limitations if limitation.key == "squeeze-range"
    )


def test_range_is_that_of_the_stages_that_the_soil_leaves_open(bearing: Bearing) -> None:
    """Slopes of 6 and 12 m are within 5 to 20 m, one of 24 m is not; columns at 1.40 m have an area ratio of 0.30."""

    def flat(document: Any) -> None:
        document["embankment"] |= {"slope_left": "1:4", "slope_right": "1:4"}
        document["columns"] |= {"spacing": "1.40 m"}

    steep, long = (
        "".join(
            limitation.text for limitation in bearing(soft, *changes).limitations if limitation.key == "squeeze-range"
        )
        for changes in ((), (flat,))
    )

    assert "run of the slope" not in steep
    assert "area ratio" not in steep
    assert "length of the slope 24.00 m in “Final”, range 5 to 20" in long
    assert "area ratio 0.30, range 0.1 to 0.26" in long


def test_thin_ground_of_fast_growing_strength_has_the_wedge_in_every_stage(bearing: Bearing) -> None:
    """Slope of 12 m on 2 m: circles lay above limit analysis there; else a pass of the soil alone settles extrusion."""

    def thin(document: Any) -> None:
        del document["stage"][1]["c_u_gain"]
        for one, top in zip(document["section"][0]["layer"], (40.0, 100.0), strict=True):
            one["thickness"], one["c_u"], one["c_u_growth"] = "1.00 m", f"{top} kPa", "60 kPa/m"

    sheet = bearing(soft, thin)

    assert found(sheet, "soft_bearing").state == "pass"
    assert found(sheet, "squeeze").utilisation is not None
    assert "slip circles gave up to 22 %" in found(sheet, "squeeze").note

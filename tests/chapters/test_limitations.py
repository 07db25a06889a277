"""Limitations name the verdicts that they would turn, and only these."""

from collections.abc import Callable
from typing import Any

import pytest

from calc.chapters.shared.ratio_limits import LARGEST_MEASURED
from calc.engine.sheet import Limitation, Sheet
from tests.chapters.slip_case import no_gain, searched
from tests.chapters.test_bearing import FIRST, found
from tests.chapters.timed import reach

Chapters = Callable[..., dict[str, Sheet]]


def said(sheet: Sheet, key: str) -> list[Limitation]:
    return [limitation for limitation in sheet.limitations if limitation.key == key]


def with_ratio(ratio: float) -> Callable[[Any], None]:
    """Columns that carry nearly all in the cell, so that only what was measured bounds the ratio."""

    def change(document: Any) -> None:
        searched()(document)
        document["stage"][1]["n_stability"] = ratio
        no_gain(document)
        for layer in document["section"][0]["layer"]:
            layer["E_oed_ref"] = "200 kPa"

    return change


def test_one_combination_of_design_approach_1_would_turn_what_has_partial_factors(chapters: Chapters) -> None:
    def alone(document: Any) -> None:
        reach(document)
        document["basis"]["factor_sets"] = [FIRST]

    done = chapters(alone)
    [limit] = said(done["basis"], "design-approach-1")

    assert "EN 1997-1 DA1-2 is not among the factor sets" in limit.text
    assert {"toe_bearing", "soft_bearing", "ring_tension"} <= set(limit.turns)
    assert "settlement_total" not in limit.turns
    assert not said(chapters(reach)["basis"], "design-approach-1")


@pytest.mark.parametrize(("ratio", "state"), [(5.0, "pass"), (6.0, "pass"), (8.0, "not verified")])
def test_ratio_beyond_what_was_measured_is_not_verified(chapters: Chapters, ratio: float, state: str) -> None:
    """The cell alone would allow it: its least ratio in this ground is larger."""
    done = chapters(with_ratio(ratio))
    least = done["unit_cell"].scopes["least_ratio"]["n_min"].number({"stage": "2 Final"})
    limits = said(done["unit_cell"], "n-2 Final")

    assert least is not None
    assert least > 8
    assert found(done["stability"], "stress_ratio").state == state
    for key in ("global_stability", "global_stability_blocks_lift"):
        assert (found(done["stability"], key).utilisation is None) == (ratio > LARGEST_MEASURED)
    assert bool(limits) == (ratio > 5)
    if state == "pass" and limits:
        assert {"global_stability", "global_stability_blocks_lift"} <= set(limits[0].turns)
        assert "settlement_total" not in limits[0].turns

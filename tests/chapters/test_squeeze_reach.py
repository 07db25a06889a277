"""How far reinforcement holds the ground back at the top of the extruding wedge, and what its columns stand on."""

from collections.abc import Callable
from typing import Any

import pytest

from calc.chapters.bearing.wedge_limits import STATES
from calc.engine.sheet import Sheet
from tests.chapters.mats import ANCHORAGE, layer
from tests.chapters.test_bearing import FINAL, SECOND
from tests.chapters.test_extrusion import AT, LIFT, field, soft
from tests.chapters.timed import Change

Bearing = Callable[..., Sheet]


def anchored(length: str, level: str = "0.40 m") -> Change:
    """The mat reaches beyond the columns, which end 9 m beyond the crest edge of a slope of 12 m."""

    def change(document: Any) -> None:
        document["reinforcement"] = [layer("one", "across", level=level, anchorage={**ANCHORAGE, "length": length})]

    return change


@pytest.mark.parametrize(
    ("mat", "held"),
    [
        (anchored("1.5 m"), 10.5),
        (anchored("6 m"), 12.0),
        (anchored("6 m", "1.00 m"), 12 - 2 * 0.6),
        (lambda document: document["reinforcement"].append(layer("two", "across", level="2.30 m")), 12 - 2 * 1.9),
    ],
    ids=["before the toe", "beyond the toe", "slope over it", "least of two"],
)
def test_ground_is_held_back_only_below_reinforcement(bearing: Bearing, mat: Change, held: float) -> None:
    """By hand: 0.5 of the strength on the soil's own area over the columns, and beyond them as far as the mat lies."""
    sheet = bearing(soft, field(hold_top=0.5), mat)
    wedge, rows, bare = (sheet.scopes[name] for name in ("squeeze", "edge_rows", "untreated"))
    within, outside = min(held, 9.0), max(held - 9, 0.0)

    assert float(wedge["L_t"].at(stage=FINAL).array) == pytest.approx(held)
    assert wedge["S_0"].at(**AT).array == pytest.approx(
        float(wedge["c_u0f"].at(**AT).array) * within + 18 / 1.4 * outside
    )
    assert float(rows["L_to"].at(stage=FINAL).array) == pytest.approx(outside)
    assert float(bare["L_to"].at(stage=FINAL).array) == pytest.approx(held)
    deep = float(bare["D_sq"].at(factor_set=SECOND, stage=FINAL).array)
    mean, base = 18 / 1.4 + deep / 2.8, 18 / 1.4 + deep / 1.4
    assert float(bare["p_Rx"].at(factor_set=SECOND, stage=FINAL).array) == pytest.approx(
        (4 * mean + (base * 12 + 0.5 * 18 / 1.4 * held) / deep) / (1.03 + 0.03 * min(deep / 18, 3))
    )


def test_nothing_is_held_back_before_the_reinforcement_lies(bearing: Bearing) -> None:
    """At 3.00 m the mat lies above the first lift of 2 m on ground at 0.40 m."""
    late, never = (
        bearing(soft, field(hold_top=0.5), anchored("6 m", "3.00 m")),
        bearing(soft, field(hold_top=0.5), lambda document: document.pop("reinforcement")),
    )

    for scope in (late.scopes["untreated"], late.scopes["squeeze_lift"]):
        assert float(scope["L_t"].at(stage=LIFT).array) == 0.0
        assert float(scope["L_t"].at(stage=FINAL).array) == pytest.approx(12 - 2 * 2.6)
    assert float(never.scopes["untreated"]["L_t"].array) == 0.0
    free = bearing(soft).scopes["untreated"]["p_Rx"].at(stage=LIFT)
    assert (late.scopes["untreated"]["p_Rx"].at(stage=LIFT).array == free.array).all()


def test_ground_that_is_driven_outward_is_driven_over_the_whole_slope(bearing: Bearing) -> None:
    scope = bearing(soft, field(thrust_in_ground=0.3)).scopes["squeeze"]

    assert (scope["L_t"].at(stage=FINAL).array == scope["L_S"].at(stage=FINAL).array).all()


@pytest.mark.parametrize(("friction", "turns"), [("37 deg", False), ("25 deg", True)])
def test_embedment_does_not_enter_the_wedge_and_the_page_says_why(
    bearing: Bearing, friction: str, turns: bool
) -> None:  # fmt: skip
    def firm(embedment: str) -> Change:
        def change(document: Any) -> None:
            document["section"][0]["bearing_layer"]["phi"] = friction
            document["columns"]["embedment"] = embedment

        return change

    short, long = bearing(soft, firm("0.3 m")), bearing(soft, firm("1.5 m"))
    (said,) = [limitation for limitation in short.limitations if limitation.key == "squeeze-embedment"]

    assert (short.scopes["squeeze"]["p_Rx"].at(**AT).array == long.scopes["squeeze"]["p_Rx"].at(**AT).array).all()
    assert "is not part of the wedge" in said.text
    assert ("less friction" in said.text) == turns
    assert said.turns == (tuple(key for key, _ in STATES) if turns else ())

"""A search for slip surfaces that may end a run: what it tries first, and what it leaves to the search."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.chapters.stability.slip import _Settling
from calc.chapters.stability.states import LIFT
from calc.procedures.known_circles import Failed, Settled, stop_at_failure
from calc.procedures.slip import Circle, Search
from calc.procedures.stage_search import Asked, Found, answer
from tests.procedures.slip_cases import R1_CIRCLE, r1

OUTSIDE = Circle(500.0, 8.0, 10.0)


def settling(needed: float, *, ends: bool = True) -> _Settling:
    """One bank in the second of two stages; ``needed`` is the factor asked for."""
    asked = Asked(r1(), Search(), "bishop", "right", 50)
    gamma = SimpleNamespace(array=np.full((1, 2), needed))
    searches: Any = SimpleNamespace(
        ends_at_failure=ends, ways=(0.0,), search=Search(), sheet={"gamma_Re": gamma},
        case=lambda *at, **_: at[1] or None, question=lambda *_: asked,
    )  # fmt: skip
    side: Any = SimpleNamespace(ending="", words="right")
    return _Settling(searches, side, LIFT, ("global_stability_lift", "Global stability"))


def test_a_circle_that_fails_again_ends_the_run_and_others_do_not() -> None:
    own = answer(Asked(r1(), R1_CIRCLE, "bishop", "right", 50)).factor
    scope = f"slip{LIFT.ending}"
    with stop_at_failure((Failed(scope, R1_CIRCLE), Failed(scope, OUTSIDE), Failed("slip", OUTSIDE))):
        with pytest.raises(Settled) as caught:
            settling(2 * own).known_circles()
        settling(0.9 * own).known_circles()
        settling(2 * own, ends=False).known_circles()
    with stop_at_failure((Failed(scope, OUTSIDE),)):
        settling(2 * own).known_circles()

    assert caught.value.utilisation == pytest.approx(2.0, rel=1e-6)
    assert caught.value.failed == Failed(scope, R1_CIRCLE)


def test_what_a_search_has_found_ends_the_run_where_it_fails() -> None:
    result = answer(Asked(r1(), R1_CIRCLE, "bishop", "right", 50))
    found = Found(((None, result),))

    with pytest.raises(Settled):
        settling(2 * result.factor).circles_found(found)
    settling(0.9 * result.factor).circles_found(found)
    settling(2 * result.factor, ends=False).circles_found(found)
    settling(2 * result.factor).circles_found(Found(((None, None),)))

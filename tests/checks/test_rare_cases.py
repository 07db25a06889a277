"""Cases that the example projects do not come to."""

from collections.abc import Callable
from typing import Any

import numpy as np

from calc.checks.tables import _series
from calc.sheet import Axis, Sheet, Value

Chapters = Callable[..., dict[str, Sheet]]
TIGHT = "slack-elastic"


def test_slack_used_up_before_yield_is_stated_as_a_limit_of_the_second_method(chapters: Chapters) -> None:
    def tight(document: Any) -> None:
        document["sleeve"]["oversize"] = "0.01 mm"

    assert TIGHT in {one.key for one in chapters(tight)["unit_cell"].limitations}
    assert TIGHT not in {one.key for one in chapters()["unit_cell"].limitations}


def test_curve_leaves_out_layers_without_a_number() -> None:
    layers = (Axis("layer", ("peat", "clay", "sand")),)
    depth = Value("z", np.array([0.5, 1.5, 2.5]), layers)
    widening = Value("Dr_c", np.array([0.01, 0.0, 0.03]), layers, mask=np.array([False, True, False]), reason="none")

    curve = _series("widening", widening, depth, {})

    assert curve.depths == (0.5, 2.5)
    assert len(curve.values) == 2

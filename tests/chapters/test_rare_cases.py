"""Cases that the example projects do not come to."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.chain import CalculationError, Run
from calc.chapters.shared import standard_cell
from calc.chapters.shared.layer_tables import _series
from calc.engine.sheet import Axis, Sheet, Value
from calc.procedures.failures import ProcedureError

Chapters = Callable[..., dict[str, Sheet]]
TIGHT = "slack-elastic"


def test_slack_used_up_before_yield_is_stated_as_a_limit_of_the_second_method(chapters: Chapters) -> None:
    def tight(document: Any) -> None:
        document["sleeve"]["oversize"] = "0.01 mm"

    assert TIGHT in {limitation.key for limitation in chapters(tight)["unit_cell"].limitations}
    assert TIGHT not in {limitation.key for limitation in chapters()["unit_cell"].limitations}


def test_curve_leaves_out_layers_without_a_number() -> None:
    layers = (Axis("layer", ("peat", "clay", "sand")),)
    depth = Value("z", np.array([0.5, 1.5, 2.5]), layers)
    widening = Value("Dr_c", np.array([0.01, 0.0, 0.03]), layers, mask=np.array([False, True, False]), reason="none")

    curve = _series("widening", widening, depth, {})

    assert curve.depths == (0.5, 2.5)
    assert len(curve.values) == 2


def test_case_without_a_solution_names_section_and_chapter(
    run_project: Callable[..., Run], monkeypatch: pytest.MonkeyPatch
) -> None:
    def unsolved(**_: Any) -> None:
        message = "unit cell: 3 of 28 cases did not converge"
        raise ProcedureError(message)

    monkeypatch.setattr(standard_cell, "solve_cell", unsolved)

    with pytest.raises(CalculationError, match=r"^section A, Unit cell: unit cell: 3 of 28 cases did not converge$"):
        run_project()

"""Factors of known surfaces in one cross-section: those that each has by itself, on both sides."""

from math import radians
from typing import Any

import numpy as np
import pytest

from calc.procedures.slip import BlockSearch, Circle, Search, SlipError, Surface, analyse
from calc.procedures.slip.known import factors_of_known
from calc.procedures.slip.mirror import mirrored_model, mirrored_question
from tests.procedures.slip_cases import R1_CIRCLE, r1, wet, with_columns, with_tension

SHALLOW, HIGH = Circle(5.0, 7.0, 8.0), Circle(5.0, 40.0, 3.0)


@pytest.mark.parametrize("method", ["bishop", "spencer"])
@pytest.mark.parametrize("way", ["right", "left"])
def test_circles_have_the_factors_of_each_by_itself(method: Any, way: Any) -> None:
    model = with_tension(with_columns(r1(-20.0)))
    surfaces: list[Any] = [R1_CIRCLE, SHALLOW, HIGH]
    if way == "left":
        model, surfaces = mirrored_model(model), [mirrored_question(one) for one in surfaces]

    found = factors_of_known(model, surfaces, method, direction=way, form="B", slices=30)

    single = [analyse(model, one, method, direction=way, form="B", slices=30).factor for one in surfaces[:2]]
    assert found[:2] == pytest.approx(single, rel=1e-9)
    assert np.isnan(found[2])  # it lies above the ground


@pytest.mark.parametrize("way", ["right", "left"])
def test_blocks_with_and_without_a_strength_of_their_own_stand_beside_circles(way: Any) -> None:
    model = wet()
    base = ((-40.0, -1.0), (40.0, -1.0))
    search = BlockSearch(base, (-10.0, 0.0), (8.0, 14.0), (radians(50),), (radians(30),), counts=(4, 4), zooms=0)
    block = analyse(model, search, "janbu").surface
    assert isinstance(block, Surface)
    weak = Surface(block.points, 0.0, radians(12), (1,))
    surfaces: list[Any] = [block, weak, Surface(((-5.0, 5.0), (2.0, -2.0), (12.0, 0.0)))]
    if way == "left":
        model, surfaces = mirrored_model(model), [mirrored_question(one) for one in surfaces]

    found = factors_of_known(model, surfaces, "janbu", direction=way, slices=30)

    single = [analyse(model, one, "janbu", direction=way, slices=30).factor for one in surfaces]
    assert found == pytest.approx(single, rel=1e-9)
    assert found[1] < found[0]


def test_what_a_search_asks_of_its_circles_is_asked_of_known_ones() -> None:
    search = Search(min_depth=9.0, below=-5.0)

    found = factors_of_known(r1(), [R1_CIRCLE, SHALLOW], "bishop", search)

    assert np.isfinite(found).tolist() == [True, False]
    mirrored: list[Any] = [mirrored_question(R1_CIRCLE)]
    left = factors_of_known(mirrored_model(r1()), mirrored, "bishop", Search(min_depth=9.0), direction="left")
    assert left == pytest.approx(found[:1], rel=1e-9)


def test_a_request_that_is_none_is_refused() -> None:
    with pytest.raises(SlipError, match="method must be one of"):
        factors_of_known(r1(), [R1_CIRCLE], "none")  # type: ignore[arg-type]

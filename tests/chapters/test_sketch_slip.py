"""Contours over the centres: what is written on the figure can be read."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from calc.chapters.stability.slip_sketch_page import LABEL, _bands, contour_sketch
from calc.engine.figure import Label
from calc.procedures.slip import Contours


@pytest.mark.parametrize("steep", [1.0, 6.0, 40.0])
@pytest.mark.parametrize("height", [6.0, 30.0])
def test_labels_of_contours_do_not_lie_on_each_other(steep: float, height: float) -> None:
    """A valley with walls so steep that lines of six levels lie close together; one label at least stands."""
    x, y = np.linspace(0.0, 20.0, 12), np.linspace(5.0, 5.0 + height, 12)
    factor = 1 + steep * (((x[None, :] - 8) / 20) ** 2 + ((y[:, None] - 9) / 30) ** 2)
    found = SimpleNamespace(centre=(8.0, 9.0), tried=1, rejected={}, extended=0, at_edge=())
    scope = SimpleNamespace(title="circles", name="slip")

    scene = contour_sketch(cast("Any", scope), cast("Any", found), Contours(x, y, factor), "words")

    written = [(one.x, one.y) for one in scene.items if isinstance(one, Label)]
    size = max(20.0, height)
    assert len(written) > 1
    for k, (x_1, y_1) in enumerate(written):
        for x_2, y_2 in written[k + 1 :]:
            assert abs(x_1 - x_2) >= LABEL[0] * size or abs(y_1 - y_2) >= LABEL[1] * size


def test_ground_below_a_drawing_of_a_small_surface_is_left_out() -> None:
    layers = [
        SimpleNamespace(name=name, thickness=thickness, at_toe=lambda _, thickness=thickness: thickness)
        for name, thickness in (("peat", 2.0), ("clay", 3.0))
    ]
    section, place = (
        cast("Any", SimpleNamespace(soft_layers=layers, slopes=False, columns=SimpleNamespace(floating=None))),
        cast("Any", SimpleNamespace(ground=1.0)),
    )

    def drawn(bottom: float) -> list[tuple[str, str, float, float]]:
        found = _bands(section, place, (-5.0, 5.0), bottom)
        assert all(line[0][0] == -5.0 and line[-1][0] == 5.0 for _, _, pair in found for line in pair)
        return [(material, name, upper[0][1], lower[0][1]) for material, name, (upper, lower) in found]

    assert drawn(-7.0) == [("soft", "peat", 1.0, -1.0), ("soft2", "clay", -1.0, -4.0), ("firm", "", -4.0, -7.0)]
    assert drawn(-2.0) == [("soft", "peat", 1.0, -1.0), ("soft2", "clay", -1.0, -2.0)]
    assert drawn(1.5) == []

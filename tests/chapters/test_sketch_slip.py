"""Contours over the centres: what is written on the figure can be read."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from calc.chapters.shared.geometry import Profile
from calc.chapters.stability import slip_page
from calc.chapters.stability.slip_sketch_page import (
    LABEL,
    _bands,
    _circle,
    _forces,
    _ground,
    _slices,
    contour_sketch,
)
from calc.engine.figure import Arrow, Label, Line, Polygon
from calc.procedures.slip import Circle as SlipCircle
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

    written = [(item.x, item.y) for item in scene.items if isinstance(item, Label)]
    size = max(20.0, height)
    assert len(written) > 1
    for k, (x_1, y_1) in enumerate(written):
        for x_2, y_2 in written[k + 1 :]:
            assert abs(x_1 - x_2) >= LABEL[0] * size or abs(y_1 - y_2) >= LABEL[1] * size


PLACE = Profile(
    crest=5.0, base=0.0, ground=0.0, left_toe=-18.0, left_shoulder=-3.0, right_shoulder=3.0, right_toe=18.0,
    left_column=-15.0, right_column=15.0, toes=-8.0, firm=-7.0, beside=10.0, left=-30.0, right=30.0,
)  # fmt: skip


def found(direction: str, *forces: float, centre: tuple[float, float] = (10.0, 8.0)) -> Any:
    """As much of a surface of three slices as the figure reads; the middle one has a part of soil and one of column."""
    sign = 1.0 if direction == "right" else -1.0
    points = tuple((sign * x, y) for x, y in ((2.0, 5.0), (6.0, -3.0), (12.0, -3.0), (20.0, 0.0)))
    x, b = np.array([3.0, 7.0, 7.0, 14.0]), np.array([2.0, 4.0, 2.0, 8.0])
    table = SimpleNamespace(index=np.array([0, 1, 1, 2]), x=sign * x, b=b)
    made = tuple(SimpleNamespace(force=force, level=0.5 * k, x=sign * 5.0) for k, force in enumerate(forces))
    return SimpleNamespace(
        points=points, table=table, forces=made, direction=direction, centre=centre, factor=1.2,
        surface=SlipCircle(*centre, 9.0),
    )  # fmt: skip


def test_faces_between_slices_run_from_the_surface_to_the_top() -> None:
    """By hand: slices 2–4, 4–10 and 10–18 m; the slope falls from (3, 5) to (18, 0), the surface from (2, 5)."""
    faces = [item.points for item in _slices(found("right"), PLACE, 0.1) if isinstance(item, Line)]

    first, second = (np.ravel(face).tolist() for face in faces)
    assert first == pytest.approx([4.0, 1.0, 4.0, 5.0 - 1 / 3])
    assert second == pytest.approx([10.0, -3.0, 10.0, 5.0 - 7 / 3])
    above = replace(PLACE, crest=-9.0, ground=-9.0, base=-9.0)
    assert list(_slices(found("right"), above, 0.1)) == []
    assert len(list(_slices(found("right"), PLACE, 6.5))) == 1


@pytest.mark.parametrize(("direction", "sign"), [("right", -1.0), ("left", 1.0)])
def test_tension_pulls_the_sliding_side_back_to_the_middle(direction: str, sign: float) -> None:
    items = list(_forces(found(direction, 120.0, 0.0, 80.0), PLACE))
    arrows = [item for item in items if isinstance(item, Arrow)]

    assert [arrow.y1 for arrow in arrows] == [0.0, 1.0]
    assert all((arrow.x2 - arrow.x1) * sign > 0 for arrow in arrows)
    assert [item.text for item in items if isinstance(item, Label)] == ["120.0 + 80.0 kN/m"]
    assert list(_forces(found(direction, 0.0), PLACE)) == []


def test_a_centre_far_above_the_crest_is_named_and_not_drawn() -> None:
    near, far = found("right"), found("right", centre=(10.0, 60.0))

    assert [type(item) for item in _circle(near, 20.0)] == [Line, Line, Label]
    assert [type(item) for item in _circle(far, 20.0)] == [Line, Label]
    assert "centre (10.0 m, 60.0 m)" in next(item.text for item in _circle(far, 20.0) if isinstance(item, Label))


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


@pytest.mark.parametrize(("bottom", "drawn"), [(1.0, 1), (6.0, 0)])
def test_a_zone_that_the_fill_does_not_reach_yet_is_not_drawn(bottom: float, drawn: int) -> None:
    layers = [SimpleNamespace(name="peat", thickness=2.0, at_toe=lambda _: 2.0)]
    zone = SimpleNamespace(bottom=bottom, top=bottom + 1.0)
    bank = SimpleNamespace(zones=[(0, zone)], ends=lambda _: (-1.0, 1.0))
    section = SimpleNamespace(
        soft_layers=layers, slopes=False, columns=SimpleNamespace(floating=None), embankment=bank
    )  # fmt: skip

    items = _ground(cast("Any", section), PLACE, (-5.0, 5.0), -4.0)

    assert [item.fill for item in items if isinstance(item, Polygon)].count("zone") == drawn


@pytest.mark.parametrize("of_column", [0.9, 1.1])
def test_slices_say_what_raises_a_column_above_its_friction(of_column: float) -> None:
    """Friction alone gives at most 1: a larger number stood there without a word."""
    result = found("right")
    numbers = dict.fromkeys(("y_top", "y_base", "alpha", "W", "u", "c", "phi", "m_alpha", "N", "S"), np.ones(4))
    result.table = SimpleNamespace(**vars(result.table), **numbers, part=("soil", "soil", "column", "soil"))
    scope: Any = SimpleNamespace(name="slip", title="Slip circles")

    table = slip_page._slices(scope, result, {2: of_column}, "stage “Final”", 1.0, shaken=False)

    assert table.rows[2][-1] == f"{of_column:.3f}"
    assert ("cohesion from the sleeve" in table.note) == (of_column > 1)

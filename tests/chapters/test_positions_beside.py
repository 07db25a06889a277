"""Layers that thicken or thin across: the settlement across the crest, and the neighbours of each toe."""

from typing import Any

import pytest

from calc.chapters.shared.frame import CENTRE, LONG
from calc.chapters.unit_cell.across import ACROSS_CREST
from calc.engine.figure import Polygon, Scene
from tests.chapters.neighbour_case import beside
from tests.chapters.test_positions import PERSISTENT, RIGHT, RunProject, sheets, thick, verdict

approx = pytest.approx


def test_settlement_across_the_crest_is_that_of_the_positions(run_project: RunProject) -> None:
    run = run_project(RIGHT)

    def final(key: str) -> float:
        s = sheets(run, key)["unit_cell"].scopes["settlement"]["s"]
        return float(s.at(position=CENTRE, stage=PERSISTENT, load="G+Q", stiffness=LONG).array)

    axis, edge = final("A"), final("A.re")
    made = verdict(run, "A", "unit_cell", "settlement_across")

    assert edge > axis
    assert made.effect == approx(edge - axis)
    assert made.resistance == 0.02
    scope = sheets(run, "A")["unit_cell"].scopes[ACROSS_CREST]
    assert float(scope["i_cf"].at(stage=PERSISTENT).array) == approx((edge - axis) / 12)


def test_settlement_across_the_crest_is_compared_by_both_methods(run_project: RunProject) -> None:
    run = run_project(RIGHT)

    def final(key: str) -> float:
        s = sheets(run, key)["unit_cell"].scopes["elastic_plastic"]["s_EP"]
        return float(s.at(position=CENTRE, stage=PERSISTENT, load="G+Q", stiffness=LONG).array)

    made = verdict(run, "A", "unit_cell", "settlement_across_elastic_plastic")

    assert made.effect == approx(final("A.re") - final("A"))
    assert made.resistance == 0.02
    assert "creep, the ground below the toes" in made.note


def test_lower_crest_edge_has_its_own_height(run_project: RunProject) -> None:
    def falls(document: Any) -> None:
        thick(right=("3.0 m", "6.0 m"))(document)
        document["embankment"]["height_right"] = "5.4 m"
        document["basis"]["limits"]["settlement_difference"] = "0.5 m"

    level = run_project(thick(right=("3.0 m", "6.0 m")))
    run = run_project(falls)
    low, high = (
        float(sheets(one, "A")["unit_cell"].scopes[ACROSS_CREST]["s_eR"].at(stage=PERSISTENT).array)
        for one in (run, level)
    )

    assert low < high
    cell = sheets(run, "A")["unit_cell"]
    assert (
        "Ds_ax" not in cell.scopes[ACROSS_CREST]
    )  # the height of the cell is that of the higher edge, not of the axis
    made = verdict(run, "A", "unit_cell", "settlement_across")
    assert (made.state, made.required, "not the height at the axis" in made.note) == ("not verified", True, True)
    assert "settlement_across_elastic_plastic" not in {one.key for one in cell.verdicts}
    assert verdict(run, "A", "unit_cell", "settlement_difference").applies
    assert verdict(run, "A.re", "unit_cell", "settlement_difference").applies is False


def test_neighbours_are_drawn_on_the_sloping_ground_and_verified_at_the_toe(run_project: RunProject) -> None:
    run = run_project(beside(thick(right=("3.0 m", "6.0 m"))))
    drawn = {figure.key: figure for figure in sheets(run, "A")["neighbours"].page.figures if isinstance(figure, Scene)}

    def base(side: str) -> float:
        items = drawn[f"neighbours_{side}"].items
        soft = next(item for item in items if isinstance(item, Polygon) and item.fill == "soft")
        return min(y for _, y in soft.points)

    assert [base("left"), base("right")] == approx([0.4 - 6.5, 0.4 - 9.0])
    assert list(sheets(run, "A")["neighbours"].axes["neighbour"]) == ["Station", "Main"]
    assert list(sheets(run, "A.rt")["neighbours"].axes["neighbour"]) == ["Station"]
    assert sheets(run, "A.re")["neighbours"].verdicts == []


def test_toe_has_the_neighbours_of_its_own_side_with_their_lines_of_the_file(run_project: RunProject) -> None:
    """The main of the left side is the second of the file and the first at its toe; a side may have none."""
    run = run_project(beside(thick(left=("3.0 m", "6.0 m"))))
    toe = sheets(run, "A.lt")["neighbours"]

    assert list(toe.axes["neighbour"]) == ["Main"]
    (origin,) = next(step for step in toe.steps if step.symbol == "l_toN").origins
    assert (origin.path, origin.typed) == ("neighbours.neighbour.1.distance", "60 m")

    def alone(document: Any) -> None:
        del document["neighbours"]["neighbour"][0]

    bare = run_project(beside(thick(right=("3.0 m", "6.0 m")), alone))
    assert [one.key for one in sheets(bare, "A.rt")["neighbours"].verdicts if one.applies] == []
    assert list(sheets(bare, "A")["neighbours"].axes["neighbour"]) == ["Main"]

"""Joint of the mats beside an old bank, the second method there, and what the other chapters say."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from calc.engine.figure import Chart, Polygon, Scene
from calc.engine.sheet import Sheet
from tests.chapters.timed import timed
from tests.chapters.widening_case import (
    JOINT,
    Chapters,
    indices,
    limits,
    matted,
    turned,
    verdict,
    widened,
)

approx = pytest.approx


def test_joint_by_hand_stands_and_fails(beside_old: Callable[..., Sheet]) -> None:
    """T over (μ + μ of the old fill) σ between the fills, over μ σ on old mats.

    The cover of the first lift is what lies over the layer.
    """
    sheet = beside_old(matted, joint=dict(JOINT))
    scope = sheet.scopes["joint"]
    case = {"factor_set": "EN 1997-1 DA1-1", "stage": "1 First lift"}
    tension, friction = scope["T_rd"].number(case), 0.8 * np.tan(np.radians(32.5))

    assert tension
    assert scope["h_Jst"].number(case) == approx(2.0 - 0.2)
    below = 0.8 * np.tan(np.radians(30))
    assert scope["L_Jreq"].number(case) == approx(tension / (18 * 1.8 * (friction + below)))
    assert verdict(sheet, "mat_joint").state == "pass"
    assert verdict(beside_old(matted, joint={**JOINT, "length": "0.5 m"}), "mat_joint").state == "fail"
    on_old = {key: one for key, one in JOINT.items() if key != "phi"} | {"on_mats": True}
    on_mats = beside_old(matted, joint=on_old).scopes["joint"]
    assert on_mats["L_Jreq"].number(case) == approx(tension / (18 * 1.8 * friction))


def test_joint_of_one_of_two_layers_has_its_own_tension(chapters: Chapters) -> None:
    def second(document: Any) -> None:
        matted(document)
        document["reinforcement"].append({**document["reinforcement"][0], "name": "three", "level": "0.90 m"})

    found = chapters(widened(second, joint={**JOINT, "layer": "three"}))
    own = found["reinforcement"].scopes["across_2_strength"]["T_rd"]

    taken = found["widening"].scopes["joint"]["T_rd"]
    assert taken.array[taken.valid].tolist() == own.array[own.valid].tolist()


def test_joint_is_open_where_it_is_not_given_and_no_question_without_mats(beside_old: Callable[..., Sheet]) -> None:
    open_one = verdict(beside_old(matted), "mat_joint")
    missing = "Not given: the joint of the mats with the old bank (field widening.joint)."
    assert (open_one.state, open_one.required, open_one.note) == ("not verified", True, missing)
    assert verdict(beside_old(), "mat_joint").stamp == "not applicable"


def test_stability_is_by_document_or_open(beside_old: Callable[..., Sheet]) -> None:
    by_document = verdict(beside_old(stability="C-2"), "widening_stability")

    assert by_document.stamp == "accepted by statement"
    assert by_document.note == "By document: C-2. Nothing of it is calculated here."
    assert verdict(beside_old(), "widening_stability").state == "not verified"


def test_other_chapters_do_not_judge_the_side_that_stays(chapters: Chapters) -> None:
    """Only the right side grows; slip surfaces and quantities are not those of a bank without an old one."""
    found = chapters(widened(matted, indices))

    for key in ("bearing", "thrust", "reinforcement"):
        endings = {one.key.rpartition("_")[2] for one in found[key].verdicts}
        assert "left" not in endings
        assert "right" in endings
    (slip,) = [one for one in found["stability"].verdicts if one.key == "global_stability"]
    assert (slip.state, slip.note.partition(",")[0]) == (
        "not verified", "Strength under the old bank is not that of the section",
    )  # fmt: skip


def test_side_that_changes_without_columns_is_open_or_by_document(beside_old: Callable[..., Sheet]) -> None:
    """The old bank is raised by a metre on the left; kept as it is in height and slope it is no question."""
    open_one = verdict(beside_old(), "widening_side_left")
    kept = beside_old(height="6 m", crest_left="-6 m", crest_right="-2 m", columns_right="-1 m")

    assert (open_one.state, open_one.required) == ("not verified", True)
    assert "field widening.stability" in open_one.note
    assert verdict(beside_old(stability="C-2"), "widening_side_left").stamp == "accepted by statement"
    assert [one.key for one in kept.verdicts if one.key.startswith("widening_side")] == []
    assert "widening-side" in [limitation.key for limitation in kept.limitations]


def test_columns_that_do_not_reach_far_enough_inwards_do_not_count_in_the_wedge(chapters: Chapters) -> None:
    """The soft ground is 6.5 m thick; the wedge needs columns for its gain of strength in soft ground."""

    def weak(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "9 kPa"

    words = (
        "they reach 3.00 m inwards of the crest edge beside the old bank, less than the soft ground is thick (6.50 m)"
    )
    for inner, expected in (("3 m", True), ("-1 m", False)):
        notes = [one.note for one in chapters(widened(weak, columns_right=inner))["bearing"].verdicts
                 if one.key.startswith("squeeze")]  # fmt: skip
        assert notes
        assert any(words in note for note in notes) == expected


def test_quantities_beside_an_old_bank_are_not_counted(chapters: Chapters) -> None:
    def counted(document: Any) -> None:
        document["construction"] = {"quantities": {
            "length": "100 m", "fill_excess": 1.1, "sleeve_top": "0.3 m", "sleeve_toe": "0.3 m", "source": "invented",
        }}  # fmt: skip

    found = chapters(widened(counted))["construction"]
    (one,) = [one for one in found.verdicts if one.key == "quantities"]
    assert one.note == "Columns, fill and reinforcement beside an old bank are not counted."


def test_soft_ground_that_needs_circles_says_that_none_are_searched(chapters: Chapters) -> None:
    def weak(document: Any) -> None:
        for layer in document["section"][0]["layer"]:
            layer["c_u"] = "6 kPa"

    notes = [one.note for one in chapters(widened(weak))["bearing"].verdicts if one.key == "soft_bearing"]
    assert "beside an old bank none are searched" in notes[0]


def test_columns_stand_beside_the_old_bank_in_the_sketches(chapters: Chapters) -> None:
    found = chapters(widened(indices))
    scenes = [
        figure for key in ("basis", "widening") for figure in found[key].page.figures if isinstance(figure, Scene)
    ]
    for scene in scenes[:2]:
        columns = [item for item in scene.items if isinstance(item, Polygon) and item.fill == "column"]
        assert columns
        assert min(min(x for x, _ in column.points) for column in columns) == approx(-2.4)
    (chart,) = [figure for figure in found["widening"].page.figures if isinstance(figure, Chart)]
    assert [len(curve.x) for curve in chart.curves] == [len(found["widening"].axes["position"])] * 3


def test_both_sides_may_grow(chapters: Chapters) -> None:
    """An old bank in the middle: columns on both sides of it, none under it; the settlement is that of both."""
    middle: dict[str, Any] = {
        "height": "6 m",
        "crest_left": "-2 m",
        "crest_right": "2 m",
        "columns_right": "4 m",
        "columns_left": "-4 m",
    }

    def both(document: Any) -> None:
        document["field"]["beyond_left"] = "9 m"

    sheet = chapters(widened(both, indices, **middle))["widening"]
    settled = sheet.scopes["indices"]["s_Wu"].array

    assert settled == approx(settled[::-1])
    x = dict(zip(sheet.axes["position"], sheet["x_W"].array.tolist(), strict=True))
    assert {x[one] for one in sheet.kept["columns"]} == {-14.0, -6.0, -4.0, 4.0, 6.0, 14.0}
    assert "widening-side" not in [limitation.key for limitation in sheet.limitations]


@pytest.mark.parametrize("in_time", [False, True], ids=["all of it later", "the share that comes later"])
def test_what_the_second_method_settles_more_after_hand_over_turns_what_passes_narrowly(
    chapters: Chapters, in_time: bool
) -> None:  # fmt: skip
    changes = (indices, timed()) if in_time else (indices,)
    found = chapters(widened(*changes))["widening"]
    difference = verdict(found, "widening_difference").effect or 0.0
    more = float(np.nanmax(found.scopes["cell_plastic"]["s_EP"].array - found.scopes["cell_plastic"]["s_Wc"].array))
    later = float(found.scopes["profile"]["r_Wc"].array)
    free, tight = (
        chapters(widened(*changes, limits=limits(difference=f"{difference + share * later * more:.5f} m")))["widening"]
        for share in (1.1, 0.9)
    )

    assert later == 1.0 or 0.01 < later < 0.5
    assert (later < 1.0) is in_time

    assert "widening_difference" not in turned(free, "widening-second-cell")
    assert "widening_difference" in turned(tight, "widening-second-cell")

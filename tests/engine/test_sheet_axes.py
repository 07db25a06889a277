"""Values over named axes: brought into line, summed over layers, selected, without a number in some lanes."""

import numpy as np
import pytest

from calc.engine.sheet import SheetError, value_text
from calc.formulas.characteristic import mean_depth
from calc.formulas.geometry import sleeve_slack
from calc.formulas.ground import initial_vertical_stress
from calc.formulas.loads import factored_friction_angle
from calc.formulas.sleeve import design_ring_tension
from calc.formulas.unit_cell import stress_ratio, total_settlement
from tests.engine.chapters import FILE, chapter, masked


def test_values_are_aligned_by_the_names_of_their_axes() -> None:
    sheet = chapter()
    sheet.given("Dsigma_vc", [1.0, 2.0, 3.0], ["stage"], origin=FILE)
    sheet.given("Dsigma_vs", [10.0, 20.0], ["layer"], origin=FILE)
    ratio = sheet(stress_ratio)

    assert ratio.axis_names == ("stage", "layer")
    assert ratio.array == pytest.approx(np.array([[0.1, 0.05], [0.2, 0.1], [0.3, 0.15]]))


def test_axes_given_in_another_order_are_turned_and_not_reshaped() -> None:
    sheet = chapter()
    sheet.given("Dsigma_vc", [[1.0, 2.0, 3.0], [4.0, 5.0, 6.0]], ["layer", "stage"], origin=FILE)
    sheet.given("Dsigma_vs", 1.0, origin=FILE)
    ratio = sheet(stress_ratio)

    assert ratio.axis_names == ("stage", "layer")
    assert ratio.number({"stage": "b", "layer": "top"}) == 2.0
    assert ratio.number({"stage": "a", "layer": "low"}) == 4.0


def test_axes_with_other_labels_are_refused() -> None:
    sheet = chapter()
    sheet.given("Dsigma_vc", [1.0, 2.0, 3.0], ["stage"], origin=FILE)
    with pytest.raises(SheetError, match="axis 'stage' of Dsigma_vs has labels"):
        sheet(stress_ratio, Dsigma_vs=sheet.take("Dsigma_vs", sheet["Dsigma_vc"].at(stage=["a", "b"])))


@pytest.mark.parametrize("layers", [("only",), ("top", "low")])
def test_sum_takes_the_layer_axis_away_also_where_there_is_one_layer(layers: tuple[str, ...]) -> None:
    sheet = chapter(layer=layers)
    settled = np.arange(1.0, 1.0 + 3 * len(layers)).reshape(3, len(layers)) / 100
    sheet.given("s_i", settled, ["stage", "layer"], origin=FILE)
    total = sheet(total_settlement)

    assert total.axis_names == ("stage",)
    assert total.array == pytest.approx(settled.sum(axis=1))


def test_sum_of_the_layers_above_keeps_the_layer_axis() -> None:
    sheet = chapter()
    sheet.given("p_0", 5.0, origin=FILE)
    sheet.given("w", [20.0, 30.0], ["layer"], origin=FILE)
    stress = sheet(initial_vertical_stress)

    assert stress.axis_names == ("layer",)
    assert stress.array == pytest.approx([15.0, 40.0])


def test_sum_over_something_without_layers_is_refused() -> None:
    sheet = chapter()
    sheet.given("s_i", 0.1, origin=FILE)

    with pytest.raises(SheetError, match="total_settlement sums over layers something that has no layer axis"):
        sheet(total_settlement)


def test_sum_over_readings_takes_their_axis_away_and_no_other() -> None:
    sheet = chapter(reading=("R1", "R2", "R3"))
    sheet.given("z_j", [1.0, 2.0, 6.0], ["reading"], origin=FILE)
    sheet.given("n_x", 3.0, origin=FILE)
    mean = sheet(mean_depth)

    assert (mean.axes, float(mean.array)) == ((), 3.0)
    sheet.given("s_i", [0.1, 0.2, 0.3], ["reading"], origin=FILE)
    with pytest.raises(SheetError, match="total_settlement sums over layers something that has no layer axis"):
        sheet(total_settlement)
    other = chapter("other", reading=("R1", "R2"))
    other.given("n_x", 2.0, origin=FILE)
    other.given("z_j", [1.0, 2.0], ["layer"], origin=FILE)
    with pytest.raises(SheetError, match="mean_depth sums over readings something that has no reading axis"):
        other(mean_depth)
    both = chapter("both", reading=("R1", "R2"))
    both.given("n_x", [1.0, 2.0], ["layer"], origin=FILE)
    both.given("z_j", [1.0, 2.0], ["reading"], origin=FILE)
    with pytest.raises(SheetError, match="has readings and layers"):
        both(mean_depth)


def test_lane_without_a_number_passes_its_words_on() -> None:
    sheet = chapter()
    masked(sheet, "Dsigma_vc", [1.0, 2.0], [False, True])
    sheet.given("Dsigma_vs", [[2.0, 2.0]] * 3, ["stage", "layer"], origin=FILE)
    ratio = sheet(stress_ratio)

    assert ratio.number({"stage": "a", "layer": "top"}) == 0.5
    assert ratio.number({"stage": "a", "layer": "low"}) is None
    assert value_text(ratio, {"stage": "a", "layer": "low"}) == "no active state"
    assert np.isnan(ratio.array[:, 1]).all()
    assert np.isnan(sheet["Dsigma_vc"].array[1])


def test_sum_has_no_number_where_one_layer_has_none() -> None:
    sheet = chapter()
    masked(sheet, "s_i", [0.1, 0.2], [False, True])
    total = sheet(total_settlement)

    assert total.number({}) is None
    assert value_text(total, {}) == "no active state"


@pytest.mark.parametrize(
    ("lacking", "wanted"),
    [
        ([True, False, False], [True, True, True]),
        ([False, True, False], [False, True, True]),
        ([False, False, True], [False, False, True]),
    ],
)
def test_sum_of_the_layers_above_has_no_number_below_a_layer_without_one(
    lacking: list[bool], wanted: list[bool]
) -> None:
    """Once the layers below such a layer became an error that named the formula instead."""
    sheet = chapter(layer=("1", "2", "3"))
    sheet.given("p_0", 5.0, origin=FILE)
    masked(sheet, "w", [20.0, 30.0, 40.0], lacking)
    stress = sheet(initial_vertical_stress)

    assert (~stress.valid).tolist() == wanted
    assert stress.array[stress.valid] == pytest.approx(np.array([15.0, 40.0, 75.0])[stress.valid])


def test_other_value_takes_the_place_of_a_missing_one() -> None:
    sheet = chapter()
    missing = masked(sheet, "s_c", [0.1, 9.9], [False, True])
    made = sheet.otherwise("s_i", missing, 0.0, title="Settlement", note="none where nothing moves")

    assert made.array == pytest.approx([0.1, 0.0])
    assert made.mask is None


def test_selection_takes_an_axis_away_or_keeps_some_of_its_labels() -> None:
    sheet = chapter()
    value = sheet.given("h", np.arange(6.0).reshape(3, 2), ["stage", "layer"], origin=FILE)

    assert value.at(stage="b").array.tolist() == [2.0, 3.0]
    assert value.at(stage="b").chosen == (("stage", "b"),)
    assert value.at(stage=["c", "a"]).array.tolist() == [[4.0, 5.0], [0.0, 1.0]]
    assert value.at(stage=["c", "a"]).labels("stage") == ("c", "a")
    assert value.at(stage="c", layer="low").number({}) == 5.0
    with pytest.raises(SheetError, match=r"h has no stage \['d'\]; it has \['a', 'b', 'c'\]"):
        value.at(stage="d")
    with pytest.raises(SheetError, match="h has no axis 'load'"):
        value.at(load="G")


def test_selection_of_a_masked_value_selects_its_mask() -> None:
    sheet = chapter()
    value = masked(sheet, "h", [1.0, 2.0], [False, True])

    assert value.at(layer="top").number({}) == 1.0
    assert value.at(layer="low").number({}) is None


def test_selected_values_take_the_places_of_symbols() -> None:
    sheet = chapter(load=("G", "G+Q"))
    force = sheet.given("F_R", [100.0, 130.0], ["load"], origin=FILE)
    sheet.given("gamma_G", 1.35, origin=FILE)
    sheet.given("gamma_Q", 1.5, origin=FILE)
    design = sheet(design_ring_tension, F_G=force.at(load="G"), F_GQ=force.at(load="G+Q"))

    assert design.axes == ()
    assert design.number({}) == pytest.approx(1.35 * 100 + 1.5 * 30)


def test_formulas_of_several_factor_sets_give_one_value_per_set() -> None:
    sheet = chapter()
    sheet.given("phi_ck", np.radians(35.0), origin=FILE)
    sheet.given("gamma_phi", [1.0, 1.25], ["factor_set"], origin=FILE)
    angle = sheet(factored_friction_angle)

    assert np.degrees(angle.array) == pytest.approx([35.0, np.degrees(np.arctan(np.tan(np.radians(35)) / 1.25))])


def test_plain_values_without_axes_stay_numbers() -> None:
    sheet = chapter()
    for name in ("r_geo", "r_c"):
        sheet.given(name, 0.4, origin=FILE)

    assert sheet(sleeve_slack).array.shape == ()


def test_value_of_the_label_before_shifts_its_lanes_and_knows_where_they_are_from() -> None:
    sheet = chapter()
    value = sheet.given("Dsigma_vc", [1.0, 2.0, 3.0], ["stage"], origin=FILE)
    before = value.before("stage", 0.5)

    assert before.array == pytest.approx([0.5, 1.0, 2.0])
    assert before.read_at({"stage": "b"}) == {"stage": "a"}
    assert before.read_at({"stage": "a"}) is None
    assert before.at(stage="c").read_at({}) == {"stage": "b"}
    assert before.at(stage=["c"]).read_at({"stage": "c"}) == {"stage": "b"}
    assert value.read_at({"stage": "b"}) == {"stage": "b"}
    assert value.array == pytest.approx([1.0, 2.0, 3.0])
    assert sheet.take("Dsigma_vs", before).read_at({"stage": "b"}) == {"stage": "b"}


def test_lane_without_number_moves_on_with_the_label_before() -> None:
    value = chapter().given("Dsigma_vc", [1.0, 2.0, 3.0], ["stage"], origin=FILE)
    before = value.without(np.array([False, True, False]), "no load").before("stage", 0.0)

    assert [before.number({"stage": label}) for label in "abc"] == [0.0, 1.0, None]


def test_value_of_the_label_before_needs_that_axis() -> None:
    value = chapter().given("Dsigma_vc", 1.0, origin=FILE)

    with pytest.raises(SheetError, match="no axis 'stage'"):
        value.before("stage", 0.0)


def test_largest_over_the_other_axes_is_taken_of_lanes_with_a_number_only() -> None:
    """The numbers are negative, so that a lane without one would come out as the largest if it stood for zero."""
    sheet = chapter()
    numbers = [[-3.0, -1.0], [-5.0, 0.0], [0.0, 0.0]]
    mask = np.array([[False, False], [False, True], [True, True]])
    value = sheet.reading("s_i", numbers, ["stage", "layer"], title="Read", mask=mask, reason="no load")

    assert value.largest("stage").lanes() == [-1.0, -5.0, None]
    assert value.largest("layer").lanes() == [-3.0, -1.0]
    assert value.largest("layer").mask is None
    assert value.largest().number({}) == -1.0
    assert value.smallest("stage").lanes() == [-3.0, -5.0, None]
    assert (
        value.largest("factor_set", "stage", "layer").lanes()
        == value.lanes()
        == [[-3.0, -1.0], [-5.0, None], [None] * 2]
    )

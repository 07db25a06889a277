"""How readings of the chapters follow from recorded values, for many samples at once."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calc.chapters.bearing.loads import of_slowest, while_taut
from calc.chapters.consolidation.ground_again import GroundAgain
from calc.chapters.consolidation.strength_gain import growth_of_strength
from calc.chapters.load_transfer.compatibility import tension_used
from calc.chapters.load_transfer.steps import with_largest
from calc.chapters.shared.programme import at_other_stages
from calc.chapters.shared.soft_ground import credited_by_ratio, credited_gain
from calc.engine.sheet import Axis, Sheet, Value
from calc.procedures.failures import ProcedureError

SAMPLES, STAGES, LAYERS = Axis("sample", ("0", "1")), Axis("stage", ("i", "ii", "iii")), Axis("layer", ("a", "b"))
NAN = np.nan


def value(symbol: str, numbers: object, *axes: Axis) -> Value:
    """A value with a number in every lane that is not NaN."""
    array = np.array(numbers, dtype=float)
    return Value(symbol, array, axes, mask=np.isnan(array) if np.isnan(array).any() else None)


def test_each_sample_takes_the_sublayer_that_is_slowest_in_it() -> None:
    times = value("t_hL", [[5.0, 9.0], [7.0, 6.0]], SAMPLES, LAYERS)

    found = of_slowest(value("f_tr", [2.0, 3.0], LAYERS), times)

    assert (found.array.tolist(), found.axes) == ([3.0, 2.0], (SAMPLES,))


def test_sublayers_that_are_slow_alike_give_the_first() -> None:
    times = value("t_hL", [7.0, 7.0 * (1 + 1e-12)], LAYERS)

    assert of_slowest(times, times).array == 7.0


def test_factor_with_the_sleeve_needs_tension_under_every_step() -> None:
    """Without any the water leaves more slowly, by a factor that the design run has not."""
    factor = value("f_tr", [2.0, 3.0], LAYERS)

    assert while_taut(factor, value("F_Ri", [[1.0, 2.0], [0.5, 1.0]], SAMPLES, LAYERS)) is factor
    for none in (0.0, NAN):
        with pytest.raises(ProcedureError, match="no tension under a step"):
            while_taut(factor, value("F_Ri", [[1.0, 2.0], [none, 1.0]], SAMPLES, LAYERS))


def test_number_of_another_stage_or_none() -> None:
    pressure = value("p_P", [1.0, 2.0, 3.0], STAGES)

    filled = at_other_stages(pressure, STAGES.labels, [None, "iii", "ii"], 0.0)
    bare = at_other_stages(pressure, STAGES.labels, [None, "iii", "ii"], reason="none before")
    same = at_other_stages(value("p_P", [4.0, 5.0], SAMPLES), STAGES.labels, ["i", None, "i"], 0.0)

    assert (filled.array.tolist(), filled.mask) == ([0.0, 3.0, 2.0], None)
    assert (bare.valid.tolist(), bare.reason) == ([False, True, True], "none before")
    assert (same.array.tolist(), same.axes) == ([[4.0, 0.0, 4.0], [5.0, 0.0, 5.0]], (SAMPLES, STAGES))


def test_gain_that_appears_in_a_sample_alone_is_refused() -> None:
    """Without a gain the design run has no case of the cell's own ratio, so that a number would be another question."""
    none, some = (value("Dc_us", [0.0, 0.0, gain], STAGES) for gain in (0.0, 0.5))
    typed = [0.0, 0.0, NAN]

    assert not credited_gain(none, typed=typed, counted=False).array.any()
    assert credited_gain(some, typed=typed, counted=True).array.tolist() == [0.0, 0.0, 0.5]
    with pytest.raises(ProcedureError, match="in the design run none does"):
        credited_gain(some, typed=typed, counted=False)


def test_gain_with_the_ratio_of_the_cell_is_not_more_than_its_own() -> None:
    gain, of_cell = value("Dc_us", [0.0, 2.0, 4.0], STAGES), value("Dc_uc", [1.0, 3.0, 1.0], STAGES)

    found = credited_by_ratio(gain, of_cell, typed=[0.0, NAN, 5.0])

    assert found.array.tolist() == [[0.0, 0.0], [2.0, 2.0], [5.0, 1.0]]


def test_strength_does_not_grow_below_the_stress_that_is_there_or_without_data() -> None:
    pressure, stress = value("sigma_pc", [20.0, 30.0], LAYERS), value("sigma_v0s", [[20.0, 30.0], [21.0, 29.0]],
                                                                      SAMPLES, LAYERS)  # fmt: skip
    of_angle = value("S_phi", [0.4, 0.5], LAYERS)

    by_angle = growth_of_strength(
        pressure, stress, of_angle, ratios=np.array([0.25, NAN]), gains=np.array([True, True]), axis=LAYERS
    )
    bare = growth_of_strength(
        pressure, stress, ratios=np.array([0.25, NAN]), gains=np.array([False, True]), axis=LAYERS
    )

    assert by_angle.array.tolist() == [[0.25, 0.5], [0.0, 0.5]]
    assert not bare.array.any()


def test_tension_is_that_of_full_arching_where_asked_for_or_where_no_shape_has_one() -> None:
    one, other = value("T_mq", [1.0, 4.0, NAN], STAGES), value("T_mq", [2.0, 3.0, NAN], STAGES)
    limit = value("T_mqF", [NAN, 6.0, 5.0], STAGES)

    by_shape, full = (tension_used(one, other, limit, full=asked) for asked in (False, True))

    assert (by_shape.valid.tolist(), by_shape.array[1:].tolist()) == ([False, True, True], [4.0, 5.0])
    assert (full.valid.tolist(), full.array[1:].tolist()) == ([False, True, True], [6.0, 5.0])


def test_each_sample_takes_the_shape_with_its_largest_difference() -> None:
    one = value("Ds_h", [[1.0, 2.0, NAN], [5.0, 1.0, NAN]], SAMPLES, STAGES)
    other = value("Ds_h", [[0.0, 3.0, NAN], [4.0, 4.0, NAN]], SAMPLES, STAGES)

    found = with_largest(one, other)

    assert found.array[:, :2].tolist() == [[0.0, 3.0], [5.0, 1.0]]
    assert found.valid.tolist() == [[True, True, False]] * 2


def test_ground_that_swells_or_slackens_in_a_sample_alone_is_refused() -> None:
    """Its course would be that of another model than the design run has."""
    cell = Sheet(section="A", key="unit_cell")
    recorded = cell.reading("s", 0.2, title="settlement"), cell.reading("F_Ri", 50.0, title="tension")

    def make(done: Any) -> Any:
        last, tension = (float(done["unit_cell"][name].array) for name in ("s", "F_Ri"))
        return SimpleNamespace(slack=None, unloads=last < 0.1, settled=np.array([0.1, last]),
                               tensions=np.full((3, 2, 1), tension))  # fmt: skip

    again = GroundAgain(make, {"unit_cell": cell}).reading("s_pc", [Axis("step", ("1", "2"))], lambda one: one.settled)

    def follow(settled: float, tension: float) -> list[Any]:
        made = again.function(value("s", [0.2, settled], SAMPLES), value("F_Ri", [50.0, tension], SAMPLES))
        return list(made.array.tolist())

    assert again.inputs == recorded
    assert follow(0.3, 40.0) == [[0.1, 0.2], [0.1, 0.3]]
    for numbers in ((0.05, 40.0), (0.3, 0.0)):
        with pytest.raises(ProcedureError, match="settlement comes back in one of both alone"):
            follow(*numbers)

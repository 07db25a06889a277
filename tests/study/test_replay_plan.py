"""How a step reads a value of another one again: what was done to it, at the labels that are needed."""

from collections.abc import Callable

import numpy as np
import pytest

from calc.engine.sheet import Axis, Value
from calc.study.replay_plan import Labels, UnfollowedError, _restricted, _route, narrowed, read

STAGES, LAYERS, SAMPLES = ("0", "1", "2", "3"), ("a", "b", "c"), ("0", "1", "2")
AXES = (Axis("stage", STAGES), Axis("layer", LAYERS))
DONE: dict[str, Callable[[Value], Value]] = {
    "as it is": lambda value: value,
    "a stage": lambda value: value.at(stage="2"),
    "some stages": lambda value: value.at(stage=["1", "3"]),
    "the stage before": lambda value: value.before("stage", 5.0),
    "the stage before some": lambda value: value.before("stage", 5.0).at(stage=["0", "2"]),
    "largest by stage": lambda value: value.largest("stage"),
    "least of some stages": lambda value: value.at(stage=["1", "3"]).smallest("layer"),
    "those above zero": lambda value: value.without(lambda numbers: numbers <= 0, "not above"),
    "but the first stage": lambda value: value.without(
        np.array([[True], [False], [False], [False]]) & np.ones((4, 3), dtype=bool), "first", by=()
    ),
}


def numbers(*, lacking: bool) -> Value:
    """Numbers of three samples; of the second one a lane may have none."""
    array = np.random.default_rng(3).normal(size=(3, 4, 3))
    mask = np.zeros(array.shape, dtype=bool)
    mask[1, 2, 1] = lacking
    return Value("s", np.where(mask, np.nan, array), (Axis("sample", SAMPLES), *AXES), mask=mask if lacking else None)


@pytest.mark.parametrize("wanted", [{}, {"stage": ("2",)}, {"layer": ("b", "c")}], ids=["all", "a stage", "layers"])
@pytest.mark.parametrize("lacking", [True, False], ids=["lanes lack", "no lane lacks"])
@pytest.mark.parametrize("what", DONE)
def test_value_is_read_of_all_samples_as_of_each(what: str, wanted: Labels, *, lacking: bool) -> None:
    many = numbers(lacking=lacking)
    for sample, label in enumerate(SAMPLES):
        one = DONE[what](many.at(sample=label))
        labels = {axis.name: tuple(name for name in axis.labels if name in wanted.get(axis.name, axis.labels))
                  for axis in one.axes}  # fmt: skip
        if not all(labels.values()):
            continue
        first, *done = one.takings  # the first is the choice of the sample
        route = _route(AXES, tuple(done), labels)
        start = route.takings[0][0] if route.takings else route.labels

        made = read(narrowed(many, start), route)

        assert first.axis == "sample"
        kept = narrowed(one, labels)
        assert made.axes[1:] == kept.axes
        assert np.array_equal(made.array[sample], kept.array, equal_nan=True)
        assert np.array_equal(made.valid[sample], kept.valid)


def test_case_that_a_verdict_has_not_is_refused() -> None:
    with pytest.raises(UnfollowedError, match=r"the axis stage has none of the labels \['9'\]; it has \['0', '1'\]"):
        _restricted("stage", ("0", "1"), {"stage": ("9",)})

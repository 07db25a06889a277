"""The gain that a stage needs: found by the verdicts of its chapters, and checked with a little less of it."""

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.chapters.shared.frame import AS_GIVEN
from calc.engine.sheet import Sheet
from calc.engine.sheet.values import Axis, Value
from calc.study.chapters import chapters
from calc.study.ground import Ground, Needed
from calc.study.strength import (
    CLOSE,
    Rated,
    TooWeakError,
    least_gain,
    needed_gain,
    rating,
    stages_with_gain,
    with_gains,
)
from tests.study.bank import design_of, done_of

COMPUTED = ('c_u_gain = "2 kPa"', 'c_u_gain = "consolidation"')
STRONG = ('c_u = "0.1 kPa"', 'c_u = "26 kPa"'), ('c_u = "0.5 kPa"', 'c_u = "26 kPa"')


def needed(final: float, *changes: tuple[str, str], low: float = 0.0) -> Needed:
    design = design_of(*changes)
    return needed_gain(design, design.sections[0], done_of(*changes), 2, "bearing", final, low)


@given(
    slope=st.floats(0.02, 0.5), other=st.floats(0.02, 0.5), start=st.floats(0.5, 0.99), kink=st.floats(0, 6),
    high=st.floats(0.5, 20),
)  # fmt: skip
def test_least_gain_is_the_least_that_passes(
    slope: float, other: float, start: float, kink: float, high: float
) -> None:
    """A safety of two straight lines, the lower of which counts, as of two slip surfaces."""

    def safety(gain: float) -> float:
        return min(start + slope * gain, start + slope * kink + min(other, slope) * (gain - kink))

    gain, rated = least_gain(lambda gain: Rated(1 / safety(gain), "slip"), 0.0, high)

    if safety(high) < 1:
        assert (gain, rated.utilisation > 1) == (high, True)
    else:
        assert safety(gain) >= 1
        assert safety(gain) - 1 <= CLOSE or safety(gain - 1.1e-3) < 1


def test_what_passes_without_a_gain_needs_none() -> None:
    assert least_gain(lambda _gain: Rated(0.8, "slip"), 0.0, 5.0) == (0.0, Rated(0.8, "slip"))


def test_a_jump_of_the_safety_ends_the_search() -> None:
    gain, rated = least_gain(lambda gain: Rated(1.2 if gain < 1.23456 else 0.7, "slip"), 0.0, 5.0)

    assert gain == pytest.approx(1.23456, abs=2e-3)
    assert rated == Rated(0.7, "slip")


def test_stage_that_counts_on_the_computed_gain_needs_what_its_verdicts_need() -> None:
    design, done = design_of(COMPUTED, *STRONG), done_of(COMPUTED, *STRONG)
    section = design.sections[0]

    one = needed(8.0, COMPUTED, *STRONG)
    by_gain = {
        gain: rating(chapters(design, with_gains(section, [0.0, 0.1, gain]), until="bearing", done=done)["bearing"],
                     "3 Final")
        for gain in (one.gain, one.gain - 0.01)
    }  # fmt: skip

    assert one.kind == "bearing"
    assert needed(8.0, COMPUTED, *STRONG, low=one.gain + 1).gain == one.gain + 1
    assert one.title.startswith("Soft ground between the columns")
    assert one.title.endswith(", Final")
    assert by_gain[one.gain].utilisation <= 1 < by_gain[one.gain - 0.01].utilisation


def test_stage_that_passes_without_the_computed_gain_waits_for_nothing() -> None:
    assert needed(8.0, COMPUTED, *((old, new.replace("26", "60")) for old, new in STRONG)).gain == 0


def test_stage_that_no_gain_helps_is_named_with_its_utilisation() -> None:
    with pytest.raises(TooWeakError, match=r"share of the load: utilisation 1\.\d+ even with .* 0\.25 kN/m²"):
        needed(0.25, COMPUTED, *STRONG)


def test_needed_gain_is_what_the_ground_is_asked_for() -> None:
    design = design_of(COMPUTED, *STRONG)
    ground = Ground(design, design.sections[0], done_of(COMPUTED, *STRONG), AS_GIVEN)
    assert ground.checks(2) == [ground.ratio]
    ground.needed = {2: Needed(0.0, "bearing", "Soft ground, Final")}
    assert ground.checks(2) == [ground.ratio]

    ground.needed = {2: Needed(0.7, "stability", "Slip, Final")}
    [_, check] = ground.checks(2)

    assert (check((0.0, 60.0, 150.0)).kind, check((0.0, 60.0, 150.0)).needed) == ("stability", 0.7)
    assert check((0.0, 60.0, 150.0)).reached == ground.gain_at((0.0, 60.0, 150.0))


def test_stages_on_the_computed_gain_are_those_that_say_so() -> None:
    assert stages_with_gain(design_of(COMPUTED).sections[0]) == [2]
    assert stages_with_gain(design_of().sections[0]) == []


def verdict(title: str, *axes: Axis, values: Any = None, limit: float = 1.0) -> Any:
    numbers = None if values is None else Value("F_R", np.array(values), axes, mask=np.isnan(values))
    return SimpleNamespace(title=title, utilisations=numbers, limit=limit)


def test_rating_is_that_of_the_stage_over_its_limit() -> None:
    stages, sets = Axis("stage", ("1 a", "2 b")), Axis("factor_set", ("x", "y"))
    sheet = SimpleNamespace(title="Bearing", verdicts=[
        verdict("without numbers"), verdict("of no stage", values=9.0), verdict("of others", Axis("stage", ("3 c",)),
        values=[9.0]), verdict("empty", stages, values=[0.4, np.nan]), verdict("small", stages, values=[2.0, 0.6]),
        verdict("large", sets, stages, values=[[0.1, 0.2], [0.3, 1.8]], limit=2.0),
    ])  # fmt: skip

    assert rating(cast("Sheet", sheet), "2 b") == Rated(0.9, "large")
    assert rating(cast("Sheet", sheet), "1 a") == Rated(2.0, "small")
    assert rating(cast("Sheet", sheet), "4 d") == Rated(0.0, "Bearing")

"""What a judgement rests on: the chain run where the record decides, and as many data as the target asks for."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from calc.study.engines import Here
from calc.study.vary.marginals import Model, joint, marginal
from calc.study.vary.one_at_a_time import ends_of
from calc.study.vary.section_models import Followed
from calc.study.vary.study import Answer, Means, study_section
from calc.study.vary.vary_text import judgement_text
from tests.study.vary.known_states import bent, bent_at, certain, flat, linear
from tests.study.vary.test_study import NORMAL, asked, only, table


def followed(of: Model, differs: Callable[[float, float], bool], ran: list[tuple[float, float]]) -> Followed:
    """A limit state of the tests as a record, which the chain contradicts where `differs` says so of a and b."""

    class Recorded(Followed):
        __name__ = of.__name__

        def __init__(self) -> None:
            """Without a run."""

        def __call__(self, values: Mapping[str, Any]) -> dict[str, Any]:
            return dict(of(values))

        def confirm(self, values: Mapping[str, float]) -> str:
            ran.append((values["a"], values["b"]))
            return f"another branch at {values['a']:.1f}" if differs(*ran[-1]) else ""

    return Recorded()


def test_a_record_that_does_not_hold_at_the_design_point_gives_no_probability() -> None:
    answer = only(asked(followed(linear, lambda *_: True, []), target=1.0, source="basis"))

    assert answer.probability is None
    assert answer.judgement == "open"
    assert ("chained", "another branch at 1.2") in answer.open


def test_a_record_that_holds_at_the_design_point_says_so() -> None:
    answer = only(asked(followed(linear, lambda *_: False, []), target=1.0, source="basis"))

    assert answer.chain_at == "design point"
    assert answer.judgement == "pass"


def test_without_a_design_point_the_chain_is_run_at_the_points_that_decide() -> None:
    """FORM finds none where a point has no solution; the worst points with one lie at the largest b."""
    ran = list[tuple[float, float]]()

    answer = only(asked(followed(bent, lambda *_: False, ran), target=1.0, source="basis"))

    assert "form" in {what for what, _ in answer.open}
    assert answer.chain_at == "points"
    assert answer.probability is not None
    assert answer.sampled is not None
    [worst, nearest] = sorted(ran, key=lambda point: -bent_at(point))
    assert bent_at(worst) == answer.sampled.scatter[np.isfinite(answer.sampled.scatter)].max()
    assert bent_at(nearest) > 1
    assert np.hypot(*nearest) < np.hypot(*worst)


@pytest.mark.parametrize("where", ["worst", "nearest"])
def test_a_record_that_does_not_hold_at_one_of_them_gives_no_probability(where: str) -> None:
    ran = list[tuple[float, float]]()
    only(asked(followed(bent, lambda *_: False, ran)))
    point = sorted(ran, key=bent_at)[-1 if where == "worst" else 0]

    answer = only(asked(followed(bent, lambda *at: at == point, []), target=0.5, source="basis"))

    assert answer.probability is None
    assert answer.judgement == "open"
    assert answer.chain_at == ""
    assert ("chained", f"another branch at {point[0]:.1f}") in answer.open


def test_a_state_without_a_failing_point_is_confirmed_at_its_worst() -> None:
    ran = list[tuple[float, float]]()

    answer = only(asked(followed(flat, lambda *_: False, ran)))

    assert len(ran) == 1
    assert answer.chain_at == "points"


def test_where_no_point_has_a_solution_nothing_can_be_confirmed() -> None:
    def never(values: Mapping[str, Any]) -> Mapping[str, Any]:
        return {"never": np.full(len(values["a"]), np.inf)}

    answer = only(asked(followed(never, lambda *_: False, []), target=1.0, source="basis"))

    assert answer.probability is None
    assert answer.judgement == "open"
    assert [why for what, why in answer.open if what == "chained"] == [
        "none of the first points has a solution, at which the chain could confirm the record"
    ]


def with_rows(rows: int, *, target: float) -> Answer:
    """A state that never fails, of an input with so many data."""
    data = [float(k) for k in range(rows)]
    of_data = {"path": "a", "distribution": "data", "file": "a.csv", "column": "a", "source": "tests"}
    vary = table([of_data, NORMAL[1]], points=1024)
    marginals = [marginal(one, np.array(data)) for one in vary.inputs]
    one = asked(flat, target=target, source="basis")
    ends = [ends_of(each, {each.path: each for each in marginals}) for each in vary.inputs]
    together = joint(marginals, np.eye(2), {})
    base = {"a": 0.0, "b": 0.0}
    return study_section(vary, [one], together, ends, base, Means(Here()), names=("A", "Bank")).answers[0]


@pytest.mark.parametrize(("rows", "judgement"), [(10, "open"), (43, "open"), (44, "pass")])
def test_no_target_is_reached_that_the_rows_of_data_do_not_support(rows: int, judgement: str) -> None:
    """β 2 is a probability of 1/43.96; no point of 8192 fails, because the tail of the data ends at their extreme."""
    answer = with_rows(rows, target=2.0)

    assert answer.rows == rows
    assert answer.indices is not None
    assert answer.indices[1] > 2.0
    assert answer.judgement == judgement
    text = judgement_text(answer.judgement, rows=answer.rows if answer.unsupported else 0)
    assert text == ("reached" if judgement == "pass" else
                    f"open: its probability is below one over the {rows} rows of data of an input")  # fmt: skip


def test_a_target_that_the_data_do_not_support_is_missed_all_the_same() -> None:
    answer = replace(only(asked(certain, target=3.8, source="basis")), rows=10)

    assert answer.judgement == "fail"
    assert judgement_text(answer.judgement, rows=answer.rows) == "missed"

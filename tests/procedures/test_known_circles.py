"""Circles that failed elsewhere: the least of them is that of their own analyses, and none where none is admissible."""

import pytest

from calc.procedures.known_circles import Failed, Settled, least_of_circles, stop_at_failure, stops, tried_circles
from calc.procedures.slip import Circle, Search, analyse
from calc.procedures.stage_search import FORM, Asked
from tests.procedures.slip_cases import R1_CIRCLE, r1, taylor

DEEPER, OUTSIDE = Circle(5.0, 8.0, 16.0), Circle(500.0, 8.0, 10.0)


def asked(left: bool = False) -> Asked:
    """A search of the embankment, whose circles are not looked for here."""
    return Asked(r1(), Search(), "bishop", "left" if left else "right", 50)


def test_least_of_circles_is_that_of_their_own_analyses() -> None:
    own = {circle: analyse(r1(), circle, "bishop", form=FORM, slices=50).factor for circle in (R1_CIRCLE, DEEPER)}
    found = least_of_circles(asked(), (R1_CIRCLE, DEEPER, OUTSIDE), 0.0)

    assert found is not None
    assert found[1] == min(own, key=lambda circle: own[circle])
    assert found[0] == pytest.approx(min(own.values()), rel=1e-6)


def test_circles_that_are_not_admissible_say_nothing() -> None:
    """None cuts the slope, a mass thinner than asked for, and a model that cannot be analysed."""
    broken = Asked(taylor(45, 1.5), Search(), "bishop", "right", 1)

    assert least_of_circles(asked(), (OUTSIDE,), 0.0) is None
    assert least_of_circles(asked(), (R1_CIRCLE,), 100.0) is None
    assert least_of_circles(broken, (R1_CIRCLE,), 0.0) is None


def test_circles_are_tried_in_their_own_scope_and_only_meanwhile() -> None:
    ours, others = Failed("slip_right", R1_CIRCLE), Failed("slip_left", DEEPER)
    before = stops(), tried_circles("slip_right")
    with stop_at_failure((ours, others)):
        meanwhile = stops(), tried_circles("slip_right")

    assert before == (False, [])
    assert meanwhile == (True, [R1_CIRCLE])
    assert not stops()


def test_a_settled_verdict_passes_through_blocks_that_clean_up() -> None:
    """An error made of frozen data cannot be given its traceback by such a block."""
    settled = Settled("global_stability", "Stability", 1.25, Failed("slip", R1_CIRCLE))
    with pytest.raises(Settled) as caught, stop_at_failure(()):
        raise settled

    assert caught.value is settled

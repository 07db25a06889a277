"""The ground of a section under dates that are not typed: the laws that the search rests on, and the chapter itself."""

from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.chapters.shared.frame import AS_GIVEN, HIGH, LOW
from calc.study.chapters import chapters
from calc.study.dates import with_dates
from calc.study.ground import DEGREE, Ground, residual_limits
from calc.study.search import Dates
from tests.study.bank import design_of, done_of, found_in

DEGREES = ("\nn_stability = 1.5\n", "\nn_stability = 1.5\ndegree_min = 0.5\n")


@cache
def ground(scenario: str = AS_GIVEN) -> Ground:
    return Ground(design_of(DEGREES), design_of(DEGREES).sections[0], done_of(DEGREES), scenario)


waits = st.tuples(st.floats(0.5, 200), st.floats(0.5, 200), st.floats(0, 400))
later = st.floats(0.1, 300)


def dates_of(given_waits: Dates) -> Dates:
    """Starts of the three stages and hand-over; every filling takes 14 days."""
    first, second, last = given_waits
    return (0.0, 14 + first, 28 + first + second, 42 + first + second + last)


@settings(max_examples=8)
@given(waits, later)
def test_gain_and_degree_are_monotonic_in_the_wait(given_waits: Dates, more: float) -> None:
    dates = dates_of(given_waits)
    for place in (1, 2):
        now, then = dates[: place + 1], (*dates[:place], dates[place] + more)
        assert ground().gain_at(then) >= ground().gain_at(now) - 1e-9
        assert ground().degree(then).reached >= ground().degree(now).reached - 1e-6


@settings(max_examples=8)
@given(waits, st.floats(0, 1))
def test_gain_and_degree_are_monotonic_in_an_earlier_start_before(given_waits: Dates, share: float) -> None:
    """The second stage moves into the wait before it, the third stays."""
    dates = dates_of(given_waits)[:3]
    earlier = (dates[0], dates[1] - share * given_waits[0], dates[2])

    assert ground().gain_at(earlier) >= ground().gain_at(dates) - 1e-9
    assert ground().degree(earlier).reached >= ground().degree(dates).reached - 1e-6


@settings(max_examples=5)
@given(waits, later)
def test_residual_settlement_is_monotonic_in_the_hand_over(given_waits: Dates, more: float) -> None:
    dates = dates_of(given_waits)

    assert ground().residual((*dates[:3], dates[3] + more)).reached <= ground().residual(dates).reached + 1e-6


@settings(max_examples=5)
@given(waits)
def test_nothing_is_reached_earlier_with_low_c_h(given_waits: Dates) -> None:
    dates = dates_of(given_waits)

    assert ground(LOW).gain_at(dates[:3]) <= ground().gain_at(dates[:3]) + 1e-9
    assert ground(LOW).degree(dates[:3]).reached <= ground().degree(dates[:3]).reached + 1e-6


@pytest.mark.parametrize("dates", [(0.0, 14.0, 90.0, 104.0), (0.0, 35.0, 200.0, 900.0)])
def test_conditions_are_those_of_the_chapter_with_these_dates(dates: Dates) -> None:
    """The whole chapter with the dates put in, the stiffness at the end of the works included."""
    design, moved = with_dates(design_of(DEGREES), "A", dates[:3], dates[3])
    done = chapters(design, moved, until="consolidation")
    own = Ground(design_of(DEGREES), design_of(DEGREES).sections[0], done_of(DEGREES))
    own.take_settlement(done["unit_cell"], done["consolidation"].axes["stage"][1:])
    scopes = done["consolidation"].scopes

    for place in (1, 2):
        gain, degree = own.gain_at(dates[: place + 1]), own.degree(dates[: place + 1]).reached
        assert gain == pytest.approx(scopes["gain"]["Dc_us"].array[place + 1], rel=1e-9)
        assert degree / 100 == pytest.approx(scopes["degree"]["U_st"].at(scenario=AS_GIVEN).array[place + 1], rel=1e-9)
    residual = own.residual(dates).reached
    assert residual / 1000 == pytest.approx(scopes["residual"]["s_resL"].array.max(), rel=1e-9)
    assert sum(own.parts(dates).values()) == pytest.approx(residual, rel=1e-9)


def test_before_the_first_load_there_is_neither_gain_nor_degree() -> None:
    assert ground().gain_at((0.0,)) == 0
    assert ground().degree((0.0,)).reached == 0


def test_checks_are_those_that_the_stages_ask_for() -> None:
    own = ground()

    assert [[check.__name__ for check in own.checks(place)] for place in range(4)] == [
        [], ["degree", "gain"], ["ratio", "gain"], ["residual"]
    ]  # fmt: skip
    assert own.checks(1)[0]((0.0, 30.0)).kind == DEGREE


def programmes(days: list[float]) -> list[Dates]:
    """Every programme of a grid that keeps the order; every filling takes 14 days."""
    return [
        (0.0, one, two, three)
        for two, one, three in product(days, repeat=3)
        if one >= 14 and two >= one + 14 and three >= two + 14
    ]


@pytest.mark.slow
@pytest.mark.parametrize(("residual", "last"), [("70 mm", 245.0), ("60 mm", 315.0)])
def test_no_programme_of_a_grid_hands_over_earlier(residual: str, last: float) -> None:
    """Every programme on steps of 35 days is tried with the model itself: secondary compression, creep of the sleeve,
    and the stiffness of the sleeve at the end of those works."""
    design, done = design_of(DEGREES, residual=residual), done_of(DEGREES)
    own, ends, good = Ground(design, design.sections[0], done), 0.0, []
    found = found_in(DEGREES, residual=residual, step=35.0, latest=last)
    for dates in programmes([35.0 * k for k in range(1, int(last / 35) + 1)]):
        if dates[2] != ends:
            ends = dates[2]
            moved = with_dates(design, "A", dates[:3], dates[3])
            own.take_settlement(
                chapters(*moved, until="unit_cell")["unit_cell"], done["consolidation"].axes["stage"][1:]
            )
        if all(check(dates[: k + 1]).holds for k in (1, 2, 3) for check in own.checks(k)):
            good.append(dates)
    best = found.proposal

    assert len(good) > 3
    assert best.hand_over == min(dates[3] for dates in good)
    assert (*best.starts, best.hand_over) in good
    assert best.starts[1] == min(dates[1] for dates in good)


TRIGGER = """
[[monitoring.trigger]]
quantity = "{quantity}"
kind = "{kind}"
level = "{level}"
action = "Readings monthly"
decides = "Road authority"
source = "Example"
"""
NONE = ('settlement_residual = "60 mm"', "# no limit")


def with_triggers(*rows: tuple[str, str, str]) -> tuple[str, str]:
    text = "".join(TRIGGER.format(quantity=quantity, kind=kind, level=level) for quantity, kind, level in rows)
    return ("\n[consolidation]\n", f"{text}\n[consolidation]\n")


@pytest.mark.parametrize(
    ("changes", "limit", "words"),
    [
        ((), 0.06, "hand-over"),
        ((NONE,), None, "hand-over"),
        ((with_triggers(("residual settlement", "attention", "50 mm")),), 0.05, "attention level of monitoring,"),
        ((with_triggers(("residual settlement", "attention", "70 mm")),), 0.06, "hand-over"),
        ((with_triggers(("residual settlement", "attention", "70 mm")), NONE), 0.07, "attention level of monitoring,"),
        (
            (with_triggers(("settlement", "attention", "50 mm"), ("residual settlement", "stop", "40 mm")),),
            0.06,
            "over",
        ),
    ],
)
def test_residual_settlement_is_bound_by_its_limit_and_by_what_monitoring_expects(
    changes: tuple[tuple[str, str], ...], limit: float | None, words: str
) -> None:
    design = design_of(*changes)
    found = min(residual_limits(design, design.sections[0]), key=lambda one: one.value, default=None)

    assert (found.value if found else None) == limit
    assert found is None or found.title.endswith(words)
    assert found is None or found.ends == (("",) if "monitoring" in words else ("", LOW, HIGH))


def test_ground_below_the_toes_that_settles_in_time_counts_in_full_at_any_date() -> None:
    """What is left of it at hand-over holds for the dates typed alone."""
    evidence = 'evidence = "What the judgement rests on, for example soundings"\n'
    clay = 'key = "clay-below"\nname = "Clay"\nthickness = "4 m"\ngamma_sat = "19 kN/m^3"\nE = "10 MPa"\n'
    change = evidence, f'{evidence}[[section.layer_below]]\n{clay}c_v = "5 m^2/a"\n'
    design, done = design_of(change), done_of(change)
    left = chapters(design, design.sections[0], until="bearing", done=done)["bearing"].scopes["rest"]

    assert float(left["s_bre"].array) < float(left["s_b"].array)
    assert Ground(design, design.sections[0], done).below == float(left["s_b"].array)

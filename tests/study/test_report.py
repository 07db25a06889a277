"""The words of a proposal: outcome first, nothing left out silently, nothing of a project that steers a terminal."""

import re
from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import pytest

from calc.chain import Run
from calc.engine.sheet import Verdict
from calc.inputs import Design
from calc.study.date_search import Condition, Dated
from calc.study.report import SHOWN, clean, file_head, found_text, searched_words
from calc.study.shortest import CREEP, Found, Wish
from tests.study.bank import design_of, found_in


def run_of(*verdicts: Verdict) -> Run:
    sheet = SimpleNamespace(key="sleeve", title="Sleeve", verdicts=list(verdicts))
    part: Any = SimpleNamespace(section=SimpleNamespace(key="A"), sheets=(sheet,))
    return Run(cast("Design", None), (part,))


OPEN = Verdict("x", "Tension", "not verified")
FAILED = Verdict("x", "Tension", "fail", utilisation=1.234)
PASSED = Verdict("x", "Tension", "pass")


@pytest.mark.parametrize(
    ("verdict", "first"),
    [
        (PASSED, "Proposed: the run of all chapters with these dates passes."),
        (OPEN, "Proposed: nothing fails in the run of all chapters with these dates, but"),
        (FAILED, "NOT PASSED: the run of all chapters with these dates fails a check."),
    ],
)
def test_first_line_tells_what_the_whole_run_says(verdict: Verdict, first: str) -> None:
    assert found_text([found_in()], run_of(verdict), Wish()).split("\n")[0] == first


def test_what_fails_and_what_is_open_is_listed() -> None:
    text = found_text([found_in()], run_of(FAILED, OPEN), Wish())

    assert "Fails in that run:\n  section A, Sleeve: Tension (1.234)\n" in text
    assert text.endswith("Not verified in that run:\n  section A, Sleeve: Tension")


@pytest.mark.parametrize(("count", "shown"), [(SHOWN, SHOWN), (SHOWN + 1, SHOWN + 1), (SHOWN + 2, SHOWN)])
def test_a_long_list_ends_with_how_many_more(count: int, shown: int) -> None:
    text = found_text([found_in()], run_of(*[OPEN] * count), Wish())

    assert text.count("section A, Sleeve: Tension") == shown
    assert ("and 2 more" in text) == (count > shown)


@pytest.mark.slow
def test_conditions_are_shown_with_the_low_c_h_and_its_margin() -> None:
    """The stress ratio counted with is a condition of its own; what c_h low reaches stands beside it."""
    text = " ".join(found_text([found_in()], run_of(PASSED), Wish()).split())
    cautious = " ".join(found_text([found_in(cautious=True)], run_of(PASSED), Wish(cautious=True)).split())

    assert re.search(r"stress ratio [\d.]+ ≥ 1\.50 \(lower cₕ [\d.]+, margin -?[\d.]+\)", text)
    assert re.search(r"after hand-over [\d.]+ ≤ 60\.0 mm \(lower cₕ [\d.]+, margin -?[\d.]+\)", text)
    assert re.search(r"gain [\d.]+ ≥ 0\.50 kN/m² \(lower cₕ\)", text)
    assert "lower cₕ " not in cautious


def test_unloading_is_pointed_out() -> None:
    text = " ".join(found_text([replace(found_in(), unloads=True)], run_of(PASSED), Wish()).split())

    assert "Some step takes load off" in text
    assert "Some step takes load off" not in found_text([found_in()], run_of(PASSED), Wish())


def test_a_late_end_of_the_works_is_explained() -> None:
    found = found_in()
    dated = tuple(replace(one, governs=CREEP) if k == 2 else one for k, one in enumerate(found.dated))
    text = " ".join(found_text([replace(found, dated=dated)], run_of(PASSED), Wish()).split())

    assert "This last stage waits because the creep of the sleeve counts from the end of the works" in text
    assert text.endswith("the hand-over comes earlier: section A, Final")
    assert "This last stage waits" not in found_text([found], run_of(PASSED), Wish())


def row(*conditions: Condition, governs: str, hand_over: float = 400.0) -> str:
    found = found_in()
    last = Dated(hand_over, 60.0, governs, conditions)
    return found_text([Found(found.section, (*found.dated[:3], last), found.degrees, 5)], run_of(PASSED), Wish())


def test_margin_is_that_of_what_governs_else_the_smallest() -> None:
    gain = Condition("gain", "Gain", 3.0, 2.0, "kN/m²")
    degree = Condition("degree", "Degree", 51.0, 50.0, "%", decimals=1)

    assert row(gain, degree, governs="gain").count("1.00 kN/m²") == 1
    assert "1.0 %" in row(gain, degree, governs="least wait")
    assert "gain 3.00 ≥ 2.00 kN/m² (lower cₕ); degree 51.0 ≥ 50.0 %" in row(gain, degree, governs="gain")


def test_a_programme_may_be_longer_than_typed() -> None:
    assert "  0 days shorter than typed; 5 programmes evaluated" in row(governs="stage before it")
    assert "  50 days longer than typed; 5 programmes evaluated" in row(governs="stage before it", hand_over=450.0)


def test_names_of_a_project_do_not_steer_the_terminal() -> None:
    found = found_in()
    stages = tuple(
        stage.model_copy(update={"name": "\x1b[31mA very long name of a stage"}) for stage in found.section.stages
    )
    text = found_text(
        [replace(found, section=found.section.model_copy(update={"stages": stages}))], run_of(PASSED), Wish()
    )

    assert "\x1b" not in text
    assert "  \N{REPLACEMENT CHARACTER}[31mA very long …      " in text
    assert max(map(len, text.split("\n"))) <= 80
    assert clean("a\n b\x07") == "a b\N{REPLACEMENT CHARACTER}"


def test_head_of_the_file_names_inputs_search_and_outcome() -> None:
    head = file_head(design_of(), [found_in()], run_of(FAILED), Wish(cautious=True, step=7.0))

    assert design_of().sha256 in " ".join(head)
    assert searched_words(Wish(cautious=True, step=7.0)) in " ".join(head)
    assert "cₕ at the lower end of its range" in " ".join(head)
    assert f"{found_in().looked} programmes evaluated." in " ".join(head)
    assert "Run of all chapters with these dates: fail." in head
    assert "Fails in that run: section A, Sleeve: Tension (1.234)." in head

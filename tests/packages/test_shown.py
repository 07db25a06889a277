"""Citations, stamps and numbers as pages show them."""

import pytest
from markupsafe import Markup

from calc.engine.sheet import STAMPS, Verdict
from calc.engine.sheet.steps import State
from calc.engine.typeset import write_numbers
from calc.package.shown import STATE_SIGNS, amount, css_state, short_citation, whole, with_result_whole, without_fields


@pytest.mark.parametrize(
    ("citation", "short"),
    [
        ("Terzaghi (1943), Theoretical Soil Mechanics", "Terzaghi (1943)"),
        ("Castro & Sagaseta (2009, 2011), elastic column", "Castro & Sagaseta (2009, 2011)"),
        ("BS 8006-1:2010, 8.3.3", "BS 8006-1:2010"),
        ("rule (of this project, for now), clause 4", "rule (of this project, for now)"),
        ("creep test: report 118/24", "creep test"),
    ],
)
def test_source_in_the_margin_is_cut_outside_brackets(citation: str, short: str) -> None:
    assert short_citation(citation) == short


@pytest.mark.parametrize(
    ("state", "more", "stamp"),
    [
        ("pass", {}, "pass"),
        ("fail", {}, "fail"),
        ("not verified", {}, "not verified"),
        ("pass", {"accepted": True}, "accepted by statement"),
        ("not verified", {"required": False}, "not required"),
        ("not verified", {"required": False, "informs": True}, "not required"),
        ("not verified", {"required": False, "applies": False}, "not applicable"),
    ],
)
def test_every_state_has_one_word_and_a_sign(state: State, more: dict[str, bool], stamp: str) -> None:
    assert Verdict("k", "t", state, **more).stamp == stamp  # type: ignore[arg-type]
    assert set(STATE_SIGNS) == set(STAMPS)


def test_what_is_not_applicable_looks_like_what_is_not_required() -> None:
    assert [css_state(one) for one in ("not applicable", "accepted by statement")] == [
        "not-required", "accepted-by-statement",
    ]  # fmt: skip


def test_stamp_of_what_has_a_state_is_its_state() -> None:
    assert Verdict("k", "t", "fail", utilisation=1.1, required=False).stamp == "fail"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("6.51e0", "6.51"),
        ("2.00e-08 m/s", "2.00·10⁻⁸ m/s"),
        ("4.320e-3 / 2.5e-4", "0.004320 / (2.5·10⁻⁴)"),
        ("2.5e-4^2 * 1.5^1e-5", "(2.5·10⁻⁴)^2 * 1.5^(1·10⁻⁵)"),
        ("1.296e1 * 8.64e8", "12.96 * 8.64·10⁸"),
        ("1e2 d, 3.456e4 d", "1·10² d, 3.456·10⁴ d"),
        ("layer 2e, B1e2, 12.5", "layer 2e, B1e2, 12.5"),
    ],
)
def test_numbers_are_written_without_an_exponent_sign_and_with_the_same_digits(text: str, shown: str) -> None:
    assert write_numbers(text) == shown


@pytest.mark.parametrize(
    ("ratio", "shown"), [(0.0, "0.000"), (2e-8, "<0.001"), (0.00051, "0.001"), (1.0, "1.000"), (1.0006, "1.001")]
)
def test_ratio_that_is_small_is_not_printed_as_nothing(ratio: float, shown: str) -> None:
    assert amount(ratio) == shown


def test_numbers_keep_their_units_on_one_line() -> None:
    assert whole("35 kN/m² & 2 rows") == '<span class="nowrap">35\u00a0kN/m²</span> &amp; 2 rows'
    assert with_result_whole(Markup("1 / 2 = 0.5 m")) == '1 / 2 <span class="nowrap">= 0.5 m</span>'
    assert with_result_whole("1 < 2, so 3 / 4") == "1 &lt; 2, so 3 / 4"


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("No neighbour is given (field neighbours); the rest stands.", "No neighbour is given; the rest stands."),
        ("Not given: piles (field neighbours.neighbour.piles).", "Not given: piles."),
        ("No indices (fields layer.C_c, C_r, e_0): by modulus.", "No indices: by modulus."),
        ("give its head (table water.head).", "give its head."),
        ("Vane (field tests of 2021) and (table 3)", "Vane (field tests of 2021) and (table 3)"),
    ],
)
def test_fields_that_would_answer_are_not_named_on_pages(text: str, left: str) -> None:
    assert without_fields(text) == left

"""What a later section does not print again, because an earlier one has: it refers, and keeps its own numbers."""

from collections import Counter
from dataclasses import replace
from pathlib import Path
from re import findall

import pytest
from markupsafe import Markup

from calc.chain import run_checks
from calc.engine.sheet import value_text
from calc.engine.typeset import equation
from calc.inputs import read_design
from calc.package.alike import Earlier, Place, neutral, span
from calc.package.givens import AlikeRows, GivenRow, TakenRows, source_beside, together
from calc.package.pages import Pages
from calc.package.references import ranges
from tests.engine.recompute import recomputes
from tests.packages.conftest import Made, made
from tests.packages.reading import printed_lines
from tests.packages.test_pages import squeezed
from tests.packages.test_printed_lines import computed_lines


@pytest.fixture(scope="module")
def twins(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """Two sections which differ in their names and their chainage alone."""
    return made(tmp_path_factory, "twins", sections=2)


@pytest.fixture(scope="module")
def html(twins: Made) -> str:
    return Pages(twins.run).html(lambda _text: None)


def pages_of(package: Made, key: str) -> list[str]:
    return [page for page in package.pages if f"{key} · North approach" in page]


@pytest.mark.slow
def test_every_line_of_both_sections_has_its_own_numbers_and_recomputes(twins: Made) -> None:
    lines = printed_lines(twins.files.pdf)

    assert {line.number: (line.numbers, line.shown) for line in lines} == computed_lines(twins)
    assert [line for line in lines if not recomputes(line.numbers, line.shown)] == []


@pytest.mark.slow
def test_a_section_like_an_earlier_one_takes_two_thirds_of_its_pages_at_most(twins: Made) -> None:
    first, second = (len(pages_of(twins, key)) for key in "AB")

    assert 3 * second <= 2 * first


@pytest.mark.slow
def test_every_given_value_stands_in_its_own_section_too(twins: Made) -> None:
    part = twins.run.sections[1]
    text = squeezed("".join(pages_of(twins, "B")))
    values = {
        squeezed(value_text(step.value, part.cases[sheet.key, step.scope], step.symbol))
        for sheet in part.sheets
        for step in sheet.page.lines
        if step.kind == "given"
    }

    assert len(values) > 20
    assert [value for value in values if value not in text] == []


@pytest.mark.slow
def test_every_step_has_one_place_to_which_others_can_refer(twins: Made, html: str) -> None:
    places = Counter(findall(r'id="(s\dc\d+n\d+)"', html))
    steps = [step for part in twins.run.sections for sheet in part.sheets for step in sheet.page.lines]

    assert len(places) == len(steps)
    assert set(places.values()) == {1}


@pytest.mark.slow
def test_limits_and_prose_stand_once_and_are_referred_to(html: str) -> None:
    assert html.count("Column and soil share the added load so that both settle alike.") == 1
    assert "Limitations as in an earlier section: " in html
    assert "Method, equations and sources as in <a" in html
    assert ": the same as figure <a" in html


@pytest.mark.slow
def test_lines_of_a_later_section_stay_in_the_register_of_marks(twins: Made) -> None:
    register = "".join(twins.pages).partition("A mark in the reference column")[2]

    assert "B.4." in register


@pytest.mark.slow
def test_what_differs_is_printed_in_full(twins: Made, html: str, tmp_path: Path) -> None:
    """The sand below the second section is stronger."""
    before, value, after = twins.run.design.text.decode().rpartition('phi = "35 deg"')
    (tmp_path / "project.toml").write_text(before + value.replace("35", "36") + after, encoding="utf-8")
    changed = Pages(run_checks(read_design(tmp_path))).html(lambda _text: None)

    assert '<td class="value">36<' in changed.partition('id="s2"')[2]
    assert '<td class="value">36<' not in html


def row(number: str, like: str = "") -> GivenRow:
    first = Place(like, f"at{like}") if like else None
    return GivenRow(number, f"at{number}", Markup("h"), "thickness", "1", "m", Markup(""), "", "", first)


def test_rows_that_follow_each_other_here_and_there_become_one() -> None:
    rows = [row("B.2.1"), row("B.2.2", "A.2.2"), row("B.2.3", "A.2.3"), row("B.2.4", "A.2.4"), row("B.2.5")]
    first, alike, last = together(rows)

    assert (first, last) == (rows[0], rows[4])
    assert isinstance(alike, AlikeRows)
    assert alike.number == "B.2.2–4"
    assert alike.like == '<a class="step" href="#atA.2.2">A.2.2–4</a>'
    assert alike.rows == tuple(rows[1:4])


@pytest.mark.parametrize(
    "likes", [["A.2.2", ""], ["A.2.2", "A.2.4"], ["A.2.2", "A.3.3"], ["", "A.2.3"], ["A.2.2", "C.2.3"], ["A.2.7"], []]
)
def test_rows_that_do_not_stay_as_they_are(likes: list[str]) -> None:
    rows = [row(f"B.2.{k}", like) for k, like in enumerate(likes, start=2)]

    assert list(together(rows)) == rows


def test_first_place_is_kept_and_is_not_alike_itself() -> None:
    earlier, first, second = Earlier(), Place("A.1.1", "a"), Place("B.1.1", "b")

    assert earlier.place("what", first) is None
    assert earlier.place("what", second) == first
    assert earlier.place("what", Place("C.1.1", "c")) == first
    assert earlier.place("other", second) is None
    assert earlier.place("what", first) is None


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ('h of <a class="step" href="#s2c1n3">B.1.3</a>', "h of §.1.3"),
        ("h as A.1.3", "h as A.1.3"),
        ("AB.1.3 and B.1.3, B of C", "AB.1.3 and §.1.3, B of C"),
    ],
)
def test_neutral_text_leaves_out_tags_and_the_own_section(text: str, plain: str) -> None:
    assert neutral(text, "B") == plain


def test_keys_of_sections_are_no_patterns() -> None:
    assert neutral("h of A.1.3", ".") == "h of A.1.3"


def test_span_names_the_first_number_and_the_last_line() -> None:
    assert span(Place("A.4.3", "a"), Place("A.4.9", "b")) == "A.4.3–9"
    assert span(Place("A.4.3", "a"), Place("A.4.3", "a")) == "A.4.3"


@pytest.mark.slow
def test_an_equation_is_drawn_once_and_the_line_that_refers_to_it_keeps_its_numbers(twins: Made, html: str) -> None:
    part = twins.run.sections[0]
    drawn: dict[tuple[str, str, str], str] = {}
    again = 0
    for step in (step for sheet in part.sheets for step in sheet.page.lines if step.formula):
        assert step.formula is not None
        row = html.partition(f">{part.numbers[step.key]}</td>")[2].partition("</tr>")[0]
        written = equation(step.formula.symbol, step.formula.tree, step.names)
        first = drawn.setdefault((written, step.formula.source.citation, step.formula.clause), part.numbers[step.key])
        again += first != part.numbers[step.key]
        assert ("<img" in row) == (first == part.numbers[step.key])
        assert (f">{first}</a>" in row.rpartition('"reference"')[2]) == (first != part.numbers[step.key])

    assert again > 20


def test_values_taken_over_from_earlier_chapters_become_one_paragraph() -> None:
    taken = [replace(row(f"A.7.{k}"), taken=Markup("A.2.3")) for k in (1, 2)]
    first, paragraph, last = together([row("A.7.0"), *taken, row("A.7.3")])

    assert isinstance(paragraph, TakenRows)
    assert paragraph.rows == tuple(taken)
    assert (first, last) == (row("A.7.0"), row("A.7.3"))
    assert list(together(taken[:1])) == taken[:1]


@pytest.mark.parametrize(
    ("origin", "told", "beside"),
    [
        ("h of A.2.3", "Thickness", "A.2.3"),
        ("h as A.2.3, but at load G", "Thickness", "as A.2.3, but at load G"),
        ("w of A.2.3", "Thickness", "w of A.2.3"),
        ("h of A.2.3", "height", "thickness; A.2.3"),
        ("h of A.2.3; w of A.2.4", "", "thickness; A.2.3; w of A.2.4"),
    ],
)
def test_a_value_taken_over_names_symbol_and_meaning_only_where_they_are_others(
    origin: str, told: str, beside: str
) -> None:
    assert source_beside(Markup("h"), "thickness", told, Markup("{}").format(origin)) == beside


def test_register_names_a_chapter_once() -> None:
    assert ranges(["A.4.3", "A.4.4", "A.4.5", "A.4.9", "A.7.1", "B.4.3", "A.4.1"]) == [
        "A.4.3–5", "9", "A.7.1", "B.4.3", "A.4.1",
    ]  # fmt: skip

"""The page shows every step in full, with what the package prints and results.json records."""

import re
from dataclasses import replace

import numpy as np

from calc.chain import Run
from calc.engine.typeset import write_numbers
from calc.package.html_file import embed
from calc.package.results import results
from calc.review.facts import facts
from calc.review.page import review_page
from calc.review.views import chapters, printed_value
from tests.packages.reading import typed
from tests.review.scenario import HOSTILE, Case


def test_every_step_stands_on_the_page_with_its_equation_and_numbers(plain: Case) -> None:
    recorded = {
        step["key"]: step
        for section in results(plain.run)["sections"]
        for check in section["checks"]
        for step in check["steps"]
        if step["number"]  # what stands in a table has none
    }
    lines = {line.anchor: line for chapter in chapters(plain.run) for line in chapter.lines}
    shown = {step.key: (line, step) for line in lines.values() for step in line.steps if step}

    assert set(shown) == set(recorded) == set(plain.known.steps)
    for key, (line, step) in shown.items():
        one = recorded[key]
        whole = one["shown"][one["symbol"]]
        equation = lines[f"n{line.like}"].equation if line.like else line.equation
        assert (step.number.split()[-1], equation) == (one["number"], one["equation"] or "")
        assert step.numbers == one["shown"].get("numbers", "")
        assert line.like or line.row.kind != "full" or not step.numbers or line.row.numbers
        assert [text.replace(" ", "") for text in (step.result, step.also) if text] == [
            write_numbers(text).replace(" ", "") if one["kind"] == "given" else text.replace(" ", "")
            for text in whole.split(" = ")
        ]
        assert line.like or not one["source"] or one["source"] in line.source.unescape()


def test_sections_of_a_quantity_stand_on_one_line_with_the_values_of_the_package(two: Run) -> None:
    lines = [line for chapter in chapters(two) for line in chapter.lines]
    known = facts(two).steps

    assert sum(len([step for step in line.steps if step]) for line in lines) == len(known)
    assert len(lines) < 0.6 * len(known)
    for line in lines:
        assert [step.section for step in line.steps if step] == [
            key for key, step in zip("AB", line.steps, strict=True) if step
        ]
        assert {step.number.split()[1] for step in line.steps if step} == {line.row.number}
        for step, value in zip(line.steps, line.row.values, strict=True):
            if step is None:
                assert value == "–"
            elif step.value is not None and value != "–":
                printed = [float(typed(text).split()[0].rstrip("°")) for text in (step.result, step.also) if text]
                assert float(typed(value)) in printed


def test_numbers_of_two_equations_have_places_of_their_own(two: Run) -> None:
    anchors = [line.anchor for chapter in chapters(two) for line in chapter.lines]

    assert len(set(anchors)) == len(anchors)


def test_printed_results_follow_from_the_printed_numbers(plain: Case, two: Run) -> None:
    for run in (plain.run, two):
        asked = [step for chapter in chapters(run) for step in chapter.steps if step.numbers and step.value is not None]
        assert len(asked) > 200
        assert [step.number for step in asked if step.recomputed is not True] == []


def test_only_the_same_equation_with_the_same_numbers_repeats(two: Run) -> None:
    found: dict[tuple[str, ...], set[tuple[str, str, str]]] = {}
    for chapter in chapters(two):
        for step in chapter.steps:
            if step.alike:
                found.setdefault(step.alike, set()).add((step.numbers, step.result, step.also))

    assert found
    assert [said for said, several in found.items() if len(several) > 1] == []
    assert [step.key for chapter in chapters(two) for step in chapter.steps if step.alike and step.value is None] == []


def test_unrounded_value_is_in_the_unit_of_the_printed_result(plain: Case) -> None:
    """Half a unit of the last printed digit is the tolerance."""
    compared = 0
    for chapter in chapters(plain.run):
        for step in chapter.steps:
            found = re.fullmatch(r"(-?\d+(?:\.(\d+))?)(e-?\d+)?\s*(.*)", step.result)
            if step.value is None or found is None:
                continue
            scale = 10.0 ** int(found[3][1:]) if found[3] else 1.0
            assert abs(step.value - float(found[1]) * scale) <= 0.5000001 * scale * 10.0 ** -len(found[2] or "")
            assert found[4] == step.unit
            compared += 1

    assert compared > 400


def test_steps_that_a_failing_verification_compares_are_marked(plain: Case) -> None:
    failing = {step.key for chapter in chapters(plain.run) for step in chapter.steps if step.failing}

    assert failing == {"T/sleeve/-/F_Rd", "T/sleeve/iso20432/R_TD"}


def test_step_without_a_number_has_no_field_for_an_own_value(plain: Case) -> None:
    [section] = plain.run.sections
    step = next(step for sheet in section.sheets for step in sheet.steps if step.formula and not step.value.axes)
    none = replace(step, value=replace(step.value, mask=np.asarray(True), reason="not mobilised"))

    assert printed_value(none, {}) == (None, "")


def test_data_in_the_page_ends_no_element() -> None:
    text = embed({"text": HOSTILE + "]]> <!-- </SCRIPT"})

    assert not re.search(r"[<>&\u2028\u202e\x07]", text)


def test_page_holds_no_address(plain: Case) -> None:
    page = re.sub(r'xmlns="http://www\.w3\.org/1998/Math/MathML"', "", review_page(plain.run))

    assert not re.search(r"(?:https?:)?//\w|\bsrc=|<link|@import|url\(", page.split("<script>")[0])
    assert page.count("<script") == 2
    assert not re.search(r"\son\w+=|\sstyle=|javascript:", page.split("<script>")[0])

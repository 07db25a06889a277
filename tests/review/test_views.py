"""The page shows every step in full, with what the package prints and results.json records."""

import re
from dataclasses import replace

import numpy as np

from calc.package.results import results
from calc.review.page import embed, review_page
from calc.review.views import chapters, printed_value
from tests.review.scenario import HOSTILE, Case


def test_every_step_stands_on_the_page_with_its_equation_and_numbers(plain: Case) -> None:
    recorded = {
        step["key"]: step
        for section in results(plain.run)["sections"]
        for check in section["checks"]
        for step in check["steps"]
        if step["number"]  # what stands in a table has none
    }
    shown = {step.key: step for chapter in chapters(plain.run) for step in chapter.steps}

    assert list(shown) == list(recorded) == list(plain.known.steps)
    for key, step in shown.items():
        one = recorded[key]
        whole = one["shown"][one["symbol"]]
        assert (step.number.split()[-1], step.equation) == (one["number"], one["equation"] or "")
        assert step.numbers == one["shown"].get("numbers", "")
        assert [text.replace(" ", "") for text in (step.result, step.also) if text] == [
            text.replace(" ", "") for text in whole.split(" = ")
        ]
        assert not one["source"] or one["source"] in step.source.unescape()


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
    step = next(one for sheet in section.sheets for one in sheet.steps if one.formula and not one.value.axes)
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

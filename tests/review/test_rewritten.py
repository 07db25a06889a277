"""What was issued of a review stays as it was; what goes on is added to it."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from calc.archive.record.issue_rules import refuse_rewritten_reviews
from calc.archive.refusals import RewrittenReview
from calc.review.comments import with_answers
from calc.review.issued import read_issued
from calc.review.ledger import read_ledger
from calc.review.records import are_initials_of
from calc.review.refused import RefusedFile, ReviewError
from calc.review.standing_printed import checked_run, review_text
from calc.review.stored import read_stored
from tests.review.scenario import DAY, Case, case_of, write_project

Change = Callable[[dict[str, Any]], object]


def text_of(case: Case) -> bytes:
    """The review file that an issue of the case would store."""
    return review_text(case.folder, case.run.design)


def edited(case: Case, change: Change, label: str = "A", sealed: bool = True) -> None:
    """Change the stored review of a revision by hand, with a seal that fits unless it is told otherwise."""
    path = case.folder / "review" / f"{label}.json"
    data = json.loads(path.read_bytes())
    change(data)
    content = json.dumps(data).encode()
    if sealed:
        content = read_stored(content, "x").with_seal().model_dump_json().encode()
    path.write_bytes(content)


def revised(case: Case, *labels: str) -> Case:
    return case_of(write_project(case.folder, *labels))


def refuse(case: Case, issued: bytes, newest: str = "A") -> None:
    refuse_rewritten_reviews(replace(case.run.design, source=case.folder / "project.toml"), newest, issued)


@pytest.fixture
def reviewed(case: Case) -> Case:
    """A revision with marks, a query and a remark."""
    case.take(case.entry(0), case.entry(1, "query", "Why?"), case.entry(2, "agreed", "A remark."))
    return case


def all_agreed(case: Case, initials: str) -> Change:
    """Every line of the calculation set to agreed in the file that was taken in."""
    entries = [case.entry(place, initials=initials) for place in range(len(case.known.steps))]
    return lambda data: data["taken"][0].update(steps=entries)


def test_lines_set_to_agreed_by_hand_are_not_printed(reviewed: Case) -> None:
    """475 of them, with somebody's initials, had been printed as the checker's."""
    issued = text_of(reviewed)
    edited(reviewed, all_agreed(reviewed, "FM"), sealed=False)
    with pytest.raises(RefusedFile, match=r"A\.json: must be as the program wrote it, and was changed since"):
        checked_run(reviewed.folder, reviewed.run)
    edited(reviewed, all_agreed(reviewed, "FM"))
    with pytest.raises(RefusedFile, match=r"taken\[0\]\.steps\[0\]\.initials: must be the initials of 'Edda Quill'"):
        checked_run(reviewed.folder, reviewed.run)
    edited(reviewed, all_agreed(reviewed, "EQ"))
    after = revised(reviewed, "A", "B")
    with pytest.raises(RewrittenReview, match='the review of revision "A" is not what was issued with revision "A"'):
        refuse(after, issued)


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data["taken"][0]["by"].update(initials="Edda Q"),
        lambda data: data["taken"][0]["steps"][0].update(mark="none"),
        lambda data: data["taken"][0]["steps"][0].update(date="2025-05-21"),
        lambda data: data["taken"][0]["steps"].pop(),
        lambda data: data["taken"].insert(0, data["taken"][0] | {"run": "0" * 64}),
        lambda data: data["taken"].clear(),
        lambda data: data["events"][0].update(text="Fine."),
        lambda data: data["events"][0].update(who="E"),
        lambda data: data["events"].pop(),
        lambda data: data.update(events=[]),
    ],
)
def test_issued_review_is_not_rewritten(reviewed: Case, change: Change) -> None:
    issued = text_of(reviewed)
    edited(reviewed, change)

    with pytest.raises(RewrittenReview):
        refuse(reviewed, issued)


def test_review_goes_on_after_its_revision_was_issued(reviewed: Case) -> None:
    issued = text_of(reviewed)
    ledger = read_ledger(reviewed.folder, reviewed.run.design)
    ledger.write(with_answers(ledger, reviewed.run.design.people, {1: "Because."}, [], "2025-06-01"))
    reviewed.take(reviewed.entry(1, "agreed", "Now clear."), reviewed.entry(0, "query", "And this?"))
    after = revised(reviewed, "A", "B")
    refuse(after, issued)
    assert after.standing().marks[reviewed.step(1).key].mark == "agreed"

    second = text_of(after)
    after.take(after.entry(4))
    third = revised(reviewed, "A", "B", "C")
    refuse(third, second, "B")


def test_finished_review_does_not_grow(reviewed: Case) -> None:
    """Once a later revision is issued nothing writes into the review of an earlier one."""
    issued = text_of(revised(reviewed, "A", "B"))
    after = revised(reviewed, "A", "B", "C")
    refuse(after, issued, "B")
    edited(after, lambda data: data["taken"].append(data["taken"][0]))
    with pytest.raises(RewrittenReview, match='the review of revision "A" is not what was issued with revision "B"'):
        refuse(after, issued, "B")


def test_review_does_not_appear_under_a_revision_issued_without_one(case: Case) -> None:
    case.take(case.entry(0))
    after = revised(case, "A", "B")

    refuse(after, b"", "A")  # it was reviewed after its issue
    with pytest.raises(RewrittenReview):
        refuse(after, b"", "B")


def test_review_of_an_earlier_program_goes_on(case: Case) -> None:
    """It kept the last entry of each step, without a seal; archives hold such files for good."""
    first = {
        "format": 1, "kind": "stored review", "document": case.known.document, "revision": "A", "run": case.known.run,
        "by": {"name": "Edda Quill", "initials": "EQ"}, "marks": [case.entry(0), case.entry(1)], "events": [],
    }  # fmt: skip
    (case.folder / "review").mkdir()
    (case.folder / "review" / "A.json").write_text(json.dumps(first))
    issued = json.dumps({"reviews": [first], "own_values": None}).encode()

    assert set(case.standing().marks) == {case.step(0).key, case.step(1).key}
    refuse(case, issued)
    case.take(case.entry(1, "query", "Why?"))
    assert case.standing().counts()["agreed"] == 1
    refuse(case, issued)
    assert json.loads((case.folder / "review" / "A.json").read_bytes())["format"] == 2
    first["marks"] = [case.entry(0, initials="ZZ")]
    (case.folder / "review" / "A.json").write_text(json.dumps(first))
    with pytest.raises(RefusedFile, match=r"taken\[0\]\.steps\[0\]\.initials"):
        case.standing()


def test_stored_review_of_another_person_is_not_the_checkers(reviewed: Case) -> None:
    edited(reviewed, lambda data: data["taken"][0]["by"].update(name="Emil Quist"))

    with pytest.raises(
        RefusedFile, match=r"taken\[0\]\.by\.name: must be the checker of the project file, 'Edda Quill'"
    ):
        reviewed.standing()


def test_event_of_another_person_is_not_the_checkers(reviewed: Case) -> None:
    edited(reviewed, lambda data: data["events"][0].update(who="FM"))

    with pytest.raises(RefusedFile, match=r"events\[0\]\.who: must be initials of the checker, got 'FM'"):
        reviewed.standing()


def test_earlier_revision_keeps_the_checker_it_had(reviewed: Case) -> None:
    """A new checker begins with a new revision; the marks of the one before stay marks of that person."""
    text = (reviewed.folder / "project.toml").read_text(encoding="utf-8")
    after = revised(reviewed, "A", "B")
    path = after.folder / "project.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('"Edda Quill"', '"Ivo Reed"'), encoding="utf-8")
    now = case_of(after.folder)

    assert {mark.name for mark in now.standing().marks.values()} == {"Edda Quill"}
    (after.folder / "project.toml").write_text(text.replace('"Edda Quill"', '"Ivo Reed"'), encoding="utf-8")
    with pytest.raises(RefusedFile, match="must be the checker of the project file, 'Ivo Reed'"):
        case_of(after.folder).standing()


def test_marks_of_two_people_of_a_self_check_stay_their_own(tmp_path: Path) -> None:
    """The page shows the marks of the one to the other, whose file brings them back."""
    change = ("consequence_class", "check_category = 0\nconsequence_class")
    case = case_of(write_project(tmp_path / "own", change=change))
    made = case.entry(0, initials="DA")
    case.take(made, by={"name": "Dilan Achterberg", "initials": "DA"})
    case.take(made, case.entry(1), case.entry(2, "agreed", "Odd."))
    case.take(made | {"comment": "And this?"}, case.entry(1))
    marks = case.standing().marks

    assert [(marks[case.step(place).key].initials, marks[case.step(place).key].name) for place in range(3)] == [
        ("DA", "Dilan Achterberg"), ("EQ", "Edda Quill"), ("EQ", "Edda Quill"),
    ]  # fmt: skip
    assert [comment.said[0].who for comment in case.standing().comments] == ["EQ", "EQ"]
    with pytest.raises(RefusedFile, match="must be the initials of 'Edda Quill', got 'DA'"):
        case.take(case.entry(3, initials="DA"))


@pytest.mark.parametrize(
    ("initials", "name", "fit"),
    [
        ("EQ", "Edda Quill", True), ("e.q.", "Edda Quill", True), ("EQU", "Edda Quill", True),
        ("Q", "Edda Quill", True),
        ("EQ", "Dr. Edda Quill", True), ("JvdB", "Jan van der Berg", True), ("AMD", "Anne-Marie Dupont", True),
        ("BÖ", "Beatrix Ökono", True), ("李", "李 明", True), ("QE", "Edda Quill", False), ("FM", "Edda Quill", False),
        ("D", "Edda Quill", False), ("-", "Edda Quill", False), ("", "Edda Quill", False),
    ],
)  # fmt: skip
def test_initials_fit_a_name(initials: str, name: str, fit: bool) -> None:
    assert are_initials_of(initials, name) is fit


@pytest.mark.parametrize("content", [b"", b"[]", b"{}", b'{"reviews": 1, "own_values": null}', b"[" * 5000])
def test_review_file_of_an_issue_that_is_none_is_refused(content: bytes) -> None:
    with pytest.raises(RefusedFile, match=r"^x: must hold reviews and own values"):
        read_issued(content, "x")


def own_values(case: Case, **more: Any) -> dict[str, Any]:
    checker = {"name": "Edda Quill", "date": DAY, "method": "By hand."}
    return {
        "format": 1, "kind": "own values", "brief": "1" * 64, "document": case.known.document, "revision": "A",
        "tolerance": 5.0, "checker": checker, "result": [],
    } | more  # fmt: skip


@pytest.mark.parametrize(
    ("stored", "words"),
    [
        ({}, ""),
        (None, "are not in the project's folder review/independent any more"),
        ({"tolerance": 50.0}, "are not in the project's folder"),
        ({"brief": "2" * 64}, ""),  # determined anew for other inputs
    ],
)
def test_issued_own_values_stay(case: Case, stored: dict[str, Any] | None, words: str) -> None:
    issued = json.dumps({"reviews": [], "own_values": own_values(case)}).encode()
    folder = case.folder / "review" / "independent"
    folder.mkdir(parents=True)
    if stored is not None:
        (folder / "A.json").write_text(json.dumps(own_values(case, **stored)))
    if not words:
        refuse(case, issued)
        return
    with pytest.raises(RewrittenReview, match=words):
        refuse(case, issued)


def test_other_own_values_for_the_same_inputs_are_refused_under_a_later_label(case: Case) -> None:
    from calc.review.own_values import OwnValues, _refuse_another, stored_forms

    folder = case.folder / "review" / "independent"
    folder.mkdir(parents=True)
    (folder / "A.json").write_text(json.dumps(own_values(case)))
    after = revised(case, "A", "B")
    stored = stored_forms(after.folder, after.run.design)
    _refuse_another(stored, OwnValues.model_validate_json(json.dumps(own_values(case))), "x")

    with pytest.raises(ReviewError, match="other own values for this brief are taken in already"):
        _refuse_another(stored, OwnValues.model_validate_json(json.dumps(own_values(case, tolerance=50.0))), "x")

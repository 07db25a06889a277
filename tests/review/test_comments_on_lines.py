"""A comment on a line is one comment about all of its sections, and closes when none of them is queried."""

import json
from pathlib import Path
from typing import Any

import pytest

from calc.chain import Run
from calc.numbering import own_key
from calc.review.comments import comments
from calc.review.facts import facts
from calc.review.ledger import read_ledger
from calc.review.standing_printed import marks_for_pages
from calc.review.stored import read_stored, seal_of
from calc.review.take import Taken
from tests.review.scenario import Case

BY = {"name": "Bø Okoye", "initials": "BO"}


@pytest.fixture
def line(two: Run, tmp_path: Path) -> Case:
    """A run of two sections in a folder without reviews."""
    return Case(tmp_path, two, facts(two))


def places(case: Case) -> list[int]:
    """The two places of the first quantity that both sections have."""
    keys = list(case.known.steps)
    first = own_key(keys[0])
    return [place for place, key in enumerate(keys) if own_key(key) == first]


def take(case: Case, *entries: dict[str, Any]) -> Taken:
    return case.take(*(entry | {"initials": "BO" if entry["initials"] else ""} for entry in entries), by=BY)


def test_query_on_a_line_is_one_comment_about_both_sections(line: Case) -> None:
    first, second = places(line)
    taken = take(line, line.entry(first, "query", "Why?"), line.entry(second, "query", " Why?\n"))
    [comment] = comments(taken.ledger)
    found = marks_for_pages(line.standing())
    assert found is not None
    marks = [found.marks[line.step(place).key] for place in (first, second)]

    assert taken.raised == (1,)
    assert comment.steps == (line.step(first).key, line.step(second).key)
    assert found.comments[0].printed == f"A, B {line.step(first).number.split()[1]}"
    assert marks[0] == marks[1]
    assert marks[0].comments == (1,)


def test_line_is_closed_when_no_section_is_queried_any_more(line: Case) -> None:
    first, second = places(line)
    take(line, line.entry(first, "query", "Why?"), line.entry(second, "query", "Why?"))
    one = take(line, line.entry(first, "agreed"))
    assert one.closed == ()
    assert [mark.mark for mark in line.standing().marks.values()] == ["agreed", "query"]

    both = take(line, line.entry(second, "agreed"))
    assert both.closed == (1,)
    assert line.standing().unsettled == []


def test_both_sections_agreed_at_once_close_their_query_once(line: Case) -> None:
    first, second = places(line)
    take(line, line.entry(first, "query", "Why?"), line.entry(second, "query", "Why?"))
    taken = take(line, line.entry(first, "agreed"), line.entry(second, "agreed", "As in table 2."))

    assert taken.closed == (1,)
    assert [said.closing for said in comments(taken.ledger)[0].said].count(True) == 1


def test_different_words_are_different_comments(line: Case) -> None:
    first, second = places(line)
    taken = take(line, line.entry(first, "query", "Why?"), line.entry(second, "query", "Why here?"))

    assert taken.raised == (1, 2)
    assert [comment.also for comment in comments(taken.ledger)] == [(), ()]


def test_taking_a_query_on_a_line_twice_changes_nothing(line: Case) -> None:
    first, second = places(line)
    entries = [line.entry(first, "query", "Why?"), line.entry(second, "query", "Why?")]
    take(line, *entries)
    before = (line.folder / "review" / "A.json").read_bytes()

    assert take(line, *entries).raised == ()
    assert (line.folder / "review" / "A.json").read_bytes() == before
    assert read_ledger(line.folder, line.run.design).current().events[0].also != ()


def test_review_stored_before_a_comment_could_be_about_several_sections_reads_unchanged(case: Case) -> None:
    """Its events have no list of further steps, and its seal is over what it has."""
    case.take(case.entry(0, "query", "Why?"))
    content = (case.folder / "review" / "A.json").read_bytes()
    stored = read_stored(content, "A.json")

    assert "also" not in json.loads(content)["events"][0]
    assert stored.seal == seal_of(stored)
    assert stored.events[0].also == ()

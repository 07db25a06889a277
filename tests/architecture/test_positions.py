"""The chapters and verdicts that count at positions across are named as they are: a name that nothing has is found."""

import re

from calc.chain import CHAPTERS
from calc.chapters.shared import positions
from tests.architecture.checkout import ROOT

SIDE = re.compile("_(?:left|right)")


def verdicts() -> dict[str, set[str]]:
    """The keys of the verdicts of every chapter without their side, from the list of all."""
    text = (ROOT / "docs" / "verdicts.md").read_text(encoding="utf-8")
    parts = re.findall(r"^### [^\n]*\(`(\w+)`\)\n(.*?)(?=^##)", text, re.MULTILINE | re.DOTALL)
    return {key: {SIDE.sub("", one) for one in re.findall(r"(?:^\| |example: |, )`([\w-]+)`", part, re.MULTILINE)}
            for key, part in parts}  # fmt: skip


def test_chapters_that_count_at_positions_exist() -> None:
    named = {*positions.AT_EDGES, *positions.AT_TOES, *positions.NOT_RUN[True], *positions.NOT_RUN[False]}

    assert named <= {chapter.key for chapter in CHAPTERS}
    assert not {*positions.AT_TOES} & {*positions.NOT_RUN[True]}
    assert not {*positions.AT_EDGES} & {*positions.NOT_RUN[False]}


def test_verdicts_that_count_at_positions_exist_where_their_chapter_says_otherwise() -> None:
    known = verdicts()
    of_edges = {key for chapter in positions.AT_EDGES for key in known[chapter]}
    of_toes = {key for chapter in positions.AT_TOES for key in known[chapter]}
    every = {key for own in known.values() for key in own}

    assert {*positions.NOT_AT_EDGES} <= of_edges
    assert {*positions.MORE_AT_EDGES} <= every - of_edges
    assert {*positions.MORE_AT_TOES} <= every - of_toes

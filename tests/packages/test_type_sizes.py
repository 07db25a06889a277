"""Sizes of type in a package: legible on paper, and those that the room of tables is worked out with."""

import re

import pytest

from calc.package import exhibits, room
from calc.resources import template_folder

RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
SIZE = re.compile(r"(?:font-size:\s*|font:\s*(?:bold\s+)?)([\d.]+)pt")
SMALLEST, TABLES = 7.0, 7.5  # pt
# Indices, the mark of what governs a row, and the mark of a checker in the margin of a package that is reviewed.
SMALLER = {".numbers sup", "table.matrix td i", ".signed", ".signed b"}


def sizes(name: str) -> dict[str, float]:
    """The size in every rule of a style sheet that gives one."""
    text = re.sub(r"/\*.*?\*/", "", (template_folder() / name).read_text(encoding="utf-8"), flags=re.DOTALL)
    found = {rule.strip(): SIZE.search(body) for rule, body in RULE.findall(text)}
    return {rule: float(size[1]) for rule, size in found.items() if size and float(size[1]) > 0}


@pytest.mark.parametrize("name", ["package.css", "piece.css", "plan.css"])
def test_no_text_is_smaller_than_can_be_read(name: str) -> None:
    small = {rule for rule, size in sizes(name).items() if size < SMALLEST}

    assert small <= SMALLER | {".label p.plan"}  # a label of 35 mm that goes with a sleeve


def test_tables_are_set_larger_and_given_the_room_for_it() -> None:
    own = sizes("package.css")

    assert {own[rule] for rule in (".exhibit table", ".summary table", "table.matrix")} == {TABLES}
    assert exhibits.TEXT == TABLES * 25.4 / 72
    assert room.SHORT == own["table.short td"] * room.PT
    assert room.TITLE == own["table.lines td"] * room.PT

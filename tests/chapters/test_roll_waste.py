"""Waste of the reinforcement in the quantities of a section."""

from typing import Any

import pytest

from tests.chapters.test_construction import Chapters, built, rolls

approx = pytest.approx


def test_waste_is_counted_where_it_is_given_and_told_where_not(chapters: Chapters) -> None:
    """Of 5/4.5 of the area a twentieth more is delivered, printed in a column of its own."""

    def wasted(document: Any) -> None:
        rolls(document)
        document["construction"]["quantities"]["roll_waste"] = {"value": 0.05, "source": "invented"}

    given, without = (chapters(built(change, level="0.60 m"))["construction"] for change in (wasted, rolls))
    scope = given.scopes["reinforcement"]
    tables = [{table.key: table for table in one.page.tables}["reinforcement-quantity"] for one in (given, without)]
    told = [[one.text for one in sheet.limitations if one.key == "reinforcement-waste"] for sheet in (given, without)]

    assert scope["A_rd"].array == approx([1.05 * 5 / 4.5 * width * 100 for width in (37.2, 30.0)])
    assert "A_rd" not in without.scopes["reinforcement"]
    assert [[column.symbol for column in table.head[1:]] for table in tables] == [
        ["z_rl", "b_rf", "A_rf", "A_rd"], ["z_rl", "b_rf", "A_rf"],
    ]  # fmt: skip
    assert [row[-1] for row in tables[0].rows] == ["4340", "3500"]
    assert told[0] == []
    assert "waste is not counted, because none is given (field construction.quantities.roll_waste)" in told[1][0]

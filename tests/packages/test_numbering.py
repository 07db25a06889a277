"""Numbers of lines: one for each quantity, whatever else a project holds."""

import numpy as np
import pytest

from calc.chain import CHAPTERS
from calc.engine.sheet import Sheet, Step, Value
from calc.numbering import line_numbers, listed_quantities, merged_order, own_key


def sheet(section: str, *names: str, chapter: str = "sleeve") -> Sheet:
    made = Sheet(section=section, key=chapter)
    for name in names:
        key = f"{section}/{chapter}/-/{name}"
        made.steps.append(Step(key, "given", "", name, name, Value(name, np.asarray(1.0), step=key)))
    return made


@pytest.mark.parametrize("chapter", [chapter.key for chapter in CHAPTERS])
def test_every_chapter_lists_its_quantities_once(chapter: str) -> None:
    names = listed_quantities(chapter)

    assert names
    assert len(set(names)) == len(names)
    assert all(name.count("/") == 1 for name in names)


def test_the_place_in_the_list_is_the_number_in_every_section() -> None:
    first, second = [name.partition("/")[2] for name in listed_quantities("sleeve") if name.startswith("-/")][:2]
    alone = line_numbers([[sheet("A", second)]])
    beside = line_numbers([[sheet("A", second)], [sheet("B", first, second)]])

    assert alone[f"sleeve/-/{second}"] == beside[f"sleeve/-/{second}"]
    assert beside[f"sleeve/-/{first}"] != beside[f"sleeve/-/{second}"]


def test_what_no_list_holds_stands_behind_the_last() -> None:
    last = len(listed_quantities("sleeve"))
    numbers = line_numbers([[sheet("A", "new")], [sheet("B", "newer", "new")]])

    assert numbers == {"sleeve/-/newer": f"1.{last + 1}", "sleeve/-/new": f"1.{last + 2}"}


def test_a_chapter_without_a_list_is_numbered_in_order() -> None:
    assert line_numbers([[sheet("A", "a", "b", chapter="none")]]) == {"none/-/a": "1.1", "none/-/b": "1.2"}


@pytest.mark.parametrize(
    ("lists", "made"),
    [
        ([["a", "b"], ["a", "b"]], "ab"),
        ([["a", "c"], ["a", "b", "c"]], "abc"),
        ([["b"], ["a", "b", "c"]], "abc"),
        ([["a", "b"], ["b", "a", "c"]], "acb"),
        ([[], ["a"]], "a"),
        ([], ""),
    ],
)
def test_what_is_new_comes_behind_what_stands_before_it(lists: list[list[str]], made: str) -> None:
    assert "".join(merged_order(lists)) == made


def test_key_of_a_quantity_names_no_section() -> None:
    assert own_key("A/sleeve/-/F_Rd") == "sleeve/-/F_Rd"

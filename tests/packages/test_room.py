"""Where short rows stand, and what finds room behind the title of a scope."""

from dataclasses import replace

from markupsafe import Markup

from calc.package.references import Reference
from calc.package.room import HEADS, across, has_room_for_case
from calc.package.rows import NEAR_ABOVE, Row, gathered_rows

SHORT = Row(kind="short", number="4.123", anchor="", title="t", symbol=Markup("<i>E</i>"), unit="kN/m²",
            values=("1234.5", "–", "–"), where=Markup("as 4.12"))  # fmt: skip
FULL = replace(SHORT, kind="full")


def given(number: str) -> Row:
    return replace(SHORT, number=number, outside=True)


def test_three_short_rows_stand_beside_each_other_where_one_section_has_values_and_all_texts_fit() -> None:
    wide = replace(SHORT, where=Markup("T<sub>spr</sub> of 19.1234"))

    assert across([SHORT, SHORT], [0]) == 3
    assert across([SHORT, wide], [0]) == 2
    assert across([replace(SHORT, values=("–", "123456789.12"))], [1]) == 2
    assert [across([SHORT], range(count)) for count in (2, 3, 4)] == [2, 2, 1]


def test_source_that_a_line_above_names_in_words_stands_by_its_number() -> None:
    long = Reference(12, "Pulko, Majes & Logar (2011), Geotextiles and Geomembranes 29(1)", "not inspected")
    row = replace(FULL, reference=long, cited=True)

    assert row.citation == "[12]"
    assert replace(row, cited=False).citation == "Pulko, Majes & Logar (2011)"
    assert replace(row, reference=Reference(3, "EN 1997-1:2004", "inspected")).citation == "EN 1997-1:2004"
    assert replace(row, reference=Reference(4, "a rule of this project", "derived"), cited=False).citation == "[4]"
    assert SHORT.citation == ""


def test_values_from_outside_are_moved_up_to_short_rows_not_far_before_them() -> None:
    first, second = given("4.1"), given("4.2")

    assert gathered_rows([SHORT, FULL, first, FULL, second]) == [SHORT, first, second, FULL, FULL]
    assert gathered_rows([FULL, first, FULL, SHORT]) == [FULL, first, FULL, SHORT]
    near, far = [FULL] * (NEAR_ABOVE - 1), [FULL] * NEAR_ABOVE
    assert gathered_rows([SHORT, *near, first]) == [SHORT, first, *near]
    assert gathered_rows([SHORT, *far, first]) == [SHORT, *far, first]
    assert gathered_rows([FULL, first])[0] is FULL


def test_the_case_of_a_scope_stands_behind_its_title_as_far_as_the_names_of_columns_leave_room() -> None:
    def fits(length: int, columns: int, *, many: bool, read: bool = False) -> bool:
        return has_room_for_case("Tension", [("", "x" * length)], columns, many=many, read=read)

    def longest(columns: int, *, many: bool, read: bool = False) -> int:
        return next(n for n in range(400) if not fits(n, columns, many=many, read=read))

    alone, of_one, of_three = longest(1, many=False), longest(1, many=True), longest(3, many=True)
    assert alone > of_one > of_three > 10
    assert alone > longest(1, many=False, read=True)
    assert not has_room_for_case("Tension", [], 1, many=False, read=False)
    assert HEADS < 15

"""Tables as pages show them."""

from math import ceil
from re import search

from markupsafe import Markup

from calc.engine.sheet import Expression, Table, TableColumn
from calc.formulas.unit_cell import settlement_gap
from calc.package.alike import Earlier
from calc.package.equations import Picture
from calc.package.exhibits import WHOLE, FigureView, TableView, by_names, shared_words, side_by_side, table_views
from calc.package.widths import balanced_widths
from tests.engine.chapters import FILE, chapter


def test_equation_in_a_table_is_drawn_and_any_other_text_stays_text() -> None:
    sheet = chapter()
    sheet.given("s_s", 0.1, origin=FILE)
    sheet.given("s_c", 0.2, origin=FILE)
    sheet(settlement_gap)
    drawn = Expression(sheet.steps[-1])
    head = [TableColumn(words="equation"), TableColumn(words="value")]
    (view,) = table_views([Table("t", "A table", head, [[drawn, "<b>"]])], "A.1", Earlier())
    (row,) = view.rows

    assert isinstance(row[0], Markup)
    assert row[0].startswith('<img src="data:image/svg+xml')
    assert f'alt="{drawn}"' in row[0]
    assert row[1] == "<b>"
    assert not isinstance(row[1], Markup)


def test_two_short_narrow_tables_stand_side_by_side_and_the_order_stays() -> None:
    narrow = [TableColumn(words="stage"), TableColumn(words="value")]
    wide = [TableColumn(words=f"column {k}") for k in range(12)]
    tables = [
        Table("a", "A", narrow, [["1", "2"]]),
        Table("b", "B", narrow, [["1", "3"]]),
        Table("c", "C", narrow, [["1", "4"]]),
        Table("d", "D", wide, [["1000.00"] * 12]),
        Table("e", "E", narrow, [["1", "5"]] * 25),
        Table("f", "F", narrow, [["1", "2"]]),
    ]
    rows = side_by_side(table_views([*tables, tables[0]], "A.1", Earlier()))

    assert [[view.key for view in row.views] for row in rows] == [["a", "b"], ["c"], ["d"], ["e"], ["f"], ["a"]]


def test_columns_of_a_table_share_its_width() -> None:
    head = [TableColumn(words="part"), TableColumn(words="value")]
    (view,) = table_views([Table("t", "T", head, [["a long name of a part", "2.0"]])], "A.1", Earlier())
    first, second = map(float, view.shares)

    assert first > 2 * second
    assert abs(first + second - 100) < 0.02


def test_narrow_column_of_a_crowded_table_keeps_its_longest_word_whole() -> None:
    """Widths by text alone would leave 1.7 mm of the page for the first column; "T10" needs 5.5 mm."""
    head = [TableColumn(words="no."), TableColumn(words="what is done"), TableColumn(words="source")]
    (view,) = table_views([Table("t", "T", head, [["T10", "no filling " * 20, "clause " * 30]])], "A.1", Earlier())
    first, second, third = map(float, view.shares)

    assert 168 * first / 100 >= 1.8 + 3 * 1.25 - 0.1
    assert abs(first + second + third - 100) < 0.02
    assert first > 1.5 * 100 * view.widths[0] / sum(view.widths)


def figure(number: str, width: float, height: float = 100.0) -> FigureView:
    return FigureView(number, number, "a figure", Picture("", width, height, 0.0, "x"), "", True, None)


def test_those_stand_beside_each_other_that_take_the_least_height() -> None:
    """One of 100 px above two of 400 px, not one of 400 px below the other two."""
    rows = side_by_side([figure("1", 300), figure("2", 300, 400), figure("3", 300, 400)])

    assert [[view.number for view in row.views] for row in rows] == [["1"], ["2", "3"]]
    assert side_by_side([]) == ()


def test_two_narrow_figures_stand_side_by_side() -> None:
    rows = side_by_side([figure("1", 300), figure("2", 300), figure("3", 640), figure("4", 300)])

    assert [[view.number for view in row.views] for row in rows] == [["1", "2"], ["3"], ["4"]]


def test_a_narrow_table_stands_beside_a_figure_and_each_takes_the_width_it_needs() -> None:
    head = [TableColumn(words="stage"), TableColumn(words="value")]
    (view,) = table_views([Table("a", "A", head, [["1", "2"]])], "A.1", Earlier())
    views: list[TableView | FigureView] = [view, figure("1", 400)]
    (row,) = side_by_side(views)

    assert row.share == "34.6"


def test_equation_in_a_long_table_has_a_column_as_wide_as_it_is_drawn() -> None:
    """Columns alike wide let it run over its value and unit."""
    sheet = chapter()
    sheet.given("s_s", 0.1, origin=FILE)
    sheet.given("s_c", 0.2, origin=FILE)
    sheet(settlement_gap)
    drawn = Expression(sheet.steps[-1])
    head = [TableColumn(words=words) for words in ("method", "equation", "value", "unit")]
    (view,) = table_views([Table("t", "T", head, [["a method", drawn, "0.1", "m"]] * 30)], "A.1", Earlier())
    width = float(search(r"width:([\d.]+)px", view.rows[0][1])[1])  # type: ignore[index]
    method, equation, value, unit = map(float, view.shares)

    assert 168 * equation / 100 >= width * 25.4 / 96
    assert equation > max(method, value, unit)
    assert view.need > 168, "it stands alone"


def test_tables_whose_first_columns_would_wrap_beside_each_other_stand_alone() -> None:
    """Two of 72 mm stand beside each other, two of 90 mm do not."""
    head = [TableColumn(words="sublayer"), *(TableColumn(words="of") for _ in range(7))]
    rows = {words: [[words, *["100.0"] * 7]] for words in ("mud 0.00–0", "mud 0.00–0.10 m, upper part")}
    found = {}
    for words, cells in rows.items():
        tables = [Table("a", "A", head, cells), Table("b", "B", head, [*cells, cells[0]])]
        found[words] = len(side_by_side(table_views(tables, "A.1", Earlier())))

    assert found == {"mud 0.00–0": 1, "mud 0.00–0.10 m, upper part": 2}


def test_a_text_that_all_rows_have_alike_prints_once_below_the_table() -> None:
    """Amounts stay in their rows, where a reader follows them."""
    head = [TableColumn(words=one) for one in ("no.", "action", "decided by", "limit")]
    rows = [[f"T{k}", f"action {k}", "the designer", "1.25"] for k in range(3)]
    (view,) = table_views([Table("t", "T", head, rows, "A note.")], "A.1", Earlier())

    assert [str(one.words) for one in view.head] == ["no.", "action", "limit"]
    assert view.note == "All rows: decided by: the designer. A note."
    (other,) = table_views([Table("t", "T", head, rows[:2])], "A.1", Earlier())
    assert len(other.head) == 4


def test_words_that_all_texts_of_a_column_share_print_once_below_the_table() -> None:
    head = [TableColumn(words=one) for one in ("no.", "source", "limit")]
    texts = ["Specification 2026-M-001, clause 4.1, invented", "Specification 2026-M-001, clause 4.2 and 4.3, invented"]
    rows = [[f"T{k}", texts[k % 2], "1.25"] for k in range(3)]
    (view,) = table_views([Table("t", "T", head, rows, "A note.")], "A.1", Earlier())
    short, lists = (
        table_views([Table("t", "T", head, [[f"T{k}", said.format(k), "1.25"] for k in range(3)])], "A.1", Earlier())[0]
        for said in ("clause number {}", "tensile resistance 1.4 (basis of design, section 4); creep rupture {}")
    )

    assert [row[1] for row in view.rows] == ["4.1", "4.2 and 4.3", "4.1"]
    assert view.note == "In full, source: Specification 2026-M-001, clause …, invented. A note."
    assert [row[1] for row in short.rows] == [f"clause number {k}" for k in range(3)]
    # A list of factors is none of a document's clauses: each row says its own in full.
    assert all(str(row[1]).startswith("tensile resistance 1.4") for row in lists.rows)


def test_every_text_keeps_a_word_between_those_that_are_shared() -> None:
    assert shared_words(["a b c", "a b", "a b d e"]) == ("a", ["b c", "b", "b d e"], "")
    assert shared_words(["x on a day", "y on a day"]) == ("", ["x", "y"], " on a day")
    for texts in (["same x same", "same same"], ["a b a b", "a b"], ["p, q, r", "p, s, r"]):
        before, rests, behind = shared_words(texts)
        assert [f"{before} {rest}{behind}".strip() for rest in rests] == texts
        assert all(rests)


def test_a_value_in_a_list_keeps_the_name_before_it() -> None:
    """ "creep 1.45 (…)" and "creep 1.5 (…)" shared "creep": a cell began with a number that nobody could read."""
    lists = ["all 1.4, seismic 1.2; creep 1.45; damage 1", "all 1.4, seismic 1.2; creep 1.5; damage 1"]

    assert shared_words(lists) == ("all 1.4, seismic 1.2;", ["creep 1.45;", "creep 1.5;"], " damage 1")


def test_a_later_section_prints_the_rows_that_an_earlier_one_has_not() -> None:
    head = [TableColumn(words="no."), TableColumn(words="level")]
    rows = [[f"T{k}", f"{k}.0"] for k in range(5)]
    other = [*rows, ["T5", "7.0"]]
    earlier = Earlier()
    table_views([Table("t", "T", head, rows)], "A.14", earlier)
    (view,) = table_views([Table("t", "T", head, other)], "B.14", earlier)

    assert view.rows == (("T5", "7.0"),)
    assert "The other rows are those of table A.14-1." in view.note
    # Another chapter or kind of table prints whole, and so does one that lacks a row of the first.
    assert len(table_views([Table("t", "T", head, other)], "B.13", earlier)[0].rows) == 6
    assert len(table_views([Table("u", "T", head, other)], "B.14", earlier)[0].rows) == 6
    assert len(table_views([Table("t", "T", head, [*rows[:4], ["T4", "7.0"]])], "C.14", earlier)[0].rows) == 5


def test_balanced_widths_keep_longest_words_and_save_lines() -> None:
    """Shares by the longest text alone give the second column 27 mm and three lines: ten lines in all."""
    cells = [[10.0, 60.0, 20.0], [10.0, 60.0, 20.0], [10.0, 60.0, 400.0]]
    widths = balanced_widths(cells, [10.0, 12.0, 12.0], 170.0)

    assert sum(widths) <= 170.0
    assert all(width >= word for width, word in zip(widths, [10.0, 12.0, 12.0], strict=True))
    assert sum(max(ceil(text / width) for text, width in zip(row, widths, strict=True)) for row in cells) < 10


def test_balanced_widths_give_room_where_several_steps_at_once_save_a_line() -> None:
    """Step by step the long text of the first row took all room, and the other four rows stayed on two lines."""
    cells = [[150.0, 14.0], *[[10.0, 30.0]] * 4]
    first, second = balanced_widths(cells, [10.0, 14.0], 72.0)

    assert second >= 1.04 * 30
    assert first + second <= 72.0


def test_columns_of_a_group_stand_under_its_name_with_its_unit() -> None:
    settlement = [TableColumn(words=words, unit="mm", group="Settlement") for words in ("low", "high")]
    head = [TableColumn(words="date"), *settlement, TableColumn(words="low", group="Ratio")]
    (view,) = table_views([Table("range", "Range", head, [["start", "1.0", "2.0", "3"]])], "A.14", Earlier())

    assert view.groups == (("", 1), ("Settlement, mm", 2), ("Ratio", 1))
    assert [(str(cell.words), cell.unit) for cell in view.head] == [
        ("date", ""), ("low", ""), ("high", ""), ("low", "")]  # fmt: skip
    assert not view.units
    assert sum(view.given) <= WHOLE
    assert [column.name for column in head] == ["date", "Settlement low", "Settlement high", "Ratio low"]


def test_stages_and_dates_print_without_the_numbers_of_their_labels() -> None:
    head = [TableColumn(words="date"), TableColumn(words="start of 2 Lift 1", unit="mm")]
    table = Table("dates", "Dates", head, [["end of 12 Lift 1, hand-over", "2.0"], ["2 Lift 1", "1.2 Lift 1"]])
    named = by_names(table, ["1 Platform", "2 Lift 1", "12 Lift 1"])

    assert [one.words for one in named.head] == ["date", "start of Lift 1"]
    assert named.rows == [["end of Lift 1, hand-over", "2.0"], ["Lift 1", "1.2 Lift 1"]]
    assert by_names(table, []) == table


def test_a_stage_named_like_a_unit_changes_no_length_in_a_text() -> None:
    rows = [["the cover of 3 m", "3 m"], ["lifts up to 3 m high", "end of 3 m, start of 12 m"]]
    table = Table("cover", "Cover over 3 m", [TableColumn(words="stage"), TableColumn(words="end of 3 m")], rows)
    named = by_names(table, ["1 Platform", "3 m", "12 m"])

    assert named.rows == [["the cover of 3 m", "m"], ["lifts up to 3 m high", "end of m, start of m"]]
    assert [one.words for one in named.head] == ["stage", "end of m"]

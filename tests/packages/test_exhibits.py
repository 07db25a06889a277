"""Tables as pages show them."""

from markupsafe import Markup

from calc.formulas.unit_cell import settlement_gap
from calc.package.alike import Earlier
from calc.package.exhibits import table_views
from calc.sheet import Expression, Table, TableColumn
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

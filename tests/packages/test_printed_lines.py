"""What is on paper is what was computed: read back from the PDF itself."""

from calc.numbering import merged_order, own_key
from calc.package.pages import Pages
from tests.packages.columns import lines_of, own_values, rows_of, wrong_columns
from tests.packages.conftest import Made
from tests.packages.reading import typed
from tests.packages.text_rows import said, text_rows


def test_every_value_of_every_line_is_read_back_from_its_column(package: Made) -> None:
    from calc.package.writer import writers

    read = own_values(package.run, rows_of(package.run, package.files.pdf))
    by_section = {writer.part.section.key: writer for writer in writers(package.run)}
    computed = {
        (part.section.key, number): typed(by_section[part.section.key].value(step, part.cases[sheet.key, step.scope]))
        for part, sheet, step, number in lines_of(package.run)
        if step.value.number(part.cases[sheet.key, step.scope]) is not None
    }

    assert len(computed) > 400
    assert {key: read.get(key) for key in computed} == computed


def test_the_text_that_pages_are_set_from_reads_as_the_pages_do(package: Made) -> None:
    documents = Pages(package.run).pieces(lambda _text: None)

    wanted = [said(row) for row in text_rows(documents, ["A"])]
    assert [said(row) for row in rows_of(package.run, package.files.pdf)] == wanted


def test_every_value_follows_from_its_column_by_its_equation(package: Made) -> None:
    assert wrong_columns(package.run, rows_of(package.run, package.files.pdf)) == []


def test_lines_stand_in_the_order_of_the_calculation_with_the_numbers_of_the_lists(package: Made) -> None:
    printed = list(dict.fromkeys(row.number for row in rows_of(package.run, package.files.pdf)))
    orders = [
        merged_order([own_key(step.key) for step in sheet.page.lines] for sheet in sheets)
        for sheets in zip(*(part.sheets for part in package.run.sections), strict=True)
    ]

    # A given value may stand before its place, with other short rows.
    given = {number for *_, step, number in lines_of(package.run) if step.kind == "given"}

    assert {number for *_, number in lines_of(package.run)} == set(printed)
    order = [package.run.numbers[key] for order in orders for key in order]
    assert [one for one in printed if one not in given] == [one for one in order if one not in given]

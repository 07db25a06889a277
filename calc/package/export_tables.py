"""Tables as a workbook (XLSX) and as text (CSV): numbers as numbers, text as text, the same bytes from the same run."""

import csv
import re
from collections.abc import Sequence
from datetime import UTC, date, datetime
from io import BytesIO, StringIO
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from calc.package.export_rows import Exported

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""Text that begins so would be computed by a program that opens a CSV file; an apostrophe before it prevents that."""
NUMBER = re.compile(r"-?\d+(\.(\d+))?")
LONGEST_TITLE = 31
WIDEST, NARROWEST = 60, 9  # characters
LOOKED_AT = 200  # rows, for the width of a column
UNKNOWN = "\N{REPLACEMENT CHARACTER}"


def workbook(tables: Sequence[Exported], title: str, dated: date) -> bytes:
    """All tables as sheets of one workbook, each with a frozen head and a filter."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for table in tables:
        _fill(book.create_sheet(sheet_name(table.title, book.sheetnames)), table)
    moment = datetime(dated.year, dated.month, dated.day)  # noqa: DTZ001 - the format has no zone
    book.properties.creator, book.properties.title = "sandsleeve", clean(title)
    book.properties.created = moment
    stream = BytesIO()
    book.save(stream)
    return _with_revision_date(stream.getvalue(), dated)


def sheet_name(title: str, taken: Sequence[str] = ()) -> str:
    """A title as the name of a sheet: short enough, without the characters that are refused, once."""
    name = re.sub(r"[\[\]:*?/\\']", " ", title)[:LONGEST_TITLE].strip() or "Sheet"
    number, candidate = 2, name
    while candidate.casefold() in {other.casefold() for other in taken}:
        candidate, number = f"{name[: LONGEST_TITLE - len(str(number)) - 1]} {number}", number + 1
    return candidate


def clean(text: str) -> str:
    """Text without the control characters that a workbook cannot hold."""
    return str(ILLEGAL_CHARACTERS_RE.sub(UNKNOWN, text))


def _fill(sheet: Worksheet, table: Exported) -> None:
    for row, values in enumerate([table.head, *table.rows], start=1):
        for column, value in enumerate(values, start=1):
            if value is None or value == "":
                continue
            cell = sheet.cell(row, column)
            if isinstance(value, str):
                _write_text(cell, value, table.printed and row > 1)
            else:
                cell.value = value
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = sheet.dimensions
    for column in range(1, len(table.head) + 1):
        texts = (str(row[column - 1] or "") for row in [table.head, *table.rows[:LOOKED_AT]] if len(row) >= column)
        width = max(map(len, texts), default=0)
        sheet.column_dimensions[get_column_letter(column)].width = max(NARROWEST, min(WIDEST, width + 2))


def _write_text(cell: Cell, text: str, printed: bool) -> None:
    """Text stays text whatever it begins with; a number that a page prints is one with its decimals."""
    if printed and (match := NUMBER.fullmatch(text)):
        cell.value = float(text)
        cell.number_format = f"0.{'0' * len(match[2])}" if match[2] else "0"
        return
    cell.value = clean(text)
    cell.data_type = "s"
    cell.quotePrefix = steers(text)


def steers(text: str) -> bool:
    """Whether a program that opens a CSV file would take the text for a formula: a sign alone and a number are none."""
    return len(text) > 1 and text.startswith(FORMULA_STARTS) and not NUMBER.fullmatch(text)


def _with_revision_date(content: bytes, dated: date) -> bytes:
    """The same workbook with the date of the revision wherever the library writes that of the clock."""
    moment = datetime(dated.year, dated.month, dated.day, tzinfo=UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    stream = BytesIO()
    with ZipFile(BytesIO(content)) as old, ZipFile(stream, "w", ZIP_DEFLATED) as new:
        for member in old.infolist():
            part = old.read(member)
            if member.filename == "docProps/core.xml":
                part = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + moment.encode(), part)
            info = ZipInfo(member.filename, (max(1980, dated.year), dated.month, dated.day, 0, 0, 0))
            info.compress_type, info.external_attr = ZIP_DEFLATED, 0o600 << 16
            new.writestr(info, part)
    return stream.getvalue()


def csv_text(table: Exported) -> bytes:
    """One table as CSV: UTF-8 with a mark at its begin, commas, decimal points, lines ended by CR LF.

    A text that begins with one of `FORMULA_STARTS` stands behind an apostrophe; numbers and single signs stand as they
    are.
    """
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow([_csv_cell(cell) for cell in table.head])
    writer.writerows([_csv_cell(cell) for cell in row] for row in table.rows)
    return stream.getvalue().encode("utf-8-sig")


def _csv_cell(value: str | float | None) -> str:
    if value is None:
        return ""
    if not isinstance(value, str):
        return repr(value)
    return f"'{value}" if steers(value) else value

"""Ground in a table, CSV or a sheet: names of fields in the first row, units in the second, a layer in each other."""

import csv
import io
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from difflib import get_close_matches
from typing import Any

from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError

from calc.inputs.ground_file.strata import OWN, PRINTABLE, TABLES, Found, Ground, Stratum, key_of
from calc.inputs.reading import units
from calc.inputs.reading.field_list import scalar_of
from calc.inputs.reading.glyphs import unprintable
from calc.inputs.reading.messages import keys_of
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import Number, Quantity, show
from calc.inputs.reading.texts import TrueFalse
from calc.inputs.tables.section import Section

SECTION, TABLE, TOP, BASE = "section", "table", "top", "base"
_FIELDS = [*map(keys_of, TABLES.values()), keys_of(Section)]
HEADED = 2  # rows above the layers
Rows = list[list[str]]

_OF_SECTION = {key: info for key, info in keys_of(Section).items() if key in OWN and key != "key"}
_KNOWN = [
    *dict.fromkeys(key for model in TABLES.values() for key, info in keys_of(model).items() if scalar_of(info)),
    *_OF_SECTION, SECTION, TABLE, TOP, BASE,
]  # fmt: skip


def rows_of_csv(text: str, file: str) -> Rows:
    """The cells of a CSV file; its first line says whether comma, semicolon or tab stands between them."""
    first = text.partition("\n")[0]
    # Strict: a quotation mark that nothing closes would take all lines below it into one cell.
    rows = Rows()
    try:
        rows.extend(csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count), strict=True))
    except csv.Error as error:
        must = "be a CSV file with every quotation mark closed"
        raise InputErrors([InputError(file, len(rows) + 1, 1, "file", must, str(error))]) from None
    return rows


def rows_of_sheet(content: bytes, file: str) -> Rows:
    """The cells of the first sheet of a workbook; formulas without a stored value and cells in error are refused."""
    import openpyxl  # noqa: PLC0415  # an optional package

    sheets = []
    for values in (True, False):
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=values)
        sheets.append(book.worksheets[0])
        sheets[-1].reset_dimensions()  # what the file says of its size is not to be trusted
    rows, errors = Rows(), list[InputError]()
    for number, (row, typed) in enumerate(zip(*(sheet.iter_rows() for sheet in sheets), strict=True), start=1):
        rows.append([_cell(cell.value) for cell in row])
        for column, (cell, formula) in enumerate(zip(row, typed, strict=True), start=1):
            if formula.data_type == "f" and cell.value is None:
                must = "store the values of its formulas (save it in a program for spreadsheets)"
                errors.append(InputError(file, number, column, "file", must, "a formula without a value"))
            elif cell.data_type == "e":
                errors.append(InputError(file, number, column, "file", "have no cell in error", show(cell.value)))
    if errors:
        raise InputErrors(errors)
    return rows


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.15g}"
    return "" if value is None else str(value)


@dataclass
class _Reader:
    file: str
    rows: Rows
    errors: list[InputError] = field(default_factory=list)

    def refuse(self, row: int, column: int, must: str, got: str) -> None:
        """Note an error; row and column from 0."""
        name = self.cell(0, column) if row else "header"
        self.errors.append(InputError(self.file, row + 1, column + 1, name or "header", must, got))

    def cell(self, row: int, column: int) -> str:
        """A cell, empty where there is none."""
        cells = self.rows[row] if row < len(self.rows) else []
        return cells[column].strip() if column < len(cells) else ""


def grounds_of_rows(rows: Rows, file: str) -> list[Ground]:
    """The ground of a table; everything that is wrong with it as `InputErrors`, row and column as line and column."""
    reader = _Reader(file, rows)
    columns = _columns(reader)
    grounds: dict[str, Ground] = {}
    for row in range(HEADED, len(rows)):
        if any(cell.strip() for cell in rows[row]):
            for at in columns.values():
                if (sign := unprintable(reader.cell(row, at))) is not None:
                    reader.refuse(row, at, PRINTABLE, sign)
            _layer(reader, row, columns, grounds)
    if not grounds and not reader.errors:
        reader.refuse(len(rows), 0, "hold names of fields, their units, and a row for each layer", "no layer")
    if reader.errors:
        raise InputErrors(reader.errors)
    return list(grounds.values())


def _columns(reader: _Reader) -> dict[str, int]:
    columns: dict[str, int] = {}
    for at, name in enumerate(reader.rows[0] if reader.rows else []):
        key = name.strip()
        if key in columns:
            reader.refuse(0, at, "name each field once", show(key))
        elif key in _KNOWN and _has_unit(reader, at, key):
            columns[key] = at
        elif key and key not in _KNOWN:
            near = get_close_matches(key, _KNOWN, 1, 0.6)
            known = f'(near: "{near[0]}")' if near else f"({', '.join(_KNOWN)})"
            reader.refuse(0, at, f"be a field of a layer {known}", show(key))
    return columns


def _has_unit(reader: _Reader, at: int, key: str) -> bool:
    """Whether the second row has the unit of a field, and nothing below one without."""
    kind = next((scalar_of(fields[key]) for fields in _FIELDS if key in fields), None)
    wanted = "m" if key in {TOP, BASE} else kind.unit if isinstance(kind, Quantity) else ""
    unit = reader.cell(1, at)
    got = show(unit)
    try:
        right = bool(units.factor(units.split(f"1 {unit}")[1], wanted)) if wanted else unit in {"", "-"}
    except units.QuantityError as error:
        right, got = False, f"{show(unit)}: {error}" if unit else "nothing"
    if not right:
        must = f"hold the units: here one that converts to {wanted}" if wanted else "hold the units: here none"
        reader.refuse(1, at, must, got)
    return right


def _layer(reader: _Reader, row: int, columns: dict[str, int], grounds: dict[str, Ground]) -> None:
    name = reader.cell(row, columns[SECTION]) if SECTION in columns else "A"
    table = reader.cell(row, columns[TABLE]) if TABLE in columns else ""
    if (table or "layer") not in TABLES:
        reader.refuse(row, columns[TABLE], "be one of " + ", ".join(f'"{word}"' for word in TABLES), show(table))
        return
    ground = grounds.setdefault(name, Ground({}))
    if table == "bearing_layer" and any(stratum.table == table for stratum in ground.strata):
        reader.refuse(row, columns[TABLE], "be given once in a section", show(table))
    if not ground.values:
        where = f"row {row + 1}, column {SECTION}" if SECTION in columns else "one section: no column section"
        ground.values["key"] = Found(key_of(name, (g.values["key"].typed for g in grounds.values() if g.values),
                                            capitals=True), where)  # fmt: skip
    stratum = Stratum(table or "layer")
    fields = keys_of(TABLES[stratum.table])
    for key, at in columns.items():
        value = _value(reader, row, at, fields.get(key) or _OF_SECTION.get(key))
        if value is not None and key in fields:
            stratum.values[key] = value
        elif value is not None:
            ground.values.setdefault(key, value)
    if TOP in columns and BASE in columns:
        _depths(reader, row, columns, stratum, ground)
    if "key" not in stratum.values and "name" in stratum.values:
        used = [layer.values["key"].typed for layer in ground.strata if "key" in layer.values]
        stratum.values = {
            "key": Found(key_of(stratum.values["name"].typed, used), "made of the name"),
            **stratum.values,
        }
    ground.strata.append(stratum)


def _value(reader: _Reader, row: int, at: int, info: FieldInfo | None) -> Found | None:
    """The value of a cell as typed in a project file; nothing for an empty one."""
    cell, unit = reader.cell(row, at), reader.cell(1, at)
    kind = scalar_of(info) if info else None
    if not cell or kind is None:
        return None
    typed = f"{cell} {unit}".strip() if isinstance(kind, Quantity) else cell
    try:
        kind.read(_plain(typed) if isinstance(kind, Number | TrueFalse) else typed)
    except PydanticCustomError as error:
        context = error.context or {}
        reader.refuse(row, at, str(context["must"]), str(context["got"]))
        return None
    return Found(typed, f"row {row + 1}, column {reader.cell(0, at)}")


def _plain(text: str) -> object:
    """A number or true or false as TOML would have it; a text where it is neither."""
    if text in {"true", "false"}:
        return text == "true"
    try:
        number = float(text)
    except ValueError:
        return text
    return int(text) if text.isdigit() else number


def _depths(reader: _Reader, row: int, columns: dict[str, int], stratum: Stratum, ground: Ground) -> None:
    """The thickness between two depths; layers follow one another without a gap."""
    depths = [reader.cell(row, columns[heading]) for heading in (TOP, BASE)]
    units_of = [reader.cell(1, columns[heading]) for heading in (TOP, BASE)]
    typed = difference(*depths)
    before, ground.base = ground.base, depth_of(depths[1])
    if stratum.table == "bearing_layer" and not depths[1]:
        return
    if "thickness" in stratum.values and not any(depths):
        ground.base = None
        return
    if typed is None or units_of[0] != units_of[1]:
        reader.refuse(row, columns[BASE], "be a depth below top, in the same unit", show(depths[1]))
        return
    if before is not None and depth_of(depths[0]) != before:
        must = f"be the base of the layer above ({before})" if ground.strata else "be 0 for the first layer"
        reader.refuse(row, columns[TOP], must, show(depths[0]))
    if stratum.table == "bearing_layer":
        return
    if "thickness" in stratum.values:
        must = "be left out beside top and base, which give the thickness"
        reader.refuse(row, columns["thickness"], must, show(reader.cell(row, columns["thickness"])))
        return
    place = f"row {row + 1}, from top {depths[0]} to base {depths[1]}"
    stratum.values["thickness"] = Found(f"{typed} {units_of[0]}", place)


def depth_of(typed: str) -> Decimal | None:
    """A depth as typed, exact; nothing where it is none."""
    try:
        depth = Decimal(typed)
    except InvalidOperation:
        return None
    return depth if depth.is_finite() else None


def difference(top: str, base: str) -> str | None:
    """The thickness between two depths as typed, exact; nothing where it is none."""
    upper, lower = depth_of(top), depth_of(base)
    return None if upper is None or lower is None or lower <= upper else f"{lower - upper:f}"

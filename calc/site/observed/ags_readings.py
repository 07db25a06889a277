"""Readings in an AGS 4 file: rows of the group MOND, of points of the group MONG.

Names of groups and headings after headings of the dictionary of AGS 4 (editions 4.0.3 to 4.2) as it is published; what
a code of MOND_TYPE stands for is in none of it and comes from the project.
"""

import re
from collections.abc import Iterator

from calc.engine.words import words_of
from calc.inputs.ground_file.ags import Group, read_groups
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.inputs.tables.observed import OTHER, Observed
from calc.inputs.tables.written_rows import ISO
from calc.site.observed.reading_rows import Row
from calc.site.rows.row_files import Refused

say = words_of(__name__)

HEADINGS = ("LOCA_ID", "MONG_ID", "MOND_DTIM", "MOND_TYPE", "MOND_RDNG")
TIME = r"(?:[t ]hh:mm(?::ss)?)?"
FORMS = {ISO: rf"yyyy-mm-dd{TIME}", "day/month/year": rf"dd/mm/yyyy{TIME}", "month/day/year": rf"mm/dd/yyyy{TIME}"}
UNITS = {"kN/m2": "kPa", "MN/m2": "MPa"}
"""Units that the file writes in another way than a project."""


def rows_of_ags(text: str, file: str, observed: Observed, refused: list[Refused]) -> Iterator[Row]:
    """The rows of MOND; one that is malformed, of an unknown code or of no point of MONG is refused.

    ``InputErrors`` where the file has no MOND with its headings, or a date whose form is not known.
    """
    bad: list[InputError] = []
    groups = read_groups(text, file, bad)
    refused += [Refused(file, error.line, say("form", must=error.must, got=error.got)) for error in bad]
    readings, points = groups.get("MOND", Group()), groups.get("MONG")
    errors = [InputError(file, 1, 1, "MOND", f"have the heading {heading}", "none")
              for heading in HEADINGS if heading not in readings.headings]  # fmt: skip
    if errors:
        raise InputErrors(errors)
    form, codes = _form(readings, file), {kind.code: kind.quantity for kind in observed.ags_types}
    known = None if points is None else {(row.get("LOCA_ID"), row.get("MONG_ID")) for _, row in points.rows}
    for line, row in readings.rows:
        why, no_mistake = _why_not(row, codes, known)
        if why:
            refused.append(Refused(file, line, why, no_mistake))
            continue
        name = "/".join(part for key in ("LOCA_ID", "MONG_ID", "MONG_DIS") if (part := row.get(key, "").strip()))
        unit = row.get("MOND_UNIT", "").strip() or readings.units.get("MOND_RDNG", "").strip()
        yield Row(file, line, name, row["MOND_DTIM"].strip(), row["MOND_RDNG"].strip(), UNITS.get(unit, unit),
                  row.get("MOND_REM", "").strip(), form, ".", codes[row["MOND_TYPE"].strip()])  # fmt: skip


def _form(readings: Group, file: str) -> str:
    """The form of the dates, which the line UNIT of the file says."""
    unit = readings.units.get("MOND_DTIM", "").strip()
    for form, pattern in FORMS.items():
        if re.fullmatch(pattern, unit, re.IGNORECASE):
            return form
    must = 'have the unit "yyyy-mm-ddThh:mm", "dd/mm/yyyy hh:mm" or "mm/dd/yyyy hh:mm", with or without the time'
    raise InputErrors([InputError(file, 1, 1, "MOND_DTIM", must, show(unit))])


def _why_not(
    row: dict[str, str], codes: dict[str, str], known: set[tuple[str | None, str | None]] | None
) -> tuple[str, bool]:  # fmt: skip
    """Why a row is no reading, and whether that is no mistake."""
    code, point = row["MOND_TYPE"].strip(), (row["LOCA_ID"], row["MONG_ID"])
    if code not in codes:
        return say("code", got=show(code)), False
    if codes[code] == OTHER:
        return say("passed", code=code), True
    if known is not None and point not in known:
        return say("point", got=show("/".join(point))), False
    return "", False

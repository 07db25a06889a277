"""Ground in an AGS 4 file: strata from GEOL, levels from LOCA, results of tests as notes beside the layers.

The form is that of AGS 4: lines of quoted fields, the first of them GROUP, HEADING, UNIT, TYPE or DATA. Groups and
headings are those of the standard dictionaries of editions 4.0.3 to 4.2; one that a file does not have is passed.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from calc.inputs.ground_file.ground_table import depth_of, difference
from calc.inputs.ground_file.strata import PRINTABLE, Found, Ground, Stratum, key_of
from calc.inputs.reading import units
from calc.inputs.reading.glyphs import unprintable
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show

DESCRIPTORS = ("GROUP", "HEADING", "UNIT", "TYPE", "DATA")
LONGEST_NAME = 120
# Results of tests by group: headings of the depth, heading of the result, field or step that it may speak for.
TESTS = (
    ("IVAN", ("IVAN_DPTH",), "IVAN_IVAN", "c_u"),
    ("LVAN", ("SPEC_DPTH", "SAMP_TOP"), "LVAN_VNPK", "c_u"),
    ("TRIT", ("SPEC_DPTH", "SAMP_TOP"), "TRIT_CU", "c_u"),
    ("LDEN", ("SPEC_DPTH", "SAMP_TOP"), "LDEN_BDEN", "gamma_sat"),
    ("LNMC", ("SPEC_DPTH", "SAMP_TOP"), "LNMC_MC", "e_0"),
    ("CONG", ("SPEC_DPTH", "SAMP_TOP"), "CONG_IVR", "e_0"),
    ("LLPL", ("SPEC_DPTH", "SAMP_TOP"), "LLPL_PI", "the correction of a vane"),
    ("LLPL", ("SPEC_DPTH", "SAMP_TOP"), "LLPL_LL", "the correction of a vane"),
    ("ESCG", ("SPEC_DPTH", "SAMP_TOP"), "ESCG_PCP", "sigma_p"),
    ("PTST", ("SPEC_DPTH", "SAMP_TOP"), "PTST_K", "k"),
    ("IPRG", ("IPRG_TOP",), "IPRG_IPRM", "k"),
    ("FGHG", ("FGHG_TOP",), "FGHG_IPRM", "k"),
    ("CONS", ("SPEC_DPTH", "SAMP_TOP"), "CONS_INMV", "E_oed_ref"),
    ("CONS", ("SPEC_DPTH", "SAMP_TOP"), "CONS_CVRT", "c_v"),
    ("CONS", ("SPEC_DPTH", "SAMP_TOP"), "CONS_CVLG", "c_v"),
)


@dataclass(slots=True)
class Group:
    """The rows of a group with their lines, units and types by heading; the lines of GROUP, UNIT and TYPE by these."""

    headings: list[str] = field(default_factory=list)
    units: dict[str, str] = field(default_factory=dict)
    types: dict[str, str] = field(default_factory=dict)
    lines: dict[str, int] = field(default_factory=dict)
    rows: list[tuple[int, dict[str, str]]] = field(default_factory=list)


def read_groups(text: str, file: str, bad: list[InputError] | None = None) -> dict[str, Group]:
    """The groups of a file; every line that has another form as `InputErrors`, or in ``bad`` where that is given.

    A group that stands twice is refused in either case: what its second part is of is not known.
    """
    groups: dict[str, Group] = {}
    errors: list[InputError] = []
    lines = errors if bad is None else bad
    at = None
    for number, what, cells in _lines(text, file, lines):
        if what == "GROUP" and cells:
            at = Group(lines={what: number})
            if groups.setdefault(cells[0], at) is not at:
                errors.append(InputError(file, number, 1, "file", "have each group once", show(cells[0])))
        elif what not in DESCRIPTORS or at is None:
            must = (
                "begin with "
                + ", ".join(f'"{descriptor}"' for descriptor in DESCRIPTORS)
                + ", the first line with GROUP"
            )
            lines.append(InputError(file, number, 1, "file", must, show(what)))
        elif what == "HEADING":
            at.headings = cells
        elif len(cells) != len(at.headings):
            must = f"have as many fields as the line HEADING of its group ({len(at.headings)})"
            lines.append(InputError(file, number, 1, "file", must, str(len(cells))))
        elif what == "DATA":
            at.rows.append((number, dict(zip(at.headings, cells, strict=True))))
        else:  # UNIT or TYPE
            at.lines[what] = number
            (at.units if what == "UNIT" else at.types).update(zip(at.headings, cells, strict=True))
    if errors:
        raise InputErrors(errors)
    return groups


def _lines(text: str, file: str, errors: list[InputError]) -> Iterator[tuple[int, str, list[str]]]:
    """The lines that are not empty: number, descriptor, fields."""
    for number, line in enumerate(text.replace("\r\n", "\n").split("\n"), start=1):
        if line.strip():
            try:
                what, *cells = next(csv.reader([line], strict=True))
            except csv.Error as error:
                errors.append(InputError(file, number, 1, "file", "have every quotation mark closed", str(error)))
            else:
                yield number, what, cells


def grounds_of_ags(text: str, file: str) -> list[Ground]:
    """A section for every location with strata."""
    groups = read_groups(text, file)
    strata = groups.get("GEOL", Group())
    levels = {row.get("LOCA_ID", ""): (line, row) for line, row in groups.get("LOCA", Group()).rows}
    grounds: dict[str, Ground] = {}
    errors = [
        InputError(file, line, 1, heading, PRINTABLE, sign)
        for name in ("ABBR", "LOCA", "GEOL", *dict.fromkeys(group for group, *_ in TESTS))
        for line, row in groups.get(name, Group()).rows for heading, cell in row.items()
        if (sign := unprintable(cell)) is not None
    ]  # fmt: skip
    for line, row in strata.rows:
        place = row.get("LOCA_ID", "")
        if place not in grounds:
            grounds[place] = _section(
                place, line, levels.get(place), groups, [ground.values["key"].typed for ground in grounds.values()]
            )
        try:
            grounds[place].strata.append(_stratum(line, row, strata, groups, grounds[place]))
        except ValueError as error:
            errors.append(InputError(file, line, 1, "GEOL", *error.args))
    if not grounds:
        errors.append(InputError(file, 1, 1, "GEOL", "have strata: rows DATA of the group GEOL", "none"))
    if errors:
        raise InputErrors(errors)
    return list(grounds.values())


def _section(
    place: str, line: int, level: tuple[int, dict[str, str]] | None, groups: dict[str, Group], used: list[str]
) -> Ground:
    values = {
        "key": Found(key_of(place or "A", used, capitals=True), f"LOCA_ID {place}, line {line}"),
        "title": Found(f"Ground of {place or 'the file'}", f"LOCA_ID {place}, line {line}"),
    }
    height = level[1].get("LOCA_GL", "") if level else ""
    if level and height and groups["LOCA"].units.get("LOCA_GL") == "m":
        values["ground_level"] = Found(f"{height} m", f"LOCA_GL, line {level[0]}")
    return Ground(values)


def _stratum(line: int, row: dict[str, str], strata: Group, groups: dict[str, Group], ground: Ground) -> Stratum:
    top, base, unit = row.get("GEOL_TOP", ""), row.get("GEOL_BASE", ""), strata.units.get("GEOL_TOP", "")
    thickness = difference(top, base)
    if thickness is None or unit != strata.units.get("GEOL_BASE") or unit not in units.KNOWN:
        must, got = "have GEOL_TOP and a deeper GEOL_BASE in one unit of length", f"{top} and {base} {unit}".strip()
        raise ValueError(must, got)
    before, ground.base = ground.base, depth_of(base)
    if depth_of(top) != before:
        above = "the GEOL_BASE above" if ground.strata else "for the first stratum"
        must = f"have the GEOL_TOP {before} ({above}), without gap or overlap"
        raise ValueError(must, top)
    used = [stratum.values["key"].typed for stratum in ground.strata]
    name, where = _name(row, groups, line)
    made = Stratum("layer", {"key": Found(key_of(name or f"layer-{len(used) + 1}", used), "made of the name")})
    if name:
        made.values["name"] = Found(name, where)
    place = f"GEOL_TOP {top} to GEOL_BASE {base}, line {line}"
    made.values["thickness"] = Found(f"{thickness} {unit}", place)
    if row.get("GEOL_DESC"):
        made.notes.append(f"GEOL_DESC, line {line}: {row['GEOL_DESC']}")
    made.notes += _tests(row.get("LOCA_ID", ""), Decimal(top), Decimal(base), groups)
    return made


def _name(row: dict[str, str], groups: dict[str, Group], line: int) -> tuple[str, str]:
    """The name of a stratum: that of its code in ABBR, or a description that is short enough."""
    for heading in ("GEOL_GEOL", "GEOL_LEG"):
        for at, abbreviation in groups.get("ABBR", Group()).rows:
            if (abbreviation.get("ABBR_HDNG"), abbreviation.get("ABBR_CODE")) == (
                heading,
                row.get(heading),
            ) and abbreviation.get("ABBR_DESC"):
                return abbreviation["ABBR_DESC"][
                    :LONGEST_NAME
                ], f"{heading} {row[heading]}, line {line}; ABBR, line {at}"
    text = row.get("GEOL_DESC", "")
    return (text, f"GEOL_DESC, line {line}") if 0 < len(text) <= LONGEST_NAME else ("", "")


def _tests(place: str, top: Decimal, base: Decimal, groups: dict[str, Group]) -> list[str]:
    """What was measured between two depths, for the fields that it may speak for."""
    notes: dict[str, list[str]] = {}
    for name, depths, heading, speaks_for in TESTS:
        group = groups.get(name, Group())
        for line, row in group.rows:
            depth = next((row[column] for column in depths if row.get(column)), "")
            if row.get("LOCA_ID") == place and row.get(heading) and _between(depth, top, base):
                value = f"{row[heading]} {group.units.get(heading, '')}".strip()
                notes.setdefault(f"{heading} (for {speaks_for})", []).append(f"{value} at {depth}, line {line}")
    return [f"{name}: {'; '.join(values)}" for name, values in notes.items()]


def _between(depth: str, top: Decimal, base: Decimal) -> bool:
    number = depth_of(depth)
    return number is not None and top <= number < base

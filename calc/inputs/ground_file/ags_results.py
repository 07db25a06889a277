"""Results of tests in an AGS 4 file: the groups that hold a kind of reading which characteristic values know.

A group that a file does not have is passed over. A number has the unit that the line UNIT of its group says.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction

from calc.inputs.ground_file.ags import Group, read_groups
from calc.inputs.ground_file.ags_kinds import (
    CHEMISTRY,
    CONSOLIDATION,
    GROUPS,
    INDICES,
    KINDS,
    OEDOMETER,
    OF_INCREMENT,
    ORGANIC,
    SAMPLE_KEYS,
    UNDISTURBED,
    Kind,
)
from calc.inputs.ground_file.result_rows import LONGEST, UNITS, PassedOver, Result, is_possible
from calc.inputs.reading import units
from calc.inputs.reading.glyphs import unprintable
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show

AGS_UNITS = {"kN/m2": "kPa", "MN/m2": "MPa", "m2/MN": "m^2/MN", "m2/kN": "m^2/kN"}
"""Units that a file writes in another way than a project."""
WANTED = {**UNITS, "e_0": "", "e_1": "", "e_2": "", "m_v": "m^2/kN"}
"""What numbers are asked for, by the name of the quantity, with the unit that theirs must convert to."""
WITHOUT_UNIT = {"I_P"}  # the dictionaries have it in per cent and without a unit
SPECIMEN_KEYS = ("LOCA_ID", *SAMPLE_KEYS)
_NUMBER = re.compile(units.NUMBER)
_TYPES = re.compile(r"[0-9]+(DP|SF|SCI)|U|X|XN|MC|")


@dataclass(slots=True)
class _Reader:
    """A file with its groups, the errors so far, and rows passed over by test, heading and reason."""

    file: str
    groups: dict[str, Group]
    errors: list[InputError] = field(default_factory=list)
    passed: dict[tuple[str, str, str], list[int]] = field(default_factory=dict)

    def group(self, name: str) -> Group:
        return self.groups.get(name, Group())

    def tests(self, name: str, keys: tuple[str, ...]) -> dict[tuple[str, ...], tuple[int, dict[str, str]]]:
        """The rows of a group that has one for each test, by their keys; a second one for a test is refused."""
        rows: dict[tuple[str, ...], tuple[int, dict[str, str]]] = {}
        for line, row in self.group(name).rows:
            key = tuple(row.get(heading, "").strip() for heading in keys)
            first, _ = rows.setdefault(key, (line, row))
            if first != line:
                must = f"have one row for each test (first in row {first})"
                self.refuse(line, name, must, show(" ".join(filter(None, key))))
        return rows

    def refuse(self, line: int, name: str, must: str, got: str) -> None:
        self.errors.append(InputError(self.file, line, 1, name, must, got))

    def skip(self, kind: Kind, heading: str, why: str, line: int) -> None:
        """Say that a row is no reading."""
        self.passed.setdefault((kind.test, heading, why), []).append(line)

    def factor(self, group: Group, heading: str, name: str) -> Fraction | None:
        """What numbers below a heading are multiplied by; unit and type that do not fit are refused once."""
        kind = group.types.get(heading, "")
        if not has_numbers(kind):
            self.refuse(group.lines["TYPE"], heading, "have a type of numbers in the line TYPE", show(kind))
        made = factor_of(group.units.get(heading, ""), name)
        if made is None:
            must = f"have {_unit_words(name)} in the line UNIT"
            line = group.lines.get("UNIT", group.lines["GROUP"])
            self.refuse(line, heading, must, show(group.units.get(heading, "")))
        return made

    def number(self, line: int, heading: str, cell: str, name: str, factor: Fraction | None) -> float | None:
        """A number in the unit inside; one that cannot be is refused."""
        value = float(Fraction(cell) * (factor or 1)) if _NUMBER.fullmatch(cell) else None
        if value is None or not is_possible(name, value):
            self.refuse(line, heading, "be a number that can be", show(cell))
            return None
        return value


def has_numbers(kind: str) -> bool:
    """Whether fields of a type can be numbers; a line TYPE may be missing."""
    return _TYPES.fullmatch(kind) is not None


def _unit_words(name: str) -> str:
    if WANTED[name] == "%":
        return 'the unit "%"' + (" or none" if name in WITHOUT_UNIT else "")
    return f"a unit that converts to {WANTED[name]}" if WANTED[name] else "no unit"


def factor_of(unit: str, name: str) -> Fraction | None:
    """What a quantity is multiplied by to have the unit inside; None where its unit is of another kind."""
    wanted = WANTED[name]
    if wanted == "%":
        return Fraction(1, 100) if unit == "%" or (not unit and name in WITHOUT_UNIT) else None
    if not wanted:
        return Fraction(1) if unit in {"", "-"} else None
    known = AGS_UNITS.get(unit, unit)
    try:
        units.factor(known, wanted)
    except units.QuantityError:
        return None
    return units.factor_inside(known)


Item = tuple[list[Result], tuple[str, ...]]
"""The rows of one reading with what tells it from others at its depth."""


def results_of_ags(text: str, file: str) -> tuple[list[Result], list[PassedOver]]:
    """The readings of an AGS 4 file in their groups, and the rows that hold none."""
    reader = _Reader(file, read_groups(text, file))
    items = [*(item for kind in KINDS for item in _of_kind(reader, kind)), *_indices(reader), *_organic(reader),
             *_oedometer_tests(reader)]  # fmt: skip
    results = [result for group in _with_own_ids(reader, items) for result in group]
    passed = [PassedOver(tuple(rows), *key) for key, rows in reader.passed.items()]
    if not results and not reader.errors:
        got = "; ".join(map(str, passed)) or "none"
        reader.refuse(1, "file", f"hold results in one of the groups {', '.join(GROUPS)}", got)
    if reader.errors:
        raise InputErrors(reader.errors)
    return results, passed


def _of_kind(reader: _Reader, kind: Kind) -> Iterator[Item]:
    """The rows of a group in which all numbers are filled."""
    group = reader.group(kind.group)
    if not group.rows or _lacks(reader, group, kind):
        return
    factors = {heading: reader.factor(group, heading, name) for heading, name in kind.columns.items()}
    general = _general(reader, kind)
    for line, row, first in _rows(reader, group, kind):
        blank = next((heading for heading in kind.columns if not row[heading]), "")
        if blank:
            reader.skip(kind, blank, "blank, not used", line)
            continue
        values = {
            name: reader.number(line, heading, row[heading], name, factors[heading])
            for heading, name in kind.columns.items()
        }
        of_test = general.get((first.location, *_keys(kind, row)), {})
        yield [replace(first, values=_without_empty({**values, **of_test}))], _keys(kind, row)


def _general(reader: _Reader, kind: Kind) -> dict[tuple[str, ...], dict[str, float | None]]:
    """Numbers that hold for all rows of a test, by its location and keys; those that are blank are left out."""
    if kind.general is None:
        return {}
    group, columns = reader.group(kind.general[0]), kind.general[1]
    factors = {heading: reader.factor(group, heading, name) for heading, name in columns.items()
               if heading in group.headings}  # fmt: skip
    tests = reader.tests(kind.general[0], ("LOCA_ID", *kind.keys)) if factors else {}
    return {
        test: {
            columns[heading]: reader.number(line, heading, cell, columns[heading], factor)
            for heading, factor in factors.items() if (cell := row[heading].strip())
        }
        for test, (line, row) in tests.items()
    }  # fmt: skip


def _lacks(reader: _Reader, group: Group, kind: Kind) -> bool:
    """Whether a group lacks a heading without which it has no readings."""
    needed = ["LOCA_ID", *kind.columns, *(kind.depth if kind.zone else ())]
    lacking = [heading for heading in needed if heading not in group.headings]
    if not {*kind.depth} & {*group.headings} and not kind.zone:
        lacking.append(kind.depth[0])
    for heading in lacking:
        why = f"no such heading in the group {kind.group}, which is not used"
        reader.skip(kind, heading, why, group.lines["GROUP"])
    return bool(lacking)


def _rows(reader: _Reader, group: Group, kind: Kind) -> Iterator[tuple[int, dict[str, str], Result]]:
    """Rows with their place and depth as results without numbers; those of disturbed specimens are passed over."""
    factors = {heading: reader.factor(group, heading, "depth") for heading in kind.depth if heading in group.headings}
    disturbed = _disturbed_specimens(reader, kind)
    for line, cells in group.rows:
        row = {heading: cell.strip() for heading, cell in cells.items()}
        place = row["LOCA_ID"]
        if not place or len(place) > LONGEST or unprintable(place):
            reader.refuse(line, "LOCA_ID", f"be a printable text of 1 to {LONGEST} signs", show(place))
            continue
        if _specimen(row) in disturbed:
            reader.skip(kind, kind.state[1] if kind.state else "", "specimen not undisturbed, not used", line)
            continue
        if row.get(kind.other[0], "").upper() == kind.other[1] != "":
            reader.skip(kind, kind.other[0], f"{kind.other[1]} is no test of this kind, not used", line)
            continue
        filled = [heading for heading in factors if row[heading]]
        if not filled or (kind.zone and len(filled) < len(kind.depth)):
            reader.skip(kind, kind.depth[0], "no depth, not used", line)
            continue
        used = filled if kind.zone else filled[:1]
        depths = [reader.number(line, heading, row[heading], "depth", factors[heading]) for heading in used]
        known = [depth for depth in depths if depth is not None]
        if len(known) == len(used):
            name = f"{place} {'-'.join(row[heading] for heading in used)} {kind.test}"
            yield line, row, Result(name, place, sum(known) / len(known), kind.test, "", line, {})


def _disturbed_specimens(reader: _Reader, kind: Kind) -> set[tuple[str, ...]]:
    """The specimens that were remoulded, or made in another way: they say nothing of the ground as it lies."""
    if kind.state is None:
        return set()
    name, heading = kind.state
    return {
        _specimen(row) for _, row in reader.group(name).rows if row.get(heading, "").strip().upper() not in UNDISTURBED
    }


def _specimen(row: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(row.get(key, "").strip() for key in SPECIMEN_KEYS)


def _keys(kind: Kind, row: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(row.get(key, "").strip() for key in kind.keys)


def _without_empty(values: Mapping[str, float | None]) -> dict[str, float]:
    return {name: value for name, value in values.items() if value is not None}


def _with_own_ids(reader: _Reader, items: Iterable[Item]) -> Iterator[list[Result]]:
    """Readings at one depth by ids of their own; a row that only repeats another is refused."""
    seen: dict[str, list[tuple[Result, tuple[str, ...]]]] = {}
    for results, keys in items:
        first = results[0]
        others = seen.setdefault(first.id, [])
        same = next((other for other, told in others if other.values == first.values and told == keys), None)
        if same is not None:
            reader.refuse(first.row, "file", f"give each reading once (first in row {same.row})", show(first.id))
        others.append((first, keys))
        name = first.id if len(others) == 1 else f"{first.id} {len(others)}"
        yield [replace(result, id=name) for result in results]


def _indices(reader: _Reader) -> Iterator[Item]:
    """Rows of LLPL: plasticity index, liquid limit or both, which must agree with the plastic limit."""
    group = reader.group(INDICES.group)
    columns = {heading: name for heading, name in INDICES.columns.items() if heading in group.headings}
    if not group.rows or not columns or _lacks(reader, group, replace(INDICES, columns={})):
        return
    factors = {heading: reader.factor(group, heading, name) for heading, name in columns.items()}
    for line, row, first in _rows(reader, group, INDICES):
        values = _without_empty({
            name: reader.number(line, heading, row[heading], name, factors[heading])
            for heading, name in columns.items() if row[heading]
        })  # fmt: skip
        if not any(row[heading] for heading in columns):
            reader.skip(INDICES, next(iter(columns)), "blank, not used", line)
            continue
        if not _limits_agree(row):
            must = "be the difference of LLPL_LL and LLPL_PL within their last digits"
            reader.refuse(line, "LLPL_PI", must, f"{row['LLPL_PI']} of {row['LLPL_LL']} and {row['LLPL_PL']}")
        yield [replace(first, values=values)], _keys(INDICES, row)


def _limits_agree(row: Mapping[str, str]) -> bool:
    """Whether the plasticity index is the difference of its limits, where all three are numbers."""
    cells = [row.get(heading, "") for heading in ("LLPL_PI", "LLPL_LL", "LLPL_PL")]
    if not all(map(_NUMBER.fullmatch, cells)):
        return True
    index, liquid, plastic = map(Decimal, cells)
    return abs(index - (liquid - plastic)) <= sum(map(_half_digit, cells))


def _half_digit(cell: str) -> Decimal:
    """Half a unit of the last digit that is written."""
    return Decimal((0, (5,), int(Decimal(cell).as_tuple().exponent) - 1))


def _organic(reader: _Reader) -> Iterator[Item]:
    """Rows of GCHM with a code that the dictionaries define as organic matter or loss on ignition; units by row."""
    group = reader.group(CHEMISTRY.group)
    wanted = [(line, row) for line, row in group.rows if row.get("GCHM_CODE", "").strip() in ORGANIC]
    if not wanted or _lacks(reader, group, replace(CHEMISTRY, columns={"GCHM_RESL": "organic", "GCHM_UNIT": ""})):
        return
    for line, row, first in _rows(reader, replace(group, rows=wanted), CHEMISTRY):
        factor = factor_of(row["GCHM_UNIT"], "organic")
        if not row["GCHM_RESL"]:
            reader.skip(CHEMISTRY, "GCHM_RESL", "blank, not used", line)
        elif factor is None:
            must = f"be % for GCHM_CODE {row['GCHM_CODE']}"
            reader.refuse(line, "GCHM_UNIT", must, show(row["GCHM_UNIT"]))
        elif (value := reader.number(line, "GCHM_RESL", row["GCHM_RESL"], "organic", factor)) is not None:
            name = first.id.removesuffix(first.test) + ORGANIC[row["GCHM_CODE"]]
            yield [replace(first, id=name, values={"organic": value})], _keys(CHEMISTRY, row)


def _oedometer_tests(reader: _Reader) -> Iterator[Item]:
    """Rows of CONS by their test in CONG, in the order of the file: stress and void ratio at the end of each.

    A test without void ratios has the coefficients of volume compressibility that the laboratory reports.
    """
    group, general = reader.group(CONSOLIDATION.group), reader.group("CONG")
    if not group.rows or _lacks(reader, group, CONSOLIDATION):
        return
    heads = reader.tests("CONG", SPECIMEN_KEYS)
    tests: dict[tuple[str, ...], list[tuple[Result, dict[str, str]]]] = {}
    for _, row, first in _rows(reader, group, CONSOLIDATION):
        tests.setdefault(_specimen(row), []).append((first, row))
    named = {**CONSOLIDATION.columns, **OF_INCREMENT}
    names = {heading: name for heading, name in named.items() if heading in group.headings}
    factors = {heading: reader.factor(group, heading, name) for heading, name in names.items()}
    initial = reader.factor(general, "CONG_IVR", "e_0") if "CONG_IVR" in general.headings else None
    for specimen, rows in tests.items():
        line, head = heads.get(specimen, (0, {}))
        why = _why_no_test(head, rows)
        if why:
            for first, _ in rows:
                reader.skip(CONSOLIDATION, *why, first.row)
            continue
        e_0 = head.get("CONG_IVR", "").strip()
        by_void_ratio = _has_void_ratios(e_0, [row for _, row in rows])
        known = {"e_0": reader.number(line, "CONG_IVR", e_0, "e_0", initial)} if by_void_ratio else {}
        yield list(_loads(reader, rows, factors, _without_empty(known))), specimen


def _why_no_test(head: Mapping[str, str], rows: Iterable[tuple[Result, Mapping[str, str]]]) -> tuple[str, str] | None:
    """The heading and the reason for which rows of CONS are no oedometer test that can be used."""
    cells = [row for _, row in rows]
    if head.get("CONG_TYPE", "").strip().upper() != OEDOMETER:
        return "CONG_TYPE", f"no test of the type {OEDOMETER} in CONG, not used"
    if not all(row["CONS_INCF"] for row in cells):
        return "CONS_INCF", "blank in the test, which is not used"
    if not _has_void_ratios(head.get("CONG_IVR", ""), cells) and not any(row.get("CONS_INMV") for row in cells):
        return "CONS_INCE", "neither void ratios (with CONG_IVR) nor CONS_INMV in the test, which is not used"
    return None


def _has_void_ratios(initial: str, rows: Iterable[Mapping[str, str]]) -> bool:
    return bool(initial.strip()) and all(row.get("CONS_INCE") for row in rows)


def _loads(
    reader: _Reader, rows: Iterable[tuple[Result, dict[str, str]]], factors: Mapping[str, Fraction | None],
    known: Mapping[str, float],
) -> Iterator[Result]:  # fmt: skip
    """The rows of a test with the numbers that its moduli follow from: m_v of rising stress alone."""
    stress, end = 0.0, ""
    for first, row in rows:
        reached = reader.number(first.row, "CONS_INCF", row["CONS_INCF"], "stress", factors["CONS_INCF"]) or 0.0
        start = row.get("CONS_IVR", "")
        if known and not _agree(start, end):
            must = f"be CONS_INCE of the row before within their last digits, {end}"
            reader.refuse(first.row, "CONS_IVR", must, show(start))
        headings = ("CONS_IVR", "CONS_INCE") if known else ("CONS_INMV",) if reached > stress else ()
        values = {
            name: reader.number(first.row, heading, row[heading], name, factors[heading])
            for heading in headings if row.get(heading) and (name := OF_INCREMENT[heading])
        }  # fmt: skip
        yield replace(first, values={"stress": reached, **known, **_without_empty(values)})
        stress, end = reached, row.get("CONS_INCE", "")


def _agree(number: str, other: str) -> bool:
    """Whether two numbers are the same within their last digits; what is none is not compared."""
    if not (_NUMBER.fullmatch(number) and _NUMBER.fullmatch(other)):
        return True
    return abs(Decimal(number) - Decimal(other)) <= _half_digit(number) + _half_digit(other)

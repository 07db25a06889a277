"""The cut list of a plan: sleeves by type with class, box and rolls, its sheet, and its files."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil

import numpy as np

from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.quantities import sleeve_length
from calc.formulas.sleeve_cuts import gap_of_cutting, waste_of_classes, waste_of_cutting
from calc.inputs import Design
from calc.inputs.tables.plan import SleeveCuts
from calc.site.plan.column_list import Column, ColumnList
from calc.site.plan.setting_out import headings
from calc.site.sleeves.boxes import boxes
from calc.site.sleeves.cutting import CutPlan, cut_rolls
from calc.site.sleeves.length_classes import Classes, length_classes
from calc.site.whole_files import table

say = words_of(__name__)

HEAD = ("point", "type", "needed", "length", "class", "box")
ROLL_HEAD = ("type", "rolls", "roll", "pieces", "rest")


@dataclass(frozen=True)
class CutSleeve:
    """The sleeve of a column: what it needs (m), the length that it is made in, its class from 1, its box."""

    column: Column
    type: str
    needed: float
    length: float
    number: int
    box: str


@dataclass(frozen=True)
class SleeveType:
    """All sleeves of one type: classes, cuts, and the sheet with their waste."""

    name: str
    classes: Classes
    cuts: CutPlan
    sheet: Sheet


@dataclass(frozen=True)
class CutList:
    """The sleeves of a plan in the order of the ids, and their types."""

    sleeves: tuple[CutSleeve, ...]
    types: tuple[SleeveType, ...]


def cut_list(design: Design, given: SleeveCuts, listed: ColumnList, seconds: float) -> CutList:
    """Class, box and cuts of every sleeve; raises ``CuttingError`` where a sleeve is longer than every roll."""
    columns, needed = listed.columns, _needed_lengths(design, listed.columns)
    types = [column.sleeve_type for column in columns]
    packed = boxes(columns, given)
    sleeves: list[CutSleeve | None] = [None] * len(columns)
    made = []
    for name in dict.fromkeys(types):
        own = [k for k, kind in enumerate(types) if kind == name]
        classes = length_classes(needed[own], given.classes, given.step)
        cuts = cut_rolls(classes.lengths, classes.counts, given.roll, given.cut_loss, seconds)
        for place, k in enumerate(own):
            number = int(classes.of[place])
            sleeves[k] = CutSleeve(columns[k], name, float(needed[k]), classes.lengths[number], number + 1,
                                 packed[k])  # fmt: skip
        made.append(SleeveType(name, classes, cuts, _sheet(name, float(needed[own].sum()), classes, cuts)))
    return CutList(tuple(sleeve for sleeve in sleeves if sleeve is not None), tuple(made))


def _needed_lengths(design: Design, columns: Sequence[Column]) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """Length of sleeve that every column needs, with the allowances of its section, m."""
    needed = np.zeros(len(columns))
    for section in design.stated:
        own = np.array([column.section == section.key for column in columns])
        if not own.any():
            continue
        given = section.construction.quantities if section.construction else None
        assert given is not None  # noqa: S101 - the rules of the inputs ask for it
        lengths = np.array([column.length for column in columns])[own]
        needed[own] = sleeve_length(L_c=lengths, l_top=given.sleeve_top, l_toe=given.sleeve_toe)
    return needed


def _sheet(name: str, needed: float, classes: Classes, cuts: CutPlan) -> Sheet:
    """Waste of a type by classes and by cutting."""
    sheet = Sheet(section=name, key="sleeves")
    for symbol, value in (("N_slc", float(len(classes.of))), ("l_need", needed), ("l_cls", classes.metres),
                          ("l_roll", cuts.metres), ("l_bd", cuts.bound)):  # fmt: skip
        sheet.reading(symbol, value, title=say(f"reading-{symbol}"))
    sheet(waste_of_classes)
    sheet(waste_of_cutting)
    sheet(gap_of_cutting)
    return sheet.finish()


def cut_files(made: CutList, listed: ColumnList) -> Mapping[str, bytes]:
    """The cut list and the cuts of the rolls as CSV."""
    rows = [(sleeve.column.id, sleeve.type, metres(sleeve.needed), metres(sleeve.length), str(sleeve.number),
             sleeve.box)
            for sleeve in made.sleeves]  # fmt: skip
    cuts = [
        (kind.name, str(pattern.rolls), metres(pattern.roll), pieces_text(kind, pattern.pieces), metres(rest(kind, k)))
        for kind in made.types for k, pattern in enumerate(kind.cuts.patterns)
    ]  # fmt: skip
    about = headings(listed)
    return {"sleeves.csv": table(HEAD, rows, about), "sleeve-rolls.csv": table(ROLL_HEAD, cuts, about)}


def metres(length: float) -> str:
    """A length in m to the centimetre, or to the millimetre where it has some; never shorter than it is."""
    millimetres = ceil(1000 * length - 1e-6)
    return f"{millimetres / 1000:.{3 if millimetres % 10 else 2}f}"


def pieces_text(kind: SleeveType, pieces: Sequence[int]) -> str:
    """The sleeves of a pattern, such as "12 x 8.20 m + 1 x 6.10 m"."""
    return " + ".join(f"{count} x {metres(length)} m"
                      for count, length in zip(pieces, kind.classes.lengths, strict=True) if count)  # fmt: skip


def rest(kind: SleeveType, place: int) -> float:
    """What a pattern leaves of its roll without the losses of cutting, m."""
    pattern = kind.cuts.patterns[place]
    return pattern.roll - sum(
        count * length for count, length in zip(pattern.pieces, kind.classes.lengths, strict=True)
    )


def boxes_of(made: CutList) -> list[tuple[str, int, str]]:
    """Every box with the number of its sleeves, and its first and last column."""
    rows = []
    for name, own in groupby(made.sleeves, lambda sleeve: sleeve.box):
        sleeves = list(own)
        rows.append((name, len(sleeves), f"{sleeves[0].column.id} – {sleeves[-1].column.id}"))
    return rows

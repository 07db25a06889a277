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
    columns, needed = listed.columns, _needed(design, listed.columns)
    types = [one.sleeve_type for one in columns]
    packed = boxes(columns, given)
    found: list[CutSleeve | None] = [None] * len(columns)
    made = []
    for name in dict.fromkeys(types):
        own = [k for k, one in enumerate(types) if one == name]
        classes = length_classes(needed[own], given.classes, given.step)
        cuts = cut_rolls(classes.lengths, classes.counts, given.roll, given.cut_loss, seconds)
        for place, k in enumerate(own):
            number = int(classes.of[place])
            found[k] = CutSleeve(columns[k], name, float(needed[k]), classes.lengths[number], number + 1,
                                 packed[k])  # fmt: skip
        made.append(SleeveType(name, classes, cuts, _sheet(name, float(needed[own].sum()), classes, cuts)))
    return CutList(tuple(one for one in found if one is not None), tuple(made))


def _needed(design: Design, columns: Sequence[Column]) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """Length of sleeve that every column needs, with the allowances of its section, m."""
    found = np.zeros(len(columns))
    for section in design.stated:
        own = np.array([one.section == section.key for one in columns])
        if not own.any():
            continue
        given = section.construction.quantities if section.construction else None
        assert given is not None  # noqa: S101 - the rules of the inputs ask for it
        lengths = np.array([one.length for one in columns])[own]
        found[own] = sleeve_length(L_c=lengths, l_top=given.sleeve_top, l_toe=given.sleeve_toe)
    return found


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
    rows = [(one.column.id, one.type, metres(one.needed), metres(one.length), str(one.number), one.box)
            for one in made.sleeves]  # fmt: skip
    cuts = [
        (kind.name, str(one.rolls), metres(one.roll), pieces_text(kind, one.pieces), metres(rest(kind, k)))
        for kind in made.types for k, one in enumerate(kind.cuts.patterns)
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
    one = kind.cuts.patterns[place]
    return one.roll - sum(count * length for count, length in zip(one.pieces, kind.classes.lengths, strict=True))


def boxes_of(made: CutList) -> list[tuple[str, int, str]]:
    """Every box with the number of its sleeves, and its first and last column."""
    found = []
    for name, own in groupby(made.sleeves, lambda one: one.box):
        sleeves = list(own)
        found.append((name, len(sleeves), f"{sleeves[0].column.id} – {sleeves[-1].column.id}"))
    return found

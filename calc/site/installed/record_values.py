"""The fields of a record from the cells of a row: values in kN, m, kPa, rad, day, or all that is wrong with them."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import floor, pi, tan
from typing import Any

from calc.engine.words import words_of
from calc.inputs.reading.scalars import show
from calc.inputs.tables.installed import RATIO, TEXT, TIME, YES_NO, Installed, unit_factor
from calc.site.rows.cell_values import Array, CellWords, bare, moment, number, numbers, text_of, truth
from calc.site.rows.row_files import Cells, RowError

say = words_of(__name__)

POSITIVE = {"length", "diameter", "volume", "sleeve_length"}
NEVER_NEGATIVE = {"depth", "placed", "interruption", "inclination"}
WITH_CLOCK = {"start", "end"}
ANY_DAY = 20_000.0  # in place of a date that is none, so that only what is wrong of itself is told of times


@dataclass(frozen=True)
class Field:
    """A field of a mapping and where it stands: name, head, kind, unit, place in a row."""

    name: str
    head: str
    kind: str
    unit: str
    place: int

    @cached_property
    def label(self) -> str:
        """The field with the words at the head of its column."""
        return say("label", name=self.name, head=show(self.head))

    @cached_property
    def factor(self) -> float:
        """What its numbers are multiplied by."""
        return unit_factor(self.kind, self.unit)


Fields = Mapping[str, Field]


class Values:
    """Reads cells by the words of a mapping."""

    def __init__(self, installed: Installed, latest: dt.date) -> None:
        """``latest`` is the last day that anything can have been recorded on."""
        self.after = float((latest - dt.date(1970, 1, 1)).days + 1)
        self.words = CellWords(installed.decimal, installed.date_form, installed.time_zone, installed.yes, installed.no)

    def row(
        self, fields: Fields, cells: Cells, needed: Sequence[str], signs: Mapping[str, str] | None = None
    ) -> dict[str, Any]:  # fmt: skip
        """What a row says, without empty cells; ``RowError`` with everything that is wrong with it.

        ``needed`` are fields that are not to be empty, ``signs`` names those whose sign is that of another name.
        """
        made, wrong = dict[str, Any](), list[str]()
        day: float | None = None
        for field in sorted(fields.values(), key=lambda field: field.name != "date"):
            try:
                value = self.value(field, cells[field.place], day, (signs or {}).get(field.name, field.name))
            except RowError as error:
                wrong.append(str(error))
                day = ANY_DAY if field.name == "date" else day
                continue
            if value is not None:
                made[field.name] = value
            elif field.name in needed:
                wrong.append(say("empty", name=field.label))
            day = made.get("date", day)
        if wrong:
            raise RowError("; ".join(wrong))
        return made

    def value(self, field: Field, cell: Any, day: float | None = None, sign: str = "") -> Any:
        """What a cell says; None where it is empty. ``RowError`` where it does not say it."""
        cell = bare(cell)
        if cell is None:
            return None
        if field.kind == TEXT:
            return text_of(field.label, cell)
        if field.kind == TIME:
            value = moment(field.label, cell, self.words, day, clock=field.name in WITH_CLOCK)
            if value >= self.after:
                raise RowError(say("later-date", name=field.label, got=show(str(cell))))
            return float(floor(value)) if field.name == "date" else value
        if field.kind == YES_NO:
            return truth(field.label, cell, self.words)
        return self.number(field, cell, sign or field.name)

    def number(self, field: Field, cell: Any, sign: str) -> float:
        """A number inside, in kN, m, kPa, rad, day; an angle of inclination as its tangent."""
        value = number(field.label, cell, self.words.decimal) * field.factor
        if field.kind == RATIO and field.unit in {"deg", "rad"}:
            if not abs(value) < pi / 2:
                raise RowError(say("angle", name=field.label, got=show(str(cell))))
            value = tan(value)
        if sign in POSITIVE and value <= 0:
            raise RowError(say("positive", name=field.label, got=show(str(cell))))
        if sign in NEVER_NEGATIVE and value < 0:
            raise RowError(say("negative", name=field.label, got=show(str(cell))))
        return value

    def numbers(self, field: Field, cells: Sequence[Any]) -> Array | None:
        """The numbers of many plain cells at once; None where one of them has to be looked at alone."""
        array = numbers(cells, self.words.decimal)
        return None if array is None else array * field.factor

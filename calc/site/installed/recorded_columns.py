"""Records beside the columns of the plan: an array for every field, which columns are there, which are missing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from calc.formulas.column_records import theoretical_fill
from calc.formulas.geometry import column_area
from calc.inputs.tables.installed import InstallationLimits, Installed
from calc.site.installed.missing_columns import missing_columns
from calc.site.installed.record_files import Record, Records
from calc.site.plan.column_layout import Array, Marks, Whole
from calc.site.plan.write_plan import MadePlan


@dataclass(frozen=True)
class Compared:
    """The columns of the plan in the order of its layout, each with its record where there is one."""

    made: MadePlan
    installed: Installed
    records: Records
    ids: tuple[str, ...]
    own: tuple[Record | None, ...]
    has: Marks
    missing: Marks
    """Without a record where the area is finished or the work went past."""

    @property
    def limits(self) -> InstallationLimits:
        """What is asked; nothing without the table."""
        return self.installed.limits or InstallationLimits(source="-")

    @property
    def open(self) -> Marks:
        """Columns that are not installed yet."""
        found: Marks = ~self.has & ~self.missing
        return found

    @cached_property
    def mapped(self) -> frozenset[str]:
        """Fields that the files have."""
        return frozenset(one.field_name for one in self.installed.column)

    def number(self, name: str) -> Array:
        """A field of every column, nan where there is none."""
        nan = float("nan")
        return np.array([nan if one is None else one.values.get(name, nan) for one in self.own], dtype=np.float64)

    def texts(self, name: str) -> list[Any]:
        """The same of texts, None where there is none."""
        return [None if one is None else one.values.get(name) for one in self.own]

    def planned(self, name: str) -> Array:
        """A number of the plan for every column."""
        return np.array([getattr(one, name) for one in self.made.columns], dtype=np.float64)

    @cached_property
    def plug(self) -> Array:
        """Length of the plug of every column, m."""
        lengths = []
        for area in self.made.layout.areas:
            plug = area.section.plug
            lengths.append(plug.length or 0.0 if plug is not None and plug.needed else 0.0)
        return np.array(lengths)[self.made.layout.columns.area]

    @cached_property
    def length(self) -> Array:
        """Length as built: as recorded, else from the head of the plan to the toe as built, else nan."""
        recorded = self.number("length")
        found: Array = np.where(np.isnan(recorded), self.planned("head") - self.number("toe_level"), recorded)
        return found

    @cached_property
    def theory(self) -> Array:
        """Theoretical volume of the fill with the diameter of the plan; of the plan's length where none is known."""
        length = np.where(np.isnan(self.length), self.planned("length"), self.length)
        found: Array = theoretical_fill(A_c=column_area(d_c=self.planned("diameter")), L_ab=length, L_pl=self.plug)
        return found

    @cached_property
    def begun(self) -> Array:
        """Start of every column, or its date, or its end; days from 1970-01-01."""
        start, day, end = (self.number(name) for name in ("start", "date", "end"))
        found: Array = np.where(np.isnan(start), np.where(np.isnan(day), end, day), start)
        return found


def compare(made: MadePlan, installed: Installed, records: Records) -> Compared:
    """Put the records beside the columns of the plan."""
    ids = made.identity.ids
    own = tuple(records.counted.get(one) for one in ids)
    has = np.array([one is not None for one in own], dtype=bool)
    bare = Compared(made, installed, records, ids, own, has, np.zeros(len(has), dtype=bool))
    laid = made.layout.columns
    letters = np.array([one.given.letter in installed.finished for one in made.layout.areas], dtype=bool)
    beyond = made.layout.beyond
    bounds = np.column_stack([beyond.easting, beyond.northing]) - middle_of(made)
    scale = np.maximum(laid.spacing, laid.distance) * made.plan.scale_factor
    passed = missing_columns(places_of(made), scale, bounds, has, bare.begun, bare.texts("rig"))
    return replace(bare, missing=~has & (letters[laid.area] | passed))


def places_of(made: MadePlan) -> Array:
    """Places of the plan in the grid, from their middle, so that nothing is lost in large coordinates; m."""
    laid = made.layout.columns
    return np.column_stack([laid.easting, laid.northing]) - middle_of(made)


def middle_of(made: MadePlan) -> Array:
    """The middle of the columns in the grid, m."""
    laid = made.layout.columns
    return np.array([round(float(laid.easting.mean())), round(float(laid.northing.mean()))], dtype=np.float64)


def places_as_built(one: Compared) -> Array:
    """Places as built from the same middle; nan where there is none."""
    return np.column_stack([one.number("easting"), one.number("northing")]) - middle_of(one.made)


def index_of(ids: Sequence[str], places: Mapping[str, int]) -> Whole:
    """Where ids stand; -1 for those that are unknown."""
    return np.array([places.get(one, -1) for one in ids], dtype=np.int64)

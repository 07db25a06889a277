"""Records beside the columns of the plan: an array for every field, which columns are there, which are missing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from calc.formulas.column_records import theoretical_fill
from calc.formulas.geometry import column_area
from calc.inputs.tables.installed import CRITERION, EITHER, InstallationLimits, Installed
from calc.site.installed.missing_columns import missing_columns
from calc.site.installed.record_files import Record, Records
from calc.site.plan.column_layout import Array, Marks, Whole
from calc.site.plan.toe_levels import floats, of_columns
from calc.site.plan.write_plan import MadePlan

HAIR = 1e-9
APART, FEW = 180.0, 0.01  # days from all others, and of the columns at most: days that are a slip, project rule
MANIFOLD = 2.0  # of the length or diameter of the plan, beyond which a record is taken for a slip: project rule


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
        left: Marks = ~self.has & ~self.missing
        return left

    @cached_property
    def mapped(self) -> frozenset[str]:
        """Fields that the files have."""
        return frozenset(column.field_name for column in self.installed.column)

    def number(self, name: str) -> Array:
        """A field of every column, nan where there is none."""
        nan = float("nan")
        return np.array(
            [nan if record is None else record.values.get(name, nan) for record in self.own], dtype=np.float64
        )

    def texts(self, name: str) -> list[Any]:
        """The same of texts, None where there is none."""
        return [None if record is None else record.values.get(name) for record in self.own]

    def planned(self, name: str) -> Array:
        """A number of the plan for every column."""
        return np.array([getattr(column, name) for column in self.made.columns], dtype=np.float64)

    @cached_property
    def plug(self) -> Array:
        """Length of the plug of every column, m; nan where there is one of which it is not known."""
        lengths = []
        for area in self.made.layout.areas:
            plug = area.section.plug
            known = float("nan") if plug is None or plug.length is None else plug.length
            lengths.append(known if plug is not None and plug.needed else 0.0)
        return np.array(lengths)[self.made.layout.columns.area]

    @cached_property
    def implausible(self) -> dict[str, tuple[Marks, Array, Array]]:
        """By field the records that cannot be of this column, the values, and the limits that they lie beyond."""
        beyond = {}
        length, head, diameter = self.planned("length"), self.planned("head"), self.planned("diameter")
        for name, least, most in (("toe_level", head - MANIFOLD * length, head), ("length", None, MANIFOLD * length),
                                  ("diameter", diameter / MANIFOLD, MANIFOLD * diameter)):  # fmt: skip
            values = self.number(name)
            low = np.zeros(len(values), dtype=bool) if least is None else values < least - HAIR
            high = values > most + HAIR if name != "toe_level" else values > most - HAIR
            beyond[name] = low | high, values, np.where(high, most, 0.0 if least is None else least)
        return beyond

    def credible(self, name: str) -> Array:
        """A field of every column, nan where there is none and where the value cannot be of this column."""
        values: Array = np.where(self.implausible[name][0], np.nan, self.number(name))
        return values

    @cached_property
    def toe(self) -> Array:
        """Level of the toe as built: as recorded, else by the length below the head of the plan, else nan."""
        recorded = self.credible("toe_level")
        toes: Array = np.where(np.isnan(recorded), self.planned("head") - self.credible("length"), recorded)
        return toes

    @cached_property
    def length(self) -> Array:
        """Length as built: as recorded, else from the head of the plan to the toe as built, else nan."""
        recorded = self.credible("length")
        lengths: Array = np.where(np.isnan(recorded), self.planned("head") - self.toe, recorded)
        return lengths

    @cached_property
    def theory(self) -> Array:
        """Theoretical volume of the fill with the diameter of the plan and the length as built; nan without one."""
        volumes: Array = theoretical_fill(
            A_c=column_area(d_c=self.planned("diameter")), L_ab=self.length, L_pl=self.plug
        )
        return np.where(volumes > 0, volumes, np.nan)

    @cached_property
    def met(self) -> Marks:
        """Columns whose toe is accepted by the criterion: it was met, no higher than is allowed for it."""
        met = np.array([value is True for value in self.texts("criterion")], dtype=bool)
        most = self.limits.criterion_high
        if self.limits.toe_by not in {CRITERION, EITHER} or most is None:
            return np.zeros(len(met), dtype=bool)
        accepted: Marks = met & (self.higher <= most + HAIR)
        return accepted

    @cached_property
    def higher(self) -> Array:
        """How far toes are above the plan (below: negative), m; nan where it is not known."""
        heights: Array = self.toe - self.planned("toe")
        return heights

    @cached_property
    def deeper(self) -> Array:
        """How far the soft layers reach below those of the design, m (less: negative): of every column.

        They reach as far as the plan has them, which follows soundings, farther where the toe went deeper, and less
        where the criterion accepts a higher toe.
        """
        plan = self.planned("toe")
        bottom = np.where(self.met, self.toe, np.fmin(self.toe, plan))
        depths: Array = self.made.levels.design_toe - bottom
        return depths

    @cached_property
    def floating(self) -> Marks:
        """Columns that do not reach the bearing layer of the plan: not met, and higher than the embedment."""
        areas, columns = self.made.layout.areas, self.made.layout.columns
        embedment = of_columns(areas, columns, lambda area, zone: area.section.columns.embedment_of(zone))
        depth = np.where(floats(areas, columns), np.inf, embedment)
        floating: Marks = self.has & ~self.met & (np.nan_to_num(self.higher) > depth + HAIR)
        return floating

    @cached_property
    def _recorded_begin(self) -> Array:
        start, day, end = (self.number(name) for name in ("start", "date", "end"))
        begins: Array = np.where(np.isnan(start), np.where(np.isnan(day), end, day), start)
        return begins

    @cached_property
    def stray(self) -> Marks:
        """Columns whose day stands apart from those of nearly all others: a slip in a year or a month."""
        days = self._recorded_begin
        stray: Marks = np.zeros(len(days), dtype=bool)
        order = np.argsort(days, kind="stable")[: int(np.isfinite(days).sum())]
        parts = np.split(order, np.flatnonzero(np.diff(days[order]) > APART) + 1)
        for part in parts:
            stray[part] = len(parts) > 1 and len(part) <= max(1.0, FEW * len(order)) and len(order) > 2 * len(part)
        return stray

    @cached_property
    def begun(self) -> Array:
        """Start of every column, or its date, or its end, where it is plausible; days from 1970-01-01."""
        begins: Array = np.where(self.stray, np.nan, self._recorded_begin)
        return begins


def compare(made: MadePlan, installed: Installed, records: Records) -> Compared:
    """Put the records beside the columns of the plan."""
    ids = made.identity.ids
    own = tuple(records.counted.get(name) for name in ids)
    has = np.array([record is not None for record in own], dtype=bool)
    bare = Compared(made, installed, records, ids, own, has, np.zeros(len(has), dtype=bool))
    laid = made.layout.columns
    letters = np.array([area.given.letter in installed.finished for area in made.layout.areas], dtype=bool)
    beyond = (made.layout.beyond, *(out for _, out in made.layout.left_out))
    bounds = np.concatenate([np.column_stack([part.easting, part.northing]) for part in beyond]) - middle_of(made)
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


def places_as_built(compared: Compared) -> Array:
    """Places as built from the same middle; nan where there is none."""
    return np.column_stack([compared.number("easting"), compared.number("northing")]) - middle_of(compared.made)


def index_of(ids: Sequence[str], places: Mapping[str, int]) -> Whole:
    """Where ids stand; -1 for those that are unknown."""
    return np.array([places.get(name, -1) for name in ids], dtype=np.int64)

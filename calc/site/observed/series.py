"""Readings as series: one for each place, counted from zero, with outliers marked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import Instrument
from calc.inputs.tables.observed import BY_DEPTH, FILL, Observed, ObservedInstrument, quantity_of
from calc.site.observed.reading_rows import Reading

Floats = NDArray[np.float64]
Marks = NDArray[np.bool_]

NORMAL = 1.4826  # standard deviation over median absolute deviation, of a normal distribution
FAR = 6.0  # standard deviations from the neighbours, from which a reading is an outlier: project rule
SAME_DAY = 0.5  # day; readings of two places within it are of one time
FEWEST = 5  # readings of a series in which outliers are looked for
FLOOR = 0.002  # of the range of a series: what is nearer to its neighbours is no outlier


@dataclass(frozen=True)
class Series:
    """The readings of one place in the order of time, in kN, m, kPa, rad, day, counted from zero.

    ``names`` are the instruments in the order in which one replaced the other. ``depth`` is below the ground (m),
    ``kind`` the name of its instruments in the plan; ``conflicts`` are the days of two values at one time, ``shared``
    those of outliers on which another place has one, too.
    """

    section: str
    kind: str
    quantity: str
    names: tuple[str, ...]
    offset: float
    depth: float | None
    days: Floats
    values: Floats
    remarks: tuple[str, ...]
    outliers: Marks
    conflicts: tuple[float, ...] = ()
    shared: tuple[float, ...] = ()

    @property
    def name(self) -> str:
        """The instrument that stood there first."""
        return self.names[0]

    @property
    def used(self) -> "Series":
        """The readings from the start of works on that are no outliers."""
        return self.chosen(~self.outliers & (self.days >= 0))

    @property
    def alone(self) -> Marks:
        """The outliers that no other place has one beside: only those may be slips of a reading."""
        alone: Marks = self.outliers & ~np.isin(self.days, self.shared)
        return alone

    def chosen(self, which: Marks) -> "Series":
        """Some of the readings."""
        remarks = tuple(remark for remark, kept in zip(self.remarks, which, strict=True) if kept)
        return replace(self, days=self.days[which], values=self.values[which], remarks=remarks,
                       outliers=self.outliers[which])  # fmt: skip

    def marked(self, expected_at: Callable[[Floats], Floats] | None) -> "Series":
        """The same with its outliers, seen from the course that is expected where there is one; the fill has none."""
        if self.quantity == FILL:
            return self
        beside = self.values
        if expected_at is not None:
            course = expected_at(np.maximum(self.days, 0.0))
            square = float(course @ course)
            beside = self.values - (float(course @ self.values) / square if square > 0 else 0.0) * course
        return replace(
            self, outliers=outliers(self.days, beside, float(np.ptp(self.values)) if self.days.size else 0.0)
        )


@dataclass(frozen=True, slots=True)
class Peak:
    """A day on which readings of several places are outliers together: a load or an event until it is told apart."""

    day: float
    names: tuple[str, ...]


def common_peaks(series: Sequence[Series]) -> tuple[tuple[Series, ...], tuple[Peak, ...]]:
    """The series with the days that they share outliers on, and these days with the places that have them."""
    marked = sorted(
        (float(day), instrument.name)
        for instrument in series
        for day in instrument.days[instrument.outliers & (instrument.days >= 0)]
    )
    groups: list[list[tuple[float, str]]] = []
    for at in marked:
        if groups and at[0] - groups[-1][-1][0] <= SAME_DAY:
            groups[-1].append(at)
        else:
            groups.append([at])
    peaks = tuple(Peak(group[0][0], tuple(dict.fromkeys(name for _, name in group)))
                  for group in groups if len({name for _, name in group}) > 1)  # fmt: skip
    days = {at for group in groups if len({name for _, name in group}) > 1 for at in group}
    return tuple(replace(instrument, shared=tuple(day for day, name in sorted(days) if name == instrument.name))
                 for instrument in series), peaks  # fmt: skip


def outliers(days: Floats, values: Floats, whole: float) -> Marks:
    """Readings that lie far from the line between their neighbours, and from those of the two before and after.

    ``whole`` is the range of the readings. Both ends have one neighbour and are never marked.
    """
    marks = np.zeros(len(days), dtype=bool)
    later = np.diff(days, prepend=-np.inf) > 0
    if not later.all():  # an instrument and the one in its place, read at one time
        marks[later] = outliers(days[later], values[later], whole)
        return marks
    if len(days) < FEWEST:
        return marks
    bends = values[1:-1] - _line(days[1:-1], days[:-2], values[:-2], days[2:], values[2:])
    limit = max(FAR * NORMAL * float(np.median(np.abs(bends))), FLOOR * whole)
    away = np.abs(bends)
    # Where a rate changes a reading leaves the line of its neighbours, too, but never both of them; and one beside an
    # outlier lies on the line of those on its other side.
    rise = np.diff(values)
    away = np.where(rise[:-1] * rise[1:] < 0, away, 0.0)
    after = np.abs(values[1:-2] - _line(days[1:-2], days[2:-1], values[2:-1], days[3:], values[3:]))
    before = np.abs(values[2:-1] - _line(days[2:-1], days[:-3], values[:-3], days[1:-2], values[1:-2]))
    away[:-1] = np.minimum(away[:-1], after)
    away[1:] = np.minimum(away[1:], before)
    marks[1:-1] = away > limit
    return marks


def _line(at: Floats, x1: Floats, y1: Floats, x2: Floats, y2: Floats) -> Floats:
    """Values at places of the straight lines through two points each."""
    return np.asarray(y1 + (at - x1) / (x2 - x1) * (y2 - y1))


def instrument_quantities(design: Design, observed: Observed) -> dict[str, str]:
    """What every instrument of the mapping reads."""
    return {instrument.name: quantity_of(_kind(design, instrument)) for instrument in observed.instruments}


def _section(design: Design, instrument: ObservedInstrument) -> Section:
    return next(section for section in design.stated if section.key == instrument.section)


def _kind(design: Design, instrument: ObservedInstrument) -> Instrument | None:
    plan = _section(design, instrument).monitoring
    return next(
        (kind for kind in (plan.instruments if plan else ()) if kind.name == instrument.of and instrument.of != FILL),
        None,
    )


def series_of(
    design: Design, observed: Observed, readings: Sequence[Reading], conflicts: Sequence[tuple[str, float]]
) -> list[Series]:
    """The series of every place of the mapping in its order; one without a reading is empty.

    ``conflicts`` are instruments and days of two values at one time.
    """
    known = {instrument.name: instrument for instrument in observed.instruments}
    later = {instrument.replaced_by for instrument in observed.instruments}
    by_name: dict[str, list[Reading]] = {}
    for reading in readings:
        by_name.setdefault(reading.instrument, []).append(reading)
    every = []
    for first in observed.instruments:
        if first.name in later:
            continue
        chain = [first]
        while chain[-1].replaced_by is not None:
            chain.append(known[chain[-1].replaced_by])
        days = sorted(day for name, day in conflicts if name in {instrument.name for instrument in chain})
        every.append(replace(_series(design, observed, chain, by_name), conflicts=tuple(days)))
    return every


def _series(
    design: Design, observed: Observed, chain: Sequence[ObservedInstrument], by_name: dict[str, list[Reading]]
) -> Series:  # fmt: skip
    first, kind = chain[0], _kind(design, chain[0])
    quantity = quantity_of(kind)
    rows = [(reading.day, reading_from_zero(instrument, observed, reading), k, reading.remark)
            for k, instrument in enumerate(chain) for reading in by_name.get(instrument.name, [])]  # fmt: skip
    rows.sort(key=lambda row: (row[0], row[2]))
    offset = first.offset
    if offset is None:
        offset = kind.offsets[0] if kind is not None and len(kind.offsets) == 1 else 0.0
    return Series(
        first.section, first.of, quantity, tuple(instrument.name for instrument in chain), offset,
        _depth(design, first, kind),
        np.array([row[0] for row in rows]), np.array([row[1] for row in rows]),
        tuple(row[3] for row in rows), np.zeros(len(rows), dtype=bool),
    )  # fmt: skip


def reading_from_zero(instrument: ObservedInstrument, observed: Observed, reading: Reading) -> float:
    """A reading from its zero, with the changes of datum up to its day, growing as the quantity grows."""
    value = reading.value - (instrument.zero.value or 0.0 if instrument.zero else 0.0)
    for change in instrument.datum:
        if reading.day >= (change.date - observed.start).days:
            value += change.change.value or 0.0
    return -value if instrument.falls else value


def _depth(design: Design, instrument: ObservedInstrument, kind: Instrument | None) -> float | None:
    """Depth below the ground, of what has one; the middle of a layer that is named."""
    if kind is None or kind.quantity not in BY_DEPTH:
        return None
    if instrument.depth is not None:
        return instrument.depth
    if instrument.layer is None and kind.depths:
        return float(kind.depths[0])
    key, top = instrument.layer or kind.layers[0], 0.0
    for layer in _section(design, instrument).soft_layers:
        if layer.key == key:
            return top + layer.thickness / 2
        top += layer.thickness
    return None

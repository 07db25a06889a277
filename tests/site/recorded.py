"""Installation records of a planned project: without a fault, or changed in one place."""

import csv
import datetime as dt
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil
from pathlib import Path
from random import Random

from calc.site.plan.column_list import Column
from tests.site.planned import QUANTITIES

COLUMNS = (
    QUANTITIES
    + """
[installed]
date_form = "day.month.year"
decimal = ","
time_zone = "+01:00"
forecast_days = 5
column = [
    { field = "id", head = "Column" },
    { field = "rig", head = "Rig" },
    { field = "date", head = "Day" },
    { field = "start", head = "Start" },
    { field = "end", head = "End" },
    { field = "interruption", head = "Stop [min]", unit = "min" },
    { field = "easting", head = "E [m]", unit = "m" },
    { field = "northing", head = "N [m]", unit = "m" },
    { field = "inclination_x", head = "Incl. x [%]", unit = "%" },
    { field = "inclination_y", head = "Incl. y [%]", unit = "%" },
    { field = "toe_level", head = "Toe [m]", unit = "m" },
    { field = "criterion", head = "Criterion" },
    { field = "diameter", head = "Diameter [mm]", unit = "mm" },
    { field = "volume", head = "Fill [m3]", unit = "m^3" },
    { field = "sleeve", head = "Sleeve" },
    { field = "serial", head = "Serial" },
    { field = "sleeve_length", head = "Sleeve [m]", unit = "m" },
]
reading = [
    { field = "id", head = "Column" },
    { field = "depth", head = "Depth [m]", unit = "m" },
    { field = "volume", head = "Placed [m3]", unit = "m^3" },
]
"""
)
LIMITS = """
[installed.limits]
position = "0.10 m"
inclination = "0.04 m/m"
toe_by = "level or criterion"
toe_high = "0.10 m"
toe_low = "1.0 m"
criterion_high = "0.50 m"
length_short = "0.10 m"
length_long = "1.0 m"
diameter_least = "0.76 m"
diameter_most = "0.88 m"
volume_least = 1.0
volume_most = 1.4
depth_window = "1.0 m"
depth_least = 0.9
depth_most = 1.7
duration = "90 min"
interruption = "15 min"
neighbour_distance = "3.0 m"
neighbour_time = "10 min"
window = "5.0 m"
area_ratio = 0.05
source = "test"
"""
HEADS = ("Column", "Rig", "Day", "Start", "End", "Stop [min]", "E [m]", "N [m]", "Incl. x [%]", "Incl. y [%]",
         "Toe [m]", "Criterion", "Diameter [mm]", "Fill [m3]", "Sleeve", "Serial", "Sleeve [m]")  # fmt: skip
READING_HEADS = ("Column", "Depth [m]", "Placed [m3]")
A_DAY = 40
ALLOWANCES = 0.8  # m of sleeve at head and toe, as in the quantities
FIRST = dt.date(2026, 3, 2)


@dataclass(frozen=True)
class Row:
    """A record of a column in the units of the file."""

    id: str
    rig: str
    day: dt.date
    start: str
    end: str
    stop: str
    easting: float
    northing: float
    slant_x: float
    slant_y: float
    toe: float
    criterion: str
    diameter: float
    volume: float
    sleeve: str
    serial: str
    sleeve_length: float

    def cells(self) -> list[str]:
        """The cells of the row, as the mapping of the tests has them."""
        values = [self.id, self.rig, f"{self.day:%d.%m.%Y}", self.start, self.end, self.stop, f"{self.easting:.3f}",
                  f"{self.northing:.3f}", f"{self.slant_x:.2f}", f"{self.slant_y:.2f}", f"{self.toe:.2f}",
                  self.criterion, f"{self.diameter:.0f}", f"{self.volume:.3f}", self.sleeve, self.serial,
                  f"{self.sleeve_length:.2f}"]  # fmt: skip
        return [value.replace(".", ",") if k > 4 and k not in {11, 14, 15} else value for k, value in enumerate(values)]


Change = Callable[[Row], Row]


def faultless(columns: tuple[Column, ...], seed: int = 1) -> list[Row]:
    """A record for every column, within all limits of the tests: invented, with a seed."""
    chance, found = Random(seed), []  # noqa: S311 - invented records, no secret
    for k, one in enumerate(columns):
        place, day = k % A_DAY, FIRST + dt.timedelta(days=k // A_DAY)
        begins = 7 * 60 + 12 * place
        found.append(Row(
            one.id, f"R{1 + k // A_DAY % 2}", day, _clock(begins), _clock(begins + 10 + chance.randrange(2)), "0",
            one.easting + chance.uniform(-0.03, 0.03), one.northing + chance.uniform(-0.03, 0.03),
            chance.uniform(-1, 1), chance.uniform(-1, 1), one.toe - chance.uniform(0, 0.05), "yes",
            1000 * one.diameter + chance.uniform(0, 8),
            0.7854 * one.diameter**2 * (one.length + 0.1) * chance.uniform(1.1, 1.2), one.sleeve, f"S{k:06d}",
            one.length + ALLOWANCES + 0.1,
        ))  # fmt: skip
    return found


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def changed(rows: list[Row], changes: Mapping[int, Mapping[str, object]]) -> list[Row]:
    """The rows with some fields of some of them changed."""
    return [replace(row, **changes.get(k, {})) for k, row in enumerate(rows)]  # type: ignore[arg-type]


def readings(columns: tuple[Column, ...], rows: list[Row], step: float = 0.5) -> Iterator[tuple[str, float, float]]:
    """Readings in depth from the toe up, evenly filled to the volume of the record."""
    by_id = {one.id: one for one in columns}
    for row in rows:
        one = by_id.get(row.id)
        if one is None:
            continue
        deep, top = one.working_level - row.toe, one.working_level - one.head
        parts = max(ceil(round((deep - top) / step, 6)), 1)
        for k in range(parts + 1):
            yield row.id, deep + (top - deep) * k / parts, row.volume * k / parts


def records_file(rows: list[Row]) -> str:
    """The records as CSV."""
    return _csv(HEADS, [row.cells() for row in rows])


def readings_file(found: Iterator[tuple[str, float, float]]) -> str:
    """Readings as CSV."""
    return _csv(READING_HEADS, [[name, f"{depth:.2f}".replace(".", ","), f"{volume:.3f}".replace(".", ",")]
                                for name, depth, volume in found])  # fmt: skip


def _csv(heads: tuple[str, ...], rows: list[list[str]]) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=";", lineterminator="\n")
    writer.writerow(heads)
    writer.writerows(rows)
    return stream.getvalue()


def written(folder: Path, name: str, text: str) -> Path:
    """A file in a folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path

"""Values outside of what is usual: told, printed with the inputs, never altered."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from calc.inputs.reading import units
from calc.inputs.reading.kinds import Band, Table, band_of
from calc.inputs.reading.locate import Path
from calc.inputs.reading.provenance import single_values
from calc.inputs.reading.source import Source, dotted_path


@dataclass(frozen=True, slots=True)
class Caution:
    """A value outside its band: where it stands, what was typed, the band in words."""

    file: str
    line: int
    column: int
    path: Path
    typed: str
    usual: str

    @property
    def field(self) -> str:
        """The path of the value as it is printed."""
        return dotted_path(self.path)

    def __str__(self) -> str:
        return (
            f"{self.file}:{self.line}:{self.column}: {self.field}: caution: {self.typed} is used; usual is {self.usual}"
        )


def cautions(table: Table, source: Source, stands_at: Callable[[Path], Path]) -> Iterator[Caution]:
    """Every typed value of a table that lies outside its band."""
    for _, path, info, value in single_values(table, (), ""):
        band, at = band_of(info), stands_at(path)
        place = source.places.get(at)
        if band is not None and place is not None and _outside(band, value):
            words = f"{band.low} to {band.high} ({band.origin})"
            yield Caution(str(source.file), place.line, place.column, at, source.shown_text(at), words)


def _outside(band: Band, value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False  # a word, such as that of a coefficient at rest
    return not _inside(band.low) <= value <= _inside(band.high)


@cache
def _inside(end: str | float) -> float:
    if not isinstance(end, str):
        return float(end)
    number, unit = units.split(end)
    return float(number * units.factor_inside(unit))

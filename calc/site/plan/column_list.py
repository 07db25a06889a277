"""The list of columns: what every file and drawing of the plan says of each, and the checksum that binds them."""

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256

DIGITS = 16  # of the checksum that are printed


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the plan; places in the grid in m to the millimetre, levels and lengths in m to the centimetre."""

    id: str
    northing: float
    easting: float
    working_level: float
    head: float
    toe: float
    length: float
    diameter: float
    section: str
    zone: str
    sleeve: str
    nearest: float | None = None
    """Distance to the nearest investigation point on the ground, m; none where toes have the level of the section."""

    @property
    def description(self) -> str:
        """What the rig has to know beside the place."""
        zone = f" {self.zone}" if self.zone else ""
        known = "" if self.nearest is None else f", investigation point {self.nearest:.1f} m off"
        levels = f"head {self.head:.2f} toe {self.toe:.2f}"
        return f"{self.section}{zone} d{self.diameter:.2f} {levels} {self.sleeve}{known}"

    @property
    def canonical(self) -> str:
        """The line of the column in the list that the checksum is taken of."""
        return ";".join((
            self.id, f"{self.northing:.3f}", f"{self.easting:.3f}", f"{self.working_level:.2f}", f"{self.head:.2f}",
            f"{self.toe:.2f}", f"{self.length:.2f}", f"{self.diameter:.2f}", self.section, self.zone, self.sleeve,
        ))  # fmt: skip


@dataclass(frozen=True)
class ColumnList:
    """The columns of a plan by id, what they are measured in, and the ids that are never used again."""

    columns: tuple[Column, ...]
    head: Mapping[str, str]
    """Grid, height datum and so on, by the words under which files print them."""
    removed: tuple[str, ...] = ()
    new: tuple[str, ...] = ()

    @property
    def checksum(self) -> str:
        """The first digits of the SHA-256 of the canonical list: its head, then a line for each column."""
        return checksum_of(self.head, [column.canonical for column in self.columns])


def checksum_of(head: Mapping[str, str], lines: list[str]) -> str:
    """The checksum of a list that is given by its head and its lines."""
    text = "\n".join([*(f"{name}={value}" for name, value in head.items()), *lines]) + "\n"
    return sha256(text.encode("utf-8")).hexdigest()[:DIGITS]

"""The list of columns: what every file and drawing of the plan says of each, and the checksum that binds them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256

DIGITS = 16  # of the checksum that are printed


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the plan; places and working level in m to the millimetre, other levels to the centimetre."""

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
    sleeve_diameter: float
    """Diameter at which the sleeve becomes taut, m."""
    nearest: float | None = None
    """Distance to the nearest investigation point on the ground, m; none where toes have the level of the section."""

    @property
    def sleeve_size(self) -> str:
        """The diameter of the sleeve as printed."""
        return f"D {round(1000 * self.sleeve_diameter, 1):g} mm"

    @property
    def sleeve_type(self) -> str:
        """What a sleeve is made of and how wide: sleeves of one type are cut from the same rolls."""
        return f"{self.sleeve} {self.sleeve_size}"

    @property
    def description(self) -> str:
        """What the rig has to know beside the place."""
        zone = f" {self.zone}" if self.zone else ""
        levels = f"head {self.head:.2f} toe {self.toe:.2f}"
        return f"{self.section}{zone} d{self.diameter:.3g} {levels} {self.sleeve_type}"

    @property
    def canonical(self) -> str:
        """The line of the column in the list that the checksum is taken of."""
        return ";".join((
            self.id, f"{self.northing:.3f}", f"{self.easting:.3f}", f"{self.working_level:.3f}", f"{self.head:.2f}",
            f"{self.toe:.2f}", f"{self.length:.2f}", f"{self.diameter:.3f}", self.section, self.zone, self.sleeve_type,
        ))  # fmt: skip


@dataclass(frozen=True)
class ColumnList:
    """The columns of a plan in the order of their ids, what they are measured in, and ids that are never used again."""

    columns: tuple[Column, ...]
    head: Mapping[str, str]
    """Grid, height datum and so on, by the words under which files print them."""
    removed: tuple[str, ...] = ()
    new: tuple[str, ...] = ()

    @cached_property
    def checksum(self) -> str:
        """The first digits of the SHA-256 of the canonical list: head, a line for each column, ids not used again."""
        return checksum_of(self.head, [column.canonical for column in self.columns], self.removed)


def checksum_of(head: Mapping[str, str], lines: Iterable[str], removed: Iterable[str]) -> str:
    """The checksum of a list that is given by its head, its lines and the ids that are never used again."""
    parts = [*(f"{name}={value}" for name, value in head.items()), *lines, *(f"removed={name}" for name in removed)]
    text = "\n".join(parts) + "\n"
    return sha256(text.encode("utf-8")).hexdigest()[:DIGITS]

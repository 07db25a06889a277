"""What an earlier section has printed already: tables, figures and rows of tables that a later one only refers to."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field

ALIKE = 3  # rows of a table that need not print again


@dataclass(frozen=True, slots=True)
class Place:
    """A printed number and the name of its place on the pages."""

    number: str
    anchor: str


@dataclass
class Earlier:
    """Everything printed so far, by what it says; what it says must not hold the number of its own section."""

    _known: dict[Hashable, Place] = field(default_factory=dict)
    _rows: dict[Hashable, tuple[Place, set[tuple[str, ...]]]] = field(default_factory=dict)

    def place(self, what: Hashable, here: Place) -> Place | None:
        """Where the same was printed first; None where that is here."""
        first = self._known.setdefault(what, here)
        return None if first == here else first

    def rest(
        self, what: Hashable, rows: Sequence[Sequence[str]], here: Place
    ) -> tuple[Sequence[Sequence[str]], Place | None]:
        """The rows of a table that the first one of its kind has not, and its place where it has at least `ALIKE`.

        A table prints whole where the first has a row that it has not: that one would read as a row of both.
        """
        cells = {tuple(row) for row in rows}
        place, known = self._rows.setdefault(what, (here, cells))
        other = [row for row in rows if tuple(row) not in known]
        return (other, place) if place != here and known <= cells and len(known) >= ALIKE else (rows, None)

"""What an earlier section has printed already, so that a later one refers to it: tables and figures that are alike."""

from collections.abc import Hashable
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Place:
    """A printed number and the name of its place on the pages."""

    number: str
    anchor: str


@dataclass
class Earlier:
    """Everything printed so far, by what it says; what it says must not hold the number of its own section."""

    _known: dict[Hashable, Place] = field(default_factory=dict)

    def place(self, what: Hashable, here: Place) -> Place | None:
        """Where the same was printed first; None where that is here."""
        first = self._known.setdefault(what, here)
        return None if first == here else first

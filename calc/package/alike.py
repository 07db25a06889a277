"""What an earlier section has printed already, so that a later one refers to it instead of printing it again.

Only what stays the same is left out: equations, sources, notes, prose, drawings. Every line keeps its own numbers.
"""

from collections.abc import Hashable
from dataclasses import dataclass, field
from re import escape, sub

from markupsafe import Markup


@dataclass(frozen=True, slots=True)
class Place:
    """A printed number and the name of its place on the pages."""

    number: str
    anchor: str

    @property
    def line(self) -> int:
        """The last part of the number."""
        return int(self.number.rpartition(".")[2])

    def link(self) -> Markup:
        """A link to the place."""
        return Markup('<a class="step" href="#{}">{}</a>').format(self.anchor, self.number)


@dataclass
class Earlier:
    """Everything printed so far, by what it says; what it says must not hold the number of its own section."""

    _known: dict[Hashable, Place] = field(default_factory=dict)

    def place(self, what: Hashable, here: Place) -> Place | None:
        """Where the same was printed first; None where that is here."""
        first = self._known.setdefault(what, here)
        return None if first == here else first


def neutral(text: str, section: str) -> str:
    """A text of a section without tags and with its printed numbers as they would stand in any section."""
    return sub(rf"(?<![\w.]){escape(section)}\.(?=\d)", "§.", sub(r"<[^>]*>", "", text))


def span(first: Place, last: Place) -> str:
    """The numbers from one place to another of the same chapter: `A.4.3–9`."""
    return first.number if first == last else f"{first.number}–{last.line}"

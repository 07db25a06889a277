"""What the pages lean on: sources in the order of their use, and the register of evidence marks."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from calc.formula import EVIDENCE_MARKS, Evidence, Source
from calc.package.words import short_citation

MARK_WORDS = {
    "read": "the source was read",
    "memory": "recalled, the source was not seen: to be confirmed by the checker",
    "derived": "derived here from equilibrium, geometry or elasticity, or a rule of this project",
}


@dataclass
class Reference:
    """One source with everything that uses it."""

    number: int
    citation: str
    evidence: Evidence
    uses: list[str] = field(default_factory=list)

    @property
    def mark(self) -> str:
        """The margin mark."""
        return EVIDENCE_MARKS[self.evidence]

    @property
    def short(self) -> str:
        """The form for the margin."""
        return short_citation(self.citation)

    @property
    def anchor(self) -> str:
        """The place of the full citation."""
        return f"ref{self.number}"


@dataclass
class References:
    """Numbers sources as they come up."""

    known: dict[tuple[str, str], Reference] = field(default_factory=dict)

    def use(self, source: Source, where: str) -> Reference:
        """The reference of a source, with one more use noted."""
        key = (source.citation, source.evidence)
        found = self.known.setdefault(key, Reference(len(self.known) + 1, source.citation, source.evidence))
        found.uses.append(where)
        return found

    def __iter__(self) -> Iterator[Reference]:
        """All references in order."""
        return iter(self.known.values())

    def marked(self, evidence: str) -> list[Reference]:
        """The references of one kind of evidence."""
        return [one for one in self if one.evidence == evidence]


def ranges(numbers: list[str]) -> list[str]:
    """Step numbers on as few characters as possible: `A.4.3–5`, `A.4.9`, `B.4.3`."""
    groups: list[tuple[str, int, int]] = []
    for number in numbers:
        stem, _, last = number.rpartition(".")
        line = int(last)
        if groups and groups[-1][0] == stem and line == groups[-1][2] + 1:
            groups[-1] = (stem, groups[-1][1], line)
        elif not groups or groups[-1] != (stem, line, line):
            groups.append((stem, line, line))
    return [f"{stem}.{first}" + (f"–{last}" if last > first else "") for stem, first, last in groups]

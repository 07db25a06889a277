"""What the pages lean on: sources in the order of their use, and the register of evidence marks."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from re import search

from calc.chain import Run
from calc.engine.formula import EVIDENCE_MARKS, Evidence, Source
from calc.factors import FACTOR_NAMES, FactorSet
from calc.numbering import own_key
from calc.package.shown import short_citation

MARK_WORDS = {
    "confirmed": "seen in the second document that is named with it",
    "not inspected": "source not inspected: to be confirmed before anyone relies on it",
    "derived": "derived here from equilibrium, geometry, elasticity or the source named, or a rule of this project",
}
FACTOR_WORDS = {
    "gamma_G": "permanent actions",
    "gamma_Q": "variable actions",
    "gamma_G_fav": "favourable permanent actions",
    "gamma_phi": "friction",
    "gamma_c": "cohesion",
    "gamma_cu": "undrained strength",
    "gamma_gamma": "unit weight",
    "gamma_R_e": "resistance of slopes",
    "gamma_R_v": "bearing resistance",
    "gamma_R_h": "sliding resistance",
}


@dataclass
class Reference:
    """One source with the lines that use it."""

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
    def is_published(self) -> bool:
        """Whether it stands among the publications: also what was derived here from one that it names."""
        return names_publication(self.citation)

    @property
    def lines(self) -> str:
        """The lines that use it; none for what names no publication, whose lines bear its number."""
        if not self.is_published:
            return ""
        chapter_and_line = sorted({tuple(map(int, use.split("."))) for use in self.uses})
        return ", ".join(ranges([".".join(map(str, place)) for place in chapter_and_line]))

    @property
    def anchor(self) -> str:
        """The place of the full citation."""
        return f"ref{self.number}"


@dataclass
class References:
    """Numbers sources as they come up."""

    known: dict[tuple[str, str], Reference] = field(default_factory=dict)

    def complete(self, run: Run) -> None:
        """Note every line of a run that uses a known source, also where the page refers to another line for it."""
        for part in run.sections:
            for sheet in part.sheets:
                for step in sheet.page.lines:
                    reference = self.known.get((step.source.citation, step.source.evidence)) if step.source else None
                    if reference:
                        reference.uses.append(run.numbers[own_key(step.key)])

    def use(self, source: Source, where: str) -> Reference:
        """The reference of a source, with one more use noted."""
        key = (source.citation, source.evidence)
        reference = self.known.setdefault(key, Reference(len(self.known) + 1, source.citation, source.evidence))
        reference.uses.append(where)
        return reference

    def __iter__(self) -> Iterator[Reference]:
        """All references in order."""
        return iter(self.known.values())

    def listing(self) -> list[Reference]:
        """All of them: publications by their authors, then the others by their numbers."""
        published = sorted(
            (reference for reference in self if reference.is_published),
            key=lambda reference: reference.citation.casefold(),
        )
        return published + [reference for reference in self if not reference.is_published]

    @property
    def unseen(self) -> int:
        """How many lines rely on a source that nobody has inspected."""
        return len({line for reference in self.with_evidence("not inspected") for line in reference.uses})

    def to_confirm(self) -> tuple[tuple[str, int], ...]:
        """Publications that nobody has inspected, with the number of lines that rely on them, most lines first."""
        lines = Counter[str]()
        for reference in self.with_evidence("not inspected"):
            lines[reference.short] += len(set(reference.uses))
        return tuple(lines.most_common())

    def with_evidence(self, evidence: str) -> list[Reference]:
        """The references of one kind of evidence."""
        return [reference for reference in self if reference.evidence == evidence]


def names_publication(citation: str) -> bool:
    """Whether a text names a publication: by its year, or by the number of a standard or report."""
    return search(r"\b(?:1[89]|20)\d\d\b|\b[A-Z]{2,}[ /-]\d", citation) is not None


@dataclass(frozen=True, slots=True)
class FactorsView:
    """Sets of partial factors from one source; `recalled` names the entries not inspected."""

    keys: str
    source: str
    evidence: str
    mark: str
    recalled: str
    note: str


def factor_views(run: Run) -> tuple[FactorsView, ...]:
    """The sets of partial factors of a run with their sources, for the situations which its stages are in."""
    situations = {"transient"} | {stage.situation for part in run.sections for stage in part.section.stages}
    alike: dict[FactorsView, list[str]] = {}
    for factor_set in run.design.basis.factor_sets:
        alike.setdefault(_factors(factor_set, situations), []).append(factor_set.key)
    return tuple(replace(view, keys=", ".join(keys)) for view, keys in alike.items())


def _factors(factor_set: FactorSet, situations: set[str]) -> FactorsView:
    """All of the view but its keys."""
    recalled = [
        name for name in FACTOR_NAMES if any(factor_set.evidence_for(at, name) == "not inspected" for at in situations)
    ]
    if len(recalled) == len(FACTOR_NAMES):
        evidence, words = "not inspected", "all factors"
    else:
        words = ", ".join(FACTOR_WORDS[name] for name in recalled)
        evidence = "given in the project file" if factor_set.evidence == "given" else "inspected"
        evidence += f"; not inspected: {words}" if recalled else ""
    return FactorsView(
        "", factor_set.source, evidence, EVIDENCE_MARKS["not inspected"] if recalled else "", words, factor_set.note
    )


def ranges(numbers: list[str]) -> list[str]:
    """Step numbers on as few characters as possible: `A.4.3–5`, `9`, `B.4.3`; a chapter is named once."""
    groups: list[tuple[str, int, int]] = []
    for number in numbers:
        stem, _, last = number.rpartition(".")
        line = int(last)
        if groups and groups[-1][0] == stem and line == groups[-1][2] + 1:
            groups[-1] = (stem, groups[-1][1], line)
        elif not groups or groups[-1] != (stem, line, line):
            groups.append((stem, line, line))
    before = ["", *(stem for stem, _, _ in groups)]
    return [
        (f"{stem}." if stem != known else "") + (f"{first}–{last}" if last > first else f"{first}")
        for known, (stem, first, last) in zip(before, groups, strict=False)
    ]

"""Decisions and proofs that the results rest on, collected from all chapters and sections."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calc.chain import Run
from calc.engine.sheet import Rest
from calc.package.shown import cut, sections_words

ASSUMPTIONS = "Assumptions to be confirmed"
# What the summary has room for: kinds, and characters of each.
KINDS, LENGTH = 5, 190


@dataclass(frozen=True, slots=True)
class Support:
    """One decision or proof: of what kind, which one, how it is shown, and the sections it concerns."""

    title: str
    text: str
    proof: str
    where: str


@dataclass(frozen=True, slots=True)
class SupportLine:
    """All decisions or proofs of one kind on one line of the summary."""

    title: str
    text: str


def supports(run: Run) -> list[Support]:
    """Everything that the results rest on, each once, the kinds in the order in which they arise."""
    found: dict[Rest, list[str]] = {}
    for part in run.sections:
        for sheet in part.sheets:
            for rest in sheet.rests:
                found.setdefault(rest, []).append(part.section.key)
    every = [part.section.key for part in run.sections]
    for one in run.design.assumptions:
        proof = f"{one.owner}: {one.confirm_by}"
        found.setdefault(Rest(ASSUMPTIONS, one.text, proof), []).extend(every)
    kinds = {rest.title: k for k, rest in reversed(list(enumerate(found)))}
    ordered = sorted(found.items(), key=lambda item: kinds[item[0].title])
    return [Support(rest.title, rest.text, rest.proof, sections_words(keys, set(every))) for rest, keys in ordered]


def support_lines(found: Sequence[Support]) -> list[SupportLine]:
    """The same in as few words as the summary has room for."""
    kinds: dict[str, dict[str, list[str]]] = {}
    for one in found:
        kinds.setdefault(one.title, {}).setdefault(one.where, []).append(one.text.rstrip("."))
    lines = [SupportLine(title, cut(_listing(texts), LENGTH)) for title, texts in kinds.items()]
    if len(lines) <= KINDS:
        return lines
    rest = "; ".join(line.title for line in lines[KINDS - 1 :])
    return [*lines[: KINDS - 1], SupportLine("More", cut(rest, LENGTH))]


def _listing(texts: Mapping[str, Sequence[str]]) -> str:
    return "; ".join(f"{where}: {', '.join(own)}" for where, own in texts.items())

"""Decisions and proofs that the results rest on, collected from all chapters and sections."""

from dataclasses import dataclass

from calc.chain import Run
from calc.engine.sheet import Rest
from calc.package.shown import sections_keys

ASSUMPTIONS = "Assumptions to be confirmed"


@dataclass(frozen=True, slots=True)
class Support:
    """One decision or proof: of what kind, which one, how it is shown, and the sections it concerns."""

    title: str
    text: str
    proof: str
    where: str


def supports(run: Run) -> list[Support]:
    """Everything that the results rest on, the kinds in the order in which they arise, those of one proof together."""
    by_rest: dict[Rest, list[str]] = {}
    for part in run.sections:
        for sheet in part.sheets:
            for rest in sheet.rests:
                by_rest.setdefault(rest, []).append(part.section.key)
    every = [part.section.key for part in run.sections]
    for assumption in run.design.assumptions:
        proof = f"{assumption.owner}: {assumption.confirm_by}"
        by_rest.setdefault(Rest(ASSUMPTIONS, assumption.text, proof), []).extend(every)
    kinds = {rest.title: k for k, rest in reversed(list(enumerate(by_rest)))}
    alike: dict[tuple[str, str, str], list[str]] = {}
    for rest, keys in sorted(by_rest.items(), key=lambda item: kinds[item[0].title]):
        alike.setdefault((rest.title, rest.proof, sections_keys(keys, set(every))), []).append(rest.text.rstrip("."))
    return [Support(title, "; ".join(texts), proof, where) for (title, proof, where), texts in alike.items()]

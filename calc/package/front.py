"""Contents, matters outside the calculation, and what somebody has to decide."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from calc.chain import Run
from calc.engine.sheet import ACCEPTED, NOT_APPLICABLE, NOT_REQUIRED
from calc.inputs import OUTSIDE
from calc.package.supports import ASSUMPTIONS, Support
from calc.package.verdicts import VerdictView

LEAST_FIRST = ("fail", "not verified", ACCEPTED, NOT_REQUIRED, NOT_APPLICABLE, "pass")
FEW = 3  # questions that are named one by one


@dataclass(frozen=True, slots=True)
class Matter:
    """One matter outside this calculation with its answer; empty where nobody has answered."""

    number: int
    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the contents; `state` is what a chapter which answers nothing by numbers says of its questions."""

    number: str
    title: str
    anchor: str
    state: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Lines of the contents under one head."""

    head: Entry
    entries: tuple[Entry, ...] = ()


def standing(stamps: Collection[str]) -> str:
    """What stands for a chapter which calculates nothing: the least that one of its verdicts says."""
    return next((stamp for stamp in LEAST_FIRST if stamp in stamps), "")


def is_open(views: Collection[VerdictView]) -> bool:
    """Whether nothing that a chapter asks is answered: all that applies is not verified."""
    stamps = {view.stamp for view in views} - {NOT_REQUIRED, NOT_APPLICABLE}
    return stamps == {"not verified"}


def matters(run: Run) -> tuple[Matter, ...]:
    """The questions in their order with the answers of the project file."""
    answers = run.design.answered
    return tuple(
        Matter(index, question, answers.get(key, "")) for index, (key, question) in enumerate(OUTSIDE.items(), start=1)
    )


def decisions(run: Run, views: Sequence[VerdictView]) -> tuple[str, ...]:
    """What somebody has to decide before the design can go ahead, in words."""
    failing: dict[str, list[str]] = {}
    for view in views:
        if view.state == "fail":
            failing.setdefault(view.title, []).append(view.section)
    texts = [f"Section {', '.join(keys)}: {title} fails; change the design." for title, keys in failing.items()]
    unanswered = [matter.number for matter in matters(run) if not matter.answer]
    if unanswered:
        numbers = ", ".join(str(number) for number in unanswered)
        texts.append(f"Answer the open exclusions and interfaces: {numbers}.")
    left = list(dict.fromkeys(view.title for view in views if view.state == "not verified" and view.required))
    if left:
        more = f"; {len(left) - FEW} more" if len(left) > FEW else ""
        texts.append(f"Verify by other means, or exclude, what is not verified: {'; '.join(left[:FEW])}{more}.")
    return tuple(texts)


def to_confirm(run: Run, supports: Sequence[Support]) -> tuple[str, ...]:
    """What the results hold only with: assumptions with their owners, decisions and proofs by their kind."""
    kinds: dict[str, list[str]] = {}
    for support in supports:
        if support.title != ASSUMPTIONS:
            kinds.setdefault(support.title, []).append(support.proof)
    assumed = [f"{assumption.owner} to confirm: {assumption.text}" for assumption in run.design.assumptions]
    named = [f"{'Proof' if any(proofs) else 'Decision'}: {title}." for title, proofs in kinds.items()]
    return *assumed, *named

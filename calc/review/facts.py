"""What a review is tied to: the hash of a run, and every step with its printed number and its fingerprint."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from calc.chain import Run
from calc.package.results import results


@dataclass(frozen=True, slots=True)
class StepFacts:
    """A step as a review refers to it."""

    key: str
    number: str
    title: str
    fingerprint: str


@dataclass(frozen=True, slots=True)
class Facts:
    """A run as a review refers to it: its hash, and its steps by their keys in printed order."""

    run: str
    document: str
    revision: str
    steps: Mapping[str, StepFacts]


def facts(run: Run) -> Facts:
    """The facts of a run; the same inputs and results give the same hash, whichever program calculated them."""
    recorded = results(run)
    project = run.design.project
    return Facts(
        run=run_hash(recorded),
        document=project.document,
        revision=project.revisions[-1].label,
        steps={step.key: step for step in _steps(recorded)},
    )


def line_number(numbers: Sequence[str]) -> str:
    """The numbers of one line in several sections as one: `A, B 7.14`."""
    return f"{', '.join(number.rpartition(' ')[0] for number in numbers)} {numbers[0].rpartition(' ')[2]}"


def run_hash(recorded: Mapping[str, Any]) -> str:
    """SHA-256 over inputs and results."""
    whole = {name: value for name, value in recorded.items() if name != "software"}
    text = json.dumps(whole, sort_keys=True, ensure_ascii=False, allow_nan=False)
    return sha256(text.encode()).hexdigest()


def _steps(recorded: Mapping[str, Any]) -> Iterator[StepFacts]:
    for section in recorded["sections"]:
        for check in section["checks"]:
            for step in check["steps"]:
                if step["number"] is None:
                    continue  # it stands in a table
                number = f"{section['key']} {step['number']}"
                yield StepFacts(step["key"], number, step["title"], step["fingerprint"])

"""What an independent check is asked for: the verifications of a run without any of their results."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256

from calc.chain import Run
from calc.engine.sheet import AXIS_WORDS, Verdict, case_words
from calc.engine.symbols import symbol
from calc.inputs import Design
from calc.inputs.reading import units

APART = ("project.", "people.")  # what a new revision changes without changing what is asked


@dataclass(frozen=True, slots=True)
class AskedValue:
    """One side of a verification: its symbol, and the unit in which a value is asked for ("" for a plain number)."""

    name: str
    meaning: str
    unit: str


@dataclass(frozen=True, slots=True)
class Asked:
    """One verification: at which fixed case, over which cases the worst is asked for."""

    key: str
    section: str
    chapter: str
    title: str
    fixed: str
    over: str
    effect: AskedValue
    resistance: AskedValue


def verifications(run: Run) -> Iterator[tuple[Asked, Verdict]]:
    """Every verification that compares numbers, with the verdict that answers it."""
    for part, sheet, verdict in run.verdicts():
        if verdict.utilisation is None or verdict.effect is None or verdict.resistance is None:
            continue
        axes = verdict.utilisations.axis_names if verdict.utilisations else ()
        fixed = {name: label for name, label in verdict.case.items() if name not in axes}
        number = next(index for index, other in enumerate(part.sheets, start=1) if other is sheet)
        yield (
            Asked(
                key=f"{part.section.key}/{sheet.key}/{verdict.key}",
                section=part.section.key,
                chapter=f"{part.section.key}.{number} {sheet.title}",
                title=verdict.title,
                fixed=case_words(fixed),
                over=", ".join(f"every {AXIS_WORDS[name]}" for name in axes),
                effect=_value(verdict.effect_symbol),
                resistance=_value(verdict.resistance_symbol),
            ),
            verdict,
        )


def _value(name: str) -> AskedValue:
    quantity = symbol(name)
    return AskedValue(name, quantity.meaning, unit_asked(name))


def unit_asked(name: str) -> str:
    """The unit shown as a project file writes it; "" where a plain number in the coherent unit is asked for."""
    unit = symbol(name).shown.replace("day", "d")
    if unit in {"-", "%"}:
        return ""
    try:
        units.factor_inside(unit)
    except units.QuantityError:
        return ""
    return unit


def inputs_by_path(design: Design) -> dict[str, str]:
    """Every input that results rest on, as typed or as its default, by its path."""
    return {path: origin.text for path, origin in design.provenance.items() if not path.startswith(APART)}


def brief_hash(design: Design, questions: Mapping[str, Asked]) -> str:
    """SHA-256 over the inputs and what is asked; a new revision with the same inputs has the same."""
    facts = [
        inputs_by_path(design),
        [
            [question.key, question.fixed, question.effect.name, question.resistance.name]
            for question in questions.values()
        ],
    ]
    return sha256(json.dumps(facts, sort_keys=True, ensure_ascii=False).encode()).hexdigest()

"""Filling programme: stages under which the ground consolidates, dates looked at."""

from dataclasses import dataclass

from calc.chapters.shared.frame import (
    CENTRE,
    Frame,
)
from calc.engine.levels import above, same
from calc.inputs import Section
from calc.inputs.tables.consolidation import Consolidation

HAND_OVER, END_OF_LIFE = "hand-over", "end of design life"


@dataclass(frozen=True)
class Dates:
    """Labels and days of the dates considered, and how many steps of the programme have begun until then."""

    labels: tuple[str, ...]
    days: tuple[float, ...]
    placed: tuple[int, ...]


def dates_of(section: Section, shared: Frame, hand_over: float, life: float) -> Dates:
    """Start and end of every stage but the first start, handing over, end of the design life."""
    steps, rows = steps_of(section), []
    for k, stage in enumerate(section.stages):
        label = shared.stages[k + 1]
        before = sum(step < k for step in steps)
        if before:
            rows.append((f"start of {label}", stage.start, before))
        if k in steps:
            rows.append((f"end of {label}", stage.start + stage.duration, before + 1))
    handed = sum(section.stages[k].start < hand_over for k in steps)
    rows += [(HAND_OVER, hand_over, handed), (END_OF_LIFE, hand_over + life, len(steps))]
    labels, days, placed = zip(*sorted(rows, key=lambda row: row[1]), strict=True)
    return Dates(labels, days, placed)


SETTLES = {"position": CENTRE, "load": "G+Q"}


def steps_of(section: Section) -> tuple[int, ...]:
    """Indices of the stages under which the ground consolidates."""
    return tuple(k for k, stage in enumerate(section.stages) if stage.consolidates)


def last_fill(section: Section) -> int:
    """Number of the step, among those that consolidate, in which the last fill is placed."""
    heights = [0.0, *(section.stages[k].fill_height for k in steps_of(section))]
    higher = [k for k in range(len(heights) - 1) if above(heights[k + 1], heights[k])]
    return higher[-1] if higher else 0


def courses_of(given: Consolidation) -> tuple[float, float, float]:
    """Factors on c_h, in the order of the axis of courses."""
    return 1.0, given.c_h_low, given.c_h_high


def opening(section: Section) -> tuple[int, ...]:
    """Indices of the last stages, those that bring traffic to the finished road and place nothing."""
    heights = [0.0, *(stage.fill_height for stage in section.stages)]
    found: list[int] = []
    for k in range(len(section.stages) - 1, 0, -1):
        if not section.stages[k].traffic or not same(heights[k + 1], heights[k]):
            break
        found.insert(0, k)
    return tuple(found)


def settled_load(section: Section) -> str:
    """The load whose settlement counts as settled at hand-over: without traffic unless the project says why not."""
    early = section.consolidation is not None and section.consolidation.early_traffic is not None
    return "G+Q" if early else "G"


OPEN_SECONDARY = "Secondary compression is a part of it. Not given: {} (0 where there is none)."

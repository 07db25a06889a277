"""Horizontal reinforcement: which layers lie in which direction."""

from collections.abc import Iterable

from calc.inputs import Section
from calc.inputs.tables.sleeve import ReinforcementLayer

DIRECTIONS = (("across", "q"), ("along", "l"))


def layers_in(section: Section, direction: str) -> list[tuple[int, ReinforcementLayer]]:
    """The layers that carry in a direction, with their place in the list of the project file."""
    return [(k, mat) for k, mat in enumerate(section.reinforcement) if mat.direction in (direction, "both")]


def reinforced_directions(section: Section) -> list[tuple[str, str]]:
    """The directions that a layer carries in, with the ending of their symbols."""
    return [(words, tag) for words, tag in DIRECTIONS if layers_in(section, words)]


def mat_labels(numbered: Iterable[tuple[int, ReinforcementLayer]]) -> list[str]:
    """Labels of layers by their place in the project file."""
    return [f"{k + 1} {mat.name}" for k, mat in numbered]


REDUCTION = ("A1", "A2", "A3", "A4", "A5")
ISO_FACTORS = ("RF_CR", "RF_ID", "RF_W", "RF_CH", "R1", "R2")

ACROSS = ("across", "both")

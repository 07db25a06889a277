"""Positions across: which verdicts are found there, and what a section reads of its own positions."""

import re
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import CENTRE, SHOULDER, origin_of
from calc.engine.sheet import Origin, Scope, Sheet, Value, Verdict
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.embankment import SIDES
from calc.inputs.tables.positions import with_positions
from calc.inputs.tables.section import Position

say = words_of(__name__)

Floats = NDArray[np.float64]

AT_EDGES = (
    "ground", "columns", "unit_cell", "sleeve", "consolidation", "bearing", "thrust", "load_transfer", "reinforcement",
    "filters", "platform", "alignment",
)  # fmt: skip
AT_TOES = ("ground", "columns", "platform", "neighbours")
"""Chapters whose verdicts count at the crest edges and at the toes."""
MORE_AT_EDGES = ("stress_ratio", "stability_inputs")
NOT_AT_EDGES = ("stability_tension", "settlement_difference")
MORE_AT_TOES = (
    "soft_bearing", "soft_bearing_lift", "platform_bearing", "squeeze", "squeeze_lift", "column_rows", "edge_bearing",
    "field_for_load", "berm_bearing", "berm_extrusion", "lower_berm_bearing", "lower_berm_extrusion", "strength_gain",
)  # fmt: skip
"""Single verdicts that do, or do not, by their keys without the side."""
OF_A_STEP = re.compile(r"^step_\d_")  # a further step of a berm counts where the berm does
ELSEWHERE = ("construction", "monitoring", "ground_model")
NOT_RUN = {
    True: (*ELSEWHERE, "thrust", "load_transfer", "reinforcement", "filters", "alignment"),
    False: (*ELSEWHERE, "neighbours"),
}
"""Chapters of which a position has an empty sheet, at the toes and at the crest edges."""


def concerns(key: str, section: Section) -> bool:
    """Whether a chapter is calculated for a section: a position leaves some to the section that it is one of."""
    return section.position is None or key not in NOT_RUN[section.position.toe]


def leave_to_others(sheet: Sheet, section: Section) -> None:
    """Turn what is judged at other positions, or in the section itself, into what does not apply here."""
    position = section.position
    if position is None:
        return
    for place, verdict in enumerate(sheet.verdicts):
        if not _counts(sheet.key, verdict.key, position):
            why = say("left", of=section.of, words=position.words)
            sheet.verdicts[place] = Verdict(
                verdict.key, verdict.title, "not verified", note=why, required=False, applies=False
            )


def _counts(chapter: str, key: str, position: Position) -> bool:
    """Whether a verdict counts at a position; those of one side count on their own side alone."""
    other = next(side for side in SIDES if side != position.side)
    if f"_{other}" in key:
        return False
    key = key.replace(f"_{position.side}", "")
    if position.toe:
        return chapter in AT_TOES or OF_A_STEP.sub("", key) in MORE_AT_TOES
    return (chapter in AT_EDGES and key not in NOT_AT_EDGES) or key in MORE_AT_EDGES


def of_positions(section: Section, done: dict[str, Sheet], chapter: str) -> dict[Position, Sheet]:
    """The sheets of one chapter at the positions of the section, as far as these have been run."""
    paths = {position.position: f"{position.key}/{chapter}" for position in with_positions(section)[1:]}
    return {place: done[path] for place, path in paths.items() if place and path in done}


def lacks_positions(section: Section, done: dict[str, Sheet]) -> str:
    """The positions that a section needs and this run does not have, in words."""
    keys = [position.key for position in with_positions(section)[1:] if f"{position.key}/unit_cell" not in done]
    return say("lacking", keys=", ".join(keys)) if keys else ""


def origins_across(section: Section, *sides: str) -> list[Origin]:
    """The origins of the thickness of the layers at the toes of some sides, by which positions differ."""
    return [
        origin_of(section, f"layer.{layer.key}.thickness_{side}")
        for side in sides for layer in section.layers if getattr(layer, f"thickness_{side}") is not None
    ]  # fmt: skip


def bounded_across(
    scope: Scope, section: Section, name: str, choose: Callable[..., Floats], every: Sequence[Value], title: str
) -> None:
    """Record the least or the largest of the values of a section and its positions; that of the section without any.

    A line leads to lines of its own section, which have the same numbers in those of the positions: these are named.
    """
    own = every[0]
    if len(every) == 1:
        scope.take(name, own)
        return
    scope.reading(name, choose([value.array for value in every], axis=0), own.axis_names, title=title, inputs=[own],
                  origins=origins_across(section, *SIDES), mask=~own.valid, reason=own.reason,
                  note=say("bounded", keys=", ".join(value.step.partition("/")[0] for value in every)))  # fmt: skip


def height_of_edge(section: Section, side: str) -> str:
    """The position of the unit cell with the height of the crest edge of a side."""
    return SHOULDER if side == section.embankment.lower else CENTRE

"""Sliding blocks: along the reinforcement, and along the bottom of every soft layer."""

from dataclasses import replace
from itertools import accumulate
from math import atan, radians, tan

import numpy as np

from calc.checks.slip_cases import EMPTY, END, LIFT, Searches
from calc.checks.slip_model import Case, Profile, profile, reduced
from calc.checks.squeeze_ground import Side
from calc.formula import Source
from calc.procedures.slip import BlockSearch
from calc.procedures.stage_search import Asked, over_stages

JANBU = Source("Janbu (1954, 1973), simplified, with its factor f0", "memory")
ACTIVE = tuple(radians(angle) for angle in (40, 50, 60))
PASSIVE = tuple(radians(angle) for angle in (25, 35, 45))
ABOVE = 0.02  # m by which a block slides above the bottom of a soft layer


def blocks(searches: Searches, side: Side) -> None:
    """The least safety of all blocks in every stage, by the simplified method of Janbu."""
    sheet = searches.sheet
    for state in [one for one in (END, LIFT) if one in searches.states()]:
        scope = sheet.scope(f"blocks{state.ending}{side.ending}", f"Sliding blocks, {state.words}, {side.words}")
        found = [
            over_stages(
                [
                    [_asked(searches, side, searches.case(v, k, state), place) for k in range(len(searches.stages))]
                    for v in range(len(sheet.axes["variant"]))
                ]
            ).array(lambda one: one.factor)
            for place in range(-1, len(searches.section.layers))
        ]
        every = np.stack([one for one in found if not np.isnan(one).all()])
        least = np.nanmin(np.where(np.isnan(every), np.inf, every), axis=0)
        empty = np.isinf(least)
        scope.reading(
            "F_bl", np.where(empty, np.nan, least), ["variant", "stage"],
            title="Least safety of the blocks on the reinforcement and on the bottom of every soft layer, Janbu",
            source=JANBU, inputs=[sheet["gamma_Re"]], mask=empty, reason=EMPTY,
        )  # fmt: skip
        looked = searches.looked(np.where(empty, np.nan, least))
        sheet.verdict(
            f"global_stability_blocks{state.ending}{side.ending}",
            f"Global stability, sliding blocks, {state.words}, {side.words}",
            effect=sheet["gamma_Re"].at(stage=looked), resistance=scope["F_bl"].at(stage=looked),
        )  # fmt: skip


def _asked(searches: Searches, side: Side, case: Case | None, place: int) -> Asked | None:
    """A block on the bottom of a soft layer, or on the reinforcement for the place −1; a crack is left out."""
    if case is None:
        return None
    section = searches.section
    cut = profile(section, case.stage)
    if place >= 0:
        depth = list(accumulate(layer.thickness for layer in section.layers))[place]
        return _whole(searches.asked(case, side, "janbu", _search(cut, side, cut.ground - depth + ABOVE, PASSIVE)))
    if not searches.across:
        return None
    lowest = min(searches.across, key=lambda k: section.reinforcement[k].level)
    layer = section.reinforcement[lowest]
    if layer.level >= cut.crest:
        return None
    friction = layer.interaction * tan(reduced(section.embankment.phi, case.factors))
    search = _search(cut, side, max(layer.level, cut.ground + ABOVE), ())
    # What slides on the reinforcement is not held by it.
    return _whole(searches.asked(replace(case, ties=()), side, "janbu", replace(search, c=0.0, phi=atan(friction))))


def _whole(asked: Asked) -> Asked:
    """The same without a tension crack, which cuts the active wedge of a block as good as nothing off."""
    return replace(asked, model=replace(asked.model, crack=None))


def _search(cut: Profile, side: Side, level: float, passive_angles: tuple[float, ...]) -> BlockSearch:
    """Blocks from below the crest to below or beyond the slope of a side."""
    way = -1 if side.ending == "_left" else 1
    shoulder, toe = (cut.left_shoulder, cut.left_toe) if way < 0 else (cut.right_shoulder, cut.right_toe)
    left, right = cut.sides
    ends = (left, level), (right, level)
    inner = sorted((shoulder - way * 0.45 * (cut.right_shoulder - cut.left_shoulder), shoulder))
    outer = sorted((shoulder, toe + way * 0.3 * cut.beside))
    return BlockSearch(ends, (inner[0], inner[1]), (outer[0], outer[1]), ACTIVE, passive_angles, (8, 8))

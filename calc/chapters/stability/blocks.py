"""Translational mechanisms: blocks on the reinforcement, and at top and bottom of every soft layer."""

from dataclasses import replace
from math import atan, radians

import numpy as np

from calc.chapters.shared.geometry import Profile
from calc.chapters.shared.soft_ground import Side
from calc.chapters.stability.cases import EMPTY, Searched, Searches, State
from calc.chapters.stability.columns import reductions
from calc.chapters.stability.ground import SOILS
from calc.chapters.stability.limits import remarks
from calc.chapters.stability.model import Case
from calc.engine.formula import Source
from calc.engine.levels import above
from calc.engine.words import words_of
from calc.procedures.slip import BlockSearch, Result
from calc.procedures.stage_search import Asked, Found, over_stages

say = words_of(__name__)

JANBU = Source("Janbu 1954 and 1973, simplified, with its factor f0", "not inspected")
ACTIVE = tuple(radians(angle) for angle in (40, 50, 60))
PASSIVE = tuple(radians(angle) for angle in (25, 35, 45))
ABOVE = 0.02  # m by which a block slides within a soft layer beside its top or bottom


def blocks(searches: Searches, side: Side) -> list[Searched]:
    """The minimum of all blocks in every stage, by the simplified method of Janbu."""
    sheet = searches.sheet
    states = []
    for state in searches.states():
        scope = sheet.scope(
            f"blocks{state.ending}{side.ending}", f"Translational mechanisms, {state.words}, {side.words}"
        )
        found = _least([_planes(searches, side, state, place) for place in range(-1, 2 * len(searches.section.layers))])
        factor = found.array(lambda one: one.factor)
        empty = np.isnan(factor)
        remarks(searches, scope, found)
        scope.reading(
            "F_bl", factor, ["variant", "stage"],
            title=say("reading-f-bl-title"),
            source=JANBU, inputs=[*searches.rests_on(state), *searches.sliding()], mask=empty, reason=EMPTY,
        )  # fmt: skip
        looked = searches.stages_evaluated(factor)
        made = sheet.verdict(
            f"global_stability_blocks{state.ending}{side.ending}",
            say("verdict-global-stability-blocks-title", state_words=state.words, side_words=side.words),
            effect=sheet["gamma_Re"].at(stage=looked), resistance=scope["F_bl"].at(stage=looked),
        )  # fmt: skip
        sheet.leads[scope.name] = dict(made.case)
        states.append(Searched(scope, found, made.utilisation or 0.0, reductions(searches, state, found)))
    return states


def _planes(searches: Searches, side: Side, state: State, place: int) -> Found:
    """Blocks on one plane over (variant, stage)."""
    return over_stages(
        [
            [_question(searches, side, searches.case(v, k, state), place) for k in range(len(searches.stages))]
            for v in range(len(searches.sheet.axes["variant"]))
        ]
    )


def _least(found: list[Found]) -> Found:
    """The decisive plane of every case."""

    def least(v: int, k: int) -> Result | None:
        known = [one for one in (plane.results[v][k] for plane in found) if one is not None]
        return min(known, key=lambda one: one.factor, default=None)

    rows = found[0].results
    return Found(tuple(tuple(least(v, k) for k in range(len(rows[v]))) for v in range(len(rows))))


def _question(searches: Searches, side: Side, case: Case | None, place: int) -> Asked | None:
    """A block at top or bottom of a soft layer, or on the reinforcement for the place −1; a crack is left out."""
    if case is None:
        return None
    section = searches.section
    cut = case.place
    if place >= 0:
        tops = [case.read(SOILS, "z_lt", f"layer.{layer.key}") for layer in section.layers]
        level = [*tops, cut.firm][(place + 1) // 2] + (ABOVE if place % 2 else -ABOVE)
        return _whole(searches.question(case, side, "janbu", _search(cut, side, level, PASSIVE)))
    if not searches.across:
        return None
    lowest = min(searches.across, key=lambda k: section.reinforcement[k].level)
    layer = section.reinforcement[lowest]
    if not above(cut.crest, layer.level):
        return None
    friction = case.read(f"slip_tie_{lowest}", "mu_sl")
    search = _search(cut, side, max(layer.level, cut.ground + ABOVE), ())
    # What slides on the reinforcement is not held by it.
    return _whole(searches.question(replace(case, ties=()), side, "janbu", replace(search, c=0.0, phi=atan(friction))))


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

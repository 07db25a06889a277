"""Translational mechanisms: blocks on the reinforcement, and at top and bottom of every soft layer."""

from dataclasses import replace
from itertools import product

import numpy as np

from calc.chapters.shared.soft_ground import Side
from calc.chapters.stability.cut_columns import reductions
from calc.chapters.stability.limits import remarks
from calc.chapters.stability.search_settings import BLOCKS, ON_LAYER, SETTINGS, whole
from calc.chapters.stability.slip_cases import EMPTY, Searched, Searches, direction_of, least_of
from calc.chapters.stability.slip_ground import FIRM
from calc.chapters.stability.stage_model import Case, boundary
from calc.chapters.stability.states import State
from calc.engine.formula import Source
from calc.engine.levels import above
from calc.engine.words import words_of
from calc.inputs import Section
from calc.procedures.slip import BlockSearch
from calc.procedures.slip.model import Line
from calc.procedures.slip.refusal import height
from calc.procedures.stage_search import Asked, Found, over_stages

say = words_of(__name__)

JANBU = Source("Janbu (1954, 1973), simplified, with its factor f₀", "not inspected")


def blocks(searches: Searches, side: Side) -> list[Searched]:
    """The minimum of all blocks in every stage, by the simplified method of Janbu."""
    sheet = searches.sheet
    settings = BLOCKS if searches.lowest is None else (*BLOCKS, *ON_LAYER)
    states = []
    for state in searches.states():
        scope = sheet.scope(
            f"blocks{state.ending}{side.ending}", say("title", state_words=state.words, side_words=side.words)
        )
        pairs = product(planes(searches.section), searches.ways)
        decisive = least_of([_planes(searches, side, state, *pair) for pair in pairs])
        factor = decisive.array(lambda result: result.factor)
        empty = np.isnan(factor)
        remarks(searches, scope, decisive)
        scope.reading(
            "F_bl", factor, ["factor_set", "stage"],
            title=say("reading-f-bl-title"),
            source=JANBU, inputs=searches.relies_on(state, search=settings), mask=empty, reason=EMPTY,
        )  # fmt: skip
        stages = searches.stages_evaluated(factor)
        made = sheet.verdict(
            f"global_stability_blocks{state.ending}{side.ending}",
            say("verdict-global-stability-blocks-title", state_words=state.words, side_words=side.words),
            effect=sheet["gamma_Re"].at(stage=stages), resistance=scope["F_bl"].at(stage=stages),
        )  # fmt: skip
        sheet.leads[scope.name] = dict(made.case)
        states.append(Searched(scope, decisive, made.utilisation or 0.0, reductions(searches, state, decisive)))
    return states


def planes(section: Section) -> range:
    """Numbers of the planes: −1 for the reinforcement, then top and bottom of every soft layer."""
    return range(-1, 2 * len(soft_soils(section)))


def _planes(searches: Searches, side: Side, state: State, place: int, way: float) -> Found:
    """Blocks on one plane over (factor set, stage)."""
    return over_stages(
        [
            [
                block_on_plane(searches, side, searches.case(v, k, state, way=way), place)
                for k in range(len(searches.stages))
            ]
            for v in range(len(searches.sheet.axes["factor_set"]))
        ]
    )


def block_on_plane(searches: Searches, side: Side, case: Case | None, place: int) -> Asked | None:
    """A block at top or bottom of a soft layer, or on the reinforcement for the place −1; a crack is left out."""
    if case is None:
        return None
    cut = case.place
    if place >= 0:
        name = "z_blb" if place % 2 else "z_blt"
        soils = soft_soils(searches.section)
        level = case.read(SETTINGS, name, soils[place // 2])
        block_search = _search(searches, case, side, level)
        if searches.section.slopes:
            block_search = replace(
                block_search,
                base=_plane_along_boundary(boundary(searches.section, case, place // 2 + place % 2), level),
            )
        return _whole(searches.question(case, side, "janbu", block_search))
    if searches.lowest is None or not above(cut.crest, searches.section.reinforcement[searches.lowest].level):
        return None
    search = replace(
        _search(searches, case, side, case.read(SETTINGS, "z_blr")), passive_angles=(), c=0.0,
        phi=case.read(SETTINGS, "delta_sl"),
    )  # fmt: skip
    # What slides on the reinforcement is not held by it.
    return _whole(searches.question(replace(case, ties=()), side, "janbu", search))


def _plane_along_boundary(line: Line, level: float) -> Line:
    """A plane as far from a boundary as it is at the axis, where it has this level."""
    shift = level - height(line, 0.0)
    return tuple((x, y + shift) for x, y in line)


def soft_soils(section: Section) -> tuple[str, ...]:
    """The soft ground that blocks slide on, from the top down: below the toes of floating columns, too."""
    layers = tuple(f"layer.{layer.key}" for layer in section.layers)
    return layers if section.columns.floating is None else (*layers, FIRM)


def _whole(question: Asked) -> Asked:
    """The same without a tension crack, which cuts the active wedge of a block as good as nothing off."""
    return replace(question, model=replace(question.model, crack=None))


def _search(searches: Searches, case: Case, side: Side, level: float) -> BlockSearch:
    """Blocks from below the crest to below or beyond the slope of a side."""
    cut, settings = case.place, searches.settings
    left, right = cut.sides
    ends = (left, level), (right, level)
    if direction_of(side) == "left":
        shoulder, end, out = cut.left_shoulder, "x_inl", "x_outl"
    else:
        shoulder, end, out = cut.right_shoulder, "x_inr", "x_outr"
    inner = sorted((case.read(SETTINGS, end), shoulder))
    outer = sorted((shoulder, case.read(SETTINGS, out)))
    count = whole(settings, "n_blk")
    active, passive = (tuple(settings[name].array.tolist()) for name in ("beta_act", "beta_pas"))
    return BlockSearch(
        ends, (inner[0], inner[1]), (outer[0], outer[1]), active, passive, (count, count),
        zooms=whole(settings, "n_fin"), wedges=whole(settings, "n_wed"),
    )  # fmt: skip

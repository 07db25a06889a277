"""Slip safety as a function of inputs: the least factor of surfaces that whole searches have found.

A search at every point would take seconds. The surfaces that decide where the inputs lie at the ends of their ranges,
and where samples fail, are few: they are kept with their places and looked at in the cross-section of every point, all
at once. Whole searches at the points that decide say how much lower another surface would be; where one is lower it is
kept as well, and all is done again.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np

from calc.chain import CalculationError, Run, SectionRun
from calc.chapters.stability.known_surfaces import (
    CHAPTER,
    Known,
    Row,
    by_known_surfaces,
    by_search,
    searches_of,
    slip_verdicts,
)
from calc.engine.sheet import Sheet, SheetError
from calc.inputs import Design, Section
from calc.procedures.answers import alone
from calc.procedures.slip import SlipError
from calc.study.changed import with_numbers
from calc.study.chapters import chapters
from calc.study.engines import Engine, in_order
from calc.study.replay import Replay
from calc.study.replay_plan import UnfollowedError
from calc.study.vary.depth_fields import by_part, reason_by_fields
from calc.study.vary.section_models import (
    HELD,
    Followed,
    Recipe,
    confirm_fields,
    design_of,
    followed_model,
    refuse_whole_layers,
)

BEFORE = "bearing"  # the last chapter before the searches
NEAR = 0.75
"""Share of the largest utilisation from which a stage is kept as one that may govern; project rule."""
TOGETHER = 32
"""Points that are worked out together: each takes milliseconds."""


@dataclass(frozen=True)
class SlipRecipe:
    """What a process elsewhere makes a model of: the recipe of the verdict, and what searches have found for it."""

    recipe: Recipe
    halvings: int
    known: tuple[Known, ...] = ()
    stages: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """Key of the verdict in its chapter."""
        return self.recipe.verdict.partition("/")[2]

    def with_rows(self, searched: Iterable[Sequence[Row]]) -> "SlipRecipe":
        """The same with what further searches have found."""
        known, stages = list(self.known), list(self.stages)
        for rows in searched:
            most = max((utilisation for _, _, utilisation, _ in rows), default=0.0)
            for _, stage, utilisation, surface in rows:
                if utilisation >= NEAR * most:
                    known.append(surface)
                    stages.append(stage)
        return replace(self, known=tuple(dict.fromkeys(known)), stages=tuple(dict.fromkeys(stages)))


@dataclass(frozen=True)
class BySurfaces(Followed):
    """Utilisations by known surfaces; sent elsewhere as the recipe with these."""

    slip: SlipRecipe
    points_together: int = TOGETHER

    def search(self, points: Sequence[Mapping[str, float]], engine: Engine) -> list[list[Row]]:
        """What whole searches find at points; nothing where a chapter has no solution."""
        return whole_searches(self.slip, points, engine)

    def with_rows(self, searched: Iterable[Sequence[Row]]) -> "BySurfaces":
        """The same with the surfaces of further searches."""
        return by_recipe(self.slip.with_rows(searched))

    def __reduce__(self) -> "tuple[Callable[[SlipRecipe], Any], tuple[SlipRecipe]]":  # type: ignore[override]
        """A run holds more than can be sent."""
        return by_recipe, (self.slip,)


def follow_slip(engine: Engine, run: Run, recipe: Recipe) -> Followed:
    """A verdict by the record, or on slip surfaces by known ones; `UnfollowedError` where neither holds an input."""
    try:
        return followed_model(run, recipe)
    except UnfollowedError:
        part = next(part for part in run.sections if part.section.key == recipe.section)
        slip = SlipRecipe(recipe, part.section.halvings)
        if recipe.verdict.partition("/")[0] != CHAPTER or slip.key not in _verdicts_of(slip):
            raise
    base = slip.with_rows([_searched_at(slip, {})])
    by_recipe(base)  # what cannot be followed at all is told before anything is searched
    whole = base.with_rows(whole_searches(slip, recipe.ends, engine))
    return by_recipe(whole, tuple(recipe.ranges))


def whole_searches(slip: SlipRecipe, points: Sequence[Mapping[str, float]], engine: Engine) -> list[list[Row]]:
    """What the searches of the chapter find at points."""
    _base_of(slip.recipe, slip.halvings)  # read here once for all processes that are forked
    asked = replace(slip, known=(), stages=())
    return list(in_order(engine.results(partial(_searched_at, asked), points)))


@lru_cache(maxsize=HELD)
def by_recipe(slip: SlipRecipe, ranges: tuple[tuple[str, tuple[float, float]], ...] = ()) -> BySurfaces:
    """The model of a recipe: the record of a run whose factor is that of the known surfaces, and its replay.

    Around the design and at the ends of ``ranges`` the chain runs with the same surfaces and must give the same.
    """
    design, section = _base_of(slip.recipe, slip.halvings)
    chain = partial(_chain, slip)
    sheets = chain(design, section, CHAPTER)
    run = Run(design, (SectionRun(section, tuple(sheets.values())),))
    only = {slip.recipe.verdict: {"stage": slip.stages}}
    recipe, of_fields = slip.recipe, {field.path for field in slip.recipe.fields}
    of_inputs = {path: ends for path, ends in ranges if path not in of_fields}
    try:
        replay = Replay(run, design, section.key, [recipe.verdict], recipe.inputs, only, of_inputs, chain)
    except UnfollowedError as error:
        raise UnfollowedError(reason_by_fields(str(error), recipe.fields)) from None
    refuse_whole_layers(replay, recipe)
    made = BySurfaces(replay, recipe, slip)
    confirm_fields(made, ranges)
    return made


@lru_cache(maxsize=HELD)
def _base_of(recipe: Recipe, halvings: int) -> tuple[Design, Section]:
    design = design_of(recipe)
    section = next(section for section in design.sections if section.key == recipe.section)
    for _ in range(halvings):
        section = section.with_halved_sublayers()
    return design, section


def _verdicts_of(slip: SlipRecipe) -> Sequence[str]:
    design, section = _base_of(slip.recipe, slip.halvings)
    searches = searches_of(design, section, chapters(design, section, until=BEFORE))
    return [] if searches is None else list(slip_verdicts(searches))


def _chain(slip: SlipRecipe, design: Design, section: Section, _: str) -> dict[str, Sheet]:
    """The chapters up to the one on slip surfaces, with the verdict by known surfaces alone; none where none can be."""
    done = chapters(design, section, until=BEFORE)
    searches = searches_of(design, section, done)
    if searches is None:
        return {**done, CHAPTER: Sheet(section.key, CHAPTER)}
    try:
        return {**done, CHAPTER: by_known_surfaces(searches, done, slip.key, slip.known, slip.stages)}
    except (SlipError, SheetError) as error:
        raise CalculationError(str(error)) from error


def _searched_at(slip: SlipRecipe, numbers: Mapping[str, float]) -> list[Row]:
    numbers = by_part(slip.recipe.fields, numbers)
    design, section = with_numbers(*_base_of(slip.recipe, slip.halvings), numbers)
    try:
        with alone():
            done = chapters(design, section, until=BEFORE)
            searches = searches_of(design, section, done)
            return [] if searches is None else by_search(searches, slip_verdicts(searches)[slip.key])
    except (CalculationError, SlipError):
        return []


def largest(rows: Sequence[Row]) -> float:
    """The utilisation that governs; infinite where the searches have none."""
    return max((utilisation for _, _, utilisation, _ in rows), default=np.inf)

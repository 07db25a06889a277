"""Verdicts of a section as functions of its inputs: the recorded steps again, or the chain itself."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np

from calc.chain import CHAPTERS, CalculationError, Run, run_checks, run_section
from calc.engine.sheet import Verdict
from calc.inputs import Design, Section, read_design
from calc.inputs.tables.positions import with_positions
from calc.study.changed import number_at, with_numbers
from calc.study.replay import Replay
from calc.study.replay_plan import UnfollowedError
from calc.study.vary.depth_fields import DepthField, by_part, in_sublayers, reason_by_fields
from calc.study.vary.factors_of_one import with_factors_of_one
from calc.study.vary.marginals import Floats

EXTRUSION = "bearing/squeeze"  # begins the names of its verdicts
HELD = 8  # models that a process elsewhere keeps


class UnknownVerdictError(LookupError):
    """A verdict that the section does not have, or that compares no numbers there."""


def known_verdicts(run: Run, section: str) -> dict[str, Verdict]:
    """The verdicts with numbers of a section by "chapter/key"."""
    sheets = next(part.sheets for part in run.sections if part.section.key == section)
    return {
        f"{sheet.key}/{verdict.key}": verdict
        for sheet in sheets
        for verdict in sheet.verdicts
        if verdict.utilisation is not None
    }


def verdict_of(run: Run, section: str, name: str) -> Verdict:
    """The verdict with numbers under "chapter/key" of a section; `UnknownVerdictError` with those that are known."""
    known = known_verdicts(run, section)
    if name not in known:
        raise UnknownVerdictError(", ".join(known))
    return known[name]


def studied_sections(design: Design, keys: Sequence[str], verdicts: Sequence[str]) -> tuple[Section, ...]:
    """Sections with these keys, or all, and their positions; without slip searches where nothing needs them."""
    chosen = [section for section in design.sections if not keys or {section.key, section.of} & {*keys}]
    closed = {chapter.key for chapter in CHAPTERS if not chapter.searches}
    slip = any(name.partition("/")[0] not in closed for name in verdicts)  # a name of no chapter may mean one of them
    if any(name.startswith(EXTRUSION) for name in verdicts):
        chosen = [section.with_wedge_in_every_stage() for section in chosen]
    return tuple(section if slip else section.without_slip() for section in chosen)


@dataclass(frozen=True)
class Recipe:
    """What a process elsewhere makes models of: files of the project by name, what is studied, and the model meant.

    What is followed has the layers of `fields` in their sublayers; the chain has them whole.
    """

    files: tuple[tuple[str, bytes], ...]
    keys: tuple[str, ...]
    verdicts: tuple[str, ...]
    paths: tuple[str, ...]
    section: str
    verdict: str
    ranges: tuple[tuple[str, tuple[float, float]], ...] = ()
    followed: bool = True
    fields: tuple[DepthField, ...] = ()

    @property
    def inputs(self) -> tuple[str, ...]:
        """The paths that the record follows: those of fields in every sublayer, and of the whole layer.

        The last ones must reach nothing: what takes them once for the layer does not see its sublayers.
        """
        whole = [field.path for field in self.fields if field.path in self.paths]
        return (*by_part(self.fields, dict.fromkeys(self.paths, 0.0)), *whole)

    @property
    def ends(self) -> list[dict[str, float]]:
        """Values at the ends of the ranges, one input after the other; of a field also of each sublayer alone.

        Where one sublayer is weak by itself a slip surface along it decides, which the whole layer does not show.
        """
        ends = [{path: end} for path, both in self.ranges for end in both]
        parts = [by_part(self.fields, end) for end in ends]
        return ends + [{part: value} for end in parts if len(end) > 1 for part, value in end.items()]


def design_of(recipe: Recipe) -> Design:
    """The design of a recipe with factors of 1, by reading its project again; the layers of fields in sublayers."""
    with TemporaryDirectory() as folder:
        for name, content in recipe.files:
            (Path(folder) / name).write_bytes(content)
        design = read_design(Path(folder))
    sections = studied_sections(design, recipe.keys, recipe.verdicts)
    return in_parts_of(recipe, with_factors_of_one(replace(design, sections=sections)))


def in_parts_of(recipe: Recipe, design: Design) -> Design:
    """A design whose section of a recipe has the layers of fields in their sublayers, where it is to be followed."""
    if not recipe.fields or not recipe.followed:
        return design
    sections = [
        in_sublayers(section, recipe.fields, {field.path: number_at(design, section, field.path)
                                              for field in recipe.fields})
        if section.key == recipe.section else section
        for section in design.sections
    ]  # fmt: skip
    return replace(design, sections=tuple(sections))


@lru_cache(maxsize=HELD)
def model_of_recipe(recipe: Recipe) -> "Followed | Chained":
    """The model of a recipe, by reading and running its project again; the same numbers."""
    of_one = design_of(recipe)
    if not recipe.followed:
        return Chained(of_one, recipe)
    run = by_sublayer(of_one, recipe) if recipe.fields else run_checks(of_one)
    return Followed(_replay(run, recipe, {}), recipe)


def by_sublayer(of_one: Design, recipe: Recipe) -> Run:
    """The run of the section of a recipe with the layers of its fields in their sublayers."""
    design = in_parts_of(recipe, of_one)
    section = next(section for section in design.sections if section.key == recipe.section)
    return Run(design, (run_section(design, section),))


@dataclass(frozen=True)
class Followed:
    """Utilisations over their limits by the record of a run; sent elsewhere as its recipe."""

    replay: Replay
    recipe: Recipe

    def __call__(self, values: Mapping[str, Floats]) -> dict[str, Floats]:
        """Utilisation over its limit of every verdict; infinite where the calculation has no solution."""
        by_verdict = self.replay(by_part(self.recipe.fields, values))
        return {name: array / self.replay.limits[name] for name, array in by_verdict.items()}

    def confirm(self, values: Mapping[str, float]) -> str:
        """Run the chain at one point: why its record does not hold there, or nothing."""
        try:
            self.replay.confirm(by_part(self.recipe.fields, values))
        except UnfollowedError as error:
            return reason_by_fields(str(error), self.recipe.fields)
        return ""

    def __reduce__(self) -> "tuple[Callable[[Recipe], Any], tuple[Recipe]]":
        """A run holds more than can be sent."""
        return model_of_recipe, (self.recipe,)


@dataclass(frozen=True)
class Chained:
    """The same by a run of all chapters for every point: whatever the inputs do, at a second and more a point."""

    design: Design
    recipe: Recipe

    def __call__(self, values: Mapping[str, Floats]) -> dict[str, Floats]:
        """Utilisations over their limits, infinite where a chapter has no solution or the verdict no number."""
        count = len(next(iter(values.values())))
        rows = [self._utilisation_at({path: float(array[k]) for path, array in values.items()}) for k in range(count)]
        return {self.recipe.verdict: np.array(rows)}

    def _utilisation_at(self, numbers: Mapping[str, float]) -> float:
        try:
            run = run_checks(self._changed_design(numbers))
        except CalculationError:
            return np.inf
        try:
            verdict = verdict_of(run, self.recipe.section, self.recipe.verdict)
        except UnknownVerdictError:
            return np.inf
        assert verdict.utilisation is not None  # noqa: S101 - asked for verdicts with one
        return verdict.utilisation / verdict.limit

    def _changed_design(self, numbers: Mapping[str, float]) -> Design:
        """The section with its positions, made anew of the numbers, and the others where a chapter compares them."""
        section = next(section for section in self.design.sections if section.key == self.recipe.section)
        design, changed = with_numbers(self.design, section, numbers)
        own = with_positions(changed)
        if section.slip_left_out:
            own = tuple(part.without_slip() for part in own)
        room = self.recipe.verdict.partition("/")[0]
        across = next(chapter.across for chapter in CHAPTERS if chapter.key == room)
        sections = list[Section]()
        for other in design.sections:
            if other.of == section.key:
                sections += own if other.position is None else ()
            elif across:
                sections.append(other)
        return replace(design, sections=tuple(sections))

    def __reduce__(self) -> "tuple[Callable[[Recipe], Any], tuple[Recipe]]":
        """As with what is followed."""
        return model_of_recipe, (self.recipe,)


def _replay(run: Run, recipe: Recipe, ranges: Mapping[str, tuple[float, float]]) -> Replay:
    try:
        replay = Replay(run, run.design, recipe.section, [recipe.verdict], recipe.inputs, ranges=ranges)
    except UnfollowedError as error:
        raise UnfollowedError(reason_by_fields(str(error), recipe.fields)) from None
    refuse_whole_layers(replay, recipe)
    return replay


def refuse_whole_layers(replay: Replay, recipe: Recipe) -> None:
    """Refuse a field whose input reaches the verdict by a number that is taken once for the whole layer."""
    for field in recipe.fields:
        if field.path in replay.followed[recipe.verdict]:
            taken = next(key for key in replay.plan.steps if field.path in replay.plan.paths[key])
            message = (f"{field.path} cannot be followed by sublayer to {recipe.verdict}: {taken} takes it once for "
                       "the whole layer")  # fmt: skip
            raise UnfollowedError(message)


@dataclass(frozen=True)
class Models:
    """How a verdict is evaluated: by `model`, and why only the chain can where it does.

    Inputs without distribution that are `apart` keep the project's value in it; their bars are by the chain, `beside`.
    """

    model: Followed | Chained
    why: str = ""
    beside: Chained | None = None
    apart: tuple[str, ...] = ()


def models_of(
    run: Run, recipe: Recipe, distributed: Sequence[str], follow: "Callable[[Run, Recipe], Followed] | None" = None,
    parts: Run | None = None,
) -> Models:  # fmt: skip
    """The models of a verdict; where the record does not hold what an input does it is the chain, with the reason.

    What speaks of probability needs the inputs with distributions alone: where the record holds these, the others do
    not take it away. ``follow`` makes what is followed, by default by the record alone. ``parts`` is the run with the
    layers of fields in their sublayers, which is followed in place of ``run``.
    """
    follow, record = follow or followed_model, parts or run
    try:
        return Models(follow(record, recipe))
    except UnfollowedError as error:
        chained, why = Chained(run.design, replace(recipe, followed=False)), str(error)
    apart = tuple(path for path in recipe.paths if path not in distributed)
    if not distributed or not apart:
        return Models(chained, why)
    ranges = tuple((path, ends) for path, ends in recipe.ranges if path in distributed)
    try:
        return Models(follow(record, replace(recipe, paths=tuple(distributed), ranges=ranges)), why, chained, apart)
    except UnfollowedError:
        return Models(chained, why)


def followed_model(run: Run, recipe: Recipe) -> Followed:
    """A verdict by the record of a run; `UnfollowedError` where an input does what the record does not hold."""
    # At both ends of every range the chain is run as well: a branch may turn there.
    ranges = {path: ends for path, ends in recipe.ranges if path not in {field.path for field in recipe.fields}}
    made = Followed(_replay(run, recipe, ranges), recipe)
    confirm_fields(made, recipe.ranges)
    return made


def confirm_fields(model: Followed, ranges: Iterable[tuple[str, tuple[float, float]]]) -> None:
    """Run the chain with every field as a whole at the ends of its range; `UnfollowedError` where it differs.

    The number of the whole layer moves with it: what would take that one is not followed by sublayer.
    """
    fields = model.recipe.fields
    for path, ends in ranges:
        for end in ends if path in {field.path for field in fields} else ():
            try:
                model.replay.confirm({**by_part(fields, {path: end}), path: end})
            except UnfollowedError as error:
                raise UnfollowedError(reason_by_fields(str(error), fields)) from None

"""A verdict on slip surfaces by itself: by a whole search, or by surfaces that searches with other inputs have found.

With known surfaces the factor follows from recorded values, so that it can follow from others again, without a search.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Literal

import numpy as np

from calc.chapters.shared.other_values import OtherSheets, Place, row_of
from calc.chapters.shared.positions import lacks_positions
from calc.chapters.shared.ratio_limits import unproven
from calc.chapters.shared.soft_ground import Side, missing_strength, sides
from calc.chapters.stability.blocks import block_on_plane, planes
from calc.chapters.stability.slip import missing_for_search, prepared_searches
from calc.chapters.stability.slip_cases import EMPTY, Searches
from calc.chapters.stability.states import END, State
from calc.chapters.stability.steps import shear_parameters
from calc.engine.sheet import Again, Axis, Sheet, Value
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.procedures.slip import BlockSearch, Circle, Search, SlipError, Surface
from calc.procedures.slip.known import factors_of_known
from calc.procedures.slip.model import Method
from calc.procedures.stage_search import FORM, Asked, Floats, Found, over_stages

say = words_of(__name__)

Kind = Literal["F_Bi", "F_Sp", "F_bl", "F_fi"]
"""Symbol of the factor: circles by Bishop, circles by Spencer, blocks, circles within the fill."""
CHAPTER, SCOPE = "stability", "known_surfaces"


@dataclass(frozen=True)
class SlipVerdict:
    """What a verdict on slip surfaces looks at."""

    kind: Kind
    side: Side
    state: State


@dataclass(frozen=True)
class Known:
    """A surface that has decided somewhere; of a block the plane that it slides on."""

    surface: Circle | Surface
    plane: int = 0


Row = tuple[str, str, float, Known]
"""Factor set, stage, utilisation and surface that decides there."""


def slip_verdicts(searches: Searches) -> dict[str, SlipVerdict]:
    """The verdicts on searched surfaces by their keys."""
    verdicts = dict[str, SlipVerdict]()
    for side in sides(searches.section, layers=True):
        for state in searches.states():
            end = f"{state.ending}{side.ending}"
            verdicts[f"global_stability{end}"] = SlipVerdict("F_Bi", side, state)
            verdicts[f"global_stability_blocks{end}"] = SlipVerdict("F_bl", side, state)
            if not state.cell:
                verdicts[f"global_stability{end}_spencer"] = SlipVerdict("F_Sp", side, state)
        verdicts[f"slip_in_fill{side.ending}"] = SlipVerdict("F_fi", side, END)
    return verdicts


def searches_of(design: Design, section: Section, done: dict[str, Sheet]) -> Searches | None:
    """The searches of a section with all that they are made of, nothing searched; None where none can be made."""
    lacks = missing_strength(section) or missing_for_search(section)
    if lacks or lacks_positions(section, done) or unproven(done):
        return None
    return prepared_searches(shear_parameters(design, section, done), design, section, done)


def by_search(searches: Searches, asked: SlipVerdict) -> list[Row]:
    """The surface that decides in every case of a verdict, by the searches of the chapter."""
    answers: list[tuple[int, Found]] = []
    if asked.kind == "F_bl":
        answers = [(plane, _blocks(searches, asked, plane, way))
                 for plane, way in product(planes(searches.section), searches.ways)]  # fmt: skip
    elif asked.kind == "F_fi":
        answers = [(0, searches.within_fill(asked.side))]
    else:
        given = asked.state.by_given
        at = searches.ask(asked.side, given, "bishop") if given is not asked.state else None
        bishop = searches.ask(asked.side, asked.state, "bishop", at=at, near=True)
        second = asked.kind == "F_Sp"
        answers = [(0, searches.ask(asked.side, asked.state, "spencer", at=bishop, near=True) if second else bishop)]
    rows = list[Row]()
    for v, factor_set in enumerate(searches.sheet.axes["factor_set"]):
        for k, stage in enumerate(searches.stages):
            there = [(result, plane) for plane, answer in answers if (result := answer.results[v][k]) is not None]
            if there:
                result, plane = min(there, key=lambda pair: pair[0].factor)
                assert isinstance(result.surface, Circle | Surface)  # noqa: S101 - what was found is one of them
                needed = searches.sheet["gamma_Re"].number({"factor_set": factor_set, "stage": stage}) or 0.0
                rows.append((factor_set, stage, needed / result.factor, Known(result.surface, plane)))
    return rows


def _blocks(searches: Searches, asked: SlipVerdict, plane: int, way: float) -> Found:
    sets = range(len(searches.sheet.axes["factor_set"]))
    return over_stages([
        [block_on_plane(searches, asked.side, searches.case(v, k, asked.state, way=way), plane)
         for k in range(len(searches.stages))] for v in sets
    ])  # fmt: skip


def by_known_surfaces(
    searches: Searches, done: dict[str, Sheet], key: str, known: Sequence[Known], stages: Sequence[str]
) -> Sheet:
    """The sheet of the chapter with one verdict, by the least factor of known surfaces in some stages."""
    sheet, asked = searches.sheet, slip_verdicts(searches)[key]
    made = FactorsAgain(searches, {**done, CHAPTER: sheet}, asked, tuple(known), tuple(stages))
    again = made.again()
    value = again.value()
    scope = sheet.scope(SCOPE, say("title"))
    safety = scope.reading(asked.kind, value.array, value.axis_names, title=say("title"), mask=value.mask,
                           reason=EMPTY, again=again)  # fmt: skip
    labels = [label for label in searches.stages if safety.at(stage=label).valid.any()]
    effect, resistance = (quantity.at(stage=labels) for quantity in (sheet["gamma_Re"], safety))
    sheet.verdict(key, say("title"), effect=effect.without(~resistance.valid, EMPTY), resistance=resistance)
    return sheet.finish()


class FactorsAgain:
    """The least factors of known surfaces over (factor set, stage) as a function of recorded values."""

    def __init__(
        self, searches: Searches, done: Mapping[str, Sheet], asked: SlipVerdict, known: tuple[Known, ...],
        stages: tuple[str, ...],
    ) -> None:  # fmt: skip
        self._searches, self._done, self._asked, self._known, self._stages = searches, done, asked, known, stages
        self._axes = tuple(Axis(name, searches.sheet.axes[name]) for name in ("factor_set", "stage"))
        self._used: dict[Place, Value] = {}

    def again(self) -> Again:
        """How the factors follow from all values that are read for them in this run."""
        self._factors(OtherSheets(self._done, self._used, {}))
        return Again(self._values, tuple(self._used.values()), whole=("stage", "factor_set"))

    def _values(self, *values: Value) -> Value:
        # Their other axes need not agree: some values have the fill alone among the soils.
        samples = next((value.axes[:1] for value in values if value.axes[:1] and value.axes[0].name == "sample"), ())
        rows = []
        for k in range(len(samples[0].labels) if samples else 1):
            others = {place: row_of(value, k) for place, value in zip(self._used, values, strict=True)}
            beside: dict[Place, Value] = {}
            try:
                factors = self._factors(OtherSheets(self._done, beside, others))
            except SlipError:
                beside = self._used
            # What reads values that the design run does not read is another cross-section: no number here.
            rows.append(np.full([len(axis.labels) for axis in self._axes], np.nan) if beside else factors)
        array = np.stack(rows) if samples else rows[0]
        return Value(self._asked.kind, array, (*samples, *self._axes), mask=np.isnan(array), reason=EMPTY)

    def _factors(self, sheets: OtherSheets) -> Floats:
        searches = self._searches.of_other_values(sheets)
        least = np.full([len(axis.labels) for axis in self._axes], np.nan)
        for stage in self._stages:
            k = searches.stages.index(stage)
            for v, way in product(range(len(least)), searches.ways):
                for question, surfaces in self._questions(searches, v, k, way):
                    search = question.surface if isinstance(question.surface, Search) else None
                    factors = factors_of_known(
                        question.model, surfaces, question.method, search, direction=question.direction, form=FORM,
                        slices=question.slices, tolerance=question.tolerance,
                    )  # fmt: skip
                    least[v, k] = np.fmin.reduce([least[v, k], *factors])
        return least

    def _questions(
        self, searches: Searches, factor_set: int, stage: int, way: float
    ) -> Iterator[tuple[Asked, list[Circle | Surface]]]:  # fmt: skip
        """Cross-sections of a case with the known surfaces that belong into them."""
        side, kind = self._asked.side, self._asked.kind
        case = searches.case(factor_set, stage, self._asked.state, way=way)
        if case is None:
            return
        if kind == "F_bl":
            for plane in dict.fromkeys(known.plane for known in self._known):
                question = block_on_plane(searches, side, case, plane)
                if question is not None and isinstance(question.surface, BlockSearch):
                    c, phi = question.surface.c, question.surface.phi
                    yield question, [replace(known.surface, c=c, phi=phi) for known in self._known
                                     if known.plane == plane and isinstance(known.surface, Surface)]  # fmt: skip
            return
        surfaces = [known.surface for known in self._known]
        if kind == "F_fi":
            yield from ((question, surfaces) for question in searches.questions_within_fill(case, side))
        else:
            method: Method = "spencer" if kind == "F_Sp" else "bishop"
            yield searches.question(case, side, method, searches.search), surfaces

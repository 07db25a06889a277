"""Slip searches over factor sets and stages: one cross-section for each, and the arrays that a chapter records.

The same cross-section is looked at once: a run of unchanged sections, and the factor sets of a stage that agree, cost
nothing again.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.procedures.answers import Answers
from calc.procedures.slip import (
    BlockSearch,
    Circle,
    Model,
    RequiredForce,
    Result,
    Search,
    SlipError,
    Surface,
    analyse,
    required_force,
)
from calc.procedures.slip.model import Direction, Form, Method
from calc.procedures.slip.solve import TOLERANCE

Floats = NDArray[np.float64]
Question = Search | Circle | Surface | BlockSearch
FORM: Form = "B"  # the tension resists like the ground: with partial factors the form of EN 1997-1
KEPT = 2048


@dataclass(frozen=True)
class Asked:
    """A search in a cross-section: circles or blocks, method, direction, slices, tolerance of the factor."""

    model: Model
    surface: Question
    method: Method
    direction: Direction
    slices: int
    tolerance: float = TOLERANCE


@dataclass(frozen=True)
class Found:
    """Results over (factor set, stage), None where a stage was not looked at."""

    results: tuple[tuple[Result | None, ...], ...]

    def array(self, read: Callable[[Result], float]) -> Floats:
        """One number of every result; NaN where there is none."""
        return np.array([[np.nan if result is None else read(result) for result in row] for row in self.results])


def _answer(question: Asked) -> Result:
    """The decisive surface of one search."""
    return analyse(
        question.model, question.surface, question.method, direction=question.direction, form=FORM,
        slices=question.slices, tolerance=question.tolerance,
    )  # fmt: skip


@dataclass(frozen=True)
class Wanted:
    """A layer at a level between two places that lifts every circle to the safety asked for."""

    model: Model
    search: Search
    direction: Direction
    slices: int
    level: float
    reach: tuple[float, float]
    safety: float
    tolerance: float = TOLERANCE


def _force(wanted: Wanted) -> RequiredForce:
    """The force that the layer must give, by Bishop's method."""
    return required_force(
        wanted.model, wanted.search, wanted.level, wanted.safety, form=FORM, direction=wanted.direction,
        slices=wanted.slices, tolerance=wanted.tolerance, x_left=wanted.reach[0], x_right=wanted.reach[1],
    )  # fmt: skip


answer = Answers(_answer, KEPT)
force_asked = Answers(_force, KEPT)


def over_stages(questions: Sequence[Sequence[Asked | None]], *, every: bool = True) -> Found:
    """Every search of a table of questions over (factor set, stage).

    Unless ``every`` one must have an answer, a surface that a method does not admit is left without one.
    """
    answer.prepare(question for row in questions for question in row if question is not None)
    give = answer if every else _answer_if_admissible
    return Found(tuple(tuple(None if question is None else give(question) for question in row) for row in questions))


def _answer_if_admissible(question: Asked) -> Result | None:
    """The answer, or None where the method finds no equilibrium on any of the surfaces."""
    try:
        return answer(question)
    except SlipError:
        return None


def tension(result: Result) -> float:
    """Tension (kN/m) of all layers on the surface."""
    return sum(force.force for force in result.forces)


def tension_moment(result: Result) -> float:
    """Moment (kNm/m) of the tension of all layers about the centre."""
    return sum(force.force * (result.centre[1] - force.level) for force in result.forces)


def ground_moment(result: Result) -> float:
    """Resisting moment (kNm/m) of the ground alone."""
    return result.resisting - tension_moment(result)

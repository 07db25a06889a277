"""A range held against what the owners allow: passed below it, failed above it, left to the owner between."""

from dataclasses import dataclass

import numpy as np

from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.missing import quoted_names
from calc.engine.sheet import Scope, Value, number_text
from calc.engine.sheet.values import Array, Mask, spread
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.neighbours import Neighbour

say = words_of(__name__)


@dataclass(frozen=True, slots=True)
class Question:
    """One question asked of every neighbour: its verdict, its field in the file and the symbol of the limit."""

    key: str
    title: str
    field: str
    symbol: str


def accepted_analyses(neighbours: tuple[Neighbour, ...]) -> Mask:
    """The neighbours with an analysis of their own, the acceptance of which by the owner is recorded."""
    return np.array([neighbour.acceptance is not None for neighbour in neighbours])


def names_of(neighbours: tuple[Neighbour, ...], which: Mask) -> str:
    """Neighbours by name."""
    return quoted_names(neighbour.name for neighbour, chosen in zip(neighbours, which, strict=True) if chosen)


def missing_records(neighbours: tuple[Neighbour, ...], which: Mask) -> list[str]:
    """Words on those of them whose analysis does not count because no acceptance by the owner is recorded."""
    bare = (
        np.array([neighbour.analysis is not None and neighbour.acceptance is None for neighbour in neighbours]) & which
    )
    return [say("unrecorded", names=names_of(neighbours, bare))] if bare.any() else []


def by_analysis(neighbours: tuple[Neighbour, ...], which: Mask) -> str:
    """The documents that stand in the place of the screen."""
    return " ".join(
        say("analysis", name=neighbour.name, owner=neighbour.owner, document=neighbour.analysis,
            record=neighbour.acceptance)
        for neighbour, chosen in zip(neighbours, which, strict=True) if chosen and neighbour.acceptance
    )  # fmt: skip


def judge(
    scope: Scope, section: Section, neighbours: tuple[Neighbour, ...], question: Question, least: Value, most: Value
) -> Value | None:
    """Hold the ends of a range against the limits; the record has the limits, the result too where there are any.

    ``least`` has the axis of the neighbours alone, ``most`` may have more.
    """
    limits = np.array([getattr(neighbour, question.field) or np.nan for neighbour in neighbours])
    bare = np.isnan(limits)
    allowed = _limits_of_owners(scope, section, neighbours, question, limits) if not bare.all() else None
    upper = most.largest("neighbour").array
    over, open_ = least.array > limits, ~(least.array > limits) & (upper > limits)
    with_analysis = accepted_analyses(neighbours)
    sheet, key, title = scope.sheet, question.key, question.title
    left = (bare | open_) & ~with_analysis
    rest = by_analysis(neighbours, (bare | open_) & with_analysis)
    if rest:
        rest = f"{_range(least, upper, (bare | open_) & with_analysis)} {rest}"
    if allowed is not None and over.any():
        sheet.verdict(key, title, effect=least.without(~over, say("not-over")), resistance=allowed, note=say("over"))
    elif left.any():
        sheet.not_verified(key, title, _why(neighbours, question, bare & ~with_analysis, open_ & ~with_analysis))
    elif allowed is not None and not (bare | open_).all():
        aside = np.broadcast_to(spread(bare | open_, least.axes, most.axes), most.array.shape)
        sheet.verdict(key, title, effect=most.without(aside, say("by-analysis")), resistance=allowed, note=rest)
    else:
        sheet.accepted(key, title, rest)
    return allowed


def _limits_of_owners(
    scope: Scope, section: Section, neighbours: tuple[Neighbour, ...], question: Question, limits: Array
) -> Value:
    bare = np.isnan(limits)
    origins = [origin_of(section, f"neighbours.neighbour.{k}.{question.field}") for k in np.flatnonzero(~bare).tolist()]
    sources = dict.fromkeys(
        neighbour.limits_source or "" for neighbour, none in zip(neighbours, bare, strict=True) if not none
    )
    return scope.reading(
        question.symbol, np.where(bare, 0.0, limits), ["neighbour"], title=say("allowed"), origins=origins, mask=bare,
        reason=say("no-limit"), note="; ".join(sources),
    )  # fmt: skip


def _range(least: Value, upper: Array, which: Mask) -> str:
    """What the screen finds where an analysis stands in its place."""
    shown = symbol(least.symbol)
    low, high = (number_text(shown.factor * float(value), shown.decimals)
                 for value in (least.array[which].min(), upper[which].max()))  # fmt: skip
    return say("range", low=low, high=high, unit=shown.unit_text)


def _why(neighbours: tuple[Neighbour, ...], question: Question, bare: Mask, between: Mask) -> str:
    reasons = []
    if between.any():
        reasons.append(say("between", names=names_of(neighbours, between)))
    if bare.any():
        reasons.append(say("bare", names=names_of(neighbours, bare), field=question.field))
    return " ".join((*reasons, *missing_records(neighbours, bare | between)))

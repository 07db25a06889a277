"""The summary: what decides about the design, on one page whatever the project holds; the pages after it hold all."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from calc.engine.sheet import INFORMATION, NOT_REQUIRED
from calc.package.front import SectionRow
from calc.package.shown import cut
from calc.package.supports import Support, SupportLine, support_lines
from calc.package.verdicts import LimitView, VerdictView, governing, statements, without_number

# What one page has room for together, each at its largest.
SECTION_ROWS, RATED_ROWS, OPEN_ITEMS, DECISIONS = 4, 7, 6, 4
OPEN_LENGTH, DECISION_LENGTH, LIMITS_LENGTH = 104, 130, 240
SECTION_LENGTH, TITLE_LENGTH, CASE_LENGTH = 34, 66, 60


@dataclass(frozen=True, slots=True)
class OpenItem:
    """What bears no number: title, why, and the sections it concerns."""

    title: str
    note: str
    where: str


@dataclass(frozen=True, slots=True)
class Summary:
    """What stands on the summary page, cut to its room; each `..._left` counts what stands on later pages only."""

    sections: tuple[SectionRow, ...]
    sections_left: int
    rated: tuple[VerdictView, ...]
    rated_left: int
    rests: tuple[SupportLine, ...]
    open: tuple[OpenItem, ...]
    open_left: int
    stated: int
    informing: int
    not_required: int
    decisions: tuple[str, ...]
    decisions_left: int
    limits: int
    limits_turning: int
    limits_text: str


def summary(
    rows: Sequence[SectionRow],
    views: list[VerdictView],
    found: Sequence[Support],
    decisions: Sequence[str],
    limits: Sequence[LimitView],
) -> Summary:
    """The summary of a run."""
    asked, matters = list(governing(views)), open_items(views, "not verified")
    rated, sections = leading(asked), worst(rows)
    return Summary(
        sections=sections,
        sections_left=len(rows) - len(sections),
        rated=tuple(_short(view) for view in rated),
        rated_left=len(asked) - len(rated),
        rests=tuple(support_lines(found)),
        open=tuple(_shorten(one) for one in matters[:OPEN_ITEMS]),
        open_left=len(matters[OPEN_ITEMS:]),
        stated=len(statements(views)),
        informing=len(open_items(views, INFORMATION)),
        not_required=len(open_items(views, NOT_REQUIRED)),
        decisions=tuple(cut(text, DECISION_LENGTH) for text in decisions[:DECISIONS]),
        decisions_left=len(decisions[DECISIONS:]),
        limits=len(limits),
        limits_turning=sum(one.turns for one in limits),
        limits_text=cut(_count_words(limits), LIMITS_LENGTH),
    )


def leading(asked: Sequence[VerdictView]) -> list[VerdictView]:
    """What the summary has room for: what fails before the rest, then the largest utilisations, in the order given."""
    ranked = sorted(asked, key=lambda view: (view.state != "fail", -view.ratio))[:RATED_ROWS]
    return [view for view in asked if view in ranked]


def worst(rows: Sequence[SectionRow]) -> tuple[SectionRow, ...]:
    """The sections that the summary has room for: those which fail, then the largest utilisations, in their order."""
    ranked = sorted(rows, key=lambda row: (row.state != "fail", -row.ratio))[:SECTION_ROWS]
    return tuple(replace(row, title=cut(row.title, SECTION_LENGTH)) for row in rows if row in ranked)


def open_items(views: list[VerdictView], stamp: str) -> list[OpenItem]:
    """What bears a stamp without a number, each answer once."""
    return [OpenItem(title, note, where) for title, note, where in without_number(views, stamp)]


def _short(view: VerdictView) -> VerdictView:
    return replace(view, title=cut(view.title, TITLE_LENGTH), case=cut(view.case, CASE_LENGTH))


def _shorten(one: OpenItem) -> OpenItem:
    title = cut(one.title, TITLE_LENGTH)
    return OpenItem(title, cut(one.note, max(20, OPEN_LENGTH - len(title))), cut(one.where, 24))


def _count_words(limits: Iterable[LimitView]) -> str:
    """How many limitations arise first in each chapter."""
    return ", ".join(f"{chapter} {count}" for chapter, count in Counter(one.chapter for one in limits).items())

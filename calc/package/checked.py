"""What a checker has said about a run, as pages show it; where it comes from is no matter of the package."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class CheckMark:
    """The mark beside a step: its sign, by whom, when, in which revision if not in this one, on which comments."""

    sign: str
    initials: str
    date: str
    revision: str = ""
    comments: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class SaidView:
    """One thing said about a comment: by whom, when, in which revision."""

    head: str
    text: str


@dataclass(frozen=True, slots=True)
class CommentView:
    """A numbered comment; `key` is the step that it is about, which may be gone."""

    number: int
    key: str
    printed: str
    title: str
    kind: str
    status: str
    said: tuple[SaidView, ...]


@dataclass(frozen=True, slots=True)
class ChapterCheck:
    """How far the check of a chapter is."""

    number: str
    agreed: int
    queries: int
    changed: int
    steps: int


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """A result beside the checker's own value, each at its own case; `judgement` is empty without an own value."""

    asked: str
    own: str
    own_case: str
    printed: str
    case: str
    deviation: str
    tolerance: str
    judgement: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """The sheet of the independent check; `outdated` says why its values are not compared."""

    by: str
    method: str
    outdated: str
    rows: tuple[ComparedRow, ...] = ()
    summary: str = ""


@dataclass(frozen=True)
class Checked:
    """Marks by the keys of their steps, the comments, how far the check is, and the independent check."""

    marks: Mapping[str, CheckMark] = field(default_factory=dict)
    summary: str = ""
    chapters: Sequence[ChapterCheck] = ()
    comments: Sequence[CommentView] = ()
    comparison: Comparison | None = None

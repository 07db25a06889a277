"""The status of a revision in plain words, codes beside them, and which status may follow which."""

from collections.abc import Sequence
from dataclasses import dataclass
from re import IGNORECASE
from re import compile as pattern

# Common practice, no source; what a revision is for decides what it may be used for.
DRAFT, SHARED, CHECKING, APPROVAL = "draft", "for comment", "for checking", "for approval"
CONSTRUCTION, RECORD = "issued for construction", "as constructed, for record"
SUPERSEDED, WITHDRAWN = "superseded", "withdrawn"
INFORMATION, COORDINATION = "for information", "for coordination"
WORDS = (
    DRAFT, INFORMATION, COORDINATION, SHARED, CHECKING, APPROVAL, CONSTRUCTION, RECORD, SUPERSEDED, WITHDRAWN
)  # fmt: skip
_OPEN = (DRAFT, INFORMATION, COORDINATION, SHARED, CHECKING)
_NEXT = {
    DRAFT: (*_OPEN, WITHDRAWN),
    INFORMATION: (*_OPEN, WITHDRAWN),
    COORDINATION: (*_OPEN, WITHDRAWN),
    SHARED: (*_OPEN, WITHDRAWN),
    CHECKING: (*_OPEN, APPROVAL, WITHDRAWN),
    APPROVAL: (*_OPEN, APPROVAL, CONSTRUCTION, WITHDRAWN),
    CONSTRUCTION: (*_OPEN, RECORD, SUPERSEDED, WITHDRAWN),
    RECORD: (*_OPEN, RECORD, SUPERSEDED, WITHDRAWN),
    SUPERSEDED: (),
    WITHDRAWN: _OPEN,
}
_SAME = {
    "for review and comment": SHARED, "for review": SHARED, "work in progress": DRAFT, "preliminary": DRAFT,
    "for construction": CONSTRUCTION, "for record": RECORD, "as constructed": RECORD, "as built": RECORD,
}  # fmt: skip
# Codes of the UK National Annex to BS EN ISO 19650-2, edition of 2021, as quoted by a published comparison of its
# tables; S4 and S5 ask somebody to authorise or accept, which the words of the trade call "for approval".
_CODES = {
    "S0": DRAFT, "S1": COORDINATION, "S2": INFORMATION, "S3": SHARED, "S4": APPROVAL, "S5": APPROVAL,
    "S6": WITHDRAWN, "S7": WITHDRAWN, "CR": RECORD,
}  # fmt: skip
_CODE = pattern(r"(?:^|\()\s*(S[0-7]|CR|A\d{1,2})\b\s*\)?", IGNORECASE)
_AUTHORISED = pattern(r"A\d{1,2}", IGNORECASE)


@dataclass(frozen=True, slots=True)
class Status:
    """A status in words, and the code that stands beside it, or none."""

    words: str
    code: str | None = None

    def __str__(self) -> str:
        return f"{self.words} ({self.code})" if self.code else self.words


def read_status(text: str) -> Status | None:
    """Words, a code, or both, as in ``"S3 – for comment"``; None where it says neither or two things."""
    match = _CODE.search(text)
    code = match[1].upper() if match else None
    rest = (text[: match.start()] + text[match.end() :]) if match else text
    plain = " ".join(rest.casefold().strip(" \t–-—:,;·").split())
    words = _SAME.get(plain, plain)
    if words and words not in WORDS:
        return None
    if code is None:
        return Status(words) if words else None
    meant = CONSTRUCTION if _AUTHORISED.fullmatch(code) else _CODES[code]
    if words and words != meant and not (words == CHECKING and meant == SHARED):
        return None
    return Status(words or meant, code)


def may_follow(issued: Sequence[str]) -> tuple[str, ...]:
    """The statuses that the next revision of a document may have after those issued, oldest first."""
    return _NEXT[issued[-1]] if issued else (*_OPEN, APPROVAL)


def standing(issued: Sequence[str]) -> tuple[str, ...]:
    """What each issued revision of a document is today, oldest first.

    Work in progress is superseded by whatever comes later; what is issued for construction stays valid until something
    else takes its place on site, is recorded as constructed, or the document is superseded or withdrawn.
    """
    return tuple(
        SUPERSEDED if any(_replaces(later, status) for later in issued[index + 1 :]) else status
        for index, status in enumerate(issued)
    )


def _replaces(later: str, status: str) -> bool:
    if status in {CONSTRUCTION, RECORD}:
        return later in {CONSTRUCTION, RECORD, SUPERSEDED, WITHDRAWN}
    return True


def same_label(first: str, second: str) -> bool:
    """Whether two labels are one for people: capitals and spaces do not tell revisions apart."""
    return first.casefold().split() == second.casefold().split()

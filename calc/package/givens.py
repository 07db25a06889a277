"""Given values as rows, and what stands together: taken over from earlier chapters, or given alike before."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup

from calc.package.alike import Place, span
from calc.package.checked import CheckMark


@dataclass(frozen=True, slots=True)
class GivenRow:
    """One given value.

    `like` is where an earlier section gives the same; `taken` is where an earlier chapter prints the value and
    its meaning.
    """

    number: str
    anchor: str
    symbol: Markup
    meaning: str
    value: str
    unit: str
    origin: Markup
    mark: str
    note: str
    like: Place | None = None
    taken: Markup | None = None
    check: CheckMark | None = None

    @property
    def place(self) -> Place:
        """Where the row stands."""
        return Place(self.number, self.anchor)


@dataclass(frozen=True, slots=True)
class AlikeRows:
    """Consecutive given values which an earlier section gives alike, as one row that names them all."""

    number: str
    like: Markup
    rows: tuple[GivenRow, ...]

    @property
    def check(self) -> CheckMark | None:
        """The mark that all of them bear."""
        return self.rows[0].check


@dataclass(frozen=True, slots=True)
class TakenRows:
    """Consecutive values taken over from earlier chapters, as one row that names them all."""

    rows: tuple[GivenRow, ...]

    @property
    def check(self) -> CheckMark | None:
        """The mark that all of them bear."""
        return self.rows[0].check


def together(rows: Sequence[GivenRow]) -> Iterator[GivenRow | AlikeRows | TakenRows]:
    """The rows in order; neighbours which are taken over become one, and so do those which an earlier section has.

    Only rows with the same check mark are joined.
    """
    for (taken, _), run in groupby(rows, key=lambda row: (bool(row.taken), row.check)):
        found = tuple(run)
        if taken and len(found) > 1:
            yield TakenRows(found)
        else:
            yield from _alike(found)


def _alike(rows: Sequence[GivenRow]) -> Iterator[GivenRow | AlikeRows]:
    """The rows in order; those which follow each other here and where they were given alike become one."""
    for _, run in groupby(rows, key=_offset):
        alike = tuple(run)
        likes = [one.like for one in alike if one.like]
        if len(alike) < 2 or len(likes) < len(alike):
            yield from alike
        else:
            where = Markup('<a class="step" href="#{}">{}</a>').format(likes[0].anchor, span(likes[0], likes[-1]))
            yield AlikeRows(span(alike[0].place, alike[-1].place), where, alike)


def _offset(row: GivenRow) -> tuple[str, int] | None:
    """Equal for rows which stand at the same distance from the same chapter's rows."""
    return (row.like.number.rpartition(".")[0], row.place.line - row.like.line) if row.like else None


def source_beside(symbol: Markup, meaning: str, told: str, origin: Markup) -> Markup:
    """Where a value was taken over, in brackets behind it: the symbol and the meaning only where they are others.

    `origin` names the symbol and the line, `told` is the meaning on that line.
    """
    where = origin[len(symbol) :].removeprefix(" of ").lstrip() if origin.startswith(f"{symbol} ") else origin
    if meaning.casefold() == told.casefold():
        return Markup(where)  # noqa: S704 - part of markup
    return Markup("{}; {}").format(meaning, Markup(where))  # noqa: S704 - part of markup

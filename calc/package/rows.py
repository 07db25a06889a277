"""The rows of a chapter as pages show them: one quantity each, its values by section, and blocks of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from calc.package.checked import CheckMark
from calc.package.references import Reference

NOWHERE = Markup("")
Kind = Literal["full", "given", "short"]
LONGEST_AGAIN = 14  # signs of a source that is named in words again
NEAR_ABOVE = 12  # rows over which a value from outside may be moved up


@dataclass(frozen=True, slots=True)
class Sign:
    """What a checker has said of a line, and of which sections where not of all of them."""

    sections: str
    mark: CheckMark


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity: its number, its values by section, and what stands beside them.

    A `full` row has an equation or says what it was read from; a `given` one comes from outside, from the field `path`
    of the project file, of which the package prints the lines, `at`; a `short` one has nothing but its values and
    `where` the rest stands. `numbers` are those of the worked section, `others` those of sections whose numbers do not
    all stand in their own column. `box` is where the checker signs: "▣" where one has, "↳" where the row
    stands elsewhere and here at the case of a scope.
    `keys` are those of its steps by section, empty where a section has none. Where `below`, what does not fit behind
    the title takes lines of its own, which pass under the values; `behind` the equation stands its source where the
    title leaves no room for it. A short row whose value comes from `outside` of its scope may stand before its place.
    The source of a row may be `cited` by a line above in its scope.
    """

    kind: Kind
    number: str
    anchor: str
    title: str
    symbol: Markup
    unit: str
    values: tuple[str, ...]
    picture: str = ""
    alt: str = ""
    style: str = ""
    numbers: str = ""
    others: tuple[tuple[str, str], ...] = ()
    where: Markup = NOWHERE
    path: Markup = NOWHERE
    at: str = ""
    reference: Reference | None = None
    cited: bool = False
    clause: str = ""
    mark: str = ""
    beneath: tuple[Markup, ...] = ()
    signs: tuple[Sign, ...] = ()
    box: str = "□"
    keys: tuple[str, ...] = ()
    below: bool = False
    behind: bool = False
    outside: bool = False

    @property
    def citation(self) -> str:
        """Its source: in words, or by its number where it is no publication, or `cited` in words above in the scope."""
        if self.reference is None:
            return ""
        is_long = len(self.reference.short) > LONGEST_AGAIN
        in_words = self.reference.is_published and not (self.cited and is_long)
        return self.reference.short if in_words else f"[{self.reference.number}]"


@dataclass(frozen=True, slots=True)
class Block:
    """Consecutive lines of one scope.

    `cases` are the cases of the sections, those alike together; `read` holds values of the chapter which the scope
    reads at its own case; `worked` is the place of the section whose numbers are written out, `columns` those of the
    sections that have the scope. One that goes on with the lines of a scope stands there `again`. The case stands
    `beside` a title which leaves room for it.
    """

    title: str
    cases: tuple[tuple[str, str], ...]
    read: tuple[Row, ...]
    worked: int
    columns: tuple[int, ...]
    runs: tuple[tuple[Kind, tuple[Row, ...]], ...]
    again: bool = False
    beside: bool = False


def gathered_rows(rows: Sequence[Row]) -> list[Row]:
    """The rows with short ones from outside moved up to short ones that stand not far before them."""
    moved: list[Row] = []
    last = -NEAR_ABOVE  # the place behind the last short row
    for row in rows:
        if row.outside and len(moved) - last < NEAR_ABOVE:
            moved.insert(last, row)
            last += 1
        else:
            moved.append(row)
            last = len(moved) if row.kind == "short" else last
    return moved

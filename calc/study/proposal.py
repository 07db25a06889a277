"""The proposed programme as TOML: the tables as they were typed, with other dates."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from textwrap import wrap

from calc.engine.words import words_of
from calc.inputs import Design
from calc.inputs.reading.locate import Path, Place, locate
from calc.inputs.reading.source import text_of
from calc.study.proposed_dates import day_text

say = words_of(__name__)

WIDTH = 100


@dataclass(frozen=True, slots=True)
class Proposal:
    """Dates proposed for a section: starts of its stages, and hand-over (day)."""

    key: str
    starts: tuple[float, ...]
    hand_over: float


@dataclass(frozen=True, slots=True)
class _Typed:
    """The project file as typed, and where everything stands in it."""

    lines: list[str]
    places: dict[Path, Place]

    def under(self, table: Path) -> list[tuple[str, Place]]:
        """Key and place of every value of a table."""
        size = len(table)
        return [(str(path[size]), place) for path, place in self.places.items()
                if path[:size] == table and len(path) == size + 1]  # fmt: skip


def proposal_text(design: Design, proposals: Sequence[Proposal], head: Sequence[str]) -> str:
    """A TOML file with the tables of the proposals; ``head`` is told above them in comments, a paragraph each.

    Tables stated once for several sections stay one where all of these have the same dates, and become tables of the
    section elsewhere.
    """
    text = text_of(design.text)
    typed = _Typed([line.rstrip("\r") for line in text.split("\n")], locate(text))
    lines = [line for paragraph in head for line in _comment(paragraph)]
    # Keys of the sections that have neither stages nor a hand-over of their own.
    places = (("stage",), ("consolidation", "hand_over"))
    common = [
        section.key
        for index, section in enumerate(design.stated)
        if not any(("section", index, *path) in typed.places for path in places)
    ]
    shared = [proposal for proposal in proposals if proposal.key in common]
    if len(shared) == len(common) and len({(proposal.starts, proposal.hand_over) for proposal in shared}) == 1:
        who = say("common", keys=", ".join(common))
        lines += [
            "",
            *_comment(who),
            *_tables(design, typed, shared[0], "stage"),
            *_hand_over("consolidation", shared[0]),
        ]
        proposals = [proposal for proposal in proposals if proposal not in shared]
    for proposal in proposals:
        who = say("own", key=proposal.key)
        lines += ["", *_comment(who), "[[section]]", f'key = "{proposal.key}"', ""]
        lines += [*_tables(design, typed, proposal, "section.stage"), *_hand_over("section.consolidation", proposal)]
    return "\n".join(lines) + "\n"


def _comment(text: str) -> Iterator[str]:
    """A paragraph as lines of a comment."""
    printable = "".join(sign if sign.isprintable() else " " for sign in text)
    yield from (f"# {line}" for line in wrap(printable, WIDTH, break_on_hyphens=False)) if printable else ["#"]


def _tables(design: Design, typed: _Typed, proposal: Proposal, header: str) -> Iterator[str]:
    """The tables of the stages as typed, a blank line after each, with other starts."""
    number = next(k for k, section in enumerate(design.stated) if section.key == proposal.key)
    place_of_stage: Path = ("section", number, "stage")
    at = place_of_stage if place_of_stage in typed.places else ("stage",)
    for index, (stage, start) in enumerate(zip(design.stated[number].stages, proposal.starts, strict=True)):
        yield f"[[{header}]]"
        yield from _stage(typed, (*at, index), None if start == stage.start else f'"{day_text(start)}"')
        yield ""


def _stage(typed: _Typed, table: Path, start: str | None) -> Iterator[str]:
    """The lines of one stage; what was typed in braces is written a line for each value."""
    values = typed.under(table)
    first = min(place.line for _, place in values)
    last = max(place.line + place.text.count("\n") for _, place in values)
    place = typed.places[*table, "start"]
    if not _has_header(typed.lines, first):
        yield from (f"{key} = {start if start and key == 'start' else place.text}" for key, place in values)
        return
    begin = _header(typed.lines, first) + 1
    for number, line in enumerate(typed.lines[begin - 1 : last], start=begin):
        yield _replace_value(line, place, start) if start and number == place.line else line


def _header(lines: list[str], first: int) -> int:
    """Number of the line above the first value that is neither blank nor a comment."""
    return next((k for k in range(first - 1, 0, -1) if lines[k - 1].strip() and lines[k - 1].strip()[0] != "#"), 0)


def _has_header(lines: list[str], first: int) -> bool:
    """Whether the values stand on lines of their own under a header in double brackets."""
    number = _header(lines, first)
    return number > 0 and re.fullmatch(r"\s*\[\[[^\[\]{}=]+\]\]\s*(#.*)?", lines[number - 1]) is not None


def _replace_value(line: str, place: Place, start: str) -> str:
    """The line with another value; what stands behind it stays."""
    at = line.index(place.text, line.index("=", place.column - 1))
    return line[:at] + start + line[at + len(place.text) :]


def _hand_over(table: str, proposal: Proposal) -> Iterator[str]:
    """The date of hand-over in its table."""
    yield from _comment(say("hand-over", table=table))
    yield f"[{table}]"
    yield f'hand_over = "{day_text(proposal.hand_over)}"'

"""The table [alignment]: limits of the change of gradient along the embankment, and where settlement changes."""

import re
from itertools import pairwise
from typing import Annotated, Any

from calc.engine.levels import above, same
from calc.inputs.reading.kinds import Length, LengthOrNone, Name, Table, field
from calc.inputs.reading.scalars import Number
from calc.inputs.reading.texts import OneOf, Text, Words
from calc.inputs.tables.neighbours import NOT_RELEVANT
from calc.inputs.tables.outside import Outside
from calc.inputs.tables.problem import Problem, Problems, unique

SECTION, STRUCTURE, UNTREATED = "section", "structure", "untreated ground"
KILOMETRE = 1000.0
CHAINAGE = re.compile(r"\D*(\d+)\+(\d{3}(?:\.\d+)?)\D+(\d+)\+(\d{3}(?:\.\d+)?)\D*")
PLACE = re.compile(r"(\d+)\+(\d{3}(?:\.\d+)?)")
Chainage = tuple[float, float]
"""From and to, m."""
GradientChange = Annotated[float, Number(gt=0, le=0.05)]


class Place(Text):
    """A place along the alignment in kilometres and metres."""

    def read(self, value: object) -> str:
        """Refuse what does not have the form."""
        if not isinstance(value, str) or PLACE.fullmatch(value) is None:
            self.refuse(value)
        return value

    def must(self) -> str:
        """Name the form."""
        return 'be a place with three digits of metres, such as "0+480"'

    def json(self) -> dict[str, Any]:
        """A text of this form."""
        return {"type": "string", "pattern": f"^{PLACE.pattern}$"}


class Transition(Table):
    """A place where the settlement changes from that of a section to that of what follows on it."""

    at: Annotated[str, Place()] = field("Where: an end of a section.", "0+480")
    to: Annotated[str, OneOf(words=(SECTION, STRUCTURE, UNTREATED))] = field(
        'What follows on the section: another "section", a "structure" or "untreated ground".', "section"
    )
    name: Name | None = field("What it is called; by default what `to` says.", "bridge abutment", default=None)
    length: Length = field(
        "Length over which the settlement changes; between two sections half lies in each, else all of it outside.",
        "20 m",
    )
    means: Words = field(
        "What makes it change over this length.", "The spacing of the columns grows from row to row over this length."
    )
    settlement_hand_over: LengthOrNone | None = field(
        "Settlement of the structure or the untreated ground up to hand-over; not between sections.",
        "0 mm",
        default=None,
    )
    settlement_residual: LengthOrNone | None = field(
        "The same from hand-over to the end of the design life.", "5 mm", default=None
    )
    source: Words | None = field("Where these two come from.", "design of the abutment, GEO-C-004", default=None)

    @property
    def place(self) -> float:
        """Where it is, m."""
        return place_of(self.at)


class Alignment(Table):
    """Limits of the change of gradient along the embankment, and the transitions at the ends of the sections."""

    gradient_hand_over: GradientChange | None = field(
        "Greatest change of gradient by the settlement up to hand-over, for what is built before it.",
        0.02,
        default=None,
    )
    gradient_residual: GradientChange | None = field(
        "Greatest change of gradient by the settlement between hand-over and 1, 3, 10 and 30 years after it, or the "
        "end of the design life.",
        0.004,
        default=None,
    )
    source: Words = field("Where the limits come from.", "requirements of the road authority, section 4")
    transitions: tuple[Transition, ...] = field(
        "Transitions: one at each end of a section.", "[[alignment.transition]]", name="transition", default=(),
        max_length=120,
    )  # fmt: skip


def ends_of(chainage: str) -> Chainage | None:
    """From and to in m of a chainage such as 0+120 to 0+480; None of one that is written in another way."""
    read = CHAINAGE.fullmatch(chainage)
    if read is None:
        return None
    first, last = (KILOMETRE * float(read[k]) + float(read[k + 1]) for k in (1, 3))
    return (first, last) if first < last else None


def place_of(text: str) -> float:
    """A place along the alignment, m, from the form in which it is read."""
    match = PLACE.fullmatch(text)
    assert match is not None  # noqa: S101 - read in this form
    return KILOMETRE * float(match[1]) + float(match[2])


def place_text(place: float) -> str:
    """A place along the alignment as it is written."""
    kilometres, rest = divmod(place, KILOMETRE)
    return f"{kilometres:.0f}+{rest:03.0f}" if rest == int(rest) else f"{kilometres:.0f}+{rest:06.2f}"


def chainages_of_sections(alignment: Alignment | None, chainages: tuple[str, ...]) -> Problems:
    """Settlement along the alignment needs sections that follow one another."""
    if alignment is None:
        return
    spans = [(ends_of(chainage), index) for index, chainage in enumerate(chainages)]
    for ends, index in spans:
        if ends is None:
            must = 'name two places in rising order, such as "0+120 to 0+480", where [alignment] is given'
            yield Problem(("section", index, "chainage"), must)
    placed = sorted((ends, index) for ends, index in spans if ends)
    for (before, _), (ends, index) in pairwise(placed):
        if above(before[1], ends[0]):
            must = f"not begin before the end of another section ({place_text(before[1])}), where [alignment] is given"
            yield Problem(("section", index, "chainage"), must)


def transitions(alignment: Alignment | None, chainages: tuple[str, ...]) -> Problems:
    """A transition stands at an end of a section, once, and says of its other side what the sections do not."""
    if alignment is None:
        return
    yield from unique([transition.place for transition in alignment.transitions], ("alignment", "transition"), "at")
    ends = [place for span in map(ends_of, chainages) if span for place in span]
    for index, transition in enumerate(alignment.transitions):
        path = ("alignment", "transition", index)
        count = sum(same(transition.place, end) for end in ends)
        if not count:
            known = ", ".join(dict.fromkeys(map(place_text, sorted(ends))))
            yield Problem((*path, "at"), f"be an end of a section ({known})")
        elif (transition.to == SECTION) != (count > 1):
            must = f'be "{SECTION}" where two sections meet' if count > 1 else f'not be "{SECTION}", which none is here'
            yield Problem((*path, "to"), must)
        for name in ("settlement_hand_over", "settlement_residual", "source"):
            is_given = getattr(transition, name) is not None
            if transition.to == SECTION and is_given:
                yield Problem((*path, name), "be left out between sections, which have settlements of their own")
            elif transition.to != SECTION and not is_given:
                yield Problem((*path, name), f"be given of {transition.to}", "nothing")
        if transition.to == SECTION and transition.name is not None:
            yield Problem((*path, "name"), "be left out between sections, which have keys")


def transitions_apart(alignment: Alignment | None, chainages: tuple[str, ...]) -> Problems:
    """Between the transitions at its two ends a section has a settlement of its own."""
    if alignment is None:
        return
    for span in filter(None, map(ends_of, chainages)):
        inner = [(index, transition) for index, transition in enumerate(alignment.transitions)
               if transition.to == SECTION and any(same(transition.place, end) for end in span)]  # fmt: skip
        inside = sum(transition.length / 2 for _, transition in inner)
        if above(inside, span[1] - span[0]):
            must = (
                f"leave room in the section from {place_text(span[0])} to {place_text(span[1])}: the halves of its "
                f"transitions take {inside:g} m of it"
            )
            yield Problem(("alignment", "transition", inner[-1][0], "length"), must)


def transitions_fit_gaps(alignment: Alignment | None, chainages: tuple[str, ...]) -> Problems:
    """What follows on a section has changed to its own settlement before the next section begins."""
    if alignment is None:
        return
    for left, right in pairwise(sorted(span for span in map(ends_of, chainages) if span)):
        inner = [
            (index, transition)
            for index, transition in enumerate(alignment.transitions)
            if transition.to != SECTION and (same(transition.place, left[1]) or same(transition.place, right[0]))
        ]
        outside = sum(transition.length for _, transition in inner)
        if above(right[0], left[1]) and above(outside, right[0] - left[1]):
            must = (
                f"leave room between the sections, from {place_text(left[1])} to {place_text(right[0])}: the "
                f"transitions there take {outside:g} m of it"
            )
            yield Problem(("alignment", "transition", inner[-1][0], "length"), must)


def stated_outside(alignment: Alignment | None, outside: Outside) -> Problems:
    """What lies at the ends of the sections is not denied among the matters outside."""
    beyond = alignment is not None and any(transition.to != SECTION for transition in alignment.transitions)
    if beyond and (outside.structures or "").startswith(NOT_RELEVANT):
        must = 'begin with "see " or be left out, because [alignment] has a transition to what is no section'
        yield Problem(("outside", "structures"), must)


ALIGNMENT_RULES = (chainages_of_sections, transitions, transitions_apart, transitions_fit_gaps, stated_outside)

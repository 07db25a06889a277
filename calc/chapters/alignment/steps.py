"""Settlement along the alignment: change of gradient at both ends of a section, at hand-over and later."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calc.chapters.alignment.settlements import (
    AFTER,
    GRADIENT_HAND,
    GRADIENT_LATER,
    HAND,
    TAKEN_AWAY,
    Sheets,
    settlements,
)
from calc.chapters.shared.frame import CENTRE, HIGH, LONG, LOW, SHOULDER, chapter, origin_of
from calc.chapters.shared.limits import optional_limit
from calc.chapters.shared.programme import END_OF_LIFE, calendar
from calc.chapters.shared.zones import below_crest
from calc.engine.levels import same
from calc.engine.sheet import Scope, Sheet, Turning, Value, number_text
from calc.engine.words import words_of
from calc.formulas.alignment import change_of_gradient, radius_of_curvature
from calc.inputs import Design, Section
from calc.inputs.tables.alignment import SECTION, Transition, ends_of, place_text

say = words_of(__name__)

Array = NDArray[np.float64]

CROSSED = "crossed_"
LEVEL = 1e-9  # a change of gradient below this has no radius


@dataclass(frozen=True)
class Question:
    """One of both times: key and title of the verdict, own settlement and where it stands, what is found from it."""

    key: str
    title: str
    of: str
    own: str
    scope: str
    words: str
    next: str
    next_words: str
    field: str
    result: str
    radius: str
    limit: str
    sign: float
    """Whether the residual settlement of the ground below the toes adds to the settlement asked for, or lessens it."""


QUESTIONS = (
    Question("gradient_hand_over", say("gradient-hand-over"), HAND, "s_hoa", GRADIENT_HAND, say("at-hand-over"),
             "s_hob", say("next-hand-over"), "settlement_hand_over", "i_ho", "R_ho", "i_hlim", 1.0),
    Question("gradient_residual", say("gradient-residual"), AFTER, "s_fa", GRADIENT_LATER, say("from-hand-over"),
             "s_fb", say("next-later"), "settlement_residual", "i_f", "R_f", "i_flim", -1.0),
)  # fmt: skip


@dataclass(frozen=True)
class End:
    """An end of the section: its transition by the place in the file, and the section that follows on it if any."""

    label: str
    index: int
    given: Transition
    follows: Sheet | None


def alignment(design: Design, section: Section, done: Sheets) -> Sheet:
    """Settlements of the section, those of what follows on both its ends, and the change of gradient between them.

    ``done`` holds the sheets of other sections as well, as ``KEY/chapter``.
    """
    if design.alignment is None and len(design.stated) == 1:
        sheet, why = chapter("alignment", design, section), ""  # nothing to compare it with, and nobody asks
    else:
        sheet, why = settlements(design, section, done)
    if design.alignment is None:
        for question in QUESTIONS:
            sheet.not_verified(question.key, question.title, say("not-asked"), required=False)
        return sheet
    ends, open_ends = ([], []) if why else _ends(design, section, done)
    why = " ".join([why, *open_ends]).strip()
    if ends:
        sheet.axis("transition", [end.label for end in ends])
        sheet.kept["transitions"] = {end.label: end.index for end in ends}
    for question in QUESTIONS:
        scope = _gradient(sheet, design, ends, question) if ends else sheet
        _judge(scope, design, question, scope[question.result] if ends else None, why)
    sheet.limitation("alignment-uniform", say("limitation-uniform"))
    if any(end.follows for end in ends):
        _say_unlike_rates(sheet, ends)
        _other_dates(sheet, section, ends, done)
    if ends:
        _lower_edges(sheet, design, section, ends, done)
        _without_factor(sheet, ends)
        _below_on_one_side(sheet, ends)
    return sheet


def _ends(design: Design, section: Section, done: Sheets) -> tuple[list[End], list[str]]:
    """The ends of the section whose transition is known, and what is missing of the others, in words."""
    ends, why = list[End](), list[str]()
    transitions = design.alignment.transitions if design.alignment else ()
    for place in ends_of(section.chainage) or ():
        at = place_text(place)
        index, transition = next((each for each in enumerate(transitions) if same(each[1].place, place)), (0, None))
        if transition is None:
            why.append(say("no-transition", place=at))
        elif transition.to != SECTION:
            ends.append(End(say("to-other", what=transition.name or transition.to, place=at), index, transition, None))
        elif (other := _next_section(design, section, place, done)) is None:
            why.append(say("not-run", place=at))
        else:
            head = f"{other.key}/"
            theirs = {key.removeprefix(head): sheet for key, sheet in done.items() if key.startswith(head)}
            follows, lacking = settlements(design, other, theirs)
            if lacking:
                why.append(say("lacking", key=other.key, why=lacking))
            else:
                ends.append(End(say("to-section", key=other.key, place=at), index, transition, follows))
    return ends, why


def _next_section(design: Design, section: Section, place: float, done: Sheets) -> Section | None:
    """The section that follows at an end; along a crest edge that edge of it, or its level ground."""
    ending = section.position.ending if section.position else ""
    for other in design.stated:
        if other.key != section.of and any(same(place, end) for end in ends_of(other.chainage) or ()):
            if f"{other.key}/consolidation" not in done:
                return None
            edges = (part for part in design.sections if ending and part.key == other.key + ending)
            return next(edges, other)
    return None


def _gradient(sheet: Sheet, design: Design, ends: Sequence[End], question: Question) -> Scope:
    """Settlement of what follows on the ends, lengths, and change of gradient."""
    scope = sheet.scope(question.scope, question.words)
    settlement = scope.take(question.own, sheet.scopes[question.of][question.own])
    parts = [
        np.full(settlement.array.shape, getattr(end.given, question.field)) if end.follows is None
        else end.follows.scopes[question.of][question.own].array for end in ends
    ]  # fmt: skip
    between = np.zeros((*settlement.array.shape, len(ends)), dtype=bool)
    if "date" in settlement.axis_names:
        # What the project states holds for the end of the design life, not for dates before it.
        early = np.array([label != END_OF_LIFE for label in settlement.labels("date")])
        between |= early[None, :, None, None] & np.array([end.follows is None for end in ends])
    path = "alignment.transition"
    scope.reading(
        question.next, np.stack(parts, axis=-1), [*settlement.axis_names, "transition"], title=question.next_words,
        origins=[origin_of(design, f"{path}.{end.index}.{'at' if end.follows else question.field}") for end in ends],
        note=say("note-next"), mask=between, reason=say("at-the-end"),
    )  # fmt: skip
    scope.given("L_tn", [end.given.length for end in ends], ["transition"], origin_axis="transition",
                origin=[origin_of(design, f"{path}.{end.index}.length") for end in ends])  # fmt: skip
    change = scope(change_of_gradient, i_ho=question.result, s_hoa=question.own, s_hob=question.next)
    level = change.valid & (change.array < LEVEL)
    if level.any():
        change = replace(
            change, mask=~change.valid | level, reason="; ".join(filter(None, (change.reason, say("level"))))
        )
    scope(radius_of_curvature, R_ho=question.radius, i_ho=change)
    return scope


def _judge(scope: Scope, design: Design, question: Question, effect: Value | None, why: str) -> None:
    """Compare the largest change of gradient; what passes while an end is open is not verified."""
    optional_limit(
        scope, design, (question.key, question.title), effect, getattr(design.alignment, question.key),
        symbol=question.limit, path=f"alignment.{question.key}", missing=why if effect is None else "",
    )  # fmt: skip
    made = scope.sheet.verdicts[-1]
    if why and made.state == "pass":
        scope.sheet.withhold(made, why)


def _percent(largest: Mapping[str, float]) -> tuple[str, str]:
    """The largest change of gradient up to hand-over and after it as they are printed."""
    hand, later = (number_text(100 * largest[question.key], 2) for question in QUESTIONS)
    return hand, later


def _exceeds(largest: Mapping[str, float]) -> Turning:
    """The verdicts whose limits these changes of gradient exceed."""
    return lambda verdict: largest.get(verdict.key, 0.0) > verdict.limit * (verdict.resistance or 0.0)


def _say_unlike_rates(sheet: Sheet, ends: Sequence[End]) -> None:
    """Say what unlike rates of consolidation on the two sides of a transition would give.

    The ground below the toes consolidates at rates of its own, so its residual part counts on either side or on both.
    """
    joints, largest = [end for end in ends if end.follows], dict[str, float]()
    for question in QUESTIONS:
        scopes = [_with_scenarios(sheet, question, [joint.label for joint in joints], scenarios)
                 for scenarios in ((LOW, HIGH), (HIGH, LOW))]  # fmt: skip
        largest[question.key] = max(_with_more(scope, question, _one_side(sheet, question, joints)) for scope in scopes)
    hand, later = _percent(largest)
    sheet.limitation("alignment-crossed", say("limitation-crossed", hand=hand, later=later), "project rule",
                     turns=_exceeds(largest))  # fmt: skip


def _without_factor(sheet: Sheet, ends: Sequence[End]) -> None:
    """Say what the change of gradient would be without the factor on secondary compression on both sides."""
    of_all = [sheet.kept[TAKEN_AWAY], *(end.follows.kept[TAKEN_AWAY] for end in ends if end.follows)]
    if not any(part.any() for masks in of_all for part in masks.values()):
        return
    largest = {}
    for question in QUESTIONS:
        bend = sheet.kept[TAKEN_AWAY][question.of]
        other = np.stack([end.follows.kept[TAKEN_AWAY][question.of] if end.follows else np.zeros_like(bend)
                          for end in ends], axis=-1)  # fmt: skip
        largest[question.key] = _with_more(sheet.scopes[question.scope], question, [(bend[..., None], other)])
    hand, later = _percent(largest)
    sheet.limitation("alignment-secondary", say("limitation-secondary", hand=hand, later=later), "project rule",
                     turns=_exceeds(largest))  # fmt: skip


def _below_on_one_side(sheet: Sheet, ends: Sequence[End]) -> None:
    """Say what the change of gradient would be with the residual part below the toes on one side only.

    That part is an upper value, which is safe of a section by itself; of two sections, two safe values cancel.
    """
    largest = {
        question.key: _with_more(sheet.scopes[question.scope], question, _one_side(sheet, question, ends))
        for question in QUESTIONS
    }
    hand, later = _percent(largest)
    sheet.limitation("alignment-below", say("limitation-below", hand=hand, later=later), "project rule",
                     turns=_exceeds(largest))  # fmt: skip


def _one_side(sheet: Sheet, question: Question, ends: Sequence[End]) -> list[tuple[Array, Array]]:
    """What settles otherwise where the residual part below the toes is nil nowhere, here, or in what follows."""
    bend = question.sign * sheet.scopes[HAND]["s_bre"].array
    other = np.array([question.sign * float(end.follows.scopes[HAND]["s_bre"].array) if end.follows else 0.0
                      for end in ends])  # fmt: skip
    none, nowhere = np.zeros(()), np.zeros(len(ends))
    return [(none, nowhere), (bend, nowhere), (none, other)]


def _with_more(scope: Scope, question: Question, more: Iterable[tuple[Array, Array]]) -> float:
    """The largest change of gradient with settlements in m that are added here and in what follows."""
    here, there, length = scope[question.own].array[..., None], scope[question.next], scope["L_tn"].array
    changes = (
        change_of_gradient(here + extra_here, there.array + extra_there, length) for extra_here, extra_there in more
    )
    return max(float(change[there.valid].max()) for change in changes)


def _lower_edges(sheet: Sheet, design: Design, section: Section, ends: Sequence[End], done: Sheets) -> None:
    """Say what the change of gradient would be along a lower crest edge, which settles less than the higher one."""
    share = _share_at_lower_edge(section, done["unit_cell"])
    cored = section.embankment.is_cored
    other = np.ones(len(ends))
    for k, end in enumerate(ends):
        if end.follows:
            key = end.follows.section
            follows = next(part for part in design.sections if part.key == key)
            other[k] = _share_at_lower_edge(follows, done[f"{key}/unit_cell"])
            cored = cored or follows.embankment.is_cored
    if share == 1 and (other == 1).all():
        return
    largest = {}
    for question in QUESTIONS:
        scope = sheet.scopes[question.scope]
        here, there = scope[question.own].array[..., None], scope[question.next].array
        more = [(here * (share - 1), np.zeros(len(ends))), (np.zeros(()), there * (other - 1))]
        if cored:  # one line along the road may lie where the fill of both weighs least
            more.append((here * (share - 1), there * (other - 1)))
        largest[question.key] = _with_more(scope, question, more)
    hand, later = _percent(largest)
    text = (
        say("limitation-places", hand=hand, later=later) if cored else say("limitation-crest", hand=hand, later=later)
    )
    sheet.limitation("alignment-crest", text, "project rule ◇", turns=_exceeds(largest))


def _share_at_lower_edge(section: Section, cell: Sheet) -> float:
    """Final settlement at the lower crest edge over that with the height of the higher one; 1 where it is level.

    Of a bank with zones of the fill that end within it that where the fill below the crest weighs least.
    """
    places = below_crest(section) if section.embankment.is_cored else [SHOULDER] if section.embankment.lower else []
    if not places:
        return 1.0
    s = cell.scopes["settlement"]["s"].at(stage=cell.axes["stage"][-1], load="G+Q", stiffness=LONG)
    return float(s.at(position=places).array.min()) / float(s.at(position=CENTRE).array)


def _with_scenarios(sheet: Sheet, question: Question, joints: Sequence[str], scenarios: tuple[str, str]) -> Scope:
    known, (here, there) = sheet.scopes[question.scope], scenarios
    name = f"{CROSSED}{question.scope}_{'low' if here == LOW else 'high'}"
    scope = sheet.scope(name, say("crossed", here=here, there=there))
    scope.take(question.own, known[question.own].at(scenario=here))
    scope.take(question.next, known[question.next].at(scenario=there, transition=joints))
    scope.take("L_tn", known["L_tn"].at(transition=joints))
    scope(change_of_gradient, i_ho="i_x", s_hoa=question.own, s_hob=question.next)
    return scope


def _other_dates(sheet: Sheet, section: Section, ends: Sequence[End], done: Sheets) -> None:
    """Say where the sections of a transition are handed over at different dates."""
    hand_over = calendar(done).hand_over
    theirs = {end.follows.section: float(done[f"{end.follows.section}/consolidation"].scopes["dates"]["t_ho"].array)
              for end in ends if end.follows}  # fmt: skip
    late = [say("day-of", key=key, day=f"{day:g}") for key, day in theirs.items() if not same(day, hand_over)]
    if late:
        days = ", ".join([say("day-of", key=section.key, day=f"{hand_over:g}"), *late])
        sheet.limitation("alignment-dates", say("limitation-dates", days=days))

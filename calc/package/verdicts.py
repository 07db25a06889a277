"""Verdicts and limitations as pages show them."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from markupsafe import Markup

from calc.chain import SectionRun
from calc.engine.figure import symbol_text
from calc.engine.sheet import STAMPS, Sheet, Verdict, case_words
from calc.package.both_sides import title_and_side
from calc.package.limitations import LimitView
from calc.package.line_places import Places
from calc.package.shown import STATE_SIGNS, amount, css_state, sections_keys, with_unit, without_fields

NO_NUMBER = "–"
LONG_CASE = 40  # signs of a case that takes a second line in its column


@dataclass(frozen=True, slots=True)
class VerdictView:
    """One verdict in words; `stamp` is its state in the vocabulary of `STAMPS`, as printed."""

    anchor: str
    section: str
    chapter: str
    title: str
    state: str
    stamp: str
    style: str
    sign: str
    effect: Markup
    resistance: Markup
    utilisation: str
    ratio: float
    limit: str
    situation: str
    stage: str
    case: str
    factor_set: str
    step: Markup
    note: str
    required: bool
    informs: bool
    key: str
    turned: tuple[LimitView, ...] = ()

    @property
    def at(self) -> str:
        """The case that governs, with factor set and situation."""
        return ", ".join(filter(None, (self.case, self.factor_set, self.situation)))


@dataclass(frozen=True, slots=True)
class Unrated:
    """What bears no utilisation: its state, title, reason, and the sections it concerns."""

    state: str
    stamp: str
    title: str
    note: str
    where: str
    anchor: str
    chapter: str
    required: bool


@dataclass(frozen=True, slots=True)
class VerdictGroup:
    """One question in all sections; `alike` where all of them have the same answer in words.

    `labels` say of which section a view is, and of which side where the question is asked of several.
    """

    title: Markup
    views: tuple[VerdictView, ...]
    labels: tuple[str, ...]

    @property
    def rows(self) -> list[tuple[Markup, VerdictView, bool]]:
        """The views with their labels, those of one answer in words together, and whether a row is of several.

        What refers to a view finds it at its label where the row begins with another one.
        """
        by_answer: dict[Hashable, list[int]] = {}
        for place, view in enumerate(self.views):
            by_answer.setdefault(place if view.effect else (view.stamp, view.note, view.turned), []).append(place)
        return [
            (Markup(", ").join(self._label(place, first=place == places[0]) for place in places),
             self.views[places[0]], len(places) > 1)
            for places in by_answer.values()
        ]  # fmt: skip

    def _label(self, place: int, *, first: bool) -> Markup:
        view, label = self.views[place], self.labels[place]
        return Markup("{}").format(label) if first else Markup('<span id="{}">{}</span>').format(view.anchor, label)

    @property
    def alike(self) -> bool:
        """Whether one row says it for all sections."""
        answers = {(view.stamp, view.note, view.effect, view.turned) for view in self.views}
        return len(answers) == 1 and not self.views[0].effect

    @property
    def note(self) -> str:
        """The note that all sections have beside their numbers; it prints once."""
        notes = {view.note for view in self.views}
        return self.views[0].note if len(self.views) > 1 and len(notes) == 1 and self.views[0].effect else ""

    @property
    def at(self) -> str:
        """A long case that governs in all sections; it prints once."""
        cases = {view.at if view.effect else "" for view in self.views}
        return max(cases) if len(self.views) > 1 and len(cases) == 1 and len(max(cases)) > LONG_CASE else ""


def verdict_groups(views: Iterable[VerdictView], *, sides: bool = True) -> tuple[VerdictGroup, ...]:
    """The questions of a chapter, each once with the answers of all sections; those with one answer together.

    Both `sides` of an embankment are one question.
    """
    by_title: dict[tuple[str, str], list[VerdictView]] = {}
    for view in views:
        title, side = title_and_side(view.title) if sides else (view.title, "")
        by_title.setdefault(("" if side else view.key, title), []).append(view)
    groups: list[VerdictGroup] = []
    for same in by_title.values():
        group, last = _group(same), groups[-1] if groups else None
        if last and last.alike and group.alike and _answers(last) == _answers(group):
            more = Markup('; <span id="{}">{}</span>').format(same[0].anchor, group.title)
            groups[-1] = VerdictGroup(last.title + more, last.views, last.labels)
        else:
            groups.append(group)
    return tuple(groups)


def _group(views: Sequence[VerdictView]) -> VerdictGroup:
    """Views of one question, whose title names the side where all are of the same."""
    firsts = {view.title: view for view in reversed(views)}
    if len(firsts) == 1:
        return VerdictGroup(Markup("{}").format(views[0].title), tuple(views), tuple(view.section for view in views))
    title = Markup("{}").format(title_and_side(views[0].title)[0])
    labels = tuple(f"{view.section} {title_and_side(view.title)[1]}" for view in views)
    group = VerdictGroup(title, tuple(views), labels)
    if not group.alike:
        return group
    # One row for all of them: what refers to one of another side has to find it there.
    others = [view for view in reversed(firsts.values()) if view is not views[0]]
    named = [Markup('<span id="{}">{}</span>').format(view.anchor, title_and_side(view.title)[1]) for view in others]
    sides = Markup(", ").join([Markup("{}").format(title_and_side(views[0].title)[1]), *named])
    return VerdictGroup(Markup("{}: {} side").format(title, sides), group.views, labels)


def _answers(group: VerdictGroup) -> list[tuple[str, str, str]]:
    return [(view.section, view.stamp, view.note) for view in group.views]


def verdict_view(
    part: SectionRun,
    chapter: int,
    anchor: str,
    verdict: Verdict,
    places: Places,
    turned: tuple[LimitView, ...] = (),
    sets: Mapping[str, str] = MappingProxyType({}),
) -> VerdictView:
    """The verdict with its case in words, a link to the step it relies on and the limitations that would turn it.

    `sets` are the names of factor sets as a column has room for them.
    """
    case = {name: label for name, label in verdict.case.items() if name != "factor_set"}
    situations = {f"{k} {stage.name}": stage.situation for k, stage in enumerate(part.section.stages, start=1)}
    return VerdictView(
        anchor=anchor,
        section=part.section.key,
        chapter=f"{chapter}",
        title=verdict.title,
        state=verdict.state,
        stamp=verdict.stamp,
        style=css_state(verdict.stamp),
        sign=STATE_SIGNS[verdict.stamp],
        effect=_term(verdict.effect_symbol, verdict.effect),
        resistance=_term(verdict.resistance_symbol, verdict.resistance),
        utilisation=NO_NUMBER if verdict.utilisation is None else amount(verdict.utilisation),
        ratio=(verdict.utilisation or 0.0) / verdict.limit,
        limit=f"{verdict.limit:g}",
        situation=situations.get(verdict.case.get("stage", ""), ""),
        stage=verdict.case.get("stage", "").partition(" ")[2],
        case=case_words(case),
        factor_set=sets.get(verdict.factor_set, verdict.factor_set),
        step=Markup(", ").join(
            places.link(key) for key in dict.fromkeys((verdict.step, verdict.resistance_step)) if key
        ),
        note=without_fields(verdict.note) if verdict.state == "not verified" else verdict.note,
        required=verdict.required,
        informs=verdict.informs,
        key=verdict.key,
        turned=turned,
    )


def _term(name: str, value: float | None) -> Markup:
    if not name or value is None:
        return Markup("")
    # A unit is not parted at its stroke, a number neither from it nor from the sign of equality.
    return Markup('{} <span class="nowrap">= {}</span>').format(symbol_text(name), with_unit(value, name))


def without_number(views: Sequence[VerdictView]) -> list[Unrated]:
    """What bears no utilisation, each answer once, in the order of the states; why where it is left open."""
    by_answer: dict[tuple[str, str, str], list[VerdictView]] = {}
    for view in views:
        if view.utilisation == NO_NUMBER:
            answer = (view.stamp, view.title, view.note if view.state == "not verified" else "")
            by_answer.setdefault(answer, []).append(view)
    every = {view.section for view in views}
    rows = [
        Unrated(
            same[0].state,
            stamp,
            title,
            note,
            sections_keys([view.section for view in same], every),
            same[0].anchor,
            same[0].chapter,
            same[0].required,
        )
        for (stamp, title, note), same in by_answer.items()
    ]
    return sorted(rows, key=lambda row: STAMPS.index(row.stamp))


def by_reason(open_ones: Iterable[Unrated]) -> list[list[Unrated]]:
    """Answers together that have one reason in the same sections."""
    groups: dict[tuple[str, str, str], list[Unrated]] = {}
    for verdict in open_ones:
        groups.setdefault((verdict.stamp, verdict.note, verdict.where), []).append(verdict)
    return list(groups.values())


def nearest_section(sheets: Sequence[Sheet]) -> int:
    """The section whose tables and figures a chapter prints: the one with a verdict nearest to its limit.

    Where these print alike the next verdicts decide: what is the same in two sections draws neither of them.
    """
    nearest = [
        sorted((round((verdict.utilisation or 0.0) / verdict.limit, 3) for verdict in sheet.verdicts), reverse=True)
        for sheet in sheets
    ]
    return nearest.index(max(nearest))

"""Verdicts and limitations as pages show them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.engine.figure import symbol_text
from calc.engine.sheet import INFORMATION, NOT_APPLICABLE, NOT_REQUIRED, Limitation, Verdict, case_words
from calc.package.places import Places
from calc.package.shown import STATE_SIGNS, amount, css_state, sections_words, with_unit

NO_NUMBER = "–"


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
    case: str
    factor_set: str
    step: Markup
    note: str
    required: bool
    informs: bool
    key: str
    turned: tuple["LimitView", ...] = ()


@dataclass(frozen=True, slots=True)
class VerdictGroup:
    """One question in all sections; `alike` where all of them have the same answer in words."""

    title: str
    views: tuple[VerdictView, ...]

    @property
    def alike(self) -> bool:
        """Whether one row says it for all sections."""
        answers = {(view.stamp, view.note, view.effect) for view in self.views}
        return len(answers) == 1 and not self.views[0].effect


def grouped(views: Iterable[VerdictView]) -> tuple[VerdictGroup, ...]:
    """The questions of a chapter, each once with the answers of all sections."""
    found: dict[tuple[str, str], list[VerdictView]] = {}
    for view in views:
        found.setdefault((view.key, view.title), []).append(view)
    return tuple(VerdictGroup(title, tuple(own)) for (_, title), own in found.items())


def verdict_view(
    part: SectionRun, chapter: int, anchor: str, verdict: Verdict, places: Places, turned: tuple["LimitView", ...] = ()
) -> VerdictView:
    """The verdict with its case in words, a link to the step it relies on and the limitations that would turn it."""
    case = {name: label for name, label in verdict.case.items() if name != "variant"}
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
        case=case_words(case),
        factor_set=verdict.factor_set,
        step=places.link(verdict.step) if verdict.step else Markup(""),
        note=verdict.note,
        required=verdict.required,
        informs=verdict.informs,
        key=verdict.key,
        turned=turned,
    )


def _term(name: str, value: float | None) -> Markup:
    if not name or value is None:
        return Markup("")
    return Markup("{} = {}").format(symbol_text(name), with_unit(value, name))


@dataclass(frozen=True, slots=True)
class LimitView:
    """One limitation with its number and every chapter in which it arises."""

    number: str
    anchor: str
    text: str
    source: str
    chapters: tuple[str, ...]
    chapter: str
    turns: bool


def collect_limits(run: Run) -> dict[Limitation, LimitView]:
    """Every limitation once: those that would turn a passing verdict first, then as they arise."""
    found: dict[Limitation, list[str]] = {}
    titles: dict[Limitation, str] = {}
    turning: set[Limitation] = set()
    for part in run.sections:
        passed = {
            one.key
            for sheet in part.sheets
            for one in sheet.verdicts
            if one.state == "pass" and one.utilisation is not None
        }
        for chapter, sheet in enumerate(part.sheets, start=1):
            for limit in sheet.limitations:
                found.setdefault(limit, []).append(f"{chapter}")
                titles.setdefault(limit, sheet.title)
                if passed.intersection(limit.turns):
                    turning.add(limit)
    ranked = sorted(found.items(), key=lambda item: item[0] not in turning)
    return {
        limit: LimitView(
            f"L{index}",
            f"limit{index}",
            limit.text,
            limit.source,
            tuple(dict.fromkeys(chapters)),
            titles[limit],
            limit in turning,
        )
        for index, (limit, chapters) in enumerate(ranked, start=1)
    }


def governing(views: list[VerdictView]) -> Iterator[VerdictView]:
    """For each question the section in which it is worst; what fails stands first, then the order of the chapters."""
    worst: dict[str, VerdictView] = {}
    for view in views:
        if view.stamp not in {"pass", "fail"} or view.utilisation == NO_NUMBER:
            continue
        known = worst.get(view.key)
        if known is None or (view.state == "fail", view.ratio) > (known.state == "fail", known.ratio):
            worst[view.key] = view
    yield from sorted(worst.values(), key=lambda view: view.state != "fail")


def without_number(views: list[VerdictView], stamp: str) -> list[tuple[str, str, str]]:
    """What bears this stamp: title, why, and the sections it concerns, each answer once.

    `INFORMATION` gives what was evaluated although nothing requires it, and `NOT_REQUIRED` then not. With the latter
    stands what is not applicable, and says so.
    """
    found: dict[tuple[str, str], list[str]] = {}
    for view in views:
        if (INFORMATION if view.informs else view.stamp) == stamp:
            found.setdefault((view.title, view.note), []).append(view.section)
        elif (view.stamp, stamp) == (NOT_APPLICABLE, NOT_REQUIRED):
            found.setdefault((view.title, f"Not applicable: {view.note}"), []).append(view.section)
    every = {view.section for view in views}
    return [(title, note, sections_words(sections, every)) for (title, note), sections in found.items()]


def statements(views: list[VerdictView]) -> list[tuple[str, str]]:
    """What rests on a reason instead of a number: each title once, and the sections it concerns."""
    found: dict[str, list[str]] = {}
    for view in views:
        if view.state == "pass" and view.utilisation == NO_NUMBER:
            found.setdefault(view.title, []).append(view.section)
    every = {view.section for view in views}
    return [(title, sections_words(sections, every)) for title, sections in found.items()]

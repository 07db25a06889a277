"""The summary: what decides about the design, on one page whatever the project holds; the pages after it hold all."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil
from re import split, sub

from calc.chain import Run, SectionRun
from calc.engine.figure import Arrow, Callouts, Dimension, Label, Scene
from calc.engine.sheet import Sheet
from calc.inputs import Section
from calc.package.equations import Picture
from calc.package.figures import figure_picture
from calc.package.limitations import LimitView
from calc.package.questions import BESIDE, FACTS, QUESTIONS, SETTLEMENT, Compared, Line, Required
from calc.package.shown import OUTCOME_WORDS, against, with_unit
from calc.package.utilisations import short_sets
from calc.package.verdicts import NO_NUMBER, VerdictView
from calc.package.writer import Writer

SECTIONS = 6  # that have room beside each other
FEW = 3  # sections that leave room for more
# What there is room for, in signs: matters to be decided in lines beside the drawing, and limitations; with many
# sections half of it.
LINE = 42
DECIDED, LIMITED = 13 * LINE, 1100
LIMITS = 5
TITLE = 60  # signs of a verification in a cell
DRAWN_WIDE, DRAWN_HIGH, NEAR = 104.0, 58.0, 3.5  # of the drawing and its dimensions, mm


@dataclass(frozen=True, slots=True)
class Answer:
    """What a section answers to a question: sign and utilisation or state, its case, and what else is left open."""

    style: str
    sign: str
    text: str
    case: str
    also: str


@dataclass(frozen=True, slots=True)
class QuestionRow:
    """A question with the answer of every section, and the verification that governs over all of them."""

    title: str
    answers: tuple[Answer, ...]
    governing: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Summary:
    """What stands on the summary page; each `..._left` counts what stands on later pages only."""

    sections: tuple[str, ...]
    sections_left: int
    drawn: str
    picture: Picture | None
    sentence: str
    questions: tuple[QuestionRow, ...]
    designed: tuple[str, ...]
    design: tuple[tuple[str, tuple[str, ...]], ...]
    decided: tuple[str, ...]
    decided_left: int
    limits: tuple[tuple[LimitView, str], ...]
    limits_left: int
    turns_left: int


def summary(
    run: Run,
    writers: Sequence[Writer],
    views: Sequence[VerdictView],
    decisions: Sequence[str],
    limits: Sequence[LimitView],
) -> Summary:
    """The summary of a run."""
    shown = worst_sections(run, views)
    shown_writers = [writer for writer in writers if writer.part in shown]
    # At a toe nothing of the design differs, and no sleeve, column or settlement is judged.
    designed = [
        writer for writer in shown_writers if not ((at := writer.part.section.position) and at.toe)
    ] or shown_writers
    keys = tuple(part.section.key for part in shown)
    room = 1 if len(shown) <= FEW else 2
    decided = fitting(decisions, DECIDED // room, LINE)
    heaviest = [(limit, _first_sentence(limit.text)) for limit in limits[:LIMITS]]
    heaviest_count = len(fitting([text for _, text in heaviest], LIMITED // room))
    governing = _section_to_draw(run, run.governing[0] if run.governing else run.sections[0])
    return Summary(
        sections=keys,
        sections_left=len(run.sections) - len(shown),
        drawn=governing.section.key,
        picture=_picture(governing),
        sentence=sentence(run, views),
        questions=tuple(_questions(keys, views, run)),
        designed=tuple(writer.part.section.key for writer in designed),
        design=tuple(_design(designed)),
        decided=tuple(decided),
        decided_left=len(decisions) - len(decided),
        limits=tuple(heaviest[:heaviest_count]),
        limits_left=len(limits) - heaviest_count,
        turns_left=sum(bool(limit.turns) for limit in limits[heaviest_count:]),
    )


def sentence(run: Run, views: Sequence[VerdictView]) -> str:
    """The verdict in one sentence, with what decides it."""
    outcome = OUTCOME_WORDS[run.outcome].rstrip(".")
    failing = [view for view in views if view.state == "fail"]
    if failing:
        worst = max(failing, key=lambda view: view.ratio)
        verb = "fails" if len(failing) == 1 else "fail"
        return (
            f"{len(failing)} of {_count_rated(views)} verifications by numbers {verb}; worst: {_verdict_words(worst)}."
        )
    open_ones = [view for view in views if _is_open(view)]
    rated = [view for view in views if view.utilisation != NO_NUMBER]
    largest = f"; largest utilisation: {_verdict_words(max(rated, key=lambda view: view.ratio))}" if rated else ""
    left = f" ({len(open_ones)} of {len(views)} verifications)" if open_ones else ""
    return f"{outcome}{left}{largest}."


def _count_rated(views: Sequence[VerdictView]) -> int:
    return sum(view.utilisation != NO_NUMBER for view in views)


def _verdict_words(view: VerdictView) -> str:
    limit = "" if view.limit == "1" else f" (limit {view.limit})"
    return f"{view.utilisation}{limit}, {_short_title(view.title)}, section {view.section}"


def worst_sections(run: Run, views: Sequence[VerdictView]) -> list[SectionRun]:
    """The sections that have room: those which fail, then those with the largest utilisations, in their order."""

    def rank(part: SectionRun) -> tuple[bool, float]:
        views_of_section = [view for view in views if view.section == part.section.key]
        return all(view.state != "fail" for view in views_of_section), -max(
            (view.ratio for view in views_of_section), default=0.0
        )

    ranked = sorted(run.sections, key=rank)[:SECTIONS]
    return [part for part in run.sections if part in ranked]


def fitting(texts: Sequence[str], room: int, line: int = 1) -> list[str]:
    """The first texts that have room together, each in whole lines; one at least."""
    fits: list[str] = []
    for text in texts:
        room -= ceil(len(text) / line) * line
        if room < 0 and fits:
            break
        fits.append(text)
    return fits


def _section_to_draw(run: Run, part: SectionRun) -> SectionRun:
    """The section to draw: a position is drawn with the section that it is one of, if that is part of the run."""
    return next((section for section in run.sections if section.section.key == part.section.of), part)


def _first_sentence(text: str) -> str:
    """A text up to its first full stop; all of it stands in the list of limitations."""
    return split(r"(?<=[^\d]\.)\s+(?=[A-Z])", text, maxsplit=1)[0]


def _picture(part: SectionRun) -> Picture | None:
    """The cross-section of the design basis, smaller: without the names of the layers, slopes and loads."""
    drawn = next((figure for figure in part.sheets[0].page.figures if isinstance(figure, Scene)), None)
    if drawn is None:
        return None
    items = tuple(
        replace(item, offset=max(-NEAR, min(item.offset, NEAR))) if isinstance(item, Dimension) else item
        for item in drawn.items
        if not isinstance(item, Arrow | Label) and not (isinstance(item, Callouts) and item.side == "left")
    )
    return figure_picture(replace(drawn, items=items, width_mm=DRAWN_WIDE, height_mm=DRAWN_HIGH))


# Section by question


def _questions(keys: Sequence[str], views: Sequence[VerdictView], run: Run) -> Iterator[QuestionRow]:
    """Each question once; what no question names stands under the title of its chapter.

    A question that is only accepted, not required or not applicable stands with the decisions.
    """
    chapters = [sheet.key for sheet in run.sections[0].sheets]
    titles = [sheet.title for sheet in run.sections[0].sheets]
    sets = [factor_set.key for factor_set in run.design.basis.factor_sets]
    names = dict(zip(sets, short_sets(sets), strict=True))
    questions: dict[str, list[VerdictView]] = {title: [] for title, _ in QUESTIONS}
    for view in views:
        place = int(view.chapter) - 1
        questions.setdefault(_question(chapters[place], view.key, titles[place]), []).append(view)
    for title, group in questions.items():
        if any(view.utilisation != NO_NUMBER or view.state == "fail" or _is_open(view) for view in group):
            worst = _worst(group)
            governing = worst or min(group, key=lambda view: view.state != "not verified")
            answers = tuple(_answer([view for view in group if view.section == key], names, governing) for key in keys)
            yield QuestionRow(title, answers, _short_title(worst.title) if worst else NO_NUMBER, governing.anchor)


def _is_open(view: VerdictView) -> bool:
    return view.state == "not verified" and view.required


def _question(chapter: str, verdict: str, title: str) -> str:
    if verdict.startswith(SETTLEMENT):
        return next(question for question, keys in QUESTIONS if "unit_cell" in keys)
    return next((question for question, keys in QUESTIONS if chapter in keys), title)


def _worst(views: Iterable[VerdictView]) -> VerdictView | None:
    """What fails before the rest, then the largest utilisation."""
    rated = [view for view in views if view.utilisation != NO_NUMBER]
    return max(rated, key=lambda view: (view.state == "fail", view.ratio), default=None)


def _answer(views: Sequence[VerdictView], sets: dict[str, str], governing: VerdictView) -> Answer:
    """The answer of a section: its largest utilisation, or its state where nothing has a number.

    The verification is named instead of its case where another one governs over all sections.
    """
    left = sum(_is_open(view) for view in views)
    failing = sum(view.state == "fail" for view in views)
    also = [f"{failing} fail"] * (failing > 1) + [f"{left} not verified"] * bool(left)
    worst = _worst(views)
    if worst:
        case = ", ".join(text for text in (worst.stage, sets.get(worst.factor_set, worst.factor_set)) if text)
        name, other = (split(r"[,:] ", view.title)[0] for view in (worst, governing))
        if name != other:
            case = name
        # No tick stands over what is not verified.
        sign = worst.sign if not left or worst.state == "fail" else ""
        return Answer(worst.style, sign, worst.utilisation, case, ", ".join(also))
    if not views:
        return Answer("", "", NO_NUMBER, "", "")
    alone = [view for view in views if _is_open(view) or view.key not in BESIDE]
    first = min(
        alone or views, key=lambda view: ("fail", "not verified", "pass").index(view.state) + (not view.required) * 3
    )
    return Answer(first.style, first.sign, first.stamp, "", f"{left} verifications" if left > 1 else "")


def _short_title(title: str) -> str:
    """The title of a verification, as many of its clauses as a cell has room for."""
    while len(title) > TITLE and (" " in title) and (at := max(title.rfind(", "), title.rfind(": "))) > 0:
        title = title[:at]
    return title


# The design in numbers


def _design(writers: Sequence[Writer]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Rows with a text for every section."""
    for title, write in DRAWN:
        yield title, tuple(write(writer.part.section) for writer in writers)
    for fact in FACTS:
        for title, texts in _rows(fact, writers):
            if any(text != NO_NUMBER for text in texts):
                yield title, texts


def _fill(section: Section) -> str:
    platform = f" on {section.platform.thickness:.2f} m" if section.platform else ""
    fill = section.embankment
    least = f"{fill.least_height:.2f} to " if fill.lower else ""
    return f"{least}{fill.height:.2f} m{platform}"


def _soft(section: Section) -> str:
    return f"{sum(layer.thickness for layer in section.soft_layers):.2f} m in {len(section.soft_layers)}"


def _grid(section: Section) -> str:
    return f"{section.columns.pattern} {section.columns.spacing:.2f} m, {section.columns.diameter:.2f} m"


def _sleeve(section: Section) -> str:
    return f"{section.sleeve.stiffness[0].J:.0f} / {section.sleeve.stiffness[-1].J:.0f} kN/m"


def _hand_over_day(section: Section) -> str:
    return f"{section.consolidation.hand_over:.0f} d" if section.consolidation else NO_NUMBER


def _title(section: Section) -> str:
    return section.title


DRAWN = (
    ("Section", _title),
    ("Fill on platform", _fill),
    ("Soft ground, layers", _soft),
    ("Grid, diameter of columns", _grid),
    ("Stiffness of the sleeve, short / long", _sleeve),
    ("Hand-over as planned", _hand_over_day),
)


def _rows(fact: Compared | Required | Line, writers: Sequence[Writer]) -> Iterator[tuple[str, tuple[str, ...]]]:
    match fact:
        case Compared():
            yield fact.title, tuple(_effect_of_limit(fact, writer.part) for writer in writers)
        case Line():
            yield fact.title, tuple(_line(fact, writer) for writer in writers)
        case Required():
            scopes = {
                step.scope: None
                for writer in writers
                for step in _sheet(fact.chapter, writer).steps
                if step.symbol == fact.required
            }
            for scope in scopes:
                titles = [_sheet(fact.chapter, writer).scopes for writer in writers]
                named = next(
                    (scopes_of_sheet[scope].title for scopes_of_sheet in titles if scope in scopes_of_sheet), ""
                ).partition(":")
                title = f"{named[0]}, {fact.title[0].lower()}{fact.title[1:]}" if named[1] else fact.title
                yield title, tuple(_required_text(fact, scope, writer) for writer in writers)


def _sheet(chapter: str, writer: Writer) -> Sheet:
    return next(
        (sheet for sheet in writer.part.sheets if sheet.key == chapter), Sheet(section="", key=chapter, title="")
    )


def _effect_of_limit(fact: Compared, part: SectionRun) -> str:
    """Effect of limit of the verdict nearest to it; the state in words where nothing has numbers."""
    verdicts = {
        verdict.key: verdict for sheet in part.sheets for verdict in sheet.verdicts if verdict.key in fact.verdicts
    }
    verdicts_of_fact = [verdicts[key] for key in fact.verdicts if key in verdicts]
    numbers = [verdict for verdict in verdicts_of_fact if verdict.utilisation is not None]
    rated = max(numbers, key=lambda verdict: verdict.utilisation or 0.0, default=None)
    if rated is None:
        return verdicts_of_fact[0].stamp if verdicts_of_fact else NO_NUMBER
    return against((rated.effect, rated.effect_symbol), (rated.resistance, rated.resistance_symbol), " of ")


def _required_text(fact: Required, scope: str, writer: Writer) -> str:
    """The value required of the one provided, which may be one of the chapter."""
    sheet = _sheet(fact.chapter, writer)
    steps = {(step.scope, step.symbol): step for step in sheet.steps}
    required = steps.get((scope, fact.required))
    provided = steps.get((scope, fact.provided), steps.get(("", fact.provided)))
    if required is None or provided is None:
        return NO_NUMBER
    both = [(step.value.number(writer.case(sheet, step.scope)), step.symbol) for step in (required, provided)]
    return against(both[0], both[1], " of ")


def _line(fact: Line, writer: Writer) -> str:
    """The values of some lines at the case at which they print; one of several mats for each of them."""
    texts = [text for line in fact.lines for text in _values(line, writer)]
    return "; ".join(texts) if texts else NO_NUMBER


def _values(line: str, writer: Writer) -> Iterator[str]:
    chapter, scope, name = line.split("/")
    sheet = _sheet(chapter, writer)
    for step in sheet.steps:
        if (step.scope, step.symbol) == (scope, name):
            case, mats = writer.case(sheet, scope), "mat" in step.value.axis_names
            cases = [{**case, "mat": label} for label in step.value.labels("mat")] if mats else [case]
            numbers = [step.value.number(other) for other in cases]
            yield from (
                step.value.reason or NO_NUMBER if number is None else sub(r"\.0+(?=$| )", "", with_unit(number, name))
                for number in numbers
            )

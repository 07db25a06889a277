"""The table of utilisations: every question with its sections below each other, over stages and factor sets."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, takewhile
from math import ceil

from markupsafe import Markup

from calc.chain import Run, SectionRun
from calc.engine.sheet import Sheet, Value, Verdict
from calc.numbering import merged_order
from calc.package.both_sides import BOTH, title_and_side
from calc.package.line_places import Places
from calc.package.shown import amount

ACROSS = 20  # columns of numbers that fit beside the titles on a page on its side
UPRIGHT = 10  # and on an upright one
BELOW = 17  # columns of numbers that fit on an upright page where titles stand above their rows
PLAIN = 9  # columns of numbers that fit beside the titles of questions without stages
NARROW, WIDE = 3, 7  # signs of the key of a section, and of one with its side
NOTHING, GOVERNS, FAILS = "–", "◂", "✗"
Names = dict[str, str]  # of stages, by their labels


@dataclass(frozen=True, slots=True)
class Cell:
    """One utilisation, or what spans several columns."""

    text: str
    style: str = ""
    span: int = 1


@dataclass(frozen=True, slots=True)
class RowView:
    """The utilisations of one section, or of a side of it, with the line where its governing case is among them."""

    section: str
    step: Markup
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class QuestionView:
    """One question in all sections; `chapter` is set where a chapter begins, `limit` where it is not 1."""

    chapter: str
    title: str
    limit: str
    rows: tuple[RowView, ...]


@dataclass(frozen=True, slots=True)
class UtilisationTable:
    """The questions over as many stages as a page has room for; titles stand beside their rows or, `below`, above."""

    sets: str
    groups: tuple[Cell, ...]
    heads: tuple[Cell, ...]
    questions: tuple[QuestionView, ...]
    below: bool = False
    any_stage: bool = False

    @property
    def width(self) -> int:
        """All columns: title, section, the numbers, the line."""
        return len(self.heads) + (2 if self.below else 3)

    @property
    def is_upright(self) -> bool:
        """Whether the numbers leave room for the titles on an upright page."""
        return self.below or len(self.heads) <= UPRIGHT

    @property
    def title_width(self) -> int:
        """Millimetres: of those beside section and line, what numbers leave, so that most titles take one line."""
        if self.is_upright:
            return max(59, 164 - self.key_width - 13 * len(self.heads))
        return max(64, min(118, 251 - self.key_width - 18 * len(self.heads)))

    @property
    def key_width(self) -> int:
        """Millimetres for the key of the section, which is longer with a side or a zone of the columns."""
        longest = max((len(row.section) for question in self.questions for row in question.rows), default=0)
        return 5 if longest <= NARROW else 10 if longest <= WIDE else 13


@dataclass(frozen=True, slots=True)
class PlainView:
    """A question without stages: the utilisations of each section, none where it does not arise."""

    title: str
    limit: str
    cells: tuple[Cell, ...]
    step: Markup


@dataclass(frozen=True, slots=True)
class PlainTable:
    """The questions without stages with the sections beside each other, each with a column for every factor set."""

    sets: tuple[str, ...]
    rows: tuple[PlainView, ...]


@dataclass(frozen=True, slots=True)
class _Rated:
    """A verdict with numbers: where it stands, and its largest values by stage and factor set."""

    section: str
    chapter: str
    verdict: Verdict
    largest: Value
    step: Markup
    names: Names


def utilisation_tables(run: Run, places: Sequence[Places]) -> Iterator[UtilisationTable]:
    """The tables of a run, `places` being those of its sections; a run with many stages has several."""
    rated: list[_Rated] = []
    stages: list[list[str]] = []
    sets: list[list[str]] = []
    for part, (_, ratings) in zip(run.sections, _parted(run, places), strict=True):
        stages.append([_names(run)[label] for label in _labels(ratings, part.sheets, "stage")])
        sets.append(_labels(ratings, part.sheets, "factor_set"))
        rated += ratings
    if not rated:
        return
    columns: list[str | None] = [None] if any(not _labels_on_axis(rating, "stage") for rating in rated) else []
    columns += merged_order(stages)
    every = merged_order(sets) or [""]
    tables, upright = (ceil(len(columns) / max(1, numbers // len(every))) for numbers in (ACROSS, BELOW))
    room = ceil(len(columns) / tables)
    for start in range(0, len(columns), room):
        part_of_stages = columns[start : start + room]
        is_wide = len(part_of_stages) * len(every) > UPRIGHT
        yield _table(rated, part_of_stages, every, below=is_wide and upright == tables)


def plain_utilisations(run: Run, places: Sequence[Places]) -> PlainTable:
    """The questions without stages in the order of their chapters."""
    by_question: dict[tuple[int, str, str], dict[str, _Rated]] = {}
    sets = []
    for part, (plain, _) in zip(run.sections, _parted(run, places), strict=True):
        sets.append(_labels(plain, part.sheets, "factor_set"))
        for rating in plain:
            key = (int(rating.chapter.split()[0]), rating.verdict.key, rating.verdict.title)
            by_question.setdefault(key, {})[part.section.key] = rating
    every = merged_order(sets) or [""]
    keys = [part.section.key for part in run.sections]
    rows = tuple(
        PlainView(
            title=title,
            limit=_limit(first := next(iter(cells.values()))),
            cells=tuple(
                cell
                for key in keys
                for cell in (_plain_cells(cells[key], every) if key in cells else [Cell("", "begins", len(every))])
            ),
            step=first.step,
        )
        for (_, _, title), cells in sorted(by_question.items(), key=lambda item: item[0][0])
    )
    return PlainTable(tuple(short_sets(every)), rows)


def _parted(run: Run, places: Sequence[Places]) -> list[tuple[list[_Rated], list[_Rated]]]:
    """Of each section what is compared at no stage, and the rest.

    What has factor sets is of the rest where these would not find room beside each other for all sections.
    """
    rated = [list(_rate(part, own, _names(run))) for part, own in zip(run.sections, places, strict=True)]
    free = [[rating for rating in ratings if not _labels_on_axis(rating, "stage")] for ratings in rated]
    sets = {label for ratings in free for rating in ratings for label in _labels_on_axis(rating, "factor_set")}
    has_room = len(sets) * len(rated) <= PLAIN
    plain = [
        [rating for rating in ratings if has_room or not _labels_on_axis(rating, "factor_set")] for ratings in free
    ]
    return [
        (own, [rating for rating in ratings if not any(rating is other for other in own)])
        for own, ratings in zip(plain, rated, strict=True)
    ]


def _plain_cells(rated: _Rated, sets: Sequence[str]) -> Iterator[Cell]:
    if _labels_on_axis(rated, "factor_set"):
        yield from _cells(rated, None, sets)
        return
    utilisation = rated.largest.number({}) or 0.0
    fails = utilisation > rated.verdict.limit
    yield Cell(FAILS * fails + amount(utilisation), "begins" + " fails" * fails, len(sets))


def _limit(rated: _Rated) -> str:
    return "" if rated.verdict.limit == 1 else f"{rated.verdict.limit:g}"


def _names(run: Run) -> Names:
    """The stages by their labels: without their numbers, which differ between sections, where that tells them."""
    labels = {label for part in run.sections for sheet in part.sheets for label in sheet.axes.get("stage", ())}
    short = {label: label.partition(" ")[2] or label for label in labels}
    for part in run.sections:
        own = {label for sheet in part.sheets for label in sheet.axes.get("stage", ())}
        if len({short[label] for label in own}) < len(own):
            return {label: label for label in labels}
    return short


def _rate(part: SectionRun, places: Places, names: Names) -> Iterator[_Rated]:
    for chapter, sheet in enumerate(part.sheets, start=1):
        named = Counter(step for verdict in sheet.verdicts for step in (verdict.step, verdict.resistance_step))
        for verdict in sheet.verdicts:
            if verdict.utilisations is not None:
                largest = verdict.utilisations.largest("factor_set", "stage")
                # Where many are compared with one value, as a partial factor, its line would lead to none of them.
                steps = [step for step in (verdict.step, verdict.resistance_step) if step]
                step = places.link(min(steps, key=named.__getitem__)) if steps else Markup("")
                yield _Rated(part.section.key, f"{chapter} {sheet.title}", verdict, largest, step, names)


def _labels(rated: Sequence[_Rated], sheets: Sequence[Sheet], axis: str) -> list[str]:
    """The labels of an axis at which anything is rated, in the order of the chapters' own axes."""
    order = list(dict.fromkeys(label for sheet in sheets for label in sheet.axes.get(axis, ())))
    used = {label for rating in rated for label in _labels_on_axis(rating, axis)}
    return [label for label in order if label in used] + sorted(used - set(order))


def _labels_on_axis(rated: _Rated, axis: str) -> tuple[str, ...]:
    """The labels of a verdict on an axis: those of its values, or the one that was selected before they were rated."""
    if axis in rated.largest.axis_names:
        return rated.largest.labels(axis)
    return (rated.verdict.case[axis],) if axis in rated.verdict.case else ()


def _table(
    rated: Sequence[_Rated], stages: Sequence[str | None], sets: Sequence[str], *, below: bool
) -> UtilisationTable:
    """The questions that say something of some stages; without a stage stands what holds for all of them."""
    by_question: dict[tuple[str, str, str], list[_Rated]] = {}
    for rating in sorted(rated, key=lambda rating: int(rating.chapter.split()[0])):
        title, side = title_and_side(rating.verdict.title)
        by_question.setdefault((rating.chapter, "" if side else rating.verdict.key, title), []).append(rating)
    questions = []
    for chapter, group in groupby(by_question.items(), key=lambda item: item[0][0]):
        head = chapter
        for (_, _, title), own in group:
            of_sides = len({rating.verdict.title for rating in own}) > 1
            rows = tuple(row for rating in own for row in _row(rating, stages, sets, of_sides=of_sides))
            if rows:
                named = own[0].verdict.title
                shown = _without_chapter(title if of_sides or title_and_side(named)[1] == BOTH else named, chapter)
                questions.append(QuestionView(head, shown, _limit(own[0]), rows))
                head = ""
    words = ["any stage" if stage is None else stage for stage in stages]
    return UtilisationTable(
        sets=", ".join(sets),
        groups=tuple(Cell(text, span=len(sets)) for text in words),
        heads=tuple(
            Cell(factor_set, "" if k else "begins") for _ in stages for k, factor_set in enumerate(short_sets(sets))
        ),
        questions=tuple(questions),
        below=below,
        any_stage=None in stages,
    )


def _without_chapter(title: str, chapter: str) -> str:
    """The title of a verification under the heading of its chapter, with whose name it need not begin."""
    rest = title.removeprefix(f"{chapter.partition(' ')[2]}, ")
    return rest[:1].upper() + rest[1:]


def _row(rated: _Rated, stages: Sequence[str | None], sets: Sequence[str], *, of_sides: bool) -> Iterator[RowView]:
    """The row of a section, with its side where several are asked of; none where it says nothing of these stages."""
    cells = [cell for stage in stages for cell in _cells(rated, stage, sets)]
    if not any(cell.text for cell in cells):
        return
    governs = any("governs" in cell.style for cell in cells)
    yield RowView(
        section=f"{rated.section} {title_and_side(rated.verdict.title)[1]}" if of_sides else rated.section,
        step=rated.step if governs else Markup(""),
        cells=tuple(_join_empty_cells(cells)),
    )


def _join_empty_cells(cells: Sequence[Cell]) -> Iterator[Cell]:
    """The cells with those together that are empty one after another."""
    for empty, run in groupby(cells, key=lambda cell: not cell.text):
        if empty:
            together = list(run)
            yield Cell("", together[0].style, sum(cell.span for cell in together))
        else:
            yield from run


def _cells(rated: _Rated, stage: str | None, sets: Sequence[str]) -> Iterator[Cell]:
    """The cells of a verdict at a stage: one for each factor set, or one for all of them."""
    if not _labels_on_axis(rated, "factor_set"):
        yield _cell(rated, stage, "", len(sets), begins=True)
        return
    for k, label in enumerate(sets):
        yield _cell(rated, stage, label, 1, begins=not k)


def _cell(rated: _Rated, stage: str | None, factor_set: str, span: int, *, begins: bool) -> Cell:
    verdict = rated.verdict
    label = next((label for label in _labels_on_axis(rated, "stage") if rated.names[label] == stage), None)
    if not _speaks(rated, stage, label, factor_set):
        return Cell("", "begins" if begins else "", span)
    utilisation = rated.largest.number({"stage": label or "", "factor_set": factor_set})
    governs = (verdict.case.get("stage"), verdict.case.get("factor_set", "")) == (label, factor_set)
    style = ["begins"] if begins else []
    if utilisation is None or (utilisation <= 0 and not governs):
        return Cell(NOTHING, " ".join([*style, "none"]), span)
    fails = utilisation > verdict.limit
    style += ["governs"] * governs + ["fails"] * fails
    return Cell(FAILS * fails + amount(utilisation) + GOVERNS * governs, " ".join(style), span)


def _speaks(rated: _Rated, stage: str | None, label: str | None, factor_set: str) -> bool:
    """Whether a verdict says anything about a stage, which has this label in its section, and a factor set."""
    sets = _labels_on_axis(rated, "factor_set")
    if bool(sets) != bool(factor_set) or (factor_set and factor_set not in sets):
        return False
    return label is not None if stage is not None else not _labels_on_axis(rated, "stage")


def short_sets(sets: Sequence[str]) -> list[str]:
    """The names of factor sets without the words that all of them begin with."""
    words = [factor_set.split() for factor_set in sets]
    same = len(list(takewhile(lambda alike: len(set(alike)) == 1, zip(*words, strict=False))))
    return [" ".join(words_of_set[same:]) or factor_set for words_of_set, factor_set in zip(words, sets, strict=True)]

"""The table of a section's utilisations over chapters, stages and factor sets."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile

from calc.chain import Run, SectionRun
from calc.engine.sheet import Sheet, Value, Verdict
from calc.package.shown import amount

# Columns of numbers which fit beside the titles.
UPRIGHT, ACROSS = 14, 26
NOTHING, GOVERNS, FAILS = "–", "◂", "✗"


@dataclass(frozen=True, slots=True)
class Cell:
    """One utilisation, or what spans several columns."""

    text: str
    style: str = ""
    span: int = 1


@dataclass(frozen=True, slots=True)
class RowView:
    """The utilisations of one verdict; `chapter` is set where a chapter begins, `limit` where it is not 1."""

    chapter: str
    title: str
    anchor: str
    limit: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class UtilisationTable:
    """The rows of one section over as many stages as a page has room for; `across` asks for a page on its side."""

    section: str
    title: str
    sets: str
    groups: tuple[Cell, ...]
    heads: tuple[Cell, ...]
    rows: tuple[RowView, ...]
    across: bool

    @property
    def width(self) -> int:
        """All columns: the titles, the numbers, the pages."""
        return len(self.heads) + 2


@dataclass(frozen=True, slots=True)
class _Rated:
    """A verdict with numbers: the chapter it stands in, its place on the page, its largest values by stage and set."""

    chapter: str
    anchor: str
    verdict: Verdict
    largest: Value


def utilisation_tables(run: Run) -> Iterator[UtilisationTable]:
    """The tables of every section; a section with many stages has several."""
    for index, part in enumerate(run.sections, start=1):
        rated = list(_rate(part, f"s{index}"))
        if not rated:
            continue
        sets = _labels(rated, part.sheets, "variant") or [""]
        stages: list[str | None] = [None] if any(not _own(one, "stage") for one in rated) else []
        stages += _labels(rated, part.sheets, "stage")
        room = max(1, ACROSS // len(sets))
        for start in range(0, len(stages), room):
            yield _table(part, rated, stages[start : start + room], sets)


def _rate(part: SectionRun, anchor: str) -> Iterator[_Rated]:
    for chapter, sheet in enumerate(part.sheets, start=1):
        for place, verdict in enumerate(sheet.verdicts, start=1):
            if verdict.utilisations is not None:
                largest = verdict.utilisations.largest("variant", "stage")
                where = f"{part.section.key}.{chapter} {sheet.title}"
                yield _Rated(where, f"{anchor}c{chapter}v{place}", verdict, largest)


def _labels(rated: Sequence[_Rated], sheets: Sequence[Sheet], axis: str) -> list[str]:
    """The labels of an axis at which anything is rated, in the order of the chapters' own axes."""
    order = list(dict.fromkeys(label for sheet in sheets for label in sheet.axes.get(axis, ())))
    used = {label for one in rated for label in _own(one, axis)}
    return [label for label in order if label in used] + sorted(used - set(order))


def _own(one: _Rated, axis: str) -> tuple[str, ...]:
    """The labels of a verdict on an axis: those of its values, or the one that was selected before they were rated."""
    if axis in one.largest.axis_names:
        return one.largest.labels(axis)
    return (one.verdict.case[axis],) if axis in one.verdict.case else ()


def _table(
    part: SectionRun, rated: Sequence[_Rated], stages: Sequence[str | None], sets: Sequence[str]
) -> UtilisationTable:
    """The rows over some stages; without a stage stands what holds for all of them."""
    rows, before = [], ""
    for one in rated:
        cells = tuple(cell for stage in stages for cell in _cells(one, stage, sets))
        limit = "" if one.verdict.limit == 1 else f"{one.verdict.limit:g}"
        rows.append(RowView("" if one.chapter == before else one.chapter, one.verdict.title, one.anchor, limit, cells))
        before = one.chapter
    words = ["any stage" if stage is None else stage for stage in stages]
    return UtilisationTable(
        section=part.section.key,
        title=part.section.title,
        sets=", ".join(sets),
        groups=tuple(Cell(text, span=len(sets)) for text in words),
        heads=tuple(Cell(one, "" if k else "begins") for _ in stages for k, one in enumerate(_short(sets))),
        rows=tuple(rows),
        across=len(stages) * len(sets) > UPRIGHT,
    )


def _cells(one: _Rated, stage: str | None, sets: Sequence[str]) -> Iterator[Cell]:
    """The cells of a verdict at a stage: one for each factor set, or one for all of them."""
    if not _own(one, "variant"):
        yield _cell(one, stage, "", len(sets), begins=True)
        return
    for k, label in enumerate(sets):
        yield _cell(one, stage, label, 1, begins=not k)


def _cell(one: _Rated, stage: str | None, factor_set: str, span: int, *, begins: bool) -> Cell:
    verdict = one.verdict
    if not _speaks(one, stage, factor_set):
        return Cell("", "begins" if begins else "", span)
    found = one.largest.number({"stage": stage or "", "variant": factor_set})
    governs = (verdict.case.get("stage"), verdict.case.get("variant", "")) == (stage, factor_set)
    style = ["begins"] if begins else []
    if found is None or (found <= 0 and not governs):
        return Cell(NOTHING, " ".join([*style, "none"]), span)
    fails = found > verdict.limit
    style += ["governs"] * governs + ["fails"] * fails
    return Cell(FAILS * fails + amount(found) + GOVERNS * governs, " ".join(style), span)


def _speaks(one: _Rated, stage: str | None, factor_set: str) -> bool:
    """Whether a verdict says anything about a stage and a factor set."""
    for axis, label in (("stage", stage), ("variant", factor_set)):
        own = _own(one, axis)
        if bool(own) != bool(label) or (label and label not in own):
            return False
    return True


def _short(sets: Sequence[str]) -> list[str]:
    """The names of factor sets without the words that all of them begin with."""
    words = [one.split() for one in sets]
    same = len(list(takewhile(lambda alike: len(set(alike)) == 1, zip(*words, strict=False))))
    return [" ".join(own[same:]) or one for own, one in zip(words, sets, strict=True)]

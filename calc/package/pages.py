"""A run as HTML: what each template is given."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from math import ceil
from re import findall
from typing import Any, TypeVar

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateNotFound
from markupsafe import Markup

from calc import __version__
from calc.chain import CHAPTERS, Run
from calc.engine.sheet import Sheet
from calc.engine.typeset.amounts import set_minus
from calc.engine.words import prose_of
from calc.package import front
from calc.package.alike import Earlier
from calc.package.attached import Appendix, Document
from calc.package.checked import Checked
from calc.package.exhibits import FigureView, Row, TableView, by_names, figure_views, side_by_side, table_views
from calc.package.limitations import LimitView, collect_limits
from calc.package.lines import COLUMNS, Chapter, Told
from calc.package.references import MARK_WORDS, References, factor_views
from calc.package.room import across
from calc.package.rows import Block
from calc.package.shown import (
    OUTCOME_WORDS,
    category_words,
    css_state,
    cut,
    is_amount,
    status_words,
    whole,
    with_result_whole,
)
from calc.package.summary import summary
from calc.package.supports import ASSUMPTIONS, supports
from calc.package.symbol_list import symbol_list
from calc.package.typed import TypedFile
from calc.package.typed_names import plain_text
from calc.package.utilisations import plain_utilisations, short_sets, utilisation_tables
from calc.package.verdicts import (
    VerdictGroup,
    VerdictView,
    by_reason,
    nearest_section,
    verdict_groups,
    verdict_view,
    without_number,
)
from calc.package.writer import Writer, writers
from calc.resources import program_fingerprint, template_folder

Progress = Callable[[str], None]
Said = TypeVar("Said")

ALL: tuple[str, ...] = ("all",)
# Chapters, and tables of chapters, that print for every section: the works are measured by them.
EVERY_SECTION = {
    "basis": ALL,
    "neighbours": ALL,
    "construction": ("hold-points", "site-tests", "tolerances"),
    "monitoring": (
        "stop", "attention", "expected-settlement", "expected-sleeve", "relied", "pressures",
    ),
}  # fmt: skip
FIRST_HEAD = "Utilisations by section, stage and factor set"
MOST_MARKS = 48_000  # of a document, in tags: some forty pages
ROOMS = {chapter.key for chapter in CHAPTERS}


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a chapter over sections that have room beside each other."""

    sections: tuple[str, ...]
    again: bool
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class ChapterView:
    """One chapter with everything on its pages, all sections side by side.

    `open` where it calculates nothing; the contents say its `state` then, and where it leaves everything open.
    `exhibits` are the tables and the last figures together; `notes` and `limits` name their sections where these are
    not all.
    """

    key: str
    number: str
    title: str
    anchor: str
    open: bool
    state: str
    lines: tuple[Lines, ...]
    tables: tuple[Row[TableView], ...]
    figures_first: tuple[Row[FigureView], ...]
    figures_last: tuple[Row[FigureView], ...]
    exhibits: tuple[Row[TableView | FigureView], ...]
    verdicts: tuple[VerdictGroup, ...]
    limits: tuple[tuple[str, LimitView], ...]
    prose: tuple[str, ...]
    notes: tuple[tuple[str, str], ...]


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Templates of the project's own folder only; every value is escaped, a missing one is an error."""
    made = Environment(
        loader=FileSystemLoader(template_folder()),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.tests["amount"] = is_amount
    made.filters |= {"across": across, "whole": whole, "with_result_whole": with_result_whole, "minus": set_minus}
    return made


def _of_some_length(chapters: Sequence[Markup]) -> Iterator[list[Markup]]:
    """Chapters that are set as one document, in as few of about one length as `MOST_MARKS` allows.

    Each document begins a page, and the last page of the one before may be left half empty.
    """
    lengths = [chapter.count("<") for chapter in chapters]
    documents = ceil(sum(lengths) / MOST_MARKS)
    ends = [sum(lengths[: k + 1]) for k in range(len(lengths))]
    places = [(end - length / 2) * documents // max(ends[-1], 1) for end, length in zip(ends, lengths, strict=True)]
    for _, held in groupby(zip(places, chapters, strict=True), key=lambda pair: pair[0]):
        yield [chapter for _, chapter in held]


class Pages:
    """Collects what the chapters of a run put on pages, then writes the whole document."""

    def __init__(
        self,
        run: Run,
        archive: str = "",
        checked: Checked | None = None,
        *,
        extract: str = "",
        fold: bool = True,
        only: Sequence[str] = (),
        appendices: Sequence[Appendix] = (),
    ) -> None:
        self.run = run
        self.archive = archive
        self.checked = checked
        self.references = References()
        self.earlier = Earlier()
        self.limits = collect_limits(run)
        self.verdicts: list[VerdictView] = []
        self.chapters: list[ChapterView] = []
        self.writers: tuple[Writer, ...] = ()
        self.extract = extract
        self.fold = fold
        self.only = only
        self.appendices = appendices
        sets = list(dict.fromkeys(used.key for part in run.sections for used in run.design.factor_sets(part.section)))
        self.sets = dict(zip(sets, short_sets(sets), strict=True))

    def pieces(self, progress: Progress) -> list[Document]:
        """The package as documents that follow each other: opening, chapters between front and lists, appendices.

        Only the opening says on which page something stands: it is set last.
        """
        self.writers = writers(self.run)
        for index, sheets in enumerate(zip(*(part.sheets for part in self.run.sections), strict=True), start=1):
            progress(f"writing chapter {index}, {sheets[0].title}")
            self.chapters.append(self._chapter(index, sheets))
        context, template = self._context(), environment().get_template("package.html")
        # What runs at the head of the first page of a piece; its own heading says it from there on.
        made = [Document(template.render(context, piece="opening", head="Cover"))]
        documents = list(_of_some_length(context["chapters"]))
        for place, chapters in enumerate(documents):
            head = FIRST_HEAD if place == 0 else Markup(findall(r'data-section="([^"]*)"', chapters[0])[0])  # noqa: S704 - escaped there
            last = place == len(documents) - 1
            html = template.render(
                {**context, "chapters": chapters}, piece="chapters", first=place == 0, last=last, head=head
            )
            made.append(Document(html, continues=len(chapters) if place else 0))
        for added in self.appendices:
            html = template.render(context, piece="appendix", appendix=added, head=added.title)
            made += [Document(html), *added.documents]
        return made

    def _chapter(self, index: int, sheets: Sequence[Sheet]) -> ChapterView:
        views = [
            view
            for writer, sheet in zip(self.writers, sheets, strict=True)
            for view in self._verdicts(writer, index, sheet)
        ]
        self.verdicts.extend(views)
        first: list[FigureView] = []
        last: list[FigureView] = []
        tables: list[TableView] = []
        worked = nearest_section(sheets)
        for place, (part, sheet) in enumerate(zip(self.run.sections, sheets, strict=True)):
            number = f"{part.section.key}.{index}"
            every = EVERY_SECTION.get(sheet.key, ())
            # A sketch of what is not calculated would stand there for nothing.
            drawn = sheet.page.figures if sheet.steps and (place == worked or every is ALL) else ()
            figures = figure_views(drawn, number, self.earlier)
            first += [view for view in figures if view.first]
            last += [view for view in figures if not view.first]
            kept = sheet.page.printed if self.fold else sheet.page.tables
            shown = [table for table in kept if place == worked or every is ALL or table.key in every]
            labels = sheet.axes.get("stage", ())
            tables += table_views([by_names(table, labels) for table in shown], number, self.earlier)
        key = sheets[0].key
        empty = not any(sheet.steps or sheet.page.tables for sheet in sheets)
        bare = empty and any(verdict.applies for sheet in sheets for verdict in sheet.verdicts)
        return ChapterView(
            key=key,
            number=f"{index}",
            title=sheets[0].title,
            anchor=f"c{index}",
            open=bare,
            state=front.standing({view.stamp for view in views}) if empty or front.is_open(views) else "",
            lines=tuple(self._lines(sheets)),
            tables=side_by_side(tables),
            figures_first=side_by_side(first),
            figures_last=side_by_side(last),
            exhibits=side_by_side([*tables, *last]),
            verdicts=verdict_groups(views),
            limits=tuple(self._limits(sheets)),
            prose=tuple(prose_of(f"calc.chapters.{key}"))
            if any(sheet.steps for sheet in sheets) and key in ROOMS
            else (),
            notes=self._of_sections(
                [
                    (note, part.section.key)
                    for part, sheet in zip(self.run.sections, sheets, strict=True)
                    for note in sheet.page.notes
                ]
            ),
        )

    def _lines(self, sheets: Sequence[Sheet]) -> Iterator[Lines]:
        """The lines, as many sections beside each other as have room."""
        earlier_notes = Told()
        for start in range(0, len(sheets), COLUMNS):
            columns = slice(start, start + COLUMNS)
            # Lines that do not print name their sources for the register all the same, but nobody sees their equations.
            printed = not self.only or sheets[0].key in self.only
            chapter = Chapter(
                self.writers[columns],
                sheets[columns],
                self.run.numbers,
                self.references,
                self.checked.marks if self.checked else {},
                self.fold,
                earlier_notes,
                printed,
                self.sets,
            )
            keys = tuple(writer.part.section.key for writer in self.writers[columns])
            yield Lines(keys, start > 0, tuple(chapter.blocks()))

    def _verdicts(self, writer: Writer, chapter: int, sheet: Sheet) -> Iterator[VerdictView]:
        part = writer.part
        anchor = f"s{self.run.sections.index(part) + 1}c{chapter}"
        said = [limit for other in part.sheets for limit in other.limitations if limit.turns]
        for place, verdict in enumerate(sheet.verdicts, start=1):
            turned = tuple(
                self.limits[limit] for limit in said if verdict.key in limit.turns and verdict.utilisation is not None
            )
            yield verdict_view(part, chapter, f"{anchor}v{place}", verdict, writer.places, turned, self.sets)

    def _limits(self, sheets: Sequence[Sheet]) -> Iterator[tuple[str, LimitView]]:
        """The limitations of a chapter which do not stand beside a verdict, each once, with its sections."""
        limits = []
        for part, sheet in zip(self.run.sections, sheets, strict=True):
            rated = {
                verdict.key for other in part.sheets for verdict in other.verdicts if verdict.utilisation is not None
            }
            limits += [
                (self.limits[limit], part.section.key)
                for limit in sheet.limitations
                if not rated.intersection(limit.turns)
            ]
        yield from ((where, limit) for limit, where in self._of_sections(limits))

    def _of_sections(self, said: Iterable[tuple[Said, str]]) -> tuple[tuple[Said, str], ...]:
        """Each thing said once, with the sections that it is said of; none are named where it is said of all."""
        sections: dict[Said, list[str]] = {}
        for what, section in said:
            sections.setdefault(what, []).append(section)
        every = len(self.run.sections)
        return tuple(
            (what, "" if len(set(keys)) == every else ", ".join(dict.fromkeys(keys))) for what, keys in sections.items()
        )

    def _context(self) -> dict[str, Any]:
        run = self.run
        design, latest = run.design, run.design.project.revisions[-1]
        self.references.complete(run)
        limits = list(dict.fromkeys(self.limits.values()))
        rests, unrated = supports(run), without_number(self.verdicts)
        decisions = front.decisions(run, self.verdicts)
        chapters = [(chapter.number, self._render_chapter(chapter)) for chapter in self.chapters]
        typed = TypedFile(design, [(f"chapter {number}", plain_text(html)) for number, html in chapters])
        return {
            "project": design.project,
            "people": design.people,
            "basis": design.basis,
            "sections": design.sections,
            "columns": [part.section for part in run.sections],
            "many": len(run.sections) > 1,
            "assumptions": design.assumptions,
            "latest": latest,
            "status": status_words(latest.status),
            "status_words": status_words,
            "version": __version__,
            "fingerprint": program_fingerprint(),
            "inputs_hash": design.sha256,
            "data": design.results_file,
            "archive": self.archive,
            "extract": self.extract,
            "checked": self.checked,
            "category": category_words(design.basis.check_category),
            "anchors": {key: name for writer in self.writers for key, name in writer.places.anchors.items()},
            "outcome": run.outcome,
            "outcome_style": css_state({"incomplete": "not verified"}.get(run.outcome, run.outcome)),
            "outcome_words": OUTCOME_WORDS[run.outcome],
            "running": self._running(),
            "groups": self._contents(),
            "summary": summary(run, self.writers, self.verdicts, (*decisions, *front.to_confirm(run, rests)), limits),
            "utilisations": list(utilisation_tables(run, [writer.places for writer in self.writers])),
            "plain": plain_utilisations(run, [writer.places for writer in self.writers]),
            "open_matters": by_reason([item for item in unrated if item.state == "not verified" and item.required]),
            "not_required": by_reason([item for item in unrated if item.state == "not verified" and not item.required]),
            "accepted": [item for item in unrated if item.state == "pass"],
            "decisions": decisions,
            "rests": [rest for rest in rests if rest.title != ASSUMPTIONS],
            "matters": front.matters(run),
            "limits": limits,
            "chapters": [
                html for chapter, (_, html) in zip(self.chapters, chapters, strict=True) if self._has(chapter)
            ],
            "references": self.references,
            "factor_sets": factor_views(run),
            "mark_words": MARK_WORDS,
            "symbols": symbol_list(run),
            "subjects": list(typed.subjects()),
            "cautions": design.cautions,
            "elsewhere": typed.elsewhere(),
            "appendices": self.appendices,
        }

    def _render_chapter(self, chapter: ChapterView) -> Markup:
        try:
            template = environment().get_template(f"chapters/{chapter.key}.html")
        except TemplateNotFound:
            template = environment().get_template("chapter.html")
        return Markup(template.render(chapter=chapter))  # noqa: S704 - written by a template which escapes

    def _running(self) -> dict[str, str]:
        design, latest = self.run.design, self.run.design.project.revisions[-1]
        people = design.people
        return {
            "project": cut(design.project.title, 78),
            "document": cut(design.project.document, 50),
            "revision": cut(f"revision {latest.label} · {status_words(latest.status)}", 52),
            "program": f"sandsleeve {__version__} · inputs {design.sha256[:12]}",
            "people": cut(f"originator {people.originator.name} · checker {people.checker.name}", 60),
        }

    def _contents(self) -> list[front.Group]:
        before = [("Revisions", "revisions"), ("Summary", "summary"), (FIRST_HEAD, "utilisations"),
                  ("Decisions, proofs and open matters", "decisions"), ("Assumptions", "assumptions"),
                  ("Exclusions and interfaces", "outside")]  # fmt: skip
        after = [("Limitations", "limits"), ("References and register of sources", "references"),
                 ("Inputs", "inputs"), ("Symbols", "symbols"), *self._of_the_check(),
                 ("Final sheet", "final"), *((added.title, added.anchor) for added in self.appendices)]  # fmt: skip
        groups = [front.Group(front.Entry("", title, anchor)) for title, anchor in before]
        lines = tuple(
            front.Entry(chapter.number, chapter.title, chapter.anchor, chapter.state)
            for chapter in self.chapters
            if self._has(chapter)
        )
        groups.append(front.Group(front.Entry("", "Calculation", "calculation"), lines))
        return groups + [front.Group(front.Entry("", title, anchor)) for title, anchor in after]

    def _has(self, chapter: ChapterView) -> bool:
        return not self.only or chapter.key in self.only

    def _of_the_check(self) -> Iterator[tuple[str, str]]:
        if self.checked and self.checked.summary:
            yield "Check of the lines and comments", "comments"
        if self.checked and self.checked.comparison:
            yield "Independent check", "independent"

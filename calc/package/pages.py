"""A run as HTML: what each template is given."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, TemplateNotFound
from markupsafe import Markup

from calc import __version__
from calc.chain import CHAPTERS, Run, SectionRun
from calc.engine.sheet import INFORMATION, NOT_REQUIRED, Sheet
from calc.engine.words import prose_of
from calc.package import front
from calc.package.alike import Earlier, Place
from calc.package.chapters import Block, Writer
from calc.package.checked import Checked, CheckMark
from calc.package.exhibits import FigureView, Row, TableView, figure_views, side_by_side, table_views
from calc.package.places import Places
from calc.package.references import MARK_WORDS, References, factor_views, ranges
from calc.package.shown import (
    OUTCOME_WORDS,
    category_words,
    css_state,
    cut,
    is_amount,
    status_words,
)
from calc.package.summary import open_items, summary
from calc.package.supports import supports
from calc.package.utilisations import utilisation_tables
from calc.package.verdicts import (
    LimitView,
    VerdictView,
    collect_limits,
    governing,
    statements,
    verdict_view,
)
from calc.resources import program_fingerprint, template_folder

Progress = Callable[[str], None]

ROOMS = {chapter.key for chapter in CHAPTERS}


@dataclass(frozen=True, slots=True)
class ChapterView:
    """One chapter with everything on its pages; `like` is where an earlier section has told what it does.

    `exhibits` are the tables and the last figures together.

    `limits_told` are limitations whose text stands in the same chapter of an earlier section.
    """

    key: str
    number: str
    title: str
    running: str
    anchor: str
    open: bool
    first: bool
    blocks: tuple[Block, ...]
    tables: tuple[Row[TableView], ...]
    figures_first: tuple[Row[FigureView], ...]
    figures_last: tuple[Row[FigureView], ...]
    exhibits: tuple[Row[TableView | FigureView], ...]
    verdicts: tuple[VerdictView, ...]
    limits: tuple[LimitView, ...]
    limits_told: tuple[LimitView, ...]
    prose: tuple[str, ...]
    notes: tuple[str, ...]
    like: Place | None


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
    made.filters["ranges"] = ranges
    made.tests["amount"] = is_amount
    return made


class Pages:
    """Collects what the chapters of a run put on pages, then writes the whole document."""

    def __init__(self, run: Run, archive: str = "", checked: Checked | None = None) -> None:
        self.run = run
        self.archive = archive
        self.checked = checked
        self.references = References()
        self.earlier = Earlier()
        self.limits = collect_limits(run)
        self.verdicts: list[VerdictView] = []
        self.chapters: list[list[ChapterView]] = []
        self.anchors: dict[str, str] = {}

    def html(self, progress: Progress) -> str:
        """The whole package as one document."""
        for index, part in enumerate(self.run.sections, start=1):
            progress(f"writing section {part.section.key}")
            self.chapters.append(list(self._section(part, index)))
        return environment().get_template("package.html").render(self._context())

    def _section(self, part: SectionRun, index: int) -> Iterator[ChapterView]:
        anchors = {
            step.key: f"s{index}c{chapter}n{line}"
            for chapter, sheet in enumerate(part.sheets, start=1)
            for line, step in enumerate(sheet.page.lines, start=1)
        }
        self.anchors |= anchors
        printed = {
            step.key: (step, part.cases[sheet.key, step.scope]) for sheet in part.sheets for step in sheet.page.lines
        }
        writer = Writer(part, Places(part.numbers, anchors, printed), self.references, self.earlier, self._marks())
        for chapter, sheet in enumerate(part.sheets, start=1):
            yield self._chapter(writer, sheet, chapter, f"s{index}c{chapter}")

    def _marks(self) -> Mapping[str, CheckMark]:
        return self.checked.marks if self.checked else {}

    def _chapter(self, writer: Writer, sheet: Sheet, chapter: int, anchor: str) -> ChapterView:
        number = f"{writer.part.section.key}.{chapter}"
        said = [limit for other in writer.part.sheets for limit in other.limitations if limit.turns]
        turned = [
            tuple(self.limits[limit] for limit in said if one.key in limit.turns and one.utilisation is not None)
            for one in sheet.verdicts
        ]
        views = tuple(
            verdict_view(writer.part, chapter, f"{anchor}v{place}", verdict, writer.places, limits)
            for place, (verdict, limits) in enumerate(zip(sheet.verdicts, turned, strict=True), start=1)
        )
        self.verdicts.extend(views)
        figures = figure_views(sheet.page.figures, number, self.earlier)
        tables = table_views(sheet.page.tables, number, self.earlier)
        first, last = ([one for one in figures if one.first is way] for way in (True, False))
        here = Place(number, anchor)
        rated = {one.key for other in writer.part.sheets for one in other.verdicts if one.utilisation is not None}
        listed = [one for one in sheet.limitations if not rated.intersection(one.turns)]
        told = {one for one in listed if self.earlier.place((sheet.key, "limit", one), here)}
        return ChapterView(
            key=sheet.key,
            number=number,
            title=sheet.title,
            running=cut(f"{writer.part.section.key} · {writer.part.section.title}", 60) + f" · {number} {sheet.title}",
            anchor=anchor,
            open=not sheet.steps and not sheet.page.tables and not sheet.page.figures,
            first=chapter == 1,
            blocks=tuple(writer.blocks(sheet)),
            tables=side_by_side(tables),
            figures_first=side_by_side(first),
            figures_last=side_by_side(last),
            exhibits=side_by_side([*tables, *last]),
            verdicts=views,
            limits=tuple(self.limits[limit] for limit in listed if limit not in told),
            limits_told=tuple(self.limits[limit] for limit in listed if limit in told),
            prose=tuple(prose_of(f"calc.chapters.{sheet.key}")) if sheet.steps and sheet.key in ROOMS else (),
            notes=tuple(
                note for note in sheet.page.notes if self.earlier.place((sheet.key, "note", note), here) is None
            ),
            like=self.earlier.place((sheet.key, "chapter"), here),
        )

    def _context(self) -> dict[str, Any]:
        run = self.run
        design, latest = run.design, run.design.project.revisions[-1]
        rows = [front.section_row(part, self.verdicts) for part in run.sections]
        decisions, rests = front.decisions(run, self.verdicts), supports(run)
        return {
            "project": design.project,
            "people": design.people,
            "basis": design.basis,
            "assumptions": design.assumptions,
            "latest": latest,
            "status": status_words(latest.status),
            "status_words": status_words,
            "version": __version__,
            "fingerprint": program_fingerprint(),
            "inputs_hash": design.sha256,
            "archive": self.archive,
            "checked": self.checked,
            "category": category_words(design.basis.check_category),
            "anchors": self.anchors,
            "outcome": run.outcome,
            "outcome_style": css_state({"incomplete": "not verified"}.get(run.outcome, run.outcome)),
            "outcome_words": OUTCOME_WORDS[run.outcome],
            "running": self._running(),
            "groups": self._contents(),
            "rows": rows,
            "summary": summary(rows, self.verdicts, rests, decisions, list(self.limits.values())),
            "governing": list(governing(self.verdicts)),
            "utilisations": list(utilisation_tables(run)),
            "stated": statements(self.verdicts),
            "open_matters": open_items(self.verdicts, "not verified"),
            "informing": open_items(self.verdicts, INFORMATION),
            "not_required": open_items(self.verdicts, NOT_REQUIRED),
            "decisions": decisions,
            "rests": rests,
            "matters": front.matters(run),
            "limits": list(self.limits.values()),
            "sections": self._sections(),
            "published": sorted(
                (one for one in self.references if one.is_published), key=lambda one: one.citation.casefold()
            ),
            "factor_sets": factor_views(run),
            "mark_words": MARK_WORDS,
            "to_confirm": self.references.to_confirm(),
            "marked": {kind: self.references.with_evidence(kind) for kind in ("confirmed", "not inspected", "derived")},
            "source": front.numbered_source(design.text),
        }  # fmt: skip

    def _sections(self) -> list[dict[str, Any]]:
        return [
            {"part": part, "anchor": f"s{index}", "chapters": [self._render_chapter(one) for one in chapters],
             "running": cut(f"{part.section.key} · {part.section.title}", 75)}
            for index, (part, chapters) in enumerate(zip(self.run.sections, self.chapters, strict=True), start=1)
        ]  # fmt: skip

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
        before = [("Revisions", "revisions"), ("Summary", "summary"), ("All verifications", "verifications"),
                  ("Utilisations by stage and factor set", "utilisations"),
                  ("Decisions, proofs and open matters", "decisions"), ("Assumptions", "assumptions"),
                  ("Matters outside this calculation", "outside")]  # fmt: skip
        after = [("Limits of this calculation", "limits"), ("References", "references"),
                 ("Register of evidence marks", "register"), ("Inputs as typed", "inputs"),
                 *self._of_the_check(), ("Final sheet", "final")]  # fmt: skip
        groups = [front.Group(front.Entry("", title, anchor)) for title, anchor in before]
        for index, (part, chapters) in enumerate(zip(self.run.sections, self.chapters, strict=True), start=1):
            head = front.Entry(part.section.key, cut(part.section.title, 60), f"s{index}")
            lines = tuple(front.Entry(one.number, one.title, one.anchor, one.open) for one in chapters)
            groups.append(front.Group(head, lines))
        return groups + [front.Group(front.Entry("", title, anchor)) for title, anchor in after]

    def _of_the_check(self) -> Iterator[tuple[str, str]]:
        if self.checked and self.checked.summary:
            yield "Check of the lines and comments", "comments"
        if self.checked and self.checked.comparison:
            yield "Independent check", "independent"

"""The plan as one PDF: key plan with the drawing list, the drawing sheets, and the lines that can be audited."""

from dataclasses import dataclass
from datetime import date

from calc.engine.words import words_of
from calc.inputs.tables.alignment import place_text
from calc.package.attached import Document
from calc.package.canvas import Canvas, shorten
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.plan.key_plan import key_plan
from calc.site.plan.plan_drawing import (
    BAND,
    Drawn,
    drawing_sheet,
    frame,
    legend,
    lines,
    title_block,
)
from calc.site.plan.plan_pens import LARGE, TEXT
from calc.site.plan.plan_steps import AreaSheet
from calc.site.plan.plan_tables import answers, blocks, limits, points_tables
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import FIELD, PAPER, Cut

say = words_of(__name__)

LIST, LIST_ROWS = 262.0, 42
PER_PIECE = 4  # drawing sheets that are set as one document
KEY_PLAN, AUDIT = "drawing-0", "plan-lines"


@dataclass(frozen=True)
class SheetPicture:
    """A drawing sheet as a picture of a page, with its name in the outline (``alt`` without) and a place for links."""

    source: str
    alt: str
    label: str = ""
    anchor: str = ""


@dataclass(frozen=True)
class PlanPages:
    """The pages of a plan; ``notes`` hold for all of it, ``changes`` against an earlier one."""

    drawn: Drawn
    sheets: tuple[AreaSheet, ...]
    dated: date
    notes: tuple[str, ...] = ()
    changes: str = ""

    def pdf(self) -> bytes:
        """The drawings and the audit of a plan as a file of its own."""
        return render_pdf(self._html(self.pictures()), (), self.dated)

    def pieces(self) -> tuple[Document, ...]:
        """The same pages as pieces of a package, their headings below the last one before."""
        pictures = self.pictures()
        groups = [pictures[k : k + PER_PIECE] for k in range(0, len(pictures), PER_PIECE)]
        drawings = [Document(self._html(group, piece=True, lined=False), len(group)) for group in groups]
        return (*drawings, Document(self._html([], piece=True), 1))

    def pictures(self) -> list[SheetPicture]:
        """The key plan with the drawing list, and every sheet."""
        overview = [SheetPicture(canvas.uri(), say("overview"), say("key-plan"), "" if k else KEY_PLAN)
                 for k, canvas in enumerate(_overview(self.drawn, self.changes))]  # fmt: skip
        return overview + [
            SheetPicture(drawing_sheet(self.drawn, cut).uri(), say("drawing", number=cut.number),
                         say("sheet", **shown_by(cut)), sheet_place(cut))
            for cut in self.drawn.cuts
        ]  # fmt: skip

    def _html(self, pictures: list[SheetPicture], *, piece: bool = False, lined: bool = True) -> str:
        project = next(iter(self.drawn.listed.head.values()))
        return environment().get_template("plan.html").render(
            title=f"{say('title')}: {one_line(project)}", date=self.dated.isoformat(),
            checksum=self.drawn.listed.checksum, say=say, sheets=pictures, answers=answers(self.sheets),
            blocks=blocks(self.sheets) if lined else (), points=points_tables(self.sheets),
            limits=[*((say("all"), text) for text in self.notes), *limits(self.sheets)], piece=piece, lined=lined,
            audit_place=AUDIT,
        )  # fmt: skip


def sheet_place(cut: Cut) -> str:
    """Where links find a drawing sheet."""
    return f"drawing-{cut.number}"


def shown_by(cut: Cut) -> dict[str, object]:
    """What a drawing sheet shows, for texts."""
    begins, ends = (place_text(round(chainage, 2)) for chainage in (cut.begins, cut.ends))
    return {"number": cut.number, "letter": cut.area.given.letter, "begins": begins, "ends": ends}


def _overview(drawn: Drawn, changes: str) -> list[Canvas]:
    """The key plan over the page with the drawing list, on as many pages as the list needs."""
    rows = [
        say("list-row", **shown_by(cut), section=cut.area.section.key,
            count=int(cut.shows(drawn.layout.columns).sum()), scale=cut.scale)
        for cut in drawn.cuts
    ]  # fmt: skip
    made = list[Canvas]()
    for first in range(0, len(rows), LIST_ROWS):
        canvas = Canvas(*PAPER)
        box = (FIELD[0] + 10, FIELD[1] + 10, LIST - 24, FIELD[3] - 8)
        key_plan(drawn.plan, drawn.elements, drawn.cuts, canvas, box)
        canvas.text((LIST, FIELD[1] + 10), say("list"), size=LARGE, bold=True)
        for k, text in enumerate(rows[first : first + LIST_ROWS]):
            at = (LIST, FIELD[1] + 18 + 4.6 * k)
            canvas.text(at, shorten(text, TEXT, FIELD[2] - LIST - 4), size=TEXT)
        frame(canvas)
        _north_up(canvas)
        legend(drawn, canvas)
        if changes:
            lines(canvas, (FIELD[0] + 4, BAND + 8), changes, 124.0)
        title_block(drawn, canvas, [say("overview")])
        made.append(canvas)
    return made


def _north_up(canvas: Canvas) -> None:
    x, y = LIST - 14, FIELD[1] + 28
    canvas.line([(x, y), (x, y - 16)])
    canvas.arrow_head((x, y - 18), (x, y), 4.0)
    canvas.text((x + 2, y - 10), "N", size=LARGE, bold=True)

"""The plan as one PDF: key plan with the drawing list, the drawing sheets, and the lines that can be audited."""

from dataclasses import dataclass
from datetime import date

from calc.engine.words import words_of
from calc.inputs.tables.alignment import place_text
from calc.package.canvas import Canvas, shorten
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.plan.plan_drawing import (
    BAND,
    LARGE,
    TEXT,
    Drawn,
    drawing_sheet,
    frame,
    key_plan,
    legend,
    lines,
    title_block,
)
from calc.site.plan.plan_steps import AreaSheet
from calc.site.plan.plan_tables import answers, blocks, limits, points_table
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import FIELD, PAPER

say = words_of(__name__)

LIST, LIST_ROWS = 262.0, 42


@dataclass(frozen=True)
class SheetPicture:
    """A drawing sheet as a picture of a page."""

    source: str
    alt: str


def plan_pdf(
    drawn: Drawn, sheets: tuple[AreaSheet, ...], dated: date, notes: tuple[str, ...] = (), changes: str = ""
) -> bytes:  # fmt: skip
    """The drawings and the audit of a plan; ``notes`` hold for all of it, ``changes`` against an earlier one."""
    pictures = [SheetPicture(canvas.uri(), say("overview")) for canvas in _overview(drawn, changes)]
    pictures += [SheetPicture(drawing_sheet(drawn, cut).uri(), say("drawing", number=cut.number))
                 for cut in drawn.cuts]  # fmt: skip
    project = next(iter(drawn.listed.head.values()))
    html = environment().get_template("plan.html").render(
        title=f"{say('title')}: {one_line(project)}", date=dated.isoformat(), checksum=drawn.listed.checksum, say=say,
        sheets=pictures, answers=answers(sheets), blocks=blocks(sheets),
        points=points_table(sheets), limits=[*((say("all"), text) for text in notes), *limits(sheets)],
    )  # fmt: skip
    return render_pdf(html, (), dated)


def _overview(drawn: Drawn, changes: str) -> list[Canvas]:
    """The key plan over the page with the drawing list, on as many pages as the list needs."""
    rows = [
        say("list-row", number=cut.number, letter=cut.area.given.letter, section=cut.area.section.key,
            begins=place_text(round(cut.begins, 2)), ends=place_text(round(cut.ends, 2)),
            count=int(cut.shows(drawn.layout.columns).sum()), scale=cut.scale)
        for cut in drawn.cuts
    ]  # fmt: skip
    made = list[Canvas]()
    for first in range(0, len(rows), LIST_ROWS):
        canvas = Canvas(*PAPER)
        key_plan(drawn, canvas, (FIELD[0] + 10, FIELD[1] + 10, LIST - 24, FIELD[3] - 8))
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

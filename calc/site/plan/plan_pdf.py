"""The plan as one PDF: key plan with the drawing list, the drawing sheets, and the lines that can be audited."""

from dataclasses import dataclass
from datetime import date

from calc.engine.words import words_of
from calc.inputs.tables.alignment import place_text
from calc.package.canvas import Canvas, shorten
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.plan.column_list import ColumnList
from calc.site.plan.plan_drawing import BAND, LARGE, SMALL, TEXT, Drawn, drawing_sheet, frame, key_plan, title_block
from calc.site.plan.plan_steps import AreaSheet
from calc.site.plan.plan_tables import answers, blocks, limits, points_table
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import FIELD, PAPER

say = words_of(__name__)

LIST_COLUMNS, LIST_WIDTH, LIST_ROWS = 3, 130.0, 14


@dataclass(frozen=True)
class SheetPicture:
    """A drawing sheet as a picture of a page."""

    source: str
    alt: str


def plan_pdf(drawn: Drawn, sheets: tuple[AreaSheet, ...], dated: date, changes: str = "") -> bytes:
    """The drawings and the audit of a plan; ``changes`` says how it differs from an earlier one."""
    pictures = [SheetPicture(canvas.uri(), say("overview")) for canvas in _overview(drawn, changes)]
    pictures += [SheetPicture(drawing_sheet(drawn, cut).uri(), say("drawing", number=cut.number))
                 for cut in drawn.cuts]  # fmt: skip
    project = next(iter(drawn.listed.head.values()))
    html = environment().get_template("plan.html").render(
        title=f"{say('title')}: {one_line(project)}", date=dated.isoformat(), checksum=drawn.listed.checksum, say=say,
        sheets=pictures, answers=answers(sheets), limits=limits(sheets), blocks=blocks(sheets),
        points=points_table(sheets),
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
    room, made = LIST_COLUMNS * LIST_ROWS, list[Canvas]()
    for first in range(0, len(rows), room):
        canvas = Canvas(*PAPER)
        bottom = FIELD[3] - 12.0 - 5.0 * min(LIST_ROWS, len(rows) - first)
        key_plan(drawn, canvas, (FIELD[0] + 10, FIELD[1] + 10, FIELD[2] - 14, bottom))
        canvas.text((FIELD[0] + 6, bottom + 9), say("list"), size=LARGE, bold=True)
        for k, text in enumerate(rows[first : first + room]):
            at = (FIELD[0] + 6 + LIST_WIDTH * (k // LIST_ROWS), bottom + 15 + 5.0 * (k % LIST_ROWS))
            canvas.text(at, shorten(text, TEXT, LIST_WIDTH - 4), size=TEXT)
        frame(canvas)
        _north_up(canvas)
        if changes:
            canvas.text((FIELD[0] + 6, BAND + 8), shorten(changes, SMALL, 240), size=SMALL)
        title_block(drawn.listed, canvas, [say("overview")])
        made.append(canvas)
    return made


def _north_up(canvas: Canvas) -> None:
    x, y = FIELD[2] - 10, FIELD[1] + 24
    canvas.line([(x, y), (x, y - 16)])
    canvas.arrow_head((x, y - 18), (x, y), 4.0)
    canvas.text((x + 2, y - 10), "N", size=LARGE, bold=True)

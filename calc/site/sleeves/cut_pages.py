"""The pages of the cut list: waste with its equations, classes, cuts of the rolls, boxes."""

from dataclasses import dataclass
from datetime import date

from calc.engine.words import words_of
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.plan.plan_pdf import say as say_of_plan
from calc.site.plan.plan_tables import MOST_COLUMNS, Block, Worked, lines_of
from calc.site.sleeves.cut_list import CutList, boxes_of, metres, pieces_text, rest

say = words_of(__name__)

BOXES_A_ROW = 4


@dataclass(frozen=True)
class CutTable:
    """A table of the cut list."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def cut_pages(made: CutList, title: str, checksum: str, dated: date) -> bytes:
    """The cut list as a PDF."""
    columns = [Worked(kind.name, kind.sheet, {}) for kind in made.types]
    parts = [columns[k : k + MOST_COLUMNS] for k in range(0, len(columns), MOST_COLUMNS)]
    blocks = [
        Block(say("waste"), tuple(column.head for column in part), lines_of(part, "S", say("found"))) for part in parts
    ]
    html = environment().get_template("sleeves.html").render(
        title=title, date=dated.isoformat(), checksum=checksum, say=say_of_plan, tell=say, blocks=blocks,
        tables=[_classes(made), _cuts(made), _boxes(made)],
    )  # fmt: skip
    return render_pdf(html, (), dated)


def _classes(made: CutList) -> CutTable:
    rows = [
        (kind.name, str(k), metres(length), str(count))
        for kind in made.types
        for k, (length, count) in enumerate(zip(kind.classes.lengths, kind.classes.counts, strict=True), start=1)
    ]
    return CutTable(say("classes"), (say("type"), say("class"), say("length"), say("count")), tuple(rows))


def _cuts(made: CutList) -> CutTable:
    rows = [
        (kind.name, str(pattern.rolls), metres(pattern.roll), pieces_text(kind, pattern.pieces), metres(rest(kind, k)))
        for kind in made.types for k, pattern in enumerate(kind.cuts.patterns)
    ]  # fmt: skip
    head = (say("type"), say("rolls"), say("roll"), say("pieces"), say("rest"))
    return CutTable(say("cuts"), head, tuple(rows))


def _boxes(made: CutList) -> CutTable:
    cells = [f"{name}: {count} ({columns})" for name, count, columns in boxes_of(made)]
    cells += [""] * (-len(cells) % BOXES_A_ROW)
    rows = [tuple(cells[k : k + BOXES_A_ROW]) for k in range(0, len(cells), BOXES_A_ROW)]
    return CutTable(say("boxes"), ("",) * BOXES_A_ROW, tuple(rows))

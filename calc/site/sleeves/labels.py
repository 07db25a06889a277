"""Sheets of labels, one for each sleeve: id, length, type, box, and the same as a QR code."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import segno

from calc.engine.words import words_of
from calc.package.canvas import Canvas, number
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.sleeves.cut_list import CutSleeve, metres

say = words_of(__name__)

ACROSS, DOWN = 3, 8
PAGE = (194.0, 281.0)  # mm within the margins of the sheet
LABEL = (PAGE[0] / ACROSS, PAGE[1] / DOWN)
CODE = 24.0  # mm, with the quiet zone around it
QUIET_ZONE = 4  # modules around a code, ISO/IEC 18004
SHEETS = 40  # in a file


@dataclass(frozen=True)
class LabelPage:
    """A sheet of labels: the sleeves, and a picture of their codes."""

    sleeves: Sequence[CutSleeve]
    codes: str
    alt: str


def label_files(sleeves: Sequence[CutSleeve], checksum: str, revision: str, dated: date) -> Iterator[tuple[str, bytes]]:
    """Label sheets by name, a file for some forty sheets: a longer one would be slow to open and to print."""
    room, page = ACROSS * DOWN * SHEETS, ACROSS * DOWN
    for k, first in enumerate(range(0, len(sleeves), room), start=1):
        own = sleeves[first : first + room]
        parts = [own[at : at + page] for at in range(0, len(own), page)]
        pages = [LabelPage(part, _codes(part, checksum).uri(), say("codes", first=part[0].column.id)) for part in parts]
        html = environment().get_template("labels.html").render(
            title=say("title"), date=dated.isoformat(), pages=pages, say=say, metres=metres,
            plan=say("plan", revision=revision, checksum=checksum),
        )  # fmt: skip
        yield f"labels-{k:02d}.pdf", render_pdf(html, (), dated)


def code_text(sleeve: CutSleeve, checksum: str) -> str:
    """What the code of a label says."""
    return f"{sleeve.column.id};{metres(sleeve.length)};{sleeve.type};{sleeve.box};{checksum}"


def _codes(sleeves: Sequence[CutSleeve], checksum: str) -> Canvas:
    """The codes of a sheet: nothing but black outlines, which are written into the file as they are."""
    canvas = Canvas(*PAGE)
    for k, sleeve in enumerate(sleeves):
        code = segno.make_qr(code_text(sleeve, checksum), error="m")
        x, y = LABEL[0] * (k % ACROSS), LABEL[1] * (k // ACROSS)
        canvas.parts.append(_code(code.matrix, (x + LABEL[0] - CODE - 1.5, y + 1.0)))
    return canvas


def _code(matrix: Sequence[bytearray], corner: tuple[float, float]) -> str:
    """The dark modules of a code as one path, a box for each run of a row."""
    size = CODE / (len(matrix) + 2 * QUIET_ZONE)
    parts = list[str]()
    for j, row in enumerate(matrix):
        y1, y2 = (number(corner[1] + (j + QUIET_ZONE + k) * size) for k in range(2))
        cells = [0, *row, 0]
        ends = [k for k in range(1, len(cells)) if cells[k] != cells[k - 1]]
        for first, last in zip(ends[::2], ends[1::2], strict=True):
            x1, x2 = (number(corner[0] + (k - 1 + QUIET_ZONE) * size) for k in (first, last))
            parts.append(f"M{x1} {y1} L{x2} {y1} L{x2} {y2} L{x1} {y2} Z ")
    return f'<path d="{"".join(parts)}" fill="black"/>'

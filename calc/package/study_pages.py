"""The pages of a study in the look of the package: tables, figures and lines that the study hands over as data."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from markupsafe import Markup

from calc import __version__
from calc.engine.figure import Figure
from calc.engine.sheet import Sheet, Step, value_text
from calc.inputs import Design
from calc.inputs.reading.glyphs import first_without_glyph
from calc.package.figures import figure_picture
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import cut
from calc.package.small_lines import small_line

NONE = "–"


@dataclass(frozen=True)
class StudyPages:
    """What a study prints: paragraphs, one table (head, then rows), figures, sheets with their titles, last remarks.

    ``numeric`` tells of each column of the table whether it holds numbers.
    """

    title: str
    opening: Sequence[str]
    head: Sequence[str]
    numeric: Sequence[bool]
    rows: Sequence[Sequence[str]]
    figures: Sequence[Figure]
    sheets: Sequence[tuple[str, Sheet]]
    remarks: Sequence[str]


def study_pages(design: Design, pages: StudyPages) -> bytes:
    """The pages as PDF/A, dated as the newest revision of the project; raises `PackageError` as the renderer does."""
    project = design.project
    revision = project.revisions[-1]
    context = {
        "title": pages.title, "document": project.document, "version": __version__, "date": revision.date.isoformat(),
        "running": {
            "section": pages.title,
            "project": cut(project.title, 78),
            "document": cut(project.document, 50),
            "revision": cut(f"Revision {revision.label}", 52),
            "program": f"sandsleeve {__version__} · {pages.title}",
            "people": cut(f"Originator {design.people.originator.name}", 60),
        },
        "head": [("Project", f"{project.number}, {project.title}"), ("Inputs, SHA-256", design.sha256[:16])],
        "body": study_body(pages),
    }  # fmt: skip
    html = environment().get_template("study-file.html").render(context)
    return render_pdf(html, (), date(revision.date.year, revision.date.month, revision.date.day))


def study_body(pages: StudyPages) -> Markup:
    """What stands on the pages below their head; what the fonts lack is a dash."""
    html = environment().get_template("study.html").render(
        opening=pages.opening, remarks=pages.remarks, rows=pages.rows,
        columns=[{"name": name, "n": number} for name, number in zip(pages.head, pages.numeric, strict=True)],
        figures=[{"picture": figure_picture(figure), "title": figure.title, "note": figure.note}
                 for figure in pages.figures],
        blocks=[{"title": title, "lines": [_line(step) for step in sheet.steps]} for title, sheet in pages.sheets],
    )  # fmt: skip
    html = html.translate({ord(sign): NONE for sign in set(html) if first_without_glyph(sign) is not None})
    return Markup(html)  # noqa: S704 - written by a template which escapes


def _line(step: Step) -> dict[str, Any]:
    return small_line(step, value_text(step.value, {}, step.symbol), _source(step))


def _source(step: Step) -> str:
    if step.source is not None:
        return f"{step.source.mark} {step.source.citation}."
    origin = step.origins[0]
    if origin.kind != "step":
        return origin.text
    room = origin.path.split("/")[1]
    return "As above." if room == step.key.split("/")[1] else f"As in the chapter of {room}."

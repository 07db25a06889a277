"""The brief of an independent check and the form for the checker's own values: inputs and questions, no result."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from calc import __version__
from calc.chain import Run
from calc.engine.figure import symbol_text
from calc.inputs import OUTSIDE
from calc.package.line_places import field_path
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.package.shown import category_words, cut, status_words
from calc.review.blind_check import APART, Asked, brief_hash, verifications
from calc.review.people_texts import one_line

HEADINGS = {
    "basis": "Basis of design", "outside": "Exclusions and interfaces", "assumption": "Assumptions",
    "layer": "Ground: layers",
    "bearing_layer": "Ground: bearing layer", "layer_below": "Ground: below the bearing layer", "water": "Water levels",
    "uplift": "Uplift",
    "embankment": "Loads: embankment", "traffic": "Loads: traffic", "platform": "Loads: working platform",
    "plant": "Loads: plant", "stage": "Stages", "columns": "Columns", "sleeve": "Sleeve",
    "reinforcement": "Horizontal reinforcement", "field": "Column field", "filter": "Filters", "slip": "Slip surfaces",
    "load_transfer": "Load transfer", "first_lift": "First lift", "construction": "Construction",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Brief:
    """The two files of a brief."""

    pdf: bytes
    form: str


@dataclass(frozen=True, slots=True)
class GivenLine:
    """One input: its field, the text as typed, and where it stands."""

    path: str
    text: str
    where: str


def brief(run: Run) -> Brief:
    """The brief of a run; the results of the run are in neither of its files."""
    design = run.design
    questions = {question.key: question for question, _ in verifications(run)}
    digest = brief_hash(design, questions)
    latest = design.project.revisions[-1]
    context = {
        "project": design.project,
        "people": design.people,
        "basis": design.basis,
        "latest": latest,
        "status": status_words(latest.status),
        "category": category_words(design.basis.check_category),
        "version": __version__,
        "digest": digest,
        "running": {
            "section": "Brief for an independent check",
            "project": cut(design.project.title, 78),
            "document": cut(design.project.document, 50),
            "revision": cut(f"revision {latest.label}", 52),
            "program": f"sandsleeve {__version__}",
            "people": cut(f"checker {design.people.checker.name}", 60),
        },
        "questions": [_question(question) for question in questions.values()],
        "groups": [(title, list(lines)) for title, lines in _groups(run)],
        "outside": [(question, design.answered.get(key, "")) for key, question in OUTSIDE.items()],
    }
    html = environment().get_template("brief.html").render(context)
    return Brief(render_pdf(html, (), latest.date), form(run, questions, digest))


def _question(question: Asked) -> dict[str, Any]:
    sides = [(symbol_text(side.name), side.meaning, side.unit) for side in (question.effect, question.resistance)]
    return {
        "chapter": question.chapter,
        "title": question.title,
        "fixed": question.fixed,
        "over": question.over,
        "sides": sides,
    }


def _groups(run: Run) -> Iterator[tuple[str, Iterator[GivenLine]]]:
    """The inputs in the order of the project file, under headings."""
    origins = run.design.provenance
    paths = [path for path in origins if not path.startswith((*APART, "outside."))]
    lines = {path: f"line {origins[path].line}" if origins[path].line else "default" for path in paths}
    for title, group in groupby(paths, key=_heading):
        yield title, (GivenLine(field_path(path), origins[path].text, lines[path]) for path in group)


def _heading(path: str) -> str:
    parts = path.split(".")
    if parts[0] != "section":
        return HEADINGS.get(parts[0], parts[0])
    section = f"Section {parts[1]}"
    return f"{section} · {HEADINGS.get(parts[2], parts[2])}" if len(parts) > 3 else section


def form(run: Run, questions: dict[str, Asked], digest: str) -> str:
    """The form as a TOML file with empty values, which the checker fills in."""
    environment_of_forms = environment().overlay(autoescape=False)  # text, no markup; every user text is one line
    return environment_of_forms.get_template("own-values.toml").render(
        document=_quote(run.design.project.document),
        revision=_quote(run.design.project.revisions[-1].label),
        checker=_quote(run.design.people.checker.name),
        digest=digest,
        questions=[_form_lines(question) for question in questions.values()],
    )


def _form_lines(question: Asked) -> dict[str, str]:
    where = ", ".join(text for text in (question.fixed, question.over and f"the worst over {question.over}") if text)
    return {
        "key": _quote(question.key),
        "title": one_line(f"{question.chapter}: {question.title}"),
        "where": one_line(where, 1000),
        "effect": f"{question.effect.meaning}, {question.effect.unit or 'plain number'}",
        "resistance": f"{question.resistance.meaning}, {question.resistance.unit or 'plain number'}",
    }


def _quote(text: str) -> str:
    """A text as a basic string of TOML."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n").replace("\t", "\\t")
    return f'"{escaped}"'

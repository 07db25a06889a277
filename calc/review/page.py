"""The review page: one HTML file that loads nothing, from the steps that the package prints."""

import json
from base64 import b64encode
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

from markupsafe import Markup

from calc import __version__
from calc.chain import Run
from calc.package.pages import environment
from calc.package.words import status_words
from calc.resources import template_folder
from calc.review.facts import Facts, facts
from calc.review.views import ChapterPage, StepView, chapters

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Carried:
    """A mark that stands beside a step when the page opens, and how it is stamped."""

    mark: str
    stamp: str


@dataclass(frozen=True)
class Before:
    """What is known of a run when its page is written: marks, changed steps, entries of its own, comments."""

    marks: Mapping[str, Carried] = field(default_factory=dict)
    changed: frozenset[str] = frozenset()
    entries: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    comments: Sequence[Any] = ()


def review_page(run: Run, before: Before | None = None) -> str:
    """The page of a run as one HTML document."""
    return page_of(run, facts(run), list(chapters(run)), before or Before())


def page_of(run: Run, known: Facts, pages: Sequence[ChapterPage], before: Before) -> str:
    """The page of these chapters."""
    design, latest = run.design, run.design.project.revisions[-1]
    style, script = _own_file("review.css"), _own_file("review.js")
    steps = [step for chapter in pages for step in chapter.steps]
    threads: dict[str, list[Any]] = {}
    for comment in before.comments:
        threads.setdefault(comment.step, []).append(comment)
    context = {
        "policy": policy(script, style),
        "style": Markup(style),  # noqa: S704 - the project's own file
        "script": Markup(script),  # noqa: S704 - the same
        "data": embedded(_data(known, steps, before)),
        "project": design.project,
        "latest": latest,
        "status": status_words(latest.status),
        "outcome": run.outcome,
        "version": __version__,
        "category": "not given",
        "run": known.run,
        "inputs_hash": design.sha256,
        "checker": design.people.checker.name,
        "chapters": pages,
        "threads": threads,
        "comments": before.comments,
        "anchors": {step.key: step.anchor for step in steps},
    }
    return environment().get_template("review.html").render(context)


def policy(script: str, style: str) -> str:
    """A content security policy: this very script and style, and nothing else, from nowhere."""
    return (
        f"default-src 'none'; script-src '{_hash_source(script)}'; style-src '{_hash_source(style)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def embedded(data: object) -> Markup:
    """Data for a script element: no sign in it can end the element or begin markup."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # noqa: S704 - every sign of markup is written as its number


def _data(known: Facts, steps: Iterable[StepView], before: Before) -> dict[str, Any]:
    nothing = Carried("none", "")
    return {
        "format": FORMAT,
        "run": known.run,
        "document": known.document,
        "revision": known.revision,
        "entries": {key: dict(entry) for key, entry in before.entries.items()},
        "steps": [
            [
                step.key,
                known.steps[step.key].fingerprint,
                step.value,
                before.marks.get(step.key, nothing).mark,
                before.marks.get(step.key, nothing).stamp,
                step.key in before.changed,
            ]
            for step in steps
        ],
    }


def _hash_source(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def _own_file(name: str) -> str:
    return (template_folder() / name).read_text(encoding="utf-8")

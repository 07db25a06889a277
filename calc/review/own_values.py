"""The checker's own values as they come back on the form, and how far the calculation lies from them."""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field
from pydantic_core import PydanticCustomError

from calc.chain import Run
from calc.engine.sheet import Verdict, case_words
from calc.inputs import Design
from calc.inputs.reading.scalars import Quantity
from calc.package.checked import ComparedRow, Comparison
from calc.package.shown import with_unit
from calc.review.blind_check import Asked, AskedValue, brief_hash, verifications
from calc.review.files import read_limited, write_whole
from calc.review.ledger import FOLDER, file_name, lock_reviews
from calc.review.people import refuse_other_people
from calc.review.people_texts import one_line, shown_text
from calc.review.records import Day, Name, Part, SayingText, Sha256, read_model
from calc.review.refused import OtherRun, RefusedFile, ReviewError

INDEPENDENT = "independent"
LARGEST_FORM = 4 * 1024 * 1024
_NUMBER = re.compile(r"[+-]?[0-9]{1,18}(\.[0-9]{1,18})?([eE][+-]?[0-9]{1,2})?")

Typed = Annotated[str, Field(max_length=60)]
Tolerance = Annotated[float, Field(gt=0, le=1000)] | Literal[""]


class CheckerOfForm(Part):
    """Who has determined the values, when and how."""

    name: Name
    date: Day
    method: SayingText


class OwnResult(Part):
    """Own values for one verification; an empty text stands for one that was not determined."""

    key: Name
    effect: Typed
    resistance: Typed
    case: Annotated[str, Field(max_length=300)]
    tolerance: Tolerance


class OwnValues(Part):
    """The form as it comes back, and as it is stored."""

    format: Literal[1]
    kind: Literal["own values"]
    brief: Sha256
    document: Name
    revision: Name
    tolerance: Tolerance
    checker: CheckerOfForm
    result: Annotated[tuple[OwnResult, ...], Field(max_length=10_000)]


@dataclass(frozen=True, slots=True)
class Question:
    """A verification that is asked for, and the verdict of this calculation."""

    asked: Asked
    verdict: Verdict


def questions_of(run: Run) -> dict[str, Question]:
    """Everything that is asked for, by its key."""
    return {check.key: Question(check, verdict) for check, verdict in verifications(run)}


def read_form(content: bytes, place: str) -> OwnValues:
    """Read a form; `RefusedFile` with a line for each thing that is wrong."""
    if len(content) > LARGEST_FORM:
        message = f"{place}: must be a file of at most {LARGEST_FORM} bytes"
        raise RefusedFile(message)
    try:
        data = json.dumps(tomllib.loads(content.decode("utf-8")), default=str)
    except (ValueError, RecursionError) as error:
        message = f"{place}: must be a TOML file: {one_line(str(error))}"
        raise RefusedFile(message) from error
    return read_model(OwnValues, data.encode(), place)


def take_own_values(project: Path, run: Run, content: bytes, place: str) -> Comparison:
    """Take a form in and compare; nothing is written where it is refused.

    `RefusedFile` where something in it is wrong, `OtherRun` where it was filled in for other inputs.
    """
    form, questions, design = read_form(content, place), questions_of(run), run.design
    if form.brief != _hash(design, questions) or form.document != design.project.document:
        message = (
            f"{place}: belongs to another brief, {form.brief[:12]} of {form.document!r}, revision {form.revision!r}: "
            f"the inputs or the questions are now others, {_hash(design, questions)[:12]}"
        )
        raise OtherRun(message)
    refuse_other_people(form.checker.name, "checker.name", design, place)
    wrong = [f"{place}: {text}" for text in _wrong(form, questions)]
    if wrong:
        raise RefusedFile("\n".join(wrong[:20]))
    with lock_reviews(project):
        stored = form.model_dump_json(indent=1).encode() + b"\n"
        path = _path(project, design.project.revisions[-1].label)
        _refuse_another(stored_forms(project, design), form, place)
        write_whole(path, stored)
    return compare_values(form, questions)


def _refuse_another(stored: Sequence[OwnValues], form: OwnValues, place: str) -> None:
    """Values determined without results are not exchanged for others once the comparison is known."""
    for before in stored:
        if before.brief == form.brief and before != form:
            message = (
                f"{place}: other own values for this brief are taken in already, by {one_line(before.checker.name)}; "
                "they stand, and other ones need a new revision of the inputs"
            )
            raise ReviewError(message)


def comparison(project: Path, run: Run) -> Comparison | None:
    """The sheet of the independent check for the newest own values; None where there are none."""
    form = stored_form(project, run.design)
    if form is None:
        return None
    questions = questions_of(run)
    if form.brief != _hash(run.design, questions):
        outdated = (
            f"The own values were determined for the inputs of revision {form.revision}, which are no longer those of "
            "this calculation: they have to be determined again."
        )
        return Comparison(_author_text(form), shown_text(form.checker.method), shown_text(outdated))
    return compare_values(form, questions)


def stored_form(project: Path, design: Design) -> OwnValues | None:
    """The newest form that was taken in."""
    return next(iter(stored_forms(project, design)), None)


def stored_forms(project: Path, design: Design) -> list[OwnValues]:
    """Every form that was taken in, the newest first."""
    paths = [_path(project, revision.label) for revision in reversed(design.project.revisions)]
    return [read_model(OwnValues, read_limited(path), str(path)) for path in paths if path.is_file()]


def _path(project: Path, label: str) -> Path:
    return project / FOLDER / INDEPENDENT / file_name(label)


def _hash(design: Design, questions: Mapping[str, Question]) -> str:
    return brief_hash(design, {key: question.asked for key, question in questions.items()})


def _author_text(form: OwnValues) -> str:
    return shown_text(f"{form.checker.name}, {form.checker.date}, on the brief of revision {form.revision}")


def _wrong(form: OwnValues, questions: Mapping[str, Question]) -> Iterator[str]:
    """What is wrong with the values of a form, one line each."""
    keys = [result.key for result in form.result]
    if len(set(keys)) < len(keys):
        yield "result: must hold each key once at most"
    if not any(result.effect or result.resistance for result in form.result):
        yield "result: must hold one own value at least"
    for index, result in enumerate(form.result):
        if result.key not in questions:
            yield f"result[{index}].key: must be one that is asked for, got {result.key!r}"
            continue
        for name in ("effect", "resistance"):
            try:
                _inside(getattr(result, name), getattr(questions[result.key].asked, name))
            except PydanticCustomError as error:
                yield f"result[{index}].{name}: {error.message()}"
        if (result.effect or result.resistance) and not (result.tolerance or form.tolerance):
            yield f"result[{index}].tolerance: must be given in per cent, here or at the top: it is the checker's"


def _inside(text: str, value: AskedValue) -> float | None:
    """An own value in the coherent system; None where it was not determined."""
    if not text.strip():
        return None
    if value.unit:
        return Quantity(unit=value.unit).read(text)
    if _NUMBER.fullmatch(text.strip()) is None:
        must = "input"
        raise PydanticCustomError(must, "must be a plain number without a unit, got {got}", {"got": repr(text)})
    return float(text)


def compare_values(form: OwnValues, questions: Mapping[str, Question]) -> Comparison:
    """Own values beside those of the calculation, in the order in which they are asked for."""
    results = {result.key: result for result in form.result}
    rows = [row for key, question in questions.items() for row in _rows(question, results.get(key), form.tolerance)]
    inside, outside, none = (sum(row.judgement == word for row in rows) for word in ("within", "outside", ""))
    return Comparison(
        by=_author_text(form),
        method=shown_text(form.checker.method),
        outdated="",
        rows=tuple(rows),
        summary=f"{inside + outside} own values: {inside} within their tolerance, {outside} outside; "
        f"{none} results without an own value.",
    )


def _rows(question: Question, result: OwnResult | None, general: float | str) -> Iterator[ComparedRow]:
    verdict = question.verdict
    for name in ("effect", "resistance"):
        side: AskedValue = getattr(question.asked, name)
        value, typed = float(getattr(verdict, name)), getattr(result, name) if result else ""
        mine = _inside(typed, side)
        tolerance = (result.tolerance or general) if result else ""
        share = None if mine is None else _deviation(value, mine)
        yield ComparedRow(
            asked=f"{question.asked.chapter}: {question.asked.title}; {side.meaning}",
            own=shown_text(typed),
            own_case=shown_text(result.case) if result and mine is not None else "",
            printed=with_unit(value, side.name),
            case=case_words(verdict.case),
            deviation=_percent(share) if mine is not None else "",
            tolerance=f"{tolerance:g} %" if mine is not None and tolerance else "",
            judgement="" if mine is None else _judgement(share, tolerance),
        )


def _deviation(value: float, number: float) -> float | None:
    """Per cent by which the calculation lies above (+) or below (−) the own value; None from zero."""
    if number == 0:
        return 0.0 if value == 0 else None
    return 100 * (value - number) / abs(number)


def _percent(share: float | None) -> str:
    if share is None:
        return "from zero"
    text = f"{share:+.2f} %".replace("-", "−")
    return "0.00 %" if float(f"{share:.2f}") == 0 else text


def _judgement(share: float | None, tolerance: float | str) -> str:
    return "within" if share is not None and abs(share) <= float(tolerance) else "outside"

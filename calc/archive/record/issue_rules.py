"""Whether the newest revision of a project file may be issued into an archive as it is."""

from collections.abc import Iterator, Sequence
from re import fullmatch
from typing import TYPE_CHECKING, NamedTuple

from calc.archive.extras import column_plan
from calc.archive.record.manifest import FILE_NAME, Manifest, RecordedPlan
from calc.archive.record.status import APPROVAL, CONSTRUCTION, WORDS, Status, may_follow, read_status, same_label
from calc.archive.refusals import (
    ChangedFile,
    FailingIssue,
    OpenQueries,
    OpenVerdicts,
    RefusedIssue,
    RewrittenReview,
)
from calc.chain import Run
from calc.inputs import Design
from calc.inputs.reading.problems import InputError
from calc.inputs.reading.starter import placeholders
from calc.package.line_places import field_path
from calc.review.comments import comments, open_queries
from calc.review.issued import IssuedReview, read_issued, rewritten_revisions
from calc.review.ledger import read_ledger
from calc.review.own_values import OwnValues, stored_forms

if TYPE_CHECKING:
    from calc.site.plan.in_package import PlanPart

MOST_NAMED = 10
PLAN_FIELDS = ("plan.line.file", "plan.before")
LINE_FIELDS = ("date", "status", "note", "author")


def status_to_issue(design: Design, issued: Sequence[Manifest]) -> Status:
    """The status of the newest revision; `RefusedIssue` with everything that speaks against issuing it.

    `issued` are the records of this document, oldest first. `OpenQueries` where only the checker's queries do.
    """
    reasons = [
        *_label(design, issued), *_older_lines(design, issued), *_status(design, issued), *_placeholders(design)
    ]  # fmt: skip
    if reasons:
        raise RefusedIssue("\n".join(map(str, reasons)))
    status = read_status(design.project.revisions[-1].status)
    assert status is not None  # noqa: S101 - for the type checker: refused above
    _refuse_open_queries(design, status)
    return status


def refuse_rewritten_reviews(design: Design, newest: str, issued: bytes) -> None:
    """What was issued of reviews and own values with the revision `newest` stands as it was in the project's folder.

    `issued` is its review file, empty where it has none. The review of `newest` may have grown since, earlier ones are
    finished.
    """
    project = design.source.parent
    ledger = read_ledger(project, design)
    before = read_issued(issued, f"the review file of revision {newest}") if issued else IssuedReview({}, None)
    for label in rewritten_revisions(ledger.labels, ledger.stored, before.reviews, newest):
        message = (
            f'the review of revision "{label}" is not what was issued with revision "{newest}": bring it back in the '
            "project's folder review; what was said is answered, closed and marked anew, never rewritten"
        )
        raise RewrittenReview(message)
    if _replaces_own_values(before.own_values, stored_forms(project, design)):
        message = (
            f'the own values that were issued with revision "{newest}" are not in the project\'s folder '
            "review/independent any more: bring them back; other ones need other inputs"
        )
        raise RewrittenReview(message)


def _replaces_own_values(own: OwnValues | None, stored: Sequence[OwnValues]) -> bool:
    """Whether own values that were issued are gone, or stand beside other ones for the same inputs."""
    if own is None or any(values.brief == own.brief and values != own for values in stored):
        return own is not None
    return own not in stored and not (stored and stored[0].brief != own.brief)


def refuse_open(run: Run, status: Status) -> None:
    """Nothing is issued for approval or for construction while something required is not verified."""
    if status.words not in {APPROVAL, CONSTRUCTION}:
        return
    waiting = [
        f"{part.section.key} {sheet.title}, {verdict.title}" for part, sheet, verdict in run.verdicts()
        if verdict.required and verdict.state == "not verified"
    ]  # fmt: skip
    if waiting:
        more = f"; and {len(waiting) - MOST_NAMED} more" if len(waiting) > MOST_NAMED else ""
        message = (
            f'not "{status.words}" while something required is not verified: {"; ".join(waiting[:MOST_NAMED])}{more}; '
            "give what it needs, or issue for checking"
        )
        raise OpenVerdicts(message)


class IssuedPlan(NamedTuple):
    """The column plan of a package, and by their names the files beside the project file that it is laid out from."""

    part: "PlanPart"
    files: dict[str, bytes]


def refuse_run(run: Run, status: Status) -> IssuedPlan | None:
    """Refuse what a run with the column plan of its package may not be issued as; the plan, laid out for it."""
    refuse_failing(run.outcome, status)
    refuse_open(run, status)
    return plan_to_issue(run.design, status)


def plan_to_issue(design: Design, status: Status) -> IssuedPlan | None:
    """The column plan that is issued in the package; none is for construction that fails, or for approval that is open.

    Raises `FailingIssue`, `OpenVerdicts`, `RefusedIssue` for the name of a file that it needs, `ChangedFile` where one
    changes meanwhile or, where its packages are not installed, `MissingExtra`.
    """
    files = _plan_files(design)
    plan = column_plan(design)
    if plan is None:
        return None
    if _plan_files(design) != files:
        message = f"{', '.join(files)}: changed while the column plan was laid out: nothing is issued, issue again"
        raise ChangedFile(message)
    if plan.outcome == "fail" and status.words == CONSTRUCTION:
        message = f"a package whose column plan fails is not {CONSTRUCTION}; change the plan or the status"
        raise FailingIssue(message)
    if plan.open and status.words in {APPROVAL, CONSTRUCTION}:
        message = (
            f'not "{status.words}" while the column plan of the package is not verified: {plan.reason}; give what it '
            "needs, or issue for checking"
        )
        raise OpenVerdicts(message)
    return IssuedPlan(plan, files)


def recorded_plan(part: "PlanPart") -> RecordedPlan:
    """What the record of an issue says of its column plan."""
    return RecordedPlan(checksum=part.checksum, outcome=part.outcome)  # type: ignore[arg-type]  # checked by the model


def _plan_files(design: Design) -> dict[str, bytes]:
    """The files that the plan names, its line and the plan before; one that cannot be read, the plan names as such."""
    plan = design.plan
    named = zip(PLAN_FIELDS, (plan.line.file, plan.before) if plan else (), strict=False)
    paths = {field: design.source.parent / name for field, name in named if name}
    wrong = [field for field, path in paths.items() if not fullmatch(FILE_NAME, path.name)]
    if wrong:
        must = "be a name of letters, digits, _ and - with an ending: the archive keeps the file under it"
        raise RefusedIssue("\n".join(str(_wrong(design, field, must, repr(paths[field].name))) for field in wrong))
    own = design.results_file.name if design.results_file else None  # is stored already
    return {path.name: path.read_bytes() for path in paths.values() if path.is_file() and path.name != own}


def _wrong(design: Design, field: str, must: str, got: str) -> InputError:
    origin = design.provenance[field]
    return InputError(str(design.source), origin.line or 1, origin.column or 1, field_path(field), must, got)


def refuse_failing(outcome: str, status: Status) -> None:
    """Nothing is issued for construction while one of its checks fails."""
    if outcome == "fail" and status.words == CONSTRUCTION:
        message = f'a calculation whose outcome is "fail" is not {CONSTRUCTION}; change the design or the status'
        raise FailingIssue(message)


def _refuse_open_queries(design: Design, status: Status) -> None:
    """Nothing is issued for approval or for construction while the checker has a query that is not closed."""
    if status.words not in {APPROVAL, CONSTRUCTION}:
        return
    waiting = open_queries(comments(read_ledger(design.source.parent, design)))
    if waiting:
        numbers = ", ".join(f"{comment.number} ({comment.status}, {comment.printed})" for comment in waiting)
        message = f'not "{status.words}" while queries of the checker are not closed: comment {numbers}'
        raise OpenQueries(message)


def _placeholders(design: Design) -> Iterator[InputError]:
    """What the starter left to be replaced."""
    for path, origin in design.provenance.items():
        if origin.text in placeholders():
            must = "be replaced by what holds for this project: it stands as in the starter"
            where = origin.line or 1, origin.column or 1, field_path(path)
            yield InputError(str(design.source), *where, must, repr(origin.text))


def _label(design: Design, issued: Sequence[Manifest]) -> Iterator[InputError]:
    newest = design.project.revisions[-1]
    for issue in issued:
        if same_label(issue.revision.label, newest.label):
            data = [stored.sha256 for stored in issue.files if stored.role == "data"]
            same = issue.file("inputs").sha256 == design.sha256
            same = same and data == ([design.results_file.sha256] if design.results_file else [])
            what = "these inputs" if same else "other inputs; a change needs a line of its own in the revision record"
            when = f"{issue.revision.label} was issued on {issue.issued_at:%Y-%m-%d}"
            must = f"be a label that is not issued yet: {when} with {what}"
            yield _error(design, len(design.project.revisions) - 1, "label", must, newest.label)


def _older_lines(design: Design, issued: Sequence[Manifest]) -> Iterator[InputError]:
    """What was issued stands in the revision record as it was."""
    places = {line.label: (place, line) for place, line in enumerate(design.project.revisions)}
    for issue in issued:
        label = issue.revision.label
        if label not in places:
            must = f'keep the line of revision "{label}", which is issued'
            yield _error(design, len(design.project.revisions) - 1, "label", must, "a record without it")
            continue
        place, line = places[label]
        for name in LINE_FIELDS:
            before, now = str(getattr(issue.revision, name)), str(getattr(line, name))
            if before != now:
                yield _error(design, place, name, f'stay as issued with revision "{label}": {before!r}', repr(now))


def _status(design: Design, issued: Sequence[Manifest]) -> Iterator[InputError]:
    place, newest = len(design.project.revisions) - 1, design.project.revisions[-1]
    status = read_status(newest.status)
    if status is None:
        must = f"be one of {_quoted_list(WORDS)}, with or without a code of ISO 19650 beside it"
        yield _error(design, place, "status", must, repr(newest.status))
        return
    if any(same_label(issue.revision.label, newest.label) for issue in issued):
        return  # it would follow itself
    if status.words == APPROVAL and design.basis.check_category is None:
        origin = design.provenance["basis.consequence_class"]
        must = f'be given for the status "{APPROVAL}": 0 to 3'
        path = "basis.check_category"
        yield InputError(str(design.source), origin.line or 1, origin.column or 1, path, must, "nothing")
    allowed = may_follow([issue.revision.words for issue in issued])
    if status.words in allowed:
        return
    yield _error(design, place, "status", _rule_words(allowed, issued), repr(newest.status))


def _rule_words(allowed: Sequence[str], issued: Sequence[Manifest]) -> str:
    if not issued:
        return f"be one of {_quoted_list(allowed)} at first"
    before = f'revision {issued[-1].revision.label} "{issued[-1].revision.words}"'
    if not allowed:
        return f"not follow {before}, which ends the document"
    return f"be one of {_quoted_list(allowed)} after {before}"


def _quoted_list(words: Sequence[str]) -> str:
    return ", ".join(f'"{word}"' for word in words)


def _error(design: Design, place: int, name: str, must: str, got: str) -> InputError:
    origin = design.provenance[f"project.revision.{place}.{name}"]
    path = f"project.revision[{place + 1}].{name}"
    return InputError(str(design.source), origin.line or 1, origin.column or 1, path, must, got)

"""What the commands of the archive print on a terminal: text that reads without colour."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from textwrap import wrap

from calc.archive.compare.changes import Changes, InputChange, StepChange, VerdictChange, percent_text
from calc.archive.compare.rerun import PlanAgain, Rerun, StudyAgain
from calc.archive.compare.rerun_addendum import AddendumRerun
from calc.archive.record.manifest import (
    FIRST,
    Addendum,
    Issued,
    Manifest,
    RecordedPlan,
    SignOff,
    words_of_issue,
)
from calc.archive.record.revisions import clean
from calc.archive.record.verification import Report

MOST = 20
INDENT = "  "
DEEPER = "      "
MARKS = {True: "✓", False: "✗"}


def show_text(manifest: Issued, digest: str, today: str, width: int, signed: Sequence[SignOff] = ()) -> str:
    """One revision or addendum: what it is, who, when, which program, which files."""
    document, people = manifest.document, manifest.people
    if isinstance(manifest, Addendum):
        own = [("Addendum", manifest.label), ("To revision", f"{manifest.revision}, record {manifest.issue[:12]}")]
    else:
        own = _revision_rows(manifest, today)
    rows = [
        ("Document", f"{document.number}, project {document.project}: {document.title}"),
        *own,
        ("Outcome", manifest.outcome),
        *((role.capitalize(), _person(getattr(people, role))) for role in ("originator", "checker", "approver")),
        *(("Signed", _sign_off_line(sign_off)) for sign_off in signed),
        ("Issued", f"{manifest.issued_at:%Y-%m-%d %H:%M:%S} UTC"),
        (
            "Program",
            f"{manifest.program.name} {manifest.program.version}, fingerprint {manifest.program.fingerprint[:12]}",
        ),
        ("Python, machine", f"{manifest.program.python}, {manifest.program.platform}"),
        ("Packages", ", ".join(f"{name} {version}" for name, version in manifest.program.dependencies.items())),
        ("Record", f"{manifest.sequence}, SHA-256 {digest}"),
        ("Record before", manifest.previous),
        *((stored.name, f"{stored.sha256} {stored.size} bytes") for stored in manifest.files),
    ]
    return "\n".join(_rows(rows, width))


def _revision_rows(manifest: Manifest, today: str) -> list[tuple[str, str]]:
    revision = manifest.revision
    status = f"{revision.words} ({revision.code})" if revision.code else revision.words
    return [
        ("Revision", f"{revision.label} of {revision.date}"),
        ("Issued as", status if today == revision.words else f"{status}; today {today}"),
        ("What changed", f"{revision.note} ({revision.author})"),
        ("Revision before", manifest.parent.label if manifest.parent else "none"),
        *([("Column plan", _plan_words(manifest.plan))] if manifest.plan else []),
    ]


def _sign_off_line(off: SignOff) -> str:
    how = f"certificate {off.certificate.subject} of {off.certificate.issuer}" if off.certificate else "no certificate"
    return f"{off.person.name} as {off.role}, {off.signed_at:%Y-%m-%d %H:%M} UTC, record {off.sequence}, {how}"


def _person(person: object) -> str:
    name, organisation = getattr(person, "name", ""), getattr(person, "organisation", None)
    return f"{name}, {organisation}" if organisation else name


def _rows(rows: Iterable[tuple[str, str]], width: int) -> Iterator[str]:
    """Names at the left; a narrow terminal still gets a hash in one piece, so that it can be copied and searched."""
    for name, text in rows:
        first, *more = wrap(clean(text), max(width - 18, len(FIRST)), break_on_hyphens=False) or [""]
        yield f"{clean(name):<17} {first}".rstrip()
        yield from (" " * 18 + line for line in more)


def changes_text(changes: Changes, heads: tuple[str, str], everything: bool, width: int) -> str:
    """What changed between two revisions, the largest first; `everything` leaves nothing out."""
    most = len(changes.steps) + len(changes.inputs) + 1 if everything else MOST
    lines = [
        *_wrap((f"From {heads[0]}", f"to   {heads[1]}"), width),
        "",
        *_wrap(_counts(changes), width),
        *_part("Inputs", map(_input, changes.inputs), len(changes.inputs), most, width),
        *_part("Verdicts that turned", map(_verdict, changes.turned), len(changes.turned), most, width),
        *_part(
            f"Utilisations that moved by more than {percent_text(changes.tolerance)}",
            map(_verdict, moved := [verdict for verdict in changes.verdicts if not verdict.turned]),
            len(moved),
            most,
            width,
        ),
        *_part(
            f"Results that differ by more than {percent_text(changes.tolerance)}, largest first",
            map(_step, changes.results),
            len(changes.results),
            most,
            width,
        ),
    ]
    for kind in ("new", "gone"):
        steps = [step for step in changes.steps if step.kind == kind]
        lines += _part(f"Steps that are {kind}", map(_step, steps), len(steps), most, width)
    lines += ["", "To check again, by chapter" if changes.to_check else "Nothing has to be checked again."]
    lines += [f"{INDENT}{clean(section)} {clean(chapter)}: {count} of {whole} steps"
              for section, chapter, count, whole in changes.chapters()]  # fmt: skip
    return "\n".join(lines)


def _wrap(lines: Iterable[str], width: int) -> list[str]:
    return [part for line in lines for part in wrap(clean(line), width, subsequent_indent=INDENT)]


def _counts(changes: Changes) -> Iterator[str]:
    before, after = changes.outcomes
    kinds = ", ".join(f"{changes.count(kind)} {kind}" for kind in ("new", "gone", "changed"))
    beyond = f"{len(changes.results)} by more than {percent_text(changes.tolerance)}"
    yield f"Outcome: {after}, as before." if before == after else f"Outcome: {before} before, {after} now."
    if changes.programs[0] != changes.programs[1]:
        names = " → ".join(f"{program.version} {program.fingerprint[:12]}" for program in changes.programs)
        yield f"Not by the same program ({names}): what differs may come from the inputs or from the program."
    yield f"Inputs: {len(changes.inputs)} changed. Verdicts: {len(changes.turned)} turned."
    yield f"Steps: {kinds} ({beyond}); {len(changes.to_check)} to check again."


def _part(title: str, lines: Iterable[str], count: int, most: int, width: int) -> list[str]:
    if not count:
        return []
    shown = [clean(line) for line in islice(lines, most)]
    left = [f"{INDENT}… and {count - most} more (--all shows them)"] if count > most else []
    wrapped = [part for line in shown for part in wrap(line, width, initial_indent=INDENT, subsequent_indent=DEEPER)]
    return ["", title, *wrapped, *left]


def _input(change: InputChange) -> str:
    before, after = (
        None if typed is None else _words(typed.text, typed.line) for typed in (change.before, change.after)
    )
    if before is None:
        return f"{change.path}: new, {after}"
    if after is None:
        return f"{change.path}: gone, was {before}"
    return f"{change.path}: {before} → {after}"


def _words(text: str, line: int | None) -> str:
    short = text if len(text) <= 120 else f"{text[:119]}…"
    return f"{short} ({f'line {line}' if line else 'default'})"


def _verdict(change: VerdictChange) -> str:
    words = [
        "not there" if verdict is None else
        verdict.words + (f" {verdict.utilisation:.3f}" if verdict.utilisation is not None else "")
        for verdict in (change.before, change.after)
    ]  # fmt: skip
    return f"{change.section} {change.chapter}, {change.title}: {words[0]} → {words[1]}"


def _step(change: StepChange) -> str:
    values = {"new": change.after, "gone": change.before}.get(change.kind, f"{change.before} → {change.after}")
    if change.kind != "changed":
        return f"{change.number} {change.title}: {values}"
    size = "not comparable" if change.largest is None else f"up to {percent_text(change.largest)}"
    return f"{change.number} {change.title}: {values} ({size}; {', '.join(change.why)})"


def report_text(report: Report) -> str:
    """What verifying found."""
    counted = f"{_many(report.records, 'record')}, {_many(report.files, 'file')}, {report.size / 1e6:.1f} MB"
    lines = [f"{MARKS[False]} {clean(text)}" for text in report.problems]
    lines += [f"– {clean(text)}" for text in report.notes]
    if report.problems:
        return "\n".join([*lines, f"Not sound: {_many(len(report.problems), 'problem')} in {counted}."])
    return "\n".join([*lines, f"{MARKS[True]} Sound: {counted}. Head of the chain {report.head}."])


def _many(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def rerun_text(rerun: Rerun | AddendumRerun, width: int) -> str:
    """What computing again gave."""
    issue: Issued = rerun.addendum if isinstance(rerun, AddendumRerun) else rerun.manifest
    name = clean(f"{words_of_issue(issue)} of {issue.document.number}")
    program = "the same program" if rerun.same_program else (
        f"another program: it was {issue.program.version} {issue.program.fingerprint[:12]}"
    )  # fmt: skip
    plan = list(_plan_lines(rerun.plan, width)) if isinstance(rerun, Rerun) and rerun.plan else []
    if isinstance(rerun, Rerun):
        plan += [line for study in rerun.studies for line in _indent([_study_words(study)], width)]
    if rerun.identical:
        same = f"{MARKS[rerun.sound]} {name}: computed again with {program}, every number the same."
        return "\n".join([same, *plan])
    if rerun.refused:
        lines = ["  The inputs have no results any more:", *_indent([rerun.refused], width)]
    elif isinstance(rerun, AddendumRerun):
        more = [f"… and {len(rerun.differ) - MOST} more"] if len(rerun.differ) > MOST else []
        lines = [f"  {len(rerun.differ)} values differ:", *_indent([*rerun.differ[:MOST], *more], width)]
    else:
        lines = list(_differences(rerun, width))
    return "\n".join([f"{MARKS[rerun.sound]} {name}: computed again with {program}.", *lines, *plan])


def _plan_lines(plan: PlanAgain, width: int) -> Iterator[str]:
    """The column plan laid out again beside that of the record."""
    before, now = (_plan_words(laid_out) for laid_out in (plan.recorded, plan.now))
    if plan.recorded is None:
        yield from _indent([f"Column plan: laid out now it has {now}; the record does not say which it was."], width)
    elif not plan.differs:
        yield from _indent([f"Column plan: laid out again, the same: {now}."], width)
    else:
        yield "  The column plan is another one:"
        yield from _indent([f"issued: {before}", f"now: {now}", plan.words], width)
        yield from _indent(
            [f"Changelog: {line}" for line in plan.lines] or ["The changelog has no entry for column plans."], width
        )


def _study_words(study: StudyAgain) -> str:
    """What was done with a study, which is not run again."""
    if study.wrong:
        return f"Study {study.name}: its stored record is not of this revision: {study.wrong}"
    if study.laid_out:
        return (f"Study {study.name}: not run again; the stored record is the one issued, is of these inputs and "
                "numbers, and its pages were laid out again from it.")  # fmt: skip
    return (f"Study {study.name}: not run again; the stored record is the one issued, and pages are made of it by the "
            "program that made it alone.")  # fmt: skip


def _plan_words(plan: RecordedPlan | None) -> str:
    if plan is None:
        return "no plan"
    return f"{f'checksum {plan.checksum}' if plan.checksum else 'not laid out'}, outcome {plan.outcome}"


def _differences(rerun: Rerun, width: int) -> Iterator[str]:
    """Where other numbers of a revision begin, and what the changelog says of it."""
    assert rerun.changes is not None  # noqa: S101 - for the type checker: only a refusal has none
    differ = [step for step in rerun.changes.steps if step.beyond]
    yield f"  {len(differ)} steps differ; {len(rerun.changes.verdicts)} verdicts. Where the difference begins:"
    for cause in rerun.causes:
        yield clean(f"  {cause.section} {cause.chapter}")
        yield from _indent(map(_step, cause.steps[:5]), width)
        if len(cause.steps) > 5:
            yield f"      … and {len(cause.steps) - 5} more steps of this chapter"
        explained = [f"Changelog: {line}" for line in cause.lines] or ["The changelog has no entry for this chapter."]
        yield from _indent(explained, width)


def _indent(lines: Iterable[str], width: int) -> list[str]:
    return [
        part
        for text in lines
        for line in text.splitlines() or [""]
        for part in wrap(clean(line), width, initial_indent="    ", subsequent_indent="      ")
    ]

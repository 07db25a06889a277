"""What a designer reads after every run: about ten lines, each item on one, and where to read more."""

from collections.abc import Iterator, Sequence
from shlex import quote
from textwrap import wrap

from calc.chain import Run, SectionRun
from calc.engine.sheet import Sheet, Verdict
from calc.terminal.shown_verdicts import columns, printable
from calc.terminal.verdict_table import amounts, circumstances, counts

WORDS = {
    "pass": "everything that is required is verified and passes",
    "fail": "a check fails",
    "incomplete": "nothing fails, but something required is not verified",
}
MOST = 3  # failures, and chapters with open questions
INDENT, DEEPER = "  ", "    "

Found = tuple[SectionRun, Sheet, Verdict]


def summary(run: Run, width: int, project: str, left_out: Sequence[str] = ()) -> str:
    """Outcome, governing verdict, failures with their reasons, open questions, where to read more.

    `width` in columns, `project` as it was typed, `left_out` what was not run.
    """
    room, verdicts = columns(width), run.verdicts()
    failing = sorted(
        (verdict for verdict in verdicts if verdict[2].state == "fail"),
        key=lambda entry: -(entry[2].utilisation or 0.0) / entry[2].limit,
    )
    waiting = list(_by_chapter([verdict for verdict in verdicts if verdict[2].stamp == "not verified"]))
    command = f"sandsleeve check {quote(project)}"
    lines = [f"Outcome: {run.outcome}, {WORDS[run.outcome]}."]
    lines += _lines(f"Left out of this run: {'; '.join(left_out)}.", room) if left_out else []
    lines += _lines(counts(run) + _limits(run), room)
    if run.governing:
        governing = run.governing[2]
        sign = "✗ " if governing.state == "fail" else ""
        lines += _lines(f"Governing: {sign}{_verdict_text(run.governing)}", room, most=2)
        failing = [entry for entry in failing if entry[2] is not governing]
    for entry in failing[:MOST]:
        lines += _lines(f"{INDENT}✗ {_verdict_text(entry)}", room, most=2)
    for text in waiting[:MOST]:
        lines += _lines(f"{INDENT}– {text}", room, most=1)
    left = [
        f"{len(items[MOST:])} more {words}"
        for items, words in ((failing, "fail"), (waiting, "with what is not verified")) if items[MOST:]
    ]  # fmt: skip
    lines += _lines(f"{INDENT}… and {', '.join(left)}: {command} --failed", room) if left else []
    lines += _lines(f"More: {command} --all; every line: sandsleeve package {quote(project)}", room)
    return "\n".join(lines)


def _lines(text: str, room: int, most: int | None = None) -> list[str]:
    """The text in lines, no more than `most`; an ellipsis says that there is more of it. Commands stay whole."""
    indent = text[: len(text) - len(text.lstrip())]
    return wrap(
        printable(text.strip()), room, initial_indent=indent, subsequent_indent=DEEPER, max_lines=most, placeholder="…",
        break_on_hyphens=False, break_long_words=most is not None,
    )  # fmt: skip


def _verdict_text(entry: Found) -> str:
    """One verdict by its numbers, title and case."""
    part, _, verdict = entry
    numbers = ""
    if verdict.effect is not None and verdict.resistance is not None:
        effect, resistance, unit = amounts(verdict)
        numbers = f"{effect} against {resistance} {unit}".rstrip()
    ratio = "" if verdict.utilisation is None else f"{verdict.utilisation:.3f}"
    what = f"{ratio} ({numbers})" if ratio and numbers else ratio or numbers
    return f"{part.section.key} {what} {verdict.title}; {circumstances(verdict)}".replace("  ", " ").rstrip("; ")


def _by_chapter(entries: Sequence[Found]) -> Iterator[str]:
    """What is not verified in a chapter: sections, chapter, how many verdicts, the first reason."""
    chapters: dict[str, list[Found]] = {}
    for entry in entries:
        chapters.setdefault(entry[1].key, []).append(entry)
    for members in chapters.values():
        sections = ", ".join(dict.fromkeys(part.section.key for part, _, _ in members))
        _, sheet, first = members[0]
        what = f"{sheet.title}, {len(members)} verdicts" if len(members) > 1 else first.title
        yield f"{sections} {what}: {first.note}"


def _limits(run: Run) -> str:
    """How many limitations of the methods would turn a verdict that passes."""
    turning = set()
    for part in run.sections:
        passed = {
            verdict.key
            for sheet in part.sheets
            for verdict in sheet.verdicts
            if verdict.stamp == "pass" and verdict.utilisation
        }
        turning |= {limit for sheet in part.sheets for limit in sheet.limitations if passed.intersection(limit.turns)}
    if not turning:
        return ""
    return f" {len(turning)} limitation{'s' * (len(turning) > 1)} can turn a pass into a fail: see the package."

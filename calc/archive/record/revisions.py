"""The list of an archive; alone in its module, so that a list needs no more than the index."""

from collections.abc import Sequence

from calc.archive.record.manifest import SIGN_OFF
from calc.archive.record.status import standing
from calc.archive.store.contract import Entry, addenda, issues

UNKNOWN = "\N{REPLACEMENT CHARACTER}"
# Under "signed by" stands the last one: people sign in their order.
HEAD = ("revision", "date", "issued as", "today", "outcome", "signed by", "hash", "what changed")


def list_text(entries: Sequence[Entry], width: int) -> str:
    """Every revision, oldest first, under its document, and behind them the addenda to them."""
    if not entries:
        return "Nothing is issued yet."
    today, signed = standings(entries), signed_by(entries)
    groups: dict[tuple[str, str], list[Entry]] = {}
    for issue in issues(entries):
        groups.setdefault((issue.project, issue.document), []).append(issue)
    lines: list[str] = []
    for (project, document), group in groups.items():
        lines += ["", clean(f"{document}, project {project}: {group[-1].title}")]
        group += [
            addendum for addendum in addenda(entries) if (addendum.project, addendum.document) == (project, document)
        ]
        rows = [_row(entry, today.get(entry.sequence, entry.words), signed[entry.sequence]) for entry in group]
        lines += _table([HEAD, *rows], width)
    return "\n".join(lines[1:])


def list_record(entries: Sequence[Entry]) -> list[dict[str, object]]:
    """The same as plain data."""
    today, signed = standings(entries), signed_by(entries)
    return [
        issue._asdict() | {"today": today[issue.sequence], "signed": signed[issue.sequence]}
        for issue in issues(entries)
    ] + [addendum._asdict() | {"signed": signed[addendum.sequence]} for addendum in addenda(entries)]


def _row(entry: Entry, today: str, signed: Sequence[str]) -> tuple[str, ...]:
    words = f"{entry.words} ({entry.code})" if entry.code else entry.words
    same = "" if today == entry.words else today
    cells = (entry.label, entry.date, words, same, entry.outcome, "".join(signed[-1:]), entry.sha256[:12], entry.note)
    return tuple(clean(cell) for cell in cells)


def _table(rows: Sequence[tuple[str, ...]], width: int) -> list[str]:
    """Columns as wide as their longest cell; the last one has what is left of the line."""
    widths = [min(30, max(len(row[place]) for row in rows)) for place in range(len(HEAD) - 1)]
    room = max(20, width - sum(widths) - 2 * len(widths))
    return [
        "  ".join(f"{_shorten(cell, size):<{size}}" for cell, size in zip(row, [*widths, room], strict=True)).rstrip()
        for row in rows
    ]


def _shorten(cell: str, size: int) -> str:
    return cell if len(cell) <= size else f"{cell[: size - 1]}…"


def clean(text: str) -> str:
    """Text of a project file as one line without the characters that would steer a terminal."""
    line = text if text.isprintable() else " ".join(text.split())
    return line if line.isprintable() else "".join(sign if sign.isprintable() else UNKNOWN for sign in line)


def standings(entries: Sequence[Entry]) -> dict[int, str]:
    """What each revision is today, by the number of its record."""
    series: dict[tuple[str, str], list[Entry]] = {}
    for issue in issues(entries):
        series.setdefault((issue.project, issue.document), []).append(issue)
    return {
        entry.sequence: words
        for group in series.values()
        for entry, words in zip(group, standing([issue.words for issue in group]), strict=True)
    }


def signed_by(entries: Sequence[Entry]) -> dict[int, list[str]]:
    """The roles that signed each revision and each addendum, by the number of its record."""
    signers: dict[int, list[str]] = {}
    numbers: dict[str, int] = {}
    for entry in entries:
        if entry.kind != SIGN_OFF:
            numbers[entry.package] = entry.sequence
            signers[entry.sequence] = []
        elif entry.package in numbers:
            signers[numbers[entry.package]].append(entry.words)
    return signers

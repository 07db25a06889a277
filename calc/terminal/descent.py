"""Which fields of the project file a verdict descends from, and where each is read: from the runs of the examples.

`descent.json` beside it is written by `python -m tests.projects.store`.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FILE = Path(__file__).with_name("descent.json")


@dataclass(frozen=True, slots=True)
class VerdictOf:
    """A verdict of the examples: what it compares, the field of its limit, and the fields that it descends from."""

    title: str
    effect: str
    resistance: str
    limit: str
    fields: frozenset[str]


@dataclass(frozen=True, slots=True)
class Descent:
    """Verdicts by chapter and key; by field the chapters and symbols that read it."""

    verdicts: Mapping[tuple[str, str], VerdictOf]
    reads: Mapping[str, tuple[tuple[str, str], ...]]


@cache
def descent() -> Descent:
    """What the examples say."""
    data = json.loads(FILE.read_text(encoding="utf-8"))
    names = list(data["reads"])
    verdicts = {}
    for key, (title, effect, resistance, limit, places) in data["verdicts"].items():
        chapter, _, name = key.partition("/")
        fields = frozenset(names[at] for at in places)
        verdicts[chapter, name] = VerdictOf(title, effect, resistance, limit, fields)
    reads = {
        name: tuple((place.partition("/")[0], place.partition("/")[2]) for place in by)
        for name, by in data["reads"].items()
    }
    return Descent(verdicts, reads)


def descent_text(record: Descent) -> str:
    """The data as its file holds it, a line for each field and each verdict."""
    every = set(record.reads).union(*(verdict.fields for verdict in record.verdicts.values()))
    names = sorted(every)
    at = {name: k for k, name in enumerate(names)}
    reads = {name: [f"{chapter}/{symbol}" for chapter, symbol in record.reads.get(name, ())] for name in names}
    verdicts = {
        f"{chapter}/{key}": [
            verdict.title,
            verdict.effect,
            verdict.resistance,
            verdict.limit,
            sorted(at[name] for name in verdict.fields),
        ]
        for (chapter, key), verdict in record.verdicts.items()
    }
    parts = [f'"{title}": {{\n{_rows(rows)}\n}}' for title, rows in (("reads", reads), ("verdicts", verdicts))]
    return "{" + ",\n".join(parts) + "}\n"


def _rows(rows: Mapping[str, object]) -> str:
    dumped = (
        f"{json.dumps(key)}: {json.dumps(row, ensure_ascii=False, separators=(',', ':'))}" for key, row in rows.items()
    )
    return ",\n".join(dumped)

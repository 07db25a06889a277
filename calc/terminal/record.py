"""The verdicts of a run as plain data."""

import json
from collections.abc import Sequence
from typing import Any

from calc.chain import Run
from calc.engine.sheet import Verdict
from calc.terminal.chosen import EVERYTHING, Chosen

FIELDS = ("key", "title", "state", "required", "unit", "limit", "factor_set", "step", "note")
AMOUNTS = ("effect", "resistance", "utilisation")


def verdict_record(run: Run, chosen: Chosen = EVERYTHING, left_out: Sequence[str] = ()) -> dict[str, Any]:
    """Outcome, governing verdict, the verdicts chosen and the limitations of their chapters as plain data, unrounded.

    `left_out` is what was not run.
    """
    return {
        "outcome": run.outcome,
        "left_out": list(left_out),
        "governing": _governing(run),
        "sections": [
            {
                "key": part.section.key,
                "title": part.section.title,
                "checks": [
                    {
                        "key": sheet.key,
                        "title": sheet.title,
                        "verdicts": [_plain(verdict) for verdict in chosen.of(sheet)],
                        "limitations": [
                            {
                                "key": limitation.key,
                                "text": limitation.text,
                                "source": limitation.source,
                                "turns": list(limitation.turns),
                            }
                            for limitation in sheet.limitations
                        ],
                    }
                    for sheet in part.sheets if chosen.takes(sheet)
                ],
            }
            for part in run.sections
        ],
    }  # fmt: skip


def as_json(record: dict[str, Any]) -> str:
    """Indented JSON; a number that is not finite is refused."""
    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)


def _governing(run: Run) -> dict[str, Any] | None:
    if run.governing is None:
        return None
    part, sheet, verdict = run.governing
    return {"section": part.section.key, "check": sheet.key, **_plain(verdict)}


def _plain(verdict: Verdict) -> dict[str, Any]:
    amounts = {name: getattr(verdict, name) for name in AMOUNTS}
    numbers = {name: None if value is None else float(value) for name, value in amounts.items()}
    more = {"case": dict(verdict.case), "utilisations": verdict.table()}
    return {name: getattr(verdict, name) for name in FIELDS} | {"stamp": verdict.stamp} | numbers | more

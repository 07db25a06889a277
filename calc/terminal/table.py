"""The verdicts of a run for a terminal (text that reads without colour) and for other programs (JSON)."""

import json
from collections import Counter
from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from calc.chain import Run
from calc.engine.sheet import INFORMATION, NOT_REQUIRED, Verdict, case_words, number_text
from calc.engine.symbols import symbol

NOT_ASKED = (INFORMATION, NOT_REQUIRED)
MARKS = {"pass": "✓", "fail": "✗", "not verified": "–"}
WIDEST, NARROWEST = 100, 80
NUMBERS = f"{'effect':>10}{'resistance':>12} {'unit':<6}{'utilisation':>12}"
INDENT = " " * 20
SMALLEST = 0.001
FIELDS = ("key", "title", "state", "required", "unit", "limit", "factor_set", "step", "note")
AMOUNTS = ("effect", "resistance", "utilisation")


def verdict_table(run: Run, width: int) -> str:
    """Every verdict under its section and chapter, then the outcome in words; `width` in columns."""
    columns = max(NARROWEST, min(WIDEST, width))
    return "\n".join(line.rstrip() for line in [*_sections(run, columns), "", *_summary(run, columns)])


def verdict_record(run: Run) -> dict[str, Any]:
    """Outcome, governing verdict and all verdicts as plain data, unrounded."""
    return {
        "outcome": run.outcome,
        "governing": _governing(run),
        "sections": [
            {
                "key": part.section.key,
                "title": part.section.title,
                "checks": [
                    {
                        "key": sheet.key,
                        "title": sheet.title,
                        "verdicts": [_plain(verdict) for verdict in sheet.verdicts],
                    }
                    for sheet in part.sheets
                ],
            }
            for part in run.sections
        ],
    }


def as_json(record: dict[str, Any]) -> str:
    """Indented JSON; a number that is not finite is refused."""
    return json.dumps(record, indent=2, ensure_ascii=False, allow_nan=False)


def printable(text: str) -> str:
    """Text of a project file without the characters that would steer a terminal."""
    return "".join(sign if sign.isprintable() else "\N{REPLACEMENT CHARACTER}" for sign in text)


def _sections(run: Run, width: int) -> Iterator[str]:
    for part in run.sections:
        yield printable(f"Section {part.section.key}: {part.section.title}")
        yield INDENT + NUMBERS.rjust(width - len(INDENT))
        for sheet in part.sheets:
            # A chapter that leaves one question open is named like it: once is enough.
            if any(verdict.title != sheet.title for verdict in sheet.verdicts):
                yield printable(sheet.title)
            for verdict in sheet.verdicts:
                yield from _verdict(verdict, width)


def _verdict(verdict: Verdict, width: int) -> Iterator[str]:
    room = width - len(INDENT) - len(NUMBERS)
    first, *more = wrap(printable(verdict.title), room - 1) or [""]
    yield f"  {MARKS[verdict.state]} {verdict.stamp:<16}{first:<{room}}{_numbers(verdict)}"
    for line in more:
        yield INDENT + line
    for line in wrap(_circumstances(verdict), width - len(INDENT) - 2):
        yield f"{INDENT}  {line}"


def _numbers(verdict: Verdict) -> str:
    if verdict.effect is None and verdict.resistance is None and verdict.utilisation is None:
        return ""
    utilisation = "–" if verdict.utilisation is None else f"{verdict.utilisation:.3f}"
    one = symbol(verdict.effect_symbol) if verdict.effect_symbol else None
    factor, unit = (one.factor, one.unit_text) if one else (1.0, verdict.unit)
    amounts = [None if value is None else value * factor for value in (verdict.effect, verdict.resistance)]
    return f"{_amount(amounts[0]):>10}{_amount(amounts[1]):>12} {unit:<6}{utilisation:>12}"


def _amount(value: float | None) -> str:
    """Four digits at least, with an exponent only where the zeros would have to be counted."""
    if value is None:
        return "–"
    size = abs(value)
    if 0 < size < SMALLEST:
        return number_text(value, -4)
    decimals = next((digits for limit, digits in ((1000, 0), (100, 1), (10, 2), (1, 3)) if size >= limit), 4)
    return f"{value:.{decimals}f}"


def _circumstances(verdict: Verdict) -> str:
    factor_set = "" if verdict.factor_set in verdict.case.values() else verdict.factor_set
    return printable("; ".join(text for text in (case_words(verdict.case), factor_set, verdict.note) if text))


def _summary(run: Run, width: int) -> Iterator[str]:
    stamps = Counter(verdict.stamp for _, _, verdict in run.verdicts())
    counted = ", ".join(f"{stamps[one]} {one}" for one in [*MARKS, *(one for one in NOT_ASKED if one in stamps)])
    text = f"Outcome: {run.outcome}. Verdicts: {counted}."
    if run.governing:
        part, _, verdict = run.governing
        text += f" Governing: {verdict.title}, section {part.section.key}, utilisation {verdict.utilisation:.3f}."
    yield from wrap(printable(text), width)


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

"""Everything that the records say as plain data, and as the CSV files of non-conformities and of refused rows."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from calc.engine.words import words_of
from calc.site.installed.as_built import GridRatio
from calc.site.installed.design_again import Again
from calc.site.installed.installed_run import Installation
from calc.site.installed.judging import Finding
from calc.site.record_head import record_head

say = words_of(__name__)

HEAD = ("column", "item", "value", "limit", "unit", "note", "file", "line")
TRIGGERS = "=+-@\t\r"  # a cell of a spreadsheet that begins with one of them would be a formula


def record(found: Installation) -> dict[str, Any]:
    """The whole as JSON."""
    one, records = found.one, found.one.records
    return {
        **record_head(found.design, found.outcome),
        "caution": say("caution"),
        "plan": {"revision": one.made.plan.revision, "checksum": one.made.listed.checksum, "columns": len(one.ids)},
        "limits": one.installed.limits.model_dump() if one.installed.limits else None,
        "files": list(records.files),
        "rows": records.rows,
        "refused": [{"file": row.file, "line": row.line, "why": row.why} for row in records.refused],
        "sent_again": [
            {"id": again.later.id, "twice": again.twice,
             "earlier": {"file": again.earlier.file, "line": again.earlier.line, **again.earlier.values},
             "counts": {"file": again.later.file, "line": again.later.line}}
            for again in records.again
        ],
        "readings_sent_again": list(records.readings.replaced),
        "installed": int(one.has.sum()),
        "missing": [one.ids[k] for k in np.flatnonzero(one.missing)],
        "items": [{"item": item.key, "title": item.title, "judged": item.judged, "columns_failed": item.failed,
                   "not_judged": item.why_not or None} for item in found.items],
        "findings": [_finding(each) for each in found.findings],
        "to_decide": {name: list(items) for name, items in found.to_decide.items()},
        "as_built": {"not_judged": found.built.why_not or None, "astray": list(found.built.astray),
                     "without_place": found.built.without_place, "without_diameter": found.built.without_diameter,
                     "grids_not_judged": list(found.built.unjudged),
                     "grids": [_grid(found, grid) for grid in found.built.grids]},
        "design_again": None if found.again is None else [_again(each) for each in found.again],
        "progress": _progress(found),
        "columns": {one.ids[k]: dict(own.values) for k, own in enumerate(one.own) if own is not None},
    }  # fmt: skip


def _finding(one: Finding) -> dict[str, Any]:
    return {"id": one.id, "item": one.item, "value": one.value, "limit": one.limit, "note": one.note,
            "file": one.file or None, "line": one.line or None}  # fmt: skip


def _grid(found: Installation, grid: GridRatio) -> dict[str, Any]:
    verdict = grid.sheet.verdicts[0]
    return {"grid": grid.name, "design": grid.design, "least": grid.least, "at": found.one.ids[grid.worst],
            "windows": int(np.isfinite(grid.ratio).sum()), "state": verdict.state,
            "asked": float(grid.sheet["a_Er"].array) if "a_Er" in grid.sheet else None,
            "extra": [{"easting": one.easting, "northing": one.northing, "nearest": one.nearest, "beside": one.beside}
                      for one in grid.extras],
            "without_place": grid.without_place, "not_searched": grid.not_searched}  # fmt: skip


def _again(one: Again) -> dict[str, Any]:
    return {"section": one.section, "not_calculated": one.why_not or None, "not_covered": list(one.unsettled),
            "toe_higher": one.higher_toe, "toe_deeper": one.deeper_toe,
            "area_ratio": [{"grid": name, "design": design, "as_built": built} for name, design, built in one.ratio],
            **{name: [{"section": change.section, "chapter": change.chapter, "verdict": change.title,
                       **({"case": change.case} if change.case else {}), "before": change.before, "after": change.after,
                       "utilisation_before": change.utilisation_before, "utilisation_after": change.utilisation_after}
                      for change in changes]
               for name, changes in (("changed", one.changed), ("largest", one.largest))}}  # fmt: skip


def _progress(found: Installation) -> dict[str, Any]:
    work, one = found.progress, found.progress.forecast
    return {
        "days": {day.isoformat(): dict(rigs) for day, rigs in work.counts.items()},
        "left": work.left, "undated": work.undated, "no_forecast": work.why_not or None,
        "forecast": None if one is None else {
            "days": one.days, "rate": one.rate, "scatter": one.scatter, "expected": one.expected.isoformat(),
            "early": one.early.isoformat(), "late": one.late.isoformat() if one.late else None},
    }  # fmt: skip


def cells_of(one: Finding) -> tuple[str, ...]:
    """A non-conformity as a row: value and limit in its unit."""
    shown = [one.unit.shown(value).removesuffix(one.unit.text).strip() for value in (one.value, one.limit)]
    line = str(one.line) if one.line else ""
    return (one.id, one.item, *shown, one.unit.text if any(shown) else "", one.note, one.file, line)


def findings_csv(found: Installation) -> bytes:
    """The non-conformities, a line each, after comment lines that say of what plan."""
    made = found.one.made
    about = say("about", revision=made.plan.revision, checksum=made.listed.checksum)
    return _csv((about, say("caution")), HEAD, map(cells_of, found.findings))


def refused_csv(found: Installation) -> bytes:
    """Rows that do not count, and those that a later row replaces."""
    records = found.one.records
    rows = [(row.file, str(row.line), row.why) for row in records.refused]
    rows += [(again.earlier.file, str(again.earlier.line),
              say("replaced", id=again.later.id, file=again.later.file, line=again.later.line))
             for again in records.again]  # fmt: skip
    return _csv((), ("file", "line", "why"), rows)


def _csv(about: Sequence[str], head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> bytes:
    stream = io.StringIO()
    for text in about:
        stream.write(f"# {text}\n")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(head)
    writer.writerows([_harmless(cell) for cell in row] for row in rows)
    return stream.getvalue().encode("utf-8")


def _harmless(cell: str) -> str:
    """A number as it is; a text of a user never as a formula of a spreadsheet."""
    if cell[:1] in TRIGGERS and cell and not cell.lstrip("+-").replace(".", "", 1).isdigit():
        return f"'{cell}"
    return cell

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


def record(installation: Installation) -> dict[str, Any]:
    """The whole as JSON."""
    compared, records = installation.compared, installation.compared.records
    return {
        **record_head(installation.design, installation.outcome),
        "caution": say("caution"),
        "plan": {"revision": compared.made.plan.revision, "checksum": compared.made.listed.checksum,
                 "columns": len(compared.ids)},
        "limits": compared.installed.limits.model_dump() if compared.installed.limits else None,
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
        "installed": int(compared.has.sum()),
        "missing": [compared.ids[k] for k in np.flatnonzero(compared.missing)],
        "items": [{"item": item.key, "title": item.title, "judged": item.judged, "columns_failed": item.failed,
                   "not_judged": item.why_not or None} for item in installation.items],
        "findings": [_finding(each) for each in installation.findings],
        "to_decide": {name: list(items) for name, items in installation.to_decide.items()},
        "as_built": {"not_judged": installation.built.why_not or None, "astray": list(installation.built.astray),
                     "without_place": installation.built.without_place,
                     "without_diameter": installation.built.without_diameter,
                     "grids_not_judged": list(installation.built.unjudged),
                     "grids": [_grid(installation, grid) for grid in installation.built.grids]},
        "design_again": None if installation.again is None else [_again(each) for each in installation.again],
        "progress": _progress(installation),
        "columns": {compared.ids[k]: dict(own.values) for k, own in enumerate(compared.own) if own is not None},
    }  # fmt: skip


def _finding(finding: Finding) -> dict[str, Any]:
    return {"id": finding.id, "item": finding.item, "value": finding.value, "limit": finding.limit,
            "note": finding.note,
            "file": finding.file or None, "line": finding.line or None}  # fmt: skip


def _grid(installation: Installation, grid: GridRatio) -> dict[str, Any]:
    verdict = grid.sheet.verdicts[0]
    return {"grid": grid.name, "design": grid.design, "least": grid.least, "at": installation.compared.ids[grid.worst],
            "windows": int(np.isfinite(grid.ratio).sum()), "state": verdict.state,
            "asked": float(grid.sheet["a_Er"].array) if "a_Er" in grid.sheet else None,
            "extra": [{"easting": extra.easting, "northing": extra.northing, "nearest": extra.nearest,
                       "beside": extra.beside}
                      for extra in grid.extras],
            "without_place": grid.without_place, "not_searched": grid.not_searched}  # fmt: skip


def _again(again: Again) -> dict[str, Any]:
    return {"section": again.section, "not_calculated": again.why_not or None, "not_covered": list(again.unsettled),
            "toe_higher": again.higher_toe, "toe_deeper": again.deeper_toe,
            "area_ratio": [{"grid": name, "design": design, "as_built": built} for name, design, built in again.ratio],
            **{name: [{"section": change.section, "chapter": change.chapter, "verdict": change.title,
                       **({"case": change.case} if change.case else {}), "before": change.before, "after": change.after,
                       "utilisation_before": change.utilisation_before, "utilisation_after": change.utilisation_after}
                      for change in changes]
               for name, changes in (("changed", again.changed), ("largest", again.largest))}}  # fmt: skip


def _progress(installation: Installation) -> dict[str, Any]:
    work, forecast = installation.progress, installation.progress.forecast
    return {
        "days": {day.isoformat(): dict(rigs) for day, rigs in work.counts.items()},
        "left": work.left, "undated": work.undated, "no_forecast": work.why_not or None,
        "forecast": None if forecast is None else {
            "days": forecast.days, "rate": forecast.rate, "scatter": forecast.scatter,
            "expected": forecast.expected.isoformat(),
            "early": forecast.early.isoformat(), "late": forecast.late.isoformat() if forecast.late else None},
    }  # fmt: skip


def cells_of(finding: Finding) -> tuple[str, ...]:
    """A non-conformity as a row: value and limit in its unit."""
    shown = [
        finding.unit.shown(value).removesuffix(finding.unit.text).strip() for value in (finding.value, finding.limit)
    ]
    line = str(finding.line) if finding.line else ""
    return (finding.id, finding.item, *shown, finding.unit.text if any(shown) else "", finding.note, finding.file, line)


def findings_csv(installation: Installation) -> bytes:
    """The non-conformities, a line each, after comment lines that say of what plan."""
    made = installation.compared.made
    about = say("about", revision=made.plan.revision, checksum=made.listed.checksum)
    return _csv((about, say("caution")), HEAD, map(cells_of, installation.findings))


def refused_csv(installation: Installation) -> bytes:
    """Rows that do not count, and those that a later row replaces."""
    records = installation.compared.records
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

"""Installation records for the page: the state of every column, what was recorded, non-conformities, progress."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from calc.engine.words import words_of
from calc.formulas.column_records import distance_from_plan, fill_over_theory
from calc.site.installed.installed_record import cells_of
from calc.site.installed.installed_run import OF_THE_COLUMN, Installation
from calc.site.installed.judging import Finding, inclinations
from calc.site.installed.record_files import Record
from calc.site.installed.recorded_columns import Compared
from calc.site.office.plan_places import MM, whole_numbers
from calc.site.plan.column_layout import Array

say = words_of(__name__)

OPEN, CONFORMS, FAILS, MISSING, UNJUDGED, UNKNOWN, PLANNED = "open", "conforms", "fails", "missing", "unjudged", \
    "unknown", "planned"  # fmt: skip
STATES = (OPEN, CONFORMS, UNJUDGED, FAILS, MISSING, UNKNOWN, PLANNED)
"""In the order in which the page counts them."""
MINUTES = 24 * 60.0
MOST_READINGS = 150_000
"""Readings in depth that a page holds: some 2 MB. Of more only those of columns that do not conform: project rule."""
NUMBERS = {
    "interruption": ("min", MINUTES, 0), "distance": ("m", 1.0, 3), "inclination": ("m/m", 1.0, 3),
    "volume": ("m³", 1.0, 3), "over_theory": ("", 1.0, 3), "easting": ("m", 1.0, 3), "northing": ("m", 1.0, 3),
    "toe_level": ("m", 1.0, 2), "length": ("m", 1.0, 2), "diameter": ("m", 1.0, 3),
    "sleeve_length": ("m", 1.0, 2),
}  # fmt: skip
"""Unit shown, factor to it and decimals of what a record has or what it was compared by."""
WITHOUT_LIMIT = {"ids", "plausible"}
"""Items that are compared whatever is asked: alone they make no column conform."""
TIMES = ("date", "start", "end")
FIELDS = ("rig", *TIMES, "interruption", "distance", "inclination", "criterion", "volume", "over_theory", "serial",
          "easting", "northing", "toe_level", "length", "diameter", "sleeve", "sleeve_length")  # fmt: skip
"""In the order in which the page shows them."""


def state_words() -> list[str]:
    """The states in words, in their order."""
    return [say(f"state-{state}") for state in STATES]


def planned_states(count: int) -> str:
    """The states of columns of which no record is given."""
    return str(STATES.index(PLANNED)) * count


def record_data(installation: Installation, places: Mapping[str, int]) -> dict[str, Any]:
    """What the records say, for columns by their places in the list of the plan, then those with an unknown id."""
    strays = [name for name in installation.compared.records.counted if name not in places]
    known = {**places, **{name: len(places) + k for k, name in enumerate(strays)}}
    findings, origin = installation.findings, installation.compared.made.listed.columns
    return {
        "state": _states(installation, places) + str(STATES.index(UNKNOWN)) * len(strays),
        "strays": strays,
        "recorded": _record_fields(installation.compared, known, len(origin)),
        "items": [{"key": item.key, "title": item.title, "judged": item.judged, "failed": item.failed,
                   "why_not": item.why_not} for item in installation.items],
        "findings": [_finding(finding, known, installation) for finding in findings],
        "depth": _depth(installation, known),
        "progress": _progress(installation),
    }  # fmt: skip


def _states(installation: Installation, places: Mapping[str, int]) -> str:
    """A digit for every column of the plan: its state."""
    compared = installation.compared
    failing = {finding.id for finding in installation.findings}
    judged = any(item.judged and item.key not in WITHOUT_LIMIT for item in installation.items)
    fine = CONFORMS if judged else UNJUDGED
    digits = [""] * len(places)
    for k, name in enumerate(compared.ids):
        state = (FAILS if name in failing else fine) if compared.has[k] else MISSING if compared.missing[k] else OPEN
        digits[places[name]] = str(STATES.index(state))
    return "".join(digits)


def _record_fields(compared: Compared, known: Mapping[str, int], planned: int) -> dict[str, Any]:
    """Every field of every record that counts, as arrays over these records."""
    records = sorted(compared.records.counted.values(), key=lambda record: known[record.id])
    in_plan = sum(known[record.id] < planned for record in records)
    compared_values = _values_compared(compared)
    layout = {name: k for k, name in enumerate(compared.ids)}
    at = np.array([layout[record.id] for record in records[:in_plan]], dtype=np.int64)
    fields = []
    for name in FIELDS:
        field = {"key": name, "title": say(f"field-{name}")}
        if name in NUMBERS:
            unit, factor, decimals = NUMBERS[name]
            own = compared_values[name][at] if name in compared_values else _numbers(records[:in_plan], name)
            values = np.concatenate([own, _numbers(records[in_plan:], name)])
            if np.isfinite(values).any():
                fields.append(field | {"unit": unit, "decimals": decimals,
                                       "values": whole_numbers(values, factor * 10.0**decimals)})  # fmt: skip
        elif name in compared.mapped and name in TIMES:
            fields.append(field | {"minutes": whole_numbers(_numbers(records, name), MINUTES), "day": name == "date"})
        elif name in compared.mapped:
            fields.append(field | _texts(records, name))
    files = list(dict.fromkeys(record.file for record in records))
    return {
        "of": [known[record.id] for record in records], "fields": fields,
        "files": [Path(file).name for file in files], "file": [files.index(record.file) for record in records],
        "line": [record.line for record in records],
    }  # fmt: skip


def _numbers(records: Sequence[Record], name: str) -> Array:
    return np.array([record.values.get(name, np.nan) for record in records], dtype=np.float64)


def _texts(records: Sequence[Record], name: str) -> dict[str, Any]:
    """Texts as places in a list of those that differ; -1 where there is none."""
    words: dict[str, int] = {}
    places = []
    for record in records:
        value = record.values.get(name)
        shown = say("yes" if value else "no") if isinstance(value, bool) else value
        places.append(-1 if shown is None else words.setdefault(str(shown), len(words)))
    return {"words": list(words), "texts": places}


def _values_compared(compared: Compared) -> dict[str, Array]:
    """What columns of the plan were compared by, in the order of the layout; nan where there is none."""
    de, dn = (
        compared.number("easting") - compared.planned("easting"),
        compared.number("northing") - compared.planned("northing"),
    )
    return {
        "distance": distance_from_plan(dE_b=de, dN_b=dn, k_gr=compared.made.plan.scale_factor),
        "inclination": inclinations(compared),
        "length": compared.length,
        "over_theory": fill_over_theory(V_b=compared.number("volume"), V_th=compared.theory),
    }


def _finding(finding: Finding, known: Mapping[str, int], installation: Installation) -> list[Any]:
    """Place, id, item, value, limit, unit, note, file, line of a non-conformity, and what it waits for."""
    name, item, *cells, file, line = cells_of(finding)
    decided = finding.id in installation.to_decide and finding.item in OF_THE_COLUMN
    waits = say("record") if finding.open else say("designer") if decided else ""
    return [known.get(name, -1), name, item, *cells, Path(file).name, line, waits]


def _depth(installation: Installation, known: Mapping[str, int]) -> dict[str, Any]:
    """Readings in depth, from the toe up: cm below the working level and litres placed so far."""
    readings = installation.compared.records.readings
    counts = np.bincount(readings.of, minlength=len(readings.ids))
    ends = np.cumsum(counts)
    chosen = list(_shown_readings(installation, readings.ids, counts.tolist()))
    rows = [np.arange(ends[k] - counts[k], ends[k]) for k in chosen]
    order = np.argsort(readings.of, kind="stable")
    at = order[np.concatenate([*rows, np.zeros(0, dtype=np.int64)]).astype(np.int64)]
    return {
        "of": [known[readings.ids[k]] for k in chosen], "count": [int(counts[k]) for k in chosen],
        "z": whole_numbers(readings.depth[at], 100.0), "v": whole_numbers(readings.volume[at], MM),
        "whole": len(readings.of), "left_out": len(readings.ids) - len(chosen),
        "says": say("too-many", count=f"{len(readings.of):,}".replace(",", " ")),
    }  # fmt: skip


def _shown_readings(installation: Installation, ids: Sequence[str], counts: Sequence[int]) -> Iterator[int]:
    """Columns whose readings the page holds: all, or those that do not conform, by their fill first, up to the most."""
    counted = installation.compared.records.counted
    wanted = [k for k, name in enumerate(ids) if name in counted]
    if sum(counts[k] for k in wanted) > MOST_READINGS:
        by_fill = {finding.id for finding in installation.findings if finding.item == "depth"}
        failing = {finding.id for finding in installation.findings}
        wanted = sorted((k for k in wanted if ids[k] in failing), key=lambda k: ids[k] not in by_fill)
    whole = 0
    for k in wanted:
        whole += counts[k]
        if whole > MOST_READINGS:
            return
        yield k


def _progress(installation: Installation) -> dict[str, Any]:
    work = installation.progress
    return {
        "rigs": list(work.rigs),
        "days": [[day.isoformat(), [of_day.get(rig, 0) for rig in work.rigs]] for day, of_day in work.counts.items()],
        "undated": work.undated,
    }

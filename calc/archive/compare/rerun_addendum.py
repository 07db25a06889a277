"""Computing an addendum again from its stored files."""

# ruff: noqa: PLC0415 - what the site needs is imported where it is needed: an archive is read without it

import datetime as dt
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import isclose
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from calc.archive.compare.rerun import SAME
from calc.archive.record.find import content_of, issued_record
from calc.archive.record.issue_addendum import INPUTS
from calc.archive.record.manifest import Addendum, Issued
from calc.archive.record.program import this_program
from calc.archive.refusals import DamagedArchive, MissingExtra
from calc.archive.store.contract import Entry, Store
from calc.chain import CalculationError
from calc.inputs import Design, InputErrors, read_design

OF_THE_PROGRAM = "software"


@dataclass(frozen=True, slots=True)
class AddendumRerun:
    """What computing again gave: places of values that differ; `refused` where the files give none any more."""

    addendum: Addendum
    same_program: bool
    differ: tuple[str, ...]
    refused: str

    @property
    def identical(self) -> bool:
        """Whether every value is the same."""
        return not self.differ and not self.refused

    @property
    def sound(self) -> bool:
        """Whether the stored values hold; another program may give others, which are told."""
        return self.identical or not (self.refused or self.same_program)


def rerun_addendum(store: Store, entry: Entry) -> AddendumRerun:
    """Compute an addendum again; `MissingExtra` where packages for it are not installed."""
    addendum = _addendum(issued_record(store, entry))
    stored = placeless(json.loads(content_of(store, addendum.file("results"))))
    same = addendum.program.fingerprint == this_program().fingerprint
    with TemporaryDirectory(prefix="sandsleeve-") as folder:
        for file in addendum.files:
            if file.role in {"inputs", "data"}:
                (Path(folder) / (INPUTS if file.role == "inputs" else file.name)).write_bytes(content_of(store, file))
        try:
            now = _values(addendum, read_design(Path(folder)), stored, Path(folder))
        except (InputErrors, CalculationError) as error:
            return AddendumRerun(addendum, same, (), str(error))
    return AddendumRerun(addendum, same, tuple(differing(stored, now)), "")


def _addendum(record: Issued) -> Addendum:
    if isinstance(record, Addendum):
        return record
    message = f"record {record.sequence} is not that of an addendum"
    raise DamagedArchive(message)


def _values(addendum: Addendum, design: Design, stored: Any, folder: Path) -> Any:
    files = [folder / name for name in stored["files"]]
    # What was refused as later than the day of issue stays refused.
    latest = addendum.issued_at.date() + dt.timedelta(days=1)
    try:
        values = (
            _readings_again(design, files, latest, stored, folder)
            if addendum.subject == "observed"
            else _installation_again(design, files, latest)
        )
    except ModuleNotFoundError as error:
        message = "computing an addendum again needs packages that are not installed: pip install 'sandsleeve[site]'"
        raise MissingExtra(message) from error
    return placeless(json.loads(json.dumps(values, allow_nan=False)))


def _readings_again(design: Design, files: Sequence[Path], latest: dt.date, stored: Any, folder: Path) -> Any:
    """The readings on the day of the question that is stored, with the records that are."""
    from calc.site.observed.observed_record import record
    from calc.site.observed.observed_run import observe

    assert design.observed is not None  # noqa: S101 - it was issued with the table
    on = dt.date.fromisoformat(stored["asked_on"]) if stored.get("asked_on") else None
    latest = latest if on is None else on + dt.timedelta(days=1)
    records = [folder / name for name in stored.get("record_files", ())]
    judged = _installation(design, records, latest, again=False) if records else None
    return record(observe(design, design.observed, files, design.sections, _silent, slip=True, latest=latest, on=on,
                          records=judged))  # fmt: skip


def _installation_again(design: Design, files: Sequence[Path], latest: dt.date) -> Any:
    from calc.site.installed.installed_record import record

    return record(_installation(design, files, latest, again=True))


def _installation(design: Design, files: Sequence[Path], latest: dt.date, *, again: bool) -> Any:
    from calc.site.installed.installed_run import judge_installed

    assert design.plan is not None  # noqa: S101 - it was issued with both tables
    assert design.installed is not None  # noqa: S101 - the same
    plan, table = design.plan, design.installed
    return judge_installed(design, plan, table, files, _silent, again=again, slip=again, latest=latest)


def _silent(_text: object) -> None:
    """Nobody waits for progress."""


def placeless(values: Any) -> Any:
    """Values in which every file is called by its name, without the folder in which it lay."""
    text = json.dumps(values)
    for path in sorted([*values["files"], *values.get("record_files", ())], key=len, reverse=True):
        text = text.replace(json.dumps(path)[1:-1], json.dumps(Path(path).name)[1:-1])
    return json.loads(text)


def differing(before: Any, now: Any, place: str = "") -> Iterator[str]:
    """Places at which two records differ, numbers beyond `SAME`; the program is not compared."""
    if isinstance(before, dict) and isinstance(now, dict):
        for key in dict.fromkeys([*before, *now]):
            here = f"{place}.{key}".removeprefix(".")
            if here == OF_THE_PROGRAM:
                continue
            if key in before and key in now:
                yield from differing(before[key], now[key], here)
            else:
                yield here
    elif isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        for index, (old, new) in enumerate(zip(before, now, strict=True)):
            yield from differing(old, new, f"{place}[{index}]")
    elif not _same(before, now):
        yield place


def _same(before: Any, now: Any) -> bool:
    """Whether two values are the same, numbers by `SAME`."""
    if _is_number(before) and _is_number(now):
        return isclose(before, now, rel_tol=SAME, abs_tol=SAME)
    return type(before) is type(now) and bool(before == now)


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)

"""Two weeks of installation records of an example project, invented, with a seed and some faults.

`python -m tests.site.invented_records` writes records.csv and records-depth.csv in projects/marsh-approach.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

from calc.inputs import read_design
from calc.site.plan.write_plan import MadePlan, make_plan
from tests.site.recorded import ALLOWANCES, Row, faultless, readings, readings_file, records_file

PROJECT = Path(__file__).resolve().parents[2] / "projects" / "marsh-approach"
SEED, FIRST, DAYS = 2026, dt.date(2024, 10, 14), 14  # a Monday, 33 weeks before the fill; no work on Sundays
RIGS = {"A": ("R1", 31), "B": ("R2", 27)}
"""Areas with their rig and how many columns it installs on an ordinary day."""
BAND, EACH, BEGINS = 10.0, 14, 6 * 60 + 30  # m along the line, minutes for a column, minute of the day
OWN_ALLOWANCES = 1.0  # m of sleeve at head and toe, as in the quantities of the example
STEP = 1.0  # m between the readings in depth
FAULTS: dict[int, dict[str, object]] = {
    37: {"slant_x": 4.1}, 118: {"criterion": "no"}, 205: {"diameter": 742.0}, 261: {"stop": "35"},
    322: {"serial": "S000007"}, 455: {"end": "05:10"},
}  # fmt: skip
MOVED, HIGH, SHORT_OF_FILL, LEFT_OUT = 80, 118, 402, (150, 151)


def order(made: MadePlan, letter: str) -> list[int]:
    """The columns of an area as a rig installs them: band by band, every second column of a row, then the others."""
    laid = made.layout.columns
    own = [k for k in range(len(laid)) if made.layout.areas[laid.area[k]].given.letter == letter]
    return sorted(own, key=lambda k: (laid.chainage[k] // BAND, laid.place[k] % 2, laid.row[k], laid.place[k]))


def days() -> Iterator[dt.date]:
    """The working days."""
    yield from (day for k in range(DAYS) if (day := FIRST + dt.timedelta(days=k)).weekday() < 6)


def rows(made: MadePlan) -> list[Row]:
    """The records in the order of the rigs."""
    chance, found = Random(SEED), list[Row]()  # noqa: S311 - invented records, no secret
    for letter, (rig, ordinary) in RIGS.items():
        left = iter(order(made, letter))
        for day in days():
            count = ordinary + chance.randrange(-5, 4)
            own = tuple(made.columns[k] for _, k in zip(range(count), left, strict=False))
            for place, row in enumerate(faultless(own, chance.randrange(10**6))):
                begins = BEGINS + EACH * place
                serial = f"S{len(found):06d}"
                found.append(replace(row, rig=rig, day=day, start=clock(begins), serial=serial,
                                     sleeve_length=row.sleeve_length - ALLOWANCES + OWN_ALLOWANCES,
                                     end=clock(begins + 9 + chance.randrange(4))))  # fmt: skip
    for k, changes in FAULTS.items():
        found[k] = replace(found[k], **changes)  # type: ignore[arg-type]
    found[MOVED] = replace(found[MOVED], easting=found[MOVED].easting + 0.17)
    found[HIGH] = replace(found[HIGH], toe=found[HIGH].toe + 0.35)
    return [row for k, row in enumerate(found) if k not in LEFT_OUT]


def clock(minutes: int) -> str:
    """A time of the day."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def files() -> dict[str, str]:
    """The two files by name."""
    design = read_design(PROJECT)
    assert design.plan is not None
    made = make_plan(design, design.plan)
    every = rows(made)
    necked = every[SHORT_OF_FILL].id
    deep = [(name, depth, volume - 0.25 * min(max(5.0 - depth, 0.0), 1.0) if name == necked else volume)
            for name, depth, volume in readings(made.listed.columns, every, STEP)]  # fmt: skip
    return {"records.csv": records_file(every), "records-depth.csv": readings_file(iter(deep))}


def main() -> None:
    """Write them."""
    for name, text in files().items():
        (PROJECT / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

"""Processes that issue are killed at random moments: nothing that was told may be lost, nothing half may appear.

Run: python -m tests.archive.kills [KILLS]
"""

# ruff: noqa: T201 - a script prints what it found

import random
import subprocess
import sys
import tempfile
from pathlib import Path
from time import monotonic, sleep

from calc.archive.folder import FolderStore
from calc.archive.layout import leftovers
from calc.archive.store import Entry
from calc.archive.verify import verify
from tests.archive.scenario import Line, write_project

ROOT = Path(__file__).parents[2]
LONGEST = 0.12  # seconds: a few issues fit into it on an idle machine, so that every step of one is met


def start(root: Path, project: Path, prefix: str, count: int, **more: object) -> "subprocess.Popen[str]":
    """Start a process that issues."""
    command = [sys.executable, "-m", "tests.archive.issuer", str(root), str(project), prefix, str(count)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, **more)  # type: ignore[call-overload, no-any-return]


def span(root: Path, project: Path) -> float:
    """Seconds in which a few issues fit on the machine as it is now, other work on it included."""
    process = start(root, project, "S", 3)
    assert process.stdout is not None
    process.stdout.readline()
    begin = monotonic()
    process.communicate()
    return max(LONGEST, 2 * (monotonic() - begin))


def killed_once(root: Path, project: Path, number: int, chance: random.Random, longest: float = LONGEST) -> list[str]:
    """Kill one process at a random moment; hashes of the records that it told to be issued."""
    process = start(root, project, f"K{number}", 10_000)
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    end = monotonic() + chance.uniform(0, longest)
    while monotonic() < end:
        sleep(0.0005)
    process.kill()
    told = process.stdout.read().splitlines()
    process.wait()
    process.stdout.close()
    return [line.split()[2] for line in told if line.startswith("issued ") and len(line.split()) == 4]


def inspected(store: FolderStore, told: list[str]) -> list[Entry]:
    """What is in the archive now; fails if something told is lost, or if anything half-written appears."""
    entries = store.entries()
    report = verify(store)
    assert report.problems == [], report.problems
    assert set(told) <= {one.sha256 for one in entries}, "a revision that was issued is lost"
    return entries


def main() -> None:
    """Kill as often as asked for and print what came of it."""
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    chance = random.Random(20250201)  # noqa: S311 - moments of kills, no secret
    told: list[str] = []
    between = 0
    with tempfile.TemporaryDirectory() as folder:
        root, project = Path(folder) / "archive", write_project(Path(folder) / "project", Line("A", "draft"))
        for number in range(kills):
            told += killed_once(root, project, number, chance)
            if (root / "records").is_dir():
                entries = inspected(FolderStore(root), told)
        left = len(leftovers(root))
        between = len(entries) - len(told)
    print(f"{kills} kills: {len(told)} told, {len(entries)} issued ({between} between issue and telling), 0 lost, "
          f"0 half-written; {left} unfinished files aside")  # fmt: skip


if __name__ == "__main__":
    main()

"""Processes that issue are killed at random moments: nothing that was told may be lost, nothing half may appear.

Run: python -m tests.archive.kills [KILLS]
"""

# ruff: noqa: T201 - a script prints what it found

import os
import random
import resource
import sys
import tempfile
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from time import monotonic, sleep

from calc.archive.record.verify import verify
from calc.archive.store.contract import Entry
from calc.archive.store.folder import FolderStore
from calc.archive.store.layout import leftovers
from tests.archive.issuer import issue_until_ended
from tests.archive.scenario import Line, write_project

# Processes of their own, forked from one that has imported everything: to import it anew took longer than the test.
FORKS = get_context("forkserver")
FORKS.set_forkserver_preload(["tests.archive.issuer"])
LONGEST = 0.12  # seconds: a few issues fit into it on an idle machine, so that every step of one is met


class Issuer:
    """A process that issues, and what it tells; `limit` is the largest file that it may write, bytes."""

    def __init__(self, root: Path, project: Path, prefix: str, count: int, limit: int | None = None) -> None:
        told, tell = FORKS.Pipe(duplex=False)
        self.process = FORKS.Process(target=_issue, args=(tell, limit, root, project, prefix, count))
        self.process.start()
        tell.close()
        self.told = os.fdopen(os.dup(told.fileno()), encoding="utf-8")
        told.close()

    def lines(self) -> list[str]:
        """Every line that is still to come, until the process has ended."""
        with self.told:
            lines = self.told.read().splitlines()
        self.process.join()
        self.process.close()
        return lines


def _issue(tell: Connection, limit: int | None, *arguments: object) -> None:
    os.dup2(tell.fileno(), 1)
    tell.close()
    if limit is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    issue_until_ended(*arguments)  # type: ignore[arg-type]  # those of `Issuer`


def span(root: Path, project: Path) -> float:
    """Seconds in which a few issues fit on the machine as it is now, other work on it included."""
    issuer = Issuer(root, project, "S", 3)
    issuer.told.readline()
    begin = monotonic()
    issuer.lines()
    return max(LONGEST, 2 * (monotonic() - begin))


def killed_once(root: Path, project: Path, number: int, chance: random.Random, longest: float = LONGEST) -> list[str]:
    """Kill one process at a random moment; hashes of the records that it told to be issued."""
    issuer = Issuer(root, project, f"K{number}", 10_000)
    assert issuer.told.readline() == "ready\n"
    end = monotonic() + chance.uniform(0, longest)
    while monotonic() < end:
        sleep(0.0005)
    issuer.process.kill()
    return [line.split()[2] for line in issuer.lines() if line.startswith("issued ") and len(line.split()) == 4]


def inspected(store: FolderStore, told: list[str]) -> list[Entry]:
    """What is in the archive now; fails if something told is lost, or if anything half-written appears."""
    entries = store.entries()
    report = verify(store)
    assert report.problems == [], report.problems
    assert set(told) <= {entry.sha256 for entry in entries}, "a revision that was issued is lost"
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

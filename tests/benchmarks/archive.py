"""Speed of the archive: issuing, signing, verifying, comparing, listing.

Run: sandsleeve package PROJECT && python -m tests.benchmarks.archive PROJECT/out
"""

# ruff: noqa: T201 - a script prints its table

import json
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

from calc.archive.compare.changes import compare
from calc.archive.record.find import content_of, sign_offs
from calc.archive.record.issue import Prepared, issue
from calc.archive.record.manifest import ROLES, Manifest, manifest_bytes, read_manifest
from calc.archive.record.recorded import read_recorded
from calc.archive.record.verify import Report, verify
from calc.archive.signing.sign_off import sign
from calc.archive.signing.verify import signature_problems
from calc.archive.store import index
from calc.archive.store.contract import Entry, entry_of, head
from calc.archive.store.disk import digest_of
from calc.archive.store.folder import FolderStore
from calc.archive.store.layout import MANIFEST, RECORDS, folder_name
from calc.inputs import read_design
from calc.resources import program_fingerprint
from tests.archive.certificates import Authority, key_file, rsa_key
from tests.archive.scenario import other_document
from tests.archive.signatories import PEOPLE, signer
from tests.archive.test_signing import silent

ROOT = Path(__file__).parents[2]
ISSUES, RUNS, STEPS = 20, 10_000, 5000


def seconds(work: Callable[[], object]) -> float:
    """Time of some work on the wall."""
    start = perf_counter()
    work()
    return perf_counter() - start


def issued(root: Path, package: Path) -> tuple[FolderStore, list[float]]:
    """An archive with issues of a package, each of other bytes, and the time of each without setting the pages."""
    design = read_design(package.parent)
    results, pdf = (package / "results.json").read_bytes(), (package / "package.pdf").read_bytes()
    program_fingerprint()  # a package run has it
    store, times = FolderStore.prepare(root), []
    for number in range(ISSUES):
        files = {"inputs": design.text, "results": results, "package": pdf + b"\n" * number}
        one = Prepared(other_document(design, f"D-{number}"), "incomplete", files, head(store.entries()))
        times.append(seconds(lambda one=one: issue(store, one)))  # type: ignore[misc]
    return store, times


def processor_time(work: Callable[[], object]) -> float:
    """Processor time of some work, which other work on the machine disturbs less."""
    start = process_time()
    work()
    return process_time() - start


def signing(store: FolderStore, folder: Path) -> tuple[list[float], list[float], float]:
    """Processor time of each sign-off without and with certificates, and of reading three signatures of a copy."""
    authority, keys = Authority.made(), {}
    for role, name in PEOPLE.items():
        key = rsa_key()
        keys[role] = key_file(folder / f"{role}.p12", name, key, authority.certificate_for(name, key), authority)
    first, second = store.entries()[:2]
    sign(store, first, ROLES[0], None, None, silent)  # the modules that set pages are loaded
    plain = [processor_time(lambda role=role: sign(store, first, role, None, None, silent)) for role in ROLES[1:]]  # type: ignore[misc]
    signed = [
        processor_time(lambda role=role: sign(store, second, role, None, signer(keys[role]), silent))  # type: ignore[misc]
        for role in ROLES
    ]
    done = [one for one, _ in sign_offs(store, store.entries(), second)]
    copy = content_of(store, done[-1].file("signed"))
    return plain, signed, processor_time(lambda: signature_problems(copy, done))


def unexpected(report: Report) -> list[str]:
    """What is wrong beside the names: one package stands for twenty documents, and its cover shows no archive."""
    names = ("the record says", "its cover shows no head of the chain")
    return [text for text in report.problems if not any(name in text for name in names)]


def hashing(store: FolderStore) -> float:
    """Time of reading and hashing every stored file, which verifying cannot undercut."""

    def work() -> None:
        for path in store.root.glob("objects/*/*"):
            with path.open("rb") as stream:
                digest_of(stream)

    return seconds(work)


def comparing(package: Path) -> tuple[int, float]:
    """Steps of two runs of which every number differs, and the time from their bytes to the differences."""
    data = json.loads((package / "results.json").read_bytes())
    first, second = enlarged(data, 1.0), enlarged(data, 1.01)
    found: list[int] = []

    def work() -> None:
        changes = compare(read_recorded(first, "first"), read_recorded(second, "second"), 0.001)
        found.append(len(changes.steps))

    time = min(seconds(work) for _ in range(3))
    return found[0], time


def enlarged(data: dict[str, Any], factor: float) -> bytes:
    """The sections of a run again under other keys until there are enough steps, every number times a factor."""
    text = json.dumps(data["sections"])
    sections: list[dict[str, Any]] = []
    count = 0
    while count < STEPS:
        for part in json.loads(text):
            for check in part["checks"]:
                del check["steps"][max(0, STEPS - count) :]
                count += renamed(check, f"copy{len(sections)}", factor)
            sections.append(part | {"key": f"copy{len(sections)}"})
    return json.dumps(data | {"sections": sections}).encode()


def renamed(check: dict[str, Any], name: str, factor: float) -> int:
    """Give the steps of a chapter other keys and numbers; how many there are."""
    for step in check["steps"]:
        step["key"] = f"{name}/{step['key']}"
        step["fingerprint"] = f"{factor}"
        step["result"]["value"] = times(step["result"]["value"], factor)
    return len(check["steps"])


def times(value: object, factor: float) -> object:
    """Numbers in lists in lists, each times a factor."""
    if isinstance(value, list):
        return [times(one, factor) for one in value]
    return value * factor if isinstance(value, float) else value


def long_archive(root: Path, manifest: Manifest, count: int = RUNS) -> None:
    """An archive of many records and their index, written without waiting for the disk."""
    entries: list[Entry] = []
    (root / RECORDS).mkdir(parents=True)
    for number in range(1, count + 1):
        document = manifest.document.model_copy(update={"number": f"D-{number // 10}"})
        line = manifest.revision.model_copy(update={"label": f"{number % 10}"})
        update = {"sequence": number, "previous": head(entries), "document": document, "revision": line, "parent": None}
        one = manifest.model_copy(update=update)
        content = manifest_bytes(one)
        (root / RECORDS / folder_name(number)).mkdir()
        (root / RECORDS / folder_name(number) / MANIFEST).write_bytes(content)
        entries.append(entry_of(one, sha256(content).hexdigest()))
    index.create(root / index.INDEX, entries)


def listing(root: Path) -> tuple[float, float]:
    """Best time of the command on the wall, and of the processor."""
    best = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [sys.executable, "-m", "calc", "archive", "list", str(root)]
        wall = seconds(lambda command=command: subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.DEVNULL))  # type: ignore[misc]
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best.append((wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime))
    return min(one[0] for one in best), min(one[1] for one in best)


def main() -> None:
    """Print the table for docs/benchmarks.md."""
    package = Path(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        store, issues = issued(Path(folder) / "archive", package)
        report, hashed = verify(store), hashing(store)
        verified = seconds(lambda: verify(store))
        verified_processor = processor_time(lambda: verify(store))
        plain, signed, read = signing(store, Path(folder))
        long_archive(Path(folder) / "long", read_manifest(store.record(1), "record 1"))
        wall, processor = listing(Path(folder) / "long")
    steps, compared = comparing(package)
    print(f"{report.size / 1e6:.0f} MB in {ISSUES} revisions; {len(unexpected(report))} problems")
    print("| archive | |\n|---|---|")
    print(f"| issue beside the package run, the first | {issues[0]:.3f} s |")
    print(f"| issue, median of {ISSUES} | {sorted(issues)[ISSUES // 2]:.3f} s |")
    print(f"| hashing every stored file | {report.size / hashed / 1e9:.2f} GB/s |")
    print(f"| verify, with the files inside each package | {report.size / verified / 1e9:.2f} GB/s |")
    print(f"| the same, processor time | {report.size / verified_processor / 1e9:.2f} GB/s |")
    print(f"| sign off without a certificate, processor time | {min(plain):.2f}–{max(plain):.2f} s |")
    print(f"| sign with a certificate, processor time | {min(signed):.2f}–{max(signed):.2f} s |")
    print(f"| read three signatures of a copy, processor time | {read:.2f} s |")
    print(f"| compare two runs of {steps} steps, every number another | {compared:.2f} s |")
    print(f"| list {RUNS} revisions, whole command, wall | {wall:.2f} s |")
    print(f"| the same, processor time | {processor:.2f} s |")


if __name__ == "__main__":
    main()

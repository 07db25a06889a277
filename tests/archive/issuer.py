"""A process that issues small prepared revisions until it is ended; each is told on stdout once it is issued."""

# ruff: noqa: T201 - it tells another process what it did

from pathlib import Path

from calc.archive.record.issue import issue
from calc.archive.refusals import ArchiveError
from calc.archive.store.folder import FolderStore
from calc.inputs import read_design
from tests.archive.scenario import other_document, prepared, quick_package, small_results


def issue_until_ended(root: Path, project: Path, prefix: str, count: int) -> None:
    """Issue revision after revision, each of a document of its own unless the prefix is empty."""
    design = read_design(project)
    print("ready", flush=True)
    for number in range(count):
        one = other_document(design, f"{prefix}-{number}") if prefix else design
        try:
            store = FolderStore.prepare(root)
            # Another content for each, so that each stores a file of its own.
            results = small_results(one.text, more=f"{prefix} {number} " * 2000)
            entry = issue(store, prepared(one, store, results=results, page=quick_package))
        except (ArchiveError, OSError) as error:
            print("refused", type(error).__name__, " ".join(str(error).split()), flush=True)
        else:
            print("issued", entry.sequence, entry.sha256, entry.document, flush=True)

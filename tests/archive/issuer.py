"""A process that issues small prepared revisions until it is ended; each is told on stdout once it is issued.

Run: python -m tests.archive.issuer ARCHIVE PROJECT PREFIX COUNT
"""

# ruff: noqa: T201 - it tells another process what it did

import sys
from pathlib import Path

from calc.archive.errors import ArchiveError
from calc.archive.folder import FolderStore
from calc.archive.issue import issue
from calc.inputs import read_design
from tests.archive.scenario import other_document, prepared, quick_package, small_results


def main() -> None:
    """Issue revision after revision, each of a document of its own unless the prefix is empty."""
    root, project, prefix, count = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], int(sys.argv[4])
    design = read_design(project)
    print("ready", flush=True)
    for number in range(count):
        one = other_document(design, f"{prefix}-{number}") if prefix else design
        try:
            store = FolderStore.prepared(root)
            # Another content for each, so that each stores a file of its own.
            results = small_results(one.text, more=f"{prefix} {number} " * 2000)
            entry = issue(store, prepared(one, store, results=results, page=quick_package))
        except (ArchiveError, OSError) as error:
            print("refused", type(error).__name__, " ".join(str(error).split()), flush=True)
        else:
            print("issued", entry.sequence, entry.sha256, entry.document, flush=True)


if __name__ == "__main__":
    main()

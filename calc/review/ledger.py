"""The reviews of a project, one file for each revision in PROJECT/review; one file is written at a time, whole."""

import json
import os
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from fcntl import LOCK_EX, flock
from hashlib import sha256
from pathlib import Path

from calc.inputs import Design
from calc.review.files import read_limited, write_whole
from calc.review.people import wrong_people
from calc.review.refused import RefusedFile
from calc.review.stored import StoredReview, read_stored, seal_of

FOLDER = "review"
_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,60}")


@dataclass(frozen=True)
class Ledger:
    """Every stored review of a document, by the labels of its revisions, oldest first."""

    folder: Path
    document: str
    labels: tuple[str, ...]
    stored: Mapping[str, StoredReview]

    @property
    def newest(self) -> str:
        """The label of the revision that is worked on."""
        return self.labels[-1]

    def current(self) -> StoredReview:
        """The review of the revision that is worked on; an empty one where there is none yet."""
        return self.stored.get(self.newest) or StoredReview.empty(self.document, self.newest)

    def in_order(self) -> list[StoredReview]:
        """The stored reviews, oldest first."""
        return [self.stored[label] for label in self.labels if label in self.stored]

    def write(self, review: StoredReview) -> "Ledger":
        """Store the review of the revision that is worked on."""
        review = review.with_seal()
        text = json.dumps(review.model_dump(mode="json"), indent=1, ensure_ascii=True)
        write_whole(self.folder / file_name(review.revision), (text + "\n").encode())
        return replace(self, stored={**self.stored, review.revision: review})


def file_name(label: str) -> str:
    """The name of the file of a revision: its label where that is a plain name, otherwise made from its hash."""
    if _PLAIN.fullmatch(label) and not label.startswith("revision-"):
        return f"{label}.json"
    return f"revision-{sha256(label.encode()).hexdigest()[:16]}.json"


def read_ledger(project: Path, design: Design) -> Ledger:
    """The reviews of a project; `RefusedFile` where a stored file was changed, or is of no revision of the record."""
    folder = project / FOLDER
    labels = tuple(revision.label for revision in design.project.revisions)
    names = {file_name(label): label for label in labels}
    stored = {}
    for path in sorted(folder.glob("*.json")) if folder.is_dir() else ():
        if path.name not in names:
            message = (
                f"{path}: must belong to a revision of the revision record ({', '.join(map(repr, labels))}); a review "
                "is not lost with the line of its revision"
            )
            raise RefusedFile(message)
        stored[names[path.name]] = _read_review(path, names[path.name], design)
    return Ledger(folder, design.project.document, labels, stored)


def _read_review(path: Path, label: str, design: Design) -> StoredReview:
    review = read_stored(read_limited(path), str(path))
    for name, value, wanted in (
        ("revision", review.revision, label),
        ("document", review.document, design.project.document),
    ):
        if value != wanted:
            message = f"{path}: {name} must be that of the project file, {wanted!r}, got {value!r}"
            raise RefusedFile(message)
    if review.seal != seal_of(review):
        message = (
            f"{path}: must be as the program wrote it, and was changed since: bring it back; a review goes on with "
            "--take, --answer and --close alone"
        )
        raise RefusedFile(message)
    newest = design.project.revisions[-1].label
    if wrong := [f"{path}: {text}" for text in wrong_people(review, design, label == newest)]:
        raise RefusedFile("\n".join(wrong[:20]))
    return review


@contextmanager
def lock_reviews(project: Path) -> Iterator[None]:
    """Keep other commands from changing the reviews of a project; the lock ends with the process."""
    folder = project / FOLDER
    folder.mkdir(exist_ok=True)
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        flock(opened, LOCK_EX)
        yield
    finally:
        os.close(opened)

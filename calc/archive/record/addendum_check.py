"""Whether addenda are what was issued: their revision, the files inside their pages, what their values say."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from calc.archive.record.attachments import attachment_digests
from calc.archive.record.cover_page import printed_head
from calc.archive.record.find import content_of
from calc.archive.record.manifest import Addendum, Manifest
from calc.archive.record.revisions import clean
from calc.archive.refusals import DamagedArchive
from calc.archive.store.contract import Store


class _Software(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")

    version: str
    fingerprint: str


class _Values(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore")

    outcome: str
    inputs_sha256: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
    software: _Software


def addendum_problems(
    store: Store, issued: Mapping[str, Manifest], addenda: Mapping[str, Addendum], sound: Sequence[Addendum]
) -> Iterator[str]:
    """What is wrong with addenda; `issued` and `addenda` by the hashes of their records, `sound` those whose files are.

    One line each.
    """
    labels = [(addendum.document, addendum.label) for addendum in addenda.values()]
    for addendum in addenda.values():
        if labels.count((addendum.document, addendum.label)) > 1:
            yield f"{_place(addendum)}: another addendum has its label"
        yield from (f"{_place(addendum)}: {text}" for text in _of_revision(addendum, issued.get(addendum.issue)))
    for addendum in sound:
        try:
            yield from (f"{_place(addendum)}: {text}" for text in _inside(store, addendum))
        except DamagedArchive as error:
            yield f"{_place(addendum)}: {error}"


def _place(addendum: Addendum) -> str:
    return clean(f"record {addendum.sequence}, addendum {addendum.label}")


def _of_revision(addendum: Addendum, issue: Manifest | None) -> Iterator[str]:
    if issue is None or issue.sequence >= addendum.sequence:
        yield "the record of its revision is not in the chain before it"
        return
    for name, recorded, said in (
        ("revision", addendum.revision, issue.label),
        ("document", addendum.document, issue.document),
        ("people", addendum.people, issue.people),
    ):
        if recorded != said:
            yield f"its {name} is not that of the record of its revision"


def _inside(store: Store, addendum: Addendum) -> Iterator[str]:
    """The attachments of the pages against the stored files, and the record against what they say."""
    pages = content_of(store, addendum.file("package"))
    digests = attachment_digests(pages)
    for stored in addendum.files:
        if stored.role != "package" and digests.get(stored.name) != stored.sha256:
            yield clean(f"{stored.name} inside its pages is not the stored one")
    if printed_head(pages) != addendum.printed_head:
        yield "its cover shows another head of the chain than its record"
    results = addendum.file("results")
    try:
        values = _Values.model_validate_json(content_of(store, results))
    except ValidationError as error:
        yield clean(f"{results.name} cannot be read: {error.errors(include_url=False)[0]['msg']}")[:300]
        return
    for name, recorded, said in (
        ("outcome", addendum.outcome, values.outcome),
        ("SHA-256 of the inputs", addendum.file("inputs").sha256, values.inputs_sha256),
        ("version of the program", addendum.program.version, values.software.version),
        ("fingerprint of the program", addendum.program.fingerprint, values.software.fingerprint),
    ):
        if recorded != said:
            yield clean(f'the record says {name} "{recorded}", {results.name} "{said}"')

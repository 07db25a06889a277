"""Whether the record of an issue says what the inputs, the results and the package say that it names.

Hashes alone do not tell: whoever rewrites a record can compute every hash again.
"""

import datetime as dt
import tomllib
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from calc.archive.record.cover_page import printed_on_cover
from calc.archive.record.manifest import ROLES, Manifest
from calc.archive.record.revisions import clean
from calc.archive.record.status import read_status
from calc.archive.refusals import DamagedArchive

Pairs = Iterator[tuple[str, object, object, str]]


class _Read(BaseModel):
    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)


class _Line(_Read):
    label: str
    date: dt.date
    status: str
    note: str
    author: str


class _Project(_Read):
    title: str
    number: str
    document: str
    revision: Annotated[tuple[_Line, ...], Field(min_length=1)]


class _Person(_Read):
    name: str
    organisation: str | None = None


class _People(_Read):
    originator: _Person
    checker: _Person
    approver: _Person


class _Inputs(_Read):
    project: _Project
    people: _People


class _Software(_Read):
    version: str
    fingerprint: str


class _Study(_Read):
    study: str
    inputs_sha256: str
    software: _Software


class _Results(_Read):
    outcome: str
    inputs_sha256: str
    data_sha256: str = ""
    software: _Software


def contradictions(
    manifest: Manifest, inputs: bytes, results: bytes, package: bytes, studies: Mapping[str, bytes]
) -> Iterator[str]:
    """What a record says otherwise than its files; one line each. `studies` are records of such by their names."""
    readers: list[tuple[Callable[[Manifest, bytes], Pairs], bytes]] = [
        (_of_results, results), (_of_inputs, inputs), (_of_package, package),
        *((partial(_of_study, name), content) for name, content in studies.items()),
    ]  # fmt: skip
    for read, content in readers:
        try:
            pairs = list(read(manifest, content))
        except DamagedArchive as error:
            yield str(error)
            continue
        for name, recorded, said, where in pairs:
            if recorded != said:
                yield clean(f"the record says {name} {_short(recorded)}, {where} {_short(said)}")


def _of_results(manifest: Manifest, content: bytes) -> Pairs:
    where = "results.json"
    try:
        results = _Results.model_validate_json(content)
    except ValidationError as error:
        raise _unreadable(where, error) from error
    yield "outcome", manifest.outcome, results.outcome, where
    yield "SHA-256 of the inputs", manifest.file("inputs").sha256, results.inputs_sha256, where
    data = "".join(file.sha256 for file in manifest.files if file.role == "data")
    yield "SHA-256 of the results of tests", data, results.data_sha256, where
    yield "version of the program", manifest.program.version, results.software.version, where
    yield "fingerprint of the program", manifest.program.fingerprint, results.software.fingerprint, where


def _of_inputs(manifest: Manifest, content: bytes) -> Pairs:
    where = "project.toml"
    try:
        inputs = _Inputs.model_validate(tomllib.loads(content.decode("utf-8-sig")))
    except (ValueError, RecursionError) as error:
        raise _unreadable(where, error) from error
    project, line = inputs.project, inputs.project.revision[-1]
    document, revision = manifest.document, manifest.revision
    yield "project", document.project, project.number, where
    yield "document", document.number, project.document, where
    yield "title", document.title, project.title, where
    for name in ("label", "date", "status", "note", "author"):
        yield f"{name} of the revision", getattr(revision, name), getattr(line, name), where
    status = read_status(line.status)
    yield "issued as", (revision.words, revision.code), status and (status.words, status.code), where
    for role in ROLES:
        person = getattr(inputs.people, role)
        yield role, tuple(manifest.people.of(role).model_dump().values()), (person.name, person.organisation), where


def _of_study(name: str, manifest: Manifest, content: bytes) -> Pairs:
    try:
        study = _Study.model_validate_json(content)
    except ValidationError as error:
        raise _unreadable(name, error) from error
    yield "SHA-256 of the inputs", manifest.file("inputs").sha256, study.inputs_sha256, name
    yield "fingerprint of the program", manifest.program.fingerprint, study.software.fingerprint, name
    yield "name of a study", name, f"{study.study}.json", name


def _of_package(manifest: Manifest, content: bytes) -> Pairs:
    where, (head, plan) = "the cover of package.pdf", printed_on_cover(content)
    yield "head of the chain", manifest.printed_head, head, where
    yield "checksum of the column plan", (manifest.plan.checksum if manifest.plan else None) or "", plan, where


def _unreadable(name: str, error: Exception) -> DamagedArchive:
    said: Any = error.errors(include_url=False)[0]["msg"] if isinstance(error, ValidationError) else error
    return DamagedArchive(clean(f"{name} cannot be read: {said}")[:300])


def _short(value: object) -> str:
    text = ", ".join(str(part) for part in value if part) if isinstance(value, tuple) else str(value)
    return f'"{text}"' if len(text) <= 80 else f'"{text[:79]}…"'

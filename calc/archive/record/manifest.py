"""The records of the chain: what is stored, who, when, by which program, after which record."""

import datetime as dt
import json
from typing import Annotated, Final, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter, ValidationError, model_validator

from calc.archive.refusals import DamagedArchive

LARGEST_MANIFEST = 1_000_000
LARGEST_FILE = 2**31
FIRST = "0" * 64
ISSUE: Final = "issue"
SIGN_OFF: Final = "sign-off"
ADDENDUM: Final = "addendum"
Subject = Literal["installed", "observed"]
Role = Literal["originator", "checker", "approver"]
ROLES: tuple[Role, ...] = ("originator", "checker", "approver")  # in the order in which they sign

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Short = Annotated[str, Field(min_length=1, max_length=300)]
Long = Annotated[str, Field(min_length=1, max_length=10_000)]
FILE_NAME = r"[A-Za-z0-9][A-Za-z0-9_-]{0,60}(\.[A-Za-z0-9]{1,10}){1,2}"
FileName = Annotated[str, Field(pattern=rf"^{FILE_NAME}$")]


def _utc(moment: dt.datetime) -> dt.datetime:
    if moment.utcoffset() != dt.timedelta(0):
        message = "the time must be given in UTC"
        raise ValueError(message)
    return moment


class Part(BaseModel):
    """A part of a record: never changed, no keys beside its own, no value read as another kind."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class StoredFile(Part):
    """A file of the revision: its name for people, and the hash under which it is stored."""

    name: FileName
    role: Literal["inputs", "results", "package", "review", "changes", "signed", "data", "plan", "study"]
    sha256: Sha256
    size: Annotated[int, Field(ge=0, le=LARGEST_FILE)]


class DocumentName(Part):
    """Which document of which project it is a revision of."""

    project: Short
    number: Short
    title: Short


class RevisionLine(Part):
    """The line of the project's revision record, and the status as words of the archive."""

    label: Short
    date: dt.date
    status: Short
    note: Long
    author: Short
    words: Short
    code: Short | None


class PersonName(Part):
    """A person with the organisation, if that is known."""

    name: Short
    organisation: Short | None


class PeopleNames(Part):
    """Who made, checked and approved the calculation."""

    originator: PersonName
    checker: PersonName
    approver: PersonName

    def of(self, role: str) -> PersonName:
        """The person in a role."""
        person: PersonName = getattr(self, role)
        return person


class Parent(Part):
    """The revision of the same document issued before."""

    label: Short
    sha256: Sha256


class RecordedPlan(Part):
    """The column plan in the package: what its columns have as their checksum, and its outcome.

    There is no checksum where the columns could not be laid out.
    """

    checksum: Annotated[str, Field(pattern=r"^[0-9a-f]{16}$")] | None
    outcome: Literal["pass", "fail", "incomplete"]


class Program(Part):
    """What calculated: version, hash of its own files, Python, machine, and the version of each package used."""

    name: Short
    version: Short
    fingerprint: Sha256
    python: Short
    platform: Short
    dependencies: Annotated[dict[Short, Short], Field(max_length=1000)]


class Certificate(Part):
    """The certificate that a signature was made with; the hashes are those of it and of its public key, as DER."""

    subject: Short
    issuer: Short
    sha256: Sha256
    key: Sha256
    until: Annotated[dt.datetime, AfterValidator(_utc)]


class Link(Part):
    """What every record of the chain has."""

    format: Literal[1]
    sequence: Annotated[int, Field(ge=1, le=9_999_999)]
    previous: Sha256
    document: DocumentName
    program: Program
    files: Annotated[tuple[StoredFile, ...], Field(min_length=1, max_length=100)]

    @model_validator(mode="after")
    def _each_name_once(self) -> Self:
        if len({file.name.casefold() for file in self.files}) < len(self.files):
            message = "each name of a file stands once"
            raise ValueError(message)
        return self

    def file(self, role: str) -> StoredFile:
        """The file with this role; an error where the record names none."""
        for file in self.files:
            if file.role == role:
                return file
        message = f"the record names no file with the role {role}"
        raise DamagedArchive(message)


class Manifest(Link):
    """The record of an issued revision; its own hash is that of the bytes it is written as."""

    kind: Literal["issue"]
    printed_head: Sha256
    revision: RevisionLine
    parent: Parent | None
    people: PeopleNames
    outcome: Literal["pass", "fail", "incomplete"]
    plan: RecordedPlan | None = None
    issued_at: Annotated[dt.datetime, AfterValidator(_utc)]

    @property
    def label(self) -> str:
        """What people call it."""
        return self.revision.label

    @property
    def studies(self) -> tuple[StoredFile, ...]:
        """The records of the studies in its package; the data that these were made of have the same role."""
        return tuple(file for file in self.files if file.role == "study" and file.name.endswith(".json"))


class Addendum(Link):
    """The record of an addendum: what the site recorded, compared with an issued revision.

    `issue` is the hash of the record of that revision, `revision` its label.
    """

    kind: Literal["addendum"]
    printed_head: Sha256
    subject: Subject
    label: Short
    issue: Sha256
    revision: Short
    people: PeopleNames
    outcome: Literal["pass", "fail", "incomplete"]
    issued_at: Annotated[dt.datetime, AfterValidator(_utc)]


class SignOff(Link):
    """The record of a sign-off: who signed which package or addendum in which role, and when.

    `issue` is the hash of the record of the issue, `package` that of its pages; the file is the signed copy.
    """

    kind: Literal["sign-off"]
    label: Short
    issue: Sha256
    package: Sha256
    role: Role
    person: PersonName
    signed_at: Annotated[dt.datetime, AfterValidator(_utc)]
    certificate: Certificate | None


Issued = Manifest | Addendum
Record = Manifest | Addendum | SignOff
_RECORD: TypeAdapter[Record] = TypeAdapter(Annotated[Record, Field(discriminator="kind")])


def manifest_bytes(record: Record) -> bytes:
    """The record as it is stored: indented, so that it can be read without the program."""
    plain = record.model_dump(mode="json")
    return (json.dumps(plain, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def read_record(content: bytes, place: str) -> Record:
    """Read and check a record of any kind; `place` names it in messages."""
    if len(content) > LARGEST_MANIFEST:
        message = f"{place}: a record is not larger than {LARGEST_MANIFEST} bytes"
        raise DamagedArchive(message)
    try:
        return _RECORD.validate_json(content)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"][1:]) or "the record"
        message = f"{place}: {where[:100]}: {first['msg'][:200]}"
        raise DamagedArchive(message) from error


def read_issued(content: bytes, place: str) -> Issued:
    """Read and check the record of a revision or of an addendum."""
    record = read_record(content, place)
    if not isinstance(record, SignOff):
        return record
    message = f"{place}: it is the record of a {record.kind}, of nothing that was issued"
    raise DamagedArchive(message)


def read_manifest(content: bytes, place: str) -> Manifest:
    """Read and check the record of an issue."""
    record = read_record(content, place)
    if isinstance(record, Manifest):
        return record
    message = f"{place}: it is the record of a {record.kind}, not of a revision"
    raise DamagedArchive(message)


def words_of_issue(manifest: Issued) -> str:
    """What messages call a revision or an addendum."""
    return f"{'revision' if isinstance(manifest, Manifest) else 'addendum'} {manifest.label}"

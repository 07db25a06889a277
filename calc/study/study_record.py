"""Records of studies: what every one begins with, its checksum, and reading one back, whatever the file may be."""

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from calc import __version__
from calc.inputs import Design, InputErrors
from calc.inputs.reading.glyphs import unprintable
from calc.inputs.reading.problems import FILE, InputError
from calc.inputs.reading.scalars import show
from calc.resources import program_fingerprint

LARGEST = 20_000_000  # bytes
MOST_TOLD = 10
FORMAT = 1
WRITES = {"vary": "sandsleeve vary", "size": "sandsleeve size"}
"""What writes the records of each kind of study."""


def name_of(study: str) -> str:
    """The name of the record of a study as it is written, attached and kept."""
    return f"{study}.json"


def content_of_record(path: Path) -> bytes:
    """The bytes of a file, one more than a record may have at most: a larger one is refused, not read whole."""
    with path.open("rb") as stream:
        return stream.read(LARGEST + 1)


Json = dict[str, Any]


def _printable(text: str) -> str:
    if (sign := unprintable(text)) is not None:
        message = f"hold characters that pages can print, not {sign}"
        raise ValueError(message)
    return text


Text = Annotated[str, Field(max_length=20_000), AfterValidator(_printable)]
Number = Annotated[float, Field(ge=-1e100, le=1e100)]
Count = Annotated[int, Field(ge=0, le=2**53)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Part(BaseModel):
    """A part of a record: no keys beside its own, no value read as another kind, every number finite."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class Software(Part):
    """Which program studied."""

    name: Literal["sandsleeve"]
    version: Text
    fingerprint: Sha256


class StudyRecord(Part):
    """What every record begins with; `files` are the hashes of the files that were read beside the project file."""

    checksum: Sha256
    format: Literal[1]
    software: Software
    inputs_sha256: Sha256
    files: dict[Text, Sha256]


def sealed_record(study: str, inputs_sha256: str, files: dict[str, str], results: Json) -> Json:
    """What a study found as its record: which study, of what, by which program, under a checksum of all of it."""
    record = {
        "study": study, "format": FORMAT,
        "software": {"name": "sandsleeve", "version": __version__, "fingerprint": program_fingerprint()},
        "inputs_sha256": inputs_sha256, "files": files, **results,
    }  # fmt: skip
    return {"checksum": checksum(record), **record}


def checksum(record: Json) -> str:
    """SHA-256 of what a record says, however it is laid out; against slips, not against intent."""
    said = {key: value for key, value in record.items() if key != "checksum"}
    return sha256(json.dumps(said, sort_keys=True, separators=(",", ":")).encode()).hexdigest()


class RecordFile:
    """The file of a record, whose messages name it."""

    def __init__(self, name: str, content: bytes) -> None:
        self.name = name
        self.content = content

    def refuse(self, path: str, must: str, got: str, line: int = 1, column: int = 1) -> NoReturn:
        """Raise `InputErrors` with the one thing that is wrong with it."""
        raise InputErrors([InputError(self.name, line, column, path, must, got)])

    def read(self, models: TypeAdapter[Any], design: Design) -> Any:
        """The record of a study of this design by this program; `InputErrors` for anything else."""
        said, sealed_by = self._object()
        study = said.get("study")
        if not isinstance(study, str) or study not in WRITES:
            self.refuse("study", f"be the record that {' or '.join(WRITES.values())} wrote", show(study))
        again = f"{WRITES[study]} writes it anew"
        if said.get("checksum") != sealed_by:
            self.refuse("checksum", f"be that of what the record says: it was altered; {again}",
                        show(said.get("checksum")))  # fmt: skip
        software = said.get("software")
        made = software.get("fingerprint") if isinstance(software, dict) else None
        if made != program_fingerprint():
            # Its pages speak of methods and rules of the program that made it.
            self.refuse("software.fingerprint", f"be this program, {program_fingerprint()[:12]}: {again}", show(made))
        try:
            record = models.validate_json(self.content)
        except ValidationError as error:
            raise InputErrors(self._all_wrong(error)) from error
        if record.inputs_sha256 != design.sha256:
            must = f"be that of {design.source.name}, {design.sha256[:12]}: the study is of another one; {again}"
            self.refuse("inputs_sha256", must, record.inputs_sha256[:12])
        return record

    def _object(self) -> tuple[Json, str]:
        """What the file says as a table, every key once, with the checksum of it."""
        must = "be a table in JSON, every key once, every number finite"
        if len(self.content) > LARGEST:
            self.refuse(FILE, f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")
        try:
            said = json.loads(self.content, object_pairs_hook=_once, parse_constant=_no_number)
            if not isinstance(said, dict):
                self.refuse(FILE, must, "something else")
            return said, checksum(said)
        except json.JSONDecodeError as error:
            self.refuse(FILE, must, error.msg, error.lineno, error.colno)
        except InputErrors:
            raise
        except (ValueError, RecursionError) as error:
            self.refuse(FILE, must, f"{error}"[:100])

    def _all_wrong(self, error: ValidationError) -> Iterator[InputError]:
        for detail in error.errors(include_url=False)[:MOST_TOLD]:
            path = repr(".".join(str(part) for part in detail["loc"][1:]))[1:-1][:200] or FILE  # a key may be anything
            yield InputError(self.name, 1, 1, path, _must(detail), _got(detail))


def _once(pairs: list[tuple[str, Any]]) -> Json:
    if len(made := dict(pairs)) < len(pairs):
        message = "a key that stands twice"
        raise ValueError(message)
    return made


def _no_number(text: str) -> NoReturn:
    message = f"{text}, no number"
    raise ValueError(message)


def _must(error: ErrorDetails) -> str:
    known = {"missing": "be given", "extra_forbidden": "not be there: a record has no such field"}
    said = error["msg"].removeprefix("Input should ").removeprefix("Value error, ")
    return known.get(error["type"], said[:200])


def _got(error: ErrorDetails) -> str:
    value = error["input"]
    return "nothing" if error["type"] == "missing" else show(value) if isinstance(value, str | float | int) else "other"

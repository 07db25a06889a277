"""Studies that a package ends with: their records read from files, held against project and run, and laid out."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Annotated, NamedTuple

from pydantic import Field, TypeAdapter

from calc.chain import Run
from calc.engine.words import words_of
from calc.inputs import Design, InputErrors
from calc.inputs.reading.problems import FILE
from calc.package.attached import Appendix, Attached
from calc.study.size_record import SizeRecord, size_appendix
from calc.study.study_record import WRITES, RecordFile, StudyRecord, name_of
from calc.study.vary.data_file import files_beside
from calc.study.vary.read_vary import VaryRecord, held_against, refuse_other_numbers
from calc.study.vary.vary_pages import vary_appendix

say = words_of(__name__)

_MODELS: TypeAdapter[VaryRecord | SizeRecord] = TypeAdapter(
    Annotated[VaryRecord | SizeRecord, Field(discriminator="study")]
)


class StudyChapter(NamedTuple):
    """A study as a package has it: its chapter, and what goes into the PDF under the names it is kept by."""

    name: str
    appendix: Appendix
    attached: tuple[Attached, ...]


@dataclass(frozen=True)
class StudyPart:
    """A study of a design: its record, and the files of data that it was made of, by the names they are kept under.

    `lay_out` gives the chapter with a run of the design.
    """

    file: RecordFile
    study: str
    files: dict[str, bytes]
    lay_out: Callable[[Run], Appendix]

    @property
    def name(self) -> str:
        """Under which the record is attached and kept."""
        return name_of(self.study)

    def chapter(self, run: Run) -> StudyChapter:
        """The chapter; `InputErrors` where it speaks of other numbers than the run, or cannot be laid out."""
        about = say("record", command=WRITES[self.study])
        attached = [Attached(self.name, self.file.content, "application/json", "Supplement", about),
                    *(Attached(name, content, "text/csv", "Source", say("data"))
                      for name, content in self.files.items())]  # fmt: skip
        try:
            return StudyChapter(self.name, self.lay_out(run), tuple(attached))
        except InputErrors:
            raise
        except (ArithmeticError, ValueError) as error:
            # Numbers that no study finds, from a record with a checksum all the same.
            self.file.refuse(FILE, "hold numbers that can be drawn", f"{error}"[:100])


def _read_study(file: RecordFile, design: Design) -> StudyPart:
    """The study of a record; `InputErrors` for anything that is no record of this project by this program."""
    record = file.read(_MODELS, design)
    # The file of results of tests goes with every package.
    own = {design.results_file.name: design.results_file.content} if design.results_file else {}
    if isinstance(record, SizeRecord):
        _refuse_other_files(file, own, record)
        return StudyPart(file, record.study, {}, lambda _: size_appendix(file, design, record))
    read = held_against(file, design, record)
    try:
        beside = files_beside(design, read.vary)
    except OSError as error:
        file.refuse("files", "be beside the project file", f"{Path(error.filename).name}: {error.strerror}")
    _refuse_other_files(file, beside, record)

    def lay_out(run: Run) -> Appendix:
        refuse_other_numbers(file, record, run)
        return vary_appendix(read)

    return StudyPart(
        file, record.study, {name: content for name, content in beside.items() if name not in own}, lay_out
    )


def _refuse_other_files(file: RecordFile, beside: Mapping[str, bytes], record: StudyRecord) -> None:
    """The files that the study was made of must be those beside the project file."""
    hashes = {name: sha256(content).hexdigest() for name, content in beside.items()}
    for name in sorted(hashes.keys() | record.files.keys()):
        if hashes.get(name) != record.files.get(name):
            must = "be that of the file beside the project file: the study is of other data"
            file.refuse(f"files.{name}"[:100], must, (record.files.get(name) or "none")[:12])


def read_studies(records: Mapping[str, bytes], design: Design) -> list[StudyPart]:
    """The studies of records by the names of their files, one of a kind."""
    parts = list[StudyPart]()
    for name, content in records.items():
        part = _read_study(RecordFile(name, content), design)
        if part.name in {other.name for other in parts}:
            part.file.refuse("study", "be the only one of its kind in a package", part.study)
        parts.append(part)
    return parts

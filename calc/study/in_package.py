"""Studies that a package ends with: their records read from files, held against project and run, and laid out."""

from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from pydantic import TypeAdapter

from calc.chain import Run
from calc.inputs import Design
from calc.package.attached import Appendix, Attached
from calc.study.study_record import WRITES, RecordFile
from calc.study.vary.data_file import files_beside
from calc.study.vary.recorded import ReadVary, VaryRecord, held_against, refuse_other_numbers
from calc.study.vary.vary_pages import vary_appendix

_MODELS: TypeAdapter[VaryRecord] = TypeAdapter(VaryRecord)


class StudyChapter(NamedTuple):
    """A study as a package has it: its chapter, and what goes into the PDF under the names it is kept by."""

    name: str
    appendix: Appendix
    attached: tuple[Attached, ...]


@dataclass(frozen=True)
class StudyPart:
    """A study of a design: its record, and the files of data that it was made of, by the names they are kept under."""

    file: RecordFile
    read: ReadVary
    files: dict[str, bytes]

    @property
    def name(self) -> str:
        """Under which the record is attached and kept."""
        return f"{self.read.found.study}.json"

    def chapter(self, run: Run) -> StudyChapter:
        """The chapter; `InputErrors` where it speaks of other numbers than the run, or cannot be laid out."""
        refuse_other_numbers(self.file, self.read.found, run)
        about = f"Record of {WRITES[self.read.found.study]}"
        attached = [Attached(self.name, self.file.content, "application/json", "Supplement", about),
                    *(Attached(name, content, "text/csv", "Source", "Data of a distribution")
                      for name, content in self.files.items())]  # fmt: skip
        try:
            return StudyChapter(self.name, vary_appendix(self.read, self.name), tuple(attached))
        except (ArithmeticError, ValueError) as error:
            # Numbers that no study finds, from a record with a checksum all the same.
            self.file.refuse("sections", "hold numbers that can be drawn", f"{error}"[:100])


def _read_study(file: RecordFile, design: Design) -> StudyPart:
    """The study of a record; `InputErrors` for anything that is no record of this project by this program."""
    found = file.read(_MODELS, design)
    read = held_against(file, design, found)
    beside = _files_beside(file, read)
    own = design.results_file.name if design.results_file else None  # goes with every package
    return StudyPart(file, read, {name: content for name, content in beside.items() if name != own})


def read_studies(records: Mapping[str, bytes], design: Design) -> list[StudyPart]:
    """The studies of records by the names of their files, one of a kind."""
    parts = list[StudyPart]()
    for name, content in records.items():
        part = _read_study(RecordFile(name, content), design)
        if part.name in {other.name for other in parts}:
            part.file.refuse("study", "be the only one of its kind in a package", part.read.found.study)
        parts.append(part)
    return parts


def _files_beside(file: RecordFile, read: ReadVary) -> dict[str, bytes]:
    """The files that the study was made of, which must be those beside the project file."""
    try:
        beside = files_beside(read.design, read.vary)
    except OSError as error:
        file.refuse("files", "be beside the project file", f"{Path(error.filename).name}: {error.strerror}")
    hashes = {name: sha256(content).hexdigest() for name, content in beside.items()}
    for name in sorted(hashes.keys() | read.found.files.keys()):
        if hashes.get(name) != read.found.files.get(name):
            must = "be that of the file beside the project file: the study is of other data"
            file.refuse(f"files.{name}"[:100], must, (read.found.files.get(name) or "none")[:12])  # fmt: skip
    return beside

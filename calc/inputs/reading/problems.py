"""What is wrong with a project file: all of it at once, each with file, line, column and field."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class InputError:
    """One thing that is wrong: where it stands, what it must be, what it got."""

    file: str
    line: int
    column: int
    path: str
    must: str
    got: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.path}: must {self.must}, got {self.got}"


class InputErrors(ValueError):  # noqa: N818  # it holds many
    """Everything that is wrong with a project file, in the order of its lines; the text has one line for each."""

    def __init__(self, errors: Iterable[InputError]) -> None:
        unique = dict.fromkeys(errors)
        self.errors = tuple(sorted(unique, key=lambda error: (error.line, error.column, error.path)))
        super().__init__("\n".join(map(str, self.errors)))

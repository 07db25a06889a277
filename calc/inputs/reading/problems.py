"""What is wrong with a project file: all of it at once, each with file, line, column and field."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

FILE = "file"  # in the place of a field: how the file is written


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
    """Everything that is wrong with a project file, a line each: how it is written, then its fields by line."""

    def __init__(self, errors: Iterable[InputError]) -> None:
        unique = dict.fromkeys(errors)
        self.errors = tuple(
            sorted(unique, key=lambda error: (error.path != FILE, error.line, error.column, error.path))
        )
        super().__init__("\n".join(map(str, self.errors)))


def distinct_mistakes(errors: Iterable[tuple[InputError, str | None]], sections: Sequence[str]) -> list[InputError]:
    """Each mistake once, with the keys of the sections that it is one in, where it is none in the others.

    An error comes with the key of the section that it was found in, without one where it holds for the file.
    """
    alike: dict[tuple[int, int, str, str], list[tuple[InputError, str | None]]] = {}
    for error, section in errors:
        what = re.sub(r"[0-9.]+", "", error.must)  # numbers differ between the sections
        alike.setdefault((error.line, error.column, error.path, what), []).append((error, section))
    return [_with_sections(group, sections) for group in alike.values()]


def _with_sections(same: list[tuple[InputError, str | None]], sections: Sequence[str]) -> InputError:
    first, key = same[0]
    keys = list(dict.fromkeys(section for _, section in same if section is not None))
    differ = len({error.must for error, _ in same}) > 1
    if len(sections) == 1 or any(section is None for _, section in same) or (set(keys) == set(sections) and not differ):
        return first
    numbers = f"; numbers of {key}" if differ else ""
    return replace(first, got=f"{first.got} (section{'s' * (len(keys) > 1)} {', '.join(keys)}{numbers})")

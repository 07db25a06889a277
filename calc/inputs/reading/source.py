"""The project file as read: bytes, document, and where everything stands in it."""

import re
import tomllib
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path as FilePath
from typing import Any, NoReturn

from calc.inputs.reading.glyphs import first_without_glyph
from calc.inputs.reading.locate import Path, Place, locate
from calc.inputs.reading.problems import InputError, InputErrors
from calc.inputs.reading.scalars import show

LARGEST = 2_000_000
_PLAIN = re.compile(r'"[^"\\]*"')  # a text on one line without escapes: most of a file
_WHERE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True, slots=True)
class Source:
    """A project file: its bytes, what they say, and the place of each key."""

    file: FilePath
    data: bytes
    document: dict[str, Any]
    places: dict[Path, Place]

    @property
    def sha256(self) -> str:
        """Hash of the file."""
        return sha256(self.data).hexdigest()

    def typed_text(self, path: Path) -> str:
        """The text of a value as typed: without quotes for a text, empty for what is no single value."""
        place = self.places.get(path)
        text = place.text if place else ""
        if _PLAIN.fullmatch(text):
            return text[1:-1]
        return str(tomllib.loads(f"x = {text}")["x"]) if text[:1] in {'"', "'"} else text

    def shown_text(self, path: Path) -> str:
        """The text of a value as an error message shows it."""
        place = self.places.get(path)
        if place is None:
            return "nothing"
        return show(self.typed_text(path)) if place.text[:1] in {'"', "'"} else place.text

    def error(self, path: Path, must: str, got: str) -> InputError:
        """An error at a path, or at the nearest table above it that stands in the file."""
        above = next((path[:length] for length in range(len(path), 0, -1) if path[:length] in self.places), ())
        place = self.places.get(above, Place(1, 1))
        return InputError(str(self.file), place.line, place.column, dotted_path(path), must, got)


def dotted_path(path: Path) -> str:
    """A path as it is printed: keys with dots, list items by their number from 1 in brackets."""
    text = "".join(f"[{key + 1}]" if isinstance(key, int) else f".{_printable(key)}" for key in path)
    return text.removeprefix(".")


def _printable(key: str) -> str:
    short = key if len(key) <= 60 else f"{key[:60]}…"
    return short if re.fullmatch(r"[\w-]+", short) else f'"{short.encode("unicode_escape").decode()}"'


def read_source(project: FilePath) -> Source:
    """Read project.toml of a project folder; every refusal is an `InputErrors` of one line."""
    file = project / "project.toml"
    data = _bytes(project, file)
    text = _text(file, data)
    try:
        document = tomllib.loads(text)
        places = locate(text)
    except tomllib.TOMLDecodeError as error:
        _refuse_toml(file, text, str(error))
    except RecursionError:
        _refuse(file, "not nest lists and tables deeper than a project file needs", "a very deep nesting")
    except ValueError:
        _refuse(file, "hold numbers of reasonable length", "a number with thousands of digits")
    _refuse_missing_glyph(file, text)
    return Source(file, data, document, places)


def _bytes(project: FilePath, file: FilePath) -> bytes:
    try:
        with file.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        got = "no such folder" if not project.exists() else getattr(error, "strerror", None) or str(error)
        if project.is_file():
            got = "a file in place of the folder"
        _refuse(file, "be a readable file in the project folder", got[:1].lower() + got[1:])
    if len(data) > LARGEST:
        _refuse(file, f"not be larger than {LARGEST // 1_000_000} MB", "a larger file")
    return data


def _text(file: FilePath, data: bytes) -> str:
    if data.startswith(b"\xef\xbb\xbf"):
        _refuse(file, "be UTF-8 without a byte-order mark", "a byte-order mark at the beginning")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        column = len(before.rsplit(b"\n", 1)[-1].decode("utf-8", "replace")) + 1
        _refuse(file, "be UTF-8", f"the byte 0x{data[error.start]:02x}", before.count(b"\n") + 1, column)


def _refuse_missing_glyph(file: FilePath, text: str) -> None:
    """The file is printed as typed, so every character must have a shape in the fonts of the package."""
    at = first_without_glyph(text)
    if at is None:
        return
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    must = "hold characters only that the fonts of the package can print"
    _refuse(file, must, f"U+{ord(text[at]):04X}", line, column)


def _refuse_toml(file: FilePath, text: str, message: str) -> NoReturn:
    where = _WHERE.search(message)
    if where and where[1]:
        line, column = int(where[1]), int(where[2])
    else:
        line, column = text.count("\n") + 1, len(text.rsplit("\n", 1)[-1]) + 1
    reason = message[: where.start()] if where else message
    got = reason.encode("unicode_escape").decode()[:200]
    _refuse(file, "be written in TOML", got[:1].lower() + got[1:], line, column)


def _refuse(file: FilePath, must: str, got: str, line: int = 1, column: int = 1) -> NoReturn:
    raise InputErrors([InputError(str(file), line, column, "file", must, got)]) from None

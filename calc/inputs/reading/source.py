"""The project file as read: bytes, document, and where everything stands in it."""

import re
import tomllib
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path as FilePath
from typing import Any, NoReturn

from calc.inputs.reading.glyphs import first_without_glyph
from calc.inputs.reading.locate import Path, Place, locate
from calc.inputs.reading.problems import FILE, InputError, InputErrors
from calc.inputs.reading.scalars import show
from calc.inputs.reading.syntax import parse

LARGEST = 2_000_000
_PLAIN = re.compile(r'"[^"\\]*"')  # a text on one line without escapes: most of a file
_MARK = "\ufeff"  # some editors write it at the beginning of a file in UTF-8


@dataclass(frozen=True, slots=True)
class Source:
    """A project file: its bytes, what they say, and the place of each key.

    With mistakes of writing the document says what the other lines say; without `whole` keys may be missing in it.
    """

    file: FilePath
    data: bytes
    document: dict[str, Any]
    places: dict[Path, Place]
    mistakes: tuple[InputError, ...] = ()
    whole: bool = True

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


def read_source(project: FilePath, lists: frozenset[str] = frozenset(), data: bytes | None = None) -> Source:
    """Read project.toml of a project folder; what cannot be read at all is refused at once.

    `lists` are the tables that are written [[name]]; ``data`` stands in for the bytes of the file.
    """
    file = project / "project.toml"
    data = _bytes(project, file) if data is None else data
    text = _text(file, data)
    try:
        parsed = parse(text, lists)
        places = locate(parsed.text) if parsed.document is not None else {}
    except RecursionError:
        _refuse(file, "not nest lists and tables deeper than a project file needs", "a very deep nesting")
    except ValueError:
        _refuse(file, "hold numbers of reasonable length", "a number with thousands of digits")
    mistakes = tuple(
        InputError(str(file), mistake.line, mistake.column, FILE, mistake.must, mistake.got)
        for mistake in parsed.mistakes
    )
    if parsed.document is None:
        raise InputErrors(mistakes)
    if not mistakes:
        _refuse_missing_glyph(file, text)
    return Source(file, data, parsed.document, places, mistakes, parsed.whole)


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


def text_of(data: bytes) -> str:
    """The text of a project file without the mark that some editors put at its beginning."""
    return data.decode("utf-8").removeprefix(_MARK)


def _text(file: FilePath, data: bytes) -> str:
    try:
        return text_of(data)
    except UnicodeDecodeError as error:
        before = data[: error.start]
        column = len(before.rsplit(b"\n", 1)[-1].decode("utf-8", "replace")) + 1
        must = "be saved as UTF-8 (in the editor: save as, with the encoding UTF-8)"
        if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
            _refuse(file, must, "UTF-16")
        byte = data[error.start : error.start + 1]
        sign = byte.decode("cp1252", "replace")
        got = f"the byte 0x{byte.hex()}" + (f', which is "{sign}" in Latin-1' if sign.isprintable() else "")
        _refuse(file, must, got, before.count(b"\n") + 1, column)


def _refuse_missing_glyph(file: FilePath, text: str) -> None:
    """The file is printed as typed, so every character must have a shape in the fonts of the package."""
    at = first_without_glyph(text)
    if at is None:
        return
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    must = "hold characters only that the fonts of the package can print"
    _refuse(file, must, f"U+{ord(text[at]):04X}", line, column)


def _refuse(file: FilePath, must: str, got: str, line: int = 1, column: int = 1) -> NoReturn:
    raise InputErrors([InputError(str(file), line, column, FILE, must, got)]) from None

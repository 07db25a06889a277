"""Where each key of a TOML document stands: line, column, and the text of a value as typed."""

import re
from bisect import bisect_right
from dataclasses import dataclass, field

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_QUOTES = ('"""', "'''", '"', "'")
_ENDS = {
    '"""': re.compile(r'(?:[^"\\]|\\.|"(?!""))*"{3,5}', re.DOTALL),
    "'''": re.compile(r"(?:[^']|'(?!''))*'{3,5}", re.DOTALL),
    '"': re.compile(r'(?:[^"\\\n]|\\.)*"'),
    "'": re.compile(r"[^'\n]*'"),
}
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_PLAIN = re.compile(r"[^,\]}#\n]*")
# A pair with a line of its own, as nearly all are: a bare key, a text without escapes or a number.
_LINE = re.compile(r"""([A-Za-z0-9_-]+)[ \t]*=[ \t]*("[^"\\\n]*"|[^\s"'\[\]{},#]+)[ \t\r]*(?=[\n#]|\Z)""")
_ESCAPE = re.compile(r'\\(?:u([0-9A-Fa-f]{4})|U([0-9A-Fa-f]{8})|([btnfr"\\]))')
_ESCAPED = {"b": "\b", "t": "\t", "n": "\n", "f": "\f", "r": "\r", '"': '"', "\\": "\\"}


@dataclass(frozen=True, slots=True)
class Place:
    """Line and column of a key (from 1), and the text of its value as typed; empty for tables and lists."""

    line: int
    column: int
    text: str = ""


@dataclass
class _Cursor:
    text: str
    places: dict[Path, Place] = field(default_factory=dict)
    at: int = 0
    counts: dict[Path, int] = field(default_factory=dict)
    starts: list[int] = field(default_factory=list)

    def place(self, at: int, text: str = "") -> Place:
        line = bisect_right(self.starts, at)
        return Place(line, at - self.starts[line - 1] + 1, text)

    def blank(self) -> str:
        """Skip white space and comments; give the next sign, or nothing at the end."""
        self.at = _BLANK.match(self.text, self.at).end()  # type: ignore[union-attr]  # it matches the empty text, too
        return self.text[self.at : self.at + 1]

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            message = "the document is not TOML"
            raise ValueError(message)
        self.at = match.end()
        return match[0]


def locate(text: str) -> dict[Path, Place]:
    """Give the place of every key path of a document that `tomllib` accepts; list items have numbers as keys."""
    cursor = _Cursor(text, starts=[0, *(match.end() for match in re.finditer("\n", text))])
    base: Path = ()
    while sign := cursor.blank():
        if sign == "[":
            base = _header(cursor)
        elif pair := _LINE.match(text, cursor.at):
            _note(cursor, (*base, pair[1]), cursor.at, pair[2])
            cursor.at = pair.end()
        else:
            _pair(cursor, base)
    return cursor.places


def _header(cursor: _Cursor) -> Path:
    at = cursor.at
    brackets = 2 if cursor.text.startswith("[[", at) else 1
    cursor.at += brackets
    *parents, last = _keys(cursor)
    path: Path = ()
    for key in parents:
        path = _current(cursor, _note(cursor, (*path, key), at))
    path = (*path, last)
    if brackets == 1:
        # A table may have been named before as the parent of another: its own header is the better place.
        cursor.places[path] = cursor.place(at)
        path = _current(cursor, path)
    else:
        _note(cursor, path, at)
        cursor.counts[path] = cursor.counts.get(path, 0) + 1
        path = _note(cursor, _current(cursor, path), at)
    cursor.blank()
    cursor.at += brackets
    return path


def _current(cursor: _Cursor, path: Path) -> Path:
    """In a list of tables, a key means the last item."""
    return (*path, cursor.counts[path] - 1) if path in cursor.counts else path


def _note(cursor: _Cursor, path: Path, at: int, text: str = "") -> Path:
    cursor.places.setdefault(path, cursor.place(at, text))
    return path


def _pair(cursor: _Cursor, base: Path) -> None:
    at = cursor.at
    *parents, last = _keys(cursor)
    for key in parents:
        base = _note(cursor, (*base, key), at)
    cursor.at += 1
    _value(cursor, (*base, last), at)


def _keys(cursor: _Cursor) -> list[str]:
    """Read a dotted key; the cursor ends on the sign after it."""
    keys: list[str] = []
    while not keys or cursor.text[cursor.at] == ".":
        cursor.at += bool(keys)
        quote = cursor.blank()
        keys.append(_read_quoted(cursor, quote) if quote in {'"', "'"} else cursor.skip(_BARE_KEY))
        cursor.blank()
    return keys


def _read_quoted(cursor: _Cursor, quote: str) -> str:
    cursor.at += 1
    text = cursor.skip(_ENDS[quote])[:-1]
    if quote == "'":
        return text
    return _ESCAPE.sub(lambda match: _ESCAPED[match[3]] if match[3] else chr(int(match[1] or match[2], 16)), text)


def _value(cursor: _Cursor, path: Path, at: int) -> None:
    """Read a value; `at` is where its key stands (in a list: where it begins itself)."""
    sign = cursor.blank()
    if sign in {"[", "{"}:
        cursor.at += 1
        _note(cursor, path, at)
        (_items if sign == "[" else _pairs)(cursor, path)
        return
    begin = cursor.at
    for quote in _QUOTES:
        if cursor.text.startswith(quote, begin):
            cursor.at += len(quote)
            cursor.skip(_ENDS[quote])
            break
    else:
        cursor.skip(_PLAIN)
    _note(cursor, path, at, cursor.text[begin : cursor.at].strip())


def _items(cursor: _Cursor, path: Path) -> None:
    count = 0
    while cursor.blank() != "]":
        _value(cursor, (*path, count), cursor.at)
        count += 1
        cursor.at += cursor.blank() == ","
    cursor.at += 1


def _pairs(cursor: _Cursor, path: Path) -> None:
    while cursor.blank() != "}":
        _pair(cursor, path)
        cursor.at += cursor.blank() == ","
    cursor.at += 1

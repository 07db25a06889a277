"""A file that is no TOML: each mistake with its place and its cure, and what the rest of the file still says."""

import re
import tomllib
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from calc.inputs.reading.locate import Path, Place, locate
from calc.inputs.reading.slips import KEY, slip_of_value, without_texts

UNREADABLE = "\ue000"  # stands for a value that cannot be read; no font has it, so that no file does
MOST = 20
_WHERE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_TWICE = re.compile(r"overwrite|twice|duplicate|mutate|redefine", re.IGNORECASE)
_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]#]+?)\s*\]\]?\s*(?:#.*)?$")


@dataclass(frozen=True, slots=True)
class Mistake:
    """A place of the file that is no TOML: what must stand there, what does."""

    line: int
    column: int
    must: str
    got: str


@dataclass(frozen=True, slots=True)
class Parsed:
    """What a text says beside its mistakes.

    Without a document nothing certain can be told of the rest; without `whole` some key of it may not be known.
    """

    text: str
    document: dict[str, Any] | None
    mistakes: tuple[Mistake, ...] = ()
    whole: bool = True


def parse(text: str, lists: frozenset[str] = frozenset()) -> Parsed:
    """Read a text as TOML; a line that is none is told of and read as if its value were unreadable.

    `lists` are the tables that are written [[name]].
    """
    mistakes: list[Mistake] = []
    whole = True
    while True:
        try:
            return Parsed(text, tomllib.loads(text), tuple(mistakes), whole)
        except tomllib.TOMLDecodeError as error:
            mistake = _mistake(text, str(error), lists)
            twice = _TWICE.search(str(error)) is not None
        again = bool(mistakes) and mistake.line <= mistakes[-1].line
        if not again:
            mistakes.append(mistake)
        repaired = None if again or len(mistakes) == MOST else _without(text, mistake.line, twice=twice)
        if repaired is None:
            return Parsed(text, None, tuple(mistakes))
        text, known = repaired
        whole = whole and known


def _without(text: str, line: int, *, twice: bool) -> tuple[str, bool] | None:
    """The text without the value of a line, and whether its key is kept; None where more than the line may be meant."""
    rows = text.split("\n")
    row = rows[line - 1]
    bare = without_texts(row)
    opens = any(bare.count(left) > bare.count(right) for left, right in ("[]", "{}"))
    if row.lstrip().startswith("[") or '"""' in row or "'''" in row or opens or not _is_toml(rows[: line - 1]):
        return None
    key = KEY.match(row.lstrip())
    if key is None or (twice and "{" not in bare):
        rows[line - 1] = ""
    else:
        rows[line - 1] = f'{key[1]} = "{UNREADABLE}"'
    return "\n".join(rows), twice or key is not None


def _is_toml(rows: list[str]) -> bool:
    return _reads("\n".join(rows))


@lru_cache(maxsize=1)  # of one mistake the lines before it are asked for again and again
def _reads(text: str) -> bool:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _mistake(text: str, message: str, lists: frozenset[str]) -> Mistake:
    """One mistake in the words of a user; in those of the library where none fits."""
    where = _WHERE.search(message)
    rows = text.split("\n")
    line, column = (int(where[1]), int(where[2])) if where and where[1] else (len(rows), len(rows[-1]) + 1)
    reason = message[: where.start()] if where else message
    if line > 1 and where and column == 1 and not rows[line - 1].strip():
        line, column = line - 1, len(rows[line - 2]) + 1  # found at the end of the line before
    if _TWICE.search(reason):
        return _twice(rows, line, column, reason, lists)
    return _slip(rows, line, column) or Mistake(line, column, "be written in TOML", _plain(reason))


def _slip(rows: list[str], line: int, column: int) -> Mistake | None:
    row = rows[line - 1].rstrip("\r")
    begun = _begun(rows, line)
    slip = None
    if begun is None and row.lstrip().startswith("["):
        return Mistake(line, column, "be a header such as [table] or [[list]], with nothing behind it", _plain(row))
    if begun is None or not (KEY.match(row.lstrip()) or _HEADER.match(row) or not without_texts(row).strip()):
        slip = slip_of_value(row, column, in_list=begun is not None)
    if slip is not None:
        return Mistake(line, slip.column, slip.must, _plain(slip.got))
    if begun is None:
        return None
    opened = without_texts(rows[begun - 1])
    what, end = ("list", "]") if "[" in opened else ("text", 'three quotes ("""), as it began')
    return Mistake(begun, 1, f"have the end of its {what}: {end}", f"none before line {line}")


def _begun(rows: list[str], line: int) -> int | None:
    """The line in which a list or text begins that holds this line; nothing for a line of its own."""
    if _is_toml(rows[: line - 1]):
        return None
    return next(before for before in range(line - 1, 0, -1) if _is_toml(rows[: before - 1]))


def _twice(rows: list[str], line: int, column: int, reason: str, lists: frozenset[str]) -> Mistake:
    """A key, or a table, that is given again."""
    row = rows[line - 1]
    header = _HEADER.match(row)
    places = locate("\n".join(rows[: line - 1])) if _is_toml(rows[: line - 1]) else {}
    if header:
        return _table_twice(line, header, places, lists)
    name = re.search(r"inline table key '(.*)'", reason)
    key = KEY.match(row.lstrip())
    at = len(row) - len(row.lstrip()) + 1
    if name or key is None:
        what = f'"{name[1]}"' if name else "a key"
        column = without_texts(row).rfind(name[1]) + 1 if name and name[1] in row else column
        return Mistake(line, column, f"give {what} once in its table", "it a second time")
    path = (*_table_of(rows, line), *key[1].split("."))
    first = places.get(path)
    stands = f" (it stands in line {first.line})" if first else ""
    return Mistake(line, at, f'give "{key[1]}" once in its table{stands}', "it a second time")


def _table_twice(line: int, header: re.Match[str], places: dict[Path, Place], lists: frozenset[str]) -> Mistake:
    """A table given again, or once as a table and once as a list."""
    name = ".".join(part.strip() for part in header[2].split("."))
    alike = [
        (path, place)
        for path, place in places.items()
        if ".".join(str(key) for key in path if not isinstance(key, int)) == name
    ]
    first = min((place.line for _, place in alike), default=None)
    stands = f" (it stands in line {first})" if first else ""
    before = "[[" if any(isinstance(path[-1], int) for path, _ in alike) else "["
    right = "[[" if name.removeprefix("section.") in lists else "["
    if header[1] == before == "[" and right == "[":
        return Mistake(line, 1, f"begin [{name}] once{stands}: its keys belong together", f"[{name}] a second time")
    wrong = line if header[1] != right or first is None else first
    write, got = (f"[[{name}]]", f"[{name}]") if right == "[[" else (f"[{name}]", f"[[{name}]]")
    return Mistake(wrong, 1, f"be written {write}", got)


def _table_of(rows: list[str], line: int) -> Path:
    """The table that a line stands in."""
    mark = "here-it-is"
    places = locate("\n".join([*rows[: line - 1], f"{mark} = 0"]))
    return next(path[:-1] for path in places if path[-1] == mark)


def _plain(text: str) -> str:
    short = text.strip()
    short = short if len(short) <= 80 else f"{short[:80]}…"
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in short)

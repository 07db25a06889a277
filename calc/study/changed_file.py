"""A project file with other inputs: the same text with its comments, in which only the changed values differ."""

import re
import tomllib
from collections.abc import Collection, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, Item, Table

Path = tuple[str | int, ...]
Changes = Mapping[Path, Any]
REMOVED = None
KEPT = 256  # texts kept: a design of a grid is read again for its probes, its dates and its run


class ChangeError(ValueError):
    """A change that would reach another section as well."""


def changed_text(text: str, section: int, changes: Changes, mark: str = "") -> str:
    """The text of a project file with other values in one section.

    With a ``mark`` it stands as a comment beside every value that is another one, with the old value and its comment
    behind it; a table that is replaced has it beside its head.

    Paths begin below the section; a value may stand in a common table, where it is changed if there is one section
    only, and otherwise stated anew in a table of the section's own. None removes a key. ``ChangeError`` where a key
    to be removed stands in a table that other sections have as well.
    """
    return _changed_text(text, section, _Asked(repr([*changes.items()]), changes), mark)


@dataclass(frozen=True)
class _Asked:
    """Changes, equal where they are written the same."""

    written: str
    changes: Changes = field(compare=False)


@lru_cache(maxsize=KEPT)
def _changed_text(text: str, section: int, asked: _Asked, mark: str) -> str:
    document = tomlkit.parse(text)
    sections: Any = document["section"]
    for path, value in asked.changes.items():
        if value is REMOVED:
            _remove(document, sections, section, path)
        else:
            _set_value(document, sections, section, path, value, mark)
    made = tomlkit.dumps(document)
    assert isinstance(made, str)  # noqa: S101 - tomlkit says Any
    return made


def without_tables(text: str, names: Collection[str]) -> str:
    """The text without some tables of the file and all below them, which takes less time to read.

    Where the lines do not tell them apart, as with a table on one line, the text as it is.
    """
    kept, dropping = list[str](), False
    for line in text.splitlines(keepends=True):
        if header := re.match(r"\s*\[\[?\s*([\w-]+)", line):
            dropping = header[1] in names
        if not dropping:
            kept.append(line)
    shorter = "".join(kept)
    try:
        same = tomllib.loads(shorter) == {key: value for key, value in tomllib.loads(text).items() if key not in names}
    except tomllib.TOMLDecodeError:
        return text
    return shorter if same else text


def _set_value(document: Any, sections: Any, place: int, path: Path, value: Any, mark: str) -> None:
    table = _home(document, sections, place, path)
    for key, after in pairwise(path):
        if isinstance(key, str) and key not in table and not isinstance(after, int):
            table[key] = tomlkit.table()
        table = table[key]
    old = table.get(path[-1]) if hasattr(table, "get") else None
    new = _item(value)
    if isinstance(old, Item) and not isinstance(old, AoT) and not isinstance(value, Mapping | list):
        new.trivia.comment_ws, new.trivia.comment = old.trivia.comment_ws, old.trivia.comment
        new.trivia.trail = old.trivia.trail
    if mark and (old is None or not _same(old, value)):
        _mark(new, mark, old)
    table[path[-1]] = new


def _same(old: Any, value: Any) -> bool:
    return bool((old.unwrap() if isinstance(old, Item | AoT) else old) == value)


def _mark(new: Any, mark: str, old: Any) -> None:
    """Say that a value was written, and what stood there: a comment on the old one may not hold for it."""
    if isinstance(new, AoT):
        for table in new:
            table.comment(mark)
        return
    was = ""
    if isinstance(old, Item) and not isinstance(old, AoT | Table | Array):
        was = f"; was: {' '.join([*old.as_string().split(), *old.trivia.comment.split()])}"
    new.comment(f"{mark}{was}")


def _home(document: Any, sections: Any, place: int, path: Path) -> Any:
    """The section, or the whole file where the value stands, or would stand, in a table common to its one section."""
    own = sections[place]
    if len(sections) == 1:
        stands = [table for table in (own, document) if _item_at(table, path) is not None]
        return (stands or [table for table in (own, document) if path[0] in table] or [own])[0]
    place_in_list = next((k for k, key in enumerate(path) if isinstance(key, int)), 0)
    to_list = path[:place_in_list]
    common = _item_at(document, to_list)
    if to_list and _item_at(own, to_list) is None and isinstance(common, list):
        # Lists are replaced as a whole: the section takes a copy.
        table = own
        for key in to_list[:-1]:
            table = table.setdefault(key, tomlkit.table())
        table[to_list[-1]] = deepcopy(common)
    return own


def _remove(document: Any, sections: Any, place: int, path: Path) -> None:
    home = _home(document, sections, place, path)
    if _item_at(home, path) is not None:
        del _item_at(home, path[:-1])[path[-1]]
    if _item_at(document, path) is None or isinstance(home.get(path[0]), list):
        return
    if len(sections) > 1:
        name = ".".join(map(str, path))
        message = f"{name} stands in a table that all sections have: give it in the section, where it can be left out"
        raise ChangeError(message)
    del _item_at(document, path[:-1])[path[-1]]


def _item_at(table: Any, path: Sequence[str | int]) -> Any:
    """What stands at a path, None where nothing does."""
    for key in path:
        if isinstance(key, int):
            if not isinstance(table, list) or key >= len(table):
                return None
        elif not isinstance(table, Mapping) or key not in table:
            return None
        table = table[key]
    return table


def _item(value: Any) -> Any:
    """A value for the file; tables in a table stand on one line each."""
    if not isinstance(value, Mapping):
        return tomlkit.item(value)
    table = tomlkit.table()
    for key, inner in value.items():
        table[key] = _inline(inner) if isinstance(inner, Mapping) else tomlkit.item(inner)
    table.add(tomlkit.nl())
    return table


def _inline(value: Mapping[str, Any]) -> Any:
    table = tomlkit.inline_table()
    table.update(value)
    return table

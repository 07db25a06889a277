"""Texts of chapters, readings and studies: each that a module looks up stands in its words.toml, each is looked up."""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from calc.engine.words import MissingWordsError, words_of
from tests.architecture.checkout import ROOT

ROOMS = [path.parent for where in ("chapters/*", "site/observed", "study", "study/vary")
         for path in sorted((ROOT / "calc").glob(f"{where}/words.toml"))]  # fmt: skip


def looked_up(room: Path) -> Iterator[tuple[str, str, frozenset[str]]]:
    """Module, key and names of values of every look-up in a room."""
    for module in sorted(room.glob("*.py")):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "say":
                [key] = node.args
                assert isinstance(key, ast.Constant), f"{module}:{node.lineno}: the key must stand there as it is"
                yield module.stem, str(key.value), frozenset(keyword.arg or "" for keyword in node.keywords)


def asked_by(text: str) -> frozenset[str]:
    """Names of the values that a text holds."""
    from string import Formatter

    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name is not None)


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_every_text_is_looked_up_and_every_look_up_has_its_text(room: Path) -> None:
    book = tomllib.loads((room / "words.toml").read_text(encoding="utf-8"))
    known = {(module, key) for module, table in book.items() if module != "prose" for key in table}
    used = {(module, key) for module, key, _ in looked_up(room)}

    assert sorted(used - known) == [], f"look-ups without a text in {room.name}/words.toml: write it"
    assert sorted(known - used) == [], f"texts of {room.name}/words.toml that nothing says: take them out"


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_every_look_up_gives_the_values_that_its_text_asks_for(room: Path) -> None:
    book = tomllib.loads((room / "words.toml").read_text(encoding="utf-8"))
    wrong = [
        f"[{module}] {key}: asks for {sorted(asked_by(book[module][key]))}, gets {sorted(given)}"
        for module, key, given in looked_up(room)
        if asked_by(book[module][key]) != given
    ]

    assert wrong == [], f"give each text of {room.name}/words.toml the values that it asks for, no more"


def test_heads_of_tables_are_looked_up() -> None:
    typed = [
        f"{module.relative_to(ROOT)}:{node.lineno}: {keyword.value.value!r}"
        for module in sorted((ROOT / "calc" / "chapters").rglob("*.py"))
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "TableColumn"
        for keyword in node.keywords
        if keyword.arg == "words" and isinstance(keyword.value, ast.Constant)
    ]

    assert typed == [], "put these heads into words.toml of the room and look them up with say"


def test_every_chapter_has_prose() -> None:
    from calc.chain import CHAPTERS

    chapters = [room for room in ROOMS if room.parent.name == "chapters"]
    rooms = {room.name: tomllib.loads((room / "words.toml").read_text(encoding="utf-8")) for room in chapters}

    bare = [chapter.key for chapter in CHAPTERS if not rooms[chapter.key]["prose"]]
    assert bare == [], "write [prose] in words.toml of these chapters"


@pytest.mark.parametrize(("key", "values"), [("no-such-text", {}), ("sliding-title", {})])
def test_missing_text_or_value_is_an_error_that_names_the_file(key: str, values: dict[str, str]) -> None:
    with pytest.raises(MissingWordsError, match=r"calc\.chapters\.thrust/words\.toml, \[sides\] " + key):
        words_of("calc.chapters.thrust.sides")(key, **values)

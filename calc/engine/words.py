"""What chapters say: the texts of their words.toml, looked up by key in one place."""

import tomllib
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any


class MissingWordsError(LookupError):
    """A text that no words.toml holds, or a value that it asks for and does not get."""


def words_of(module: str) -> Callable[..., str]:
    """The look-up for one module of a chapter: the table of its name in the words.toml beside it.

    ``say("limitation-low", height="0.4")`` is the text under that key with the value put in its place.
    """
    package, _, name = module.rpartition(".")

    def say(key: str, /, **values: object) -> str:
        try:
            text: str = _book(package)[name][key]
            return text.format(**values)
        except KeyError as error:
            message = f"{package}/words.toml, [{name}] {key}: {error.args[0]!r} is missing"
            raise MissingWordsError(message) from error

    return say


def prose_of(package: str) -> list[str]:
    """The paragraphs at the head of a chapter."""
    paragraphs: list[str] = _book(package)["prose"]
    return paragraphs


@cache
def _book(package: str) -> dict[str, Any]:
    return tomllib.loads(files(package).joinpath("words.toml").read_text(encoding="utf-8"))

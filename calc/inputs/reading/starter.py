"""The starter project: a commented project file that runs as it is."""

import re
import tomllib
from collections.abc import Iterator
from functools import cache

from calc.inputs.reading.scalars import UNPRINTABLE
from calc.resources import template_folder

STARTER = "starter/project.toml"  # among the templates
MARKER = '"Title of the project"'
LONGEST = 300
# How the texts begin that stand in the starter for something that only the user knows.
_STAND_IN = (
    "Title of ", "0000-000", "Starter project", "Name of the ", "Number and date of ", "Number of ", "Which ", "What ",
    "How the ", "Why ", "see …", "not relevant because …", "example value: ", "The values of this file are examples",
)  # fmt: skip
_SWITCHED_OFF = re.compile(r"^(#{1,2}) (?=\[\[?[\w.]+\]\]?(?: #.*)?$|\w+ = )", re.MULTILINE)


def starter_project(title: str) -> str:
    """Give the text of a starter project file with its title.

    A title that the reader would refuse raises `ValueError`: empty, of more than 300 characters, or not printable.
    """
    if not title.strip() or len(title) > LONGEST or UNPRINTABLE.search(title) or "\n" in title or "\t" in title:
        message = f"the title must be a printable line of at most {LONGEST} characters (got {title!r:.80})"
        raise ValueError(message)
    text = _template()
    quoted = title.replace("\\", "\\\\").replace('"', '\\"')
    return text.replace(MARKER, f'"{quoted}"', 1)


@cache
def placeholders() -> frozenset[str]:
    """The texts of the starter that are to be replaced: a file that still holds one is no calculation of anything."""
    return frozenset(text for text in _texts(tomllib.loads(switched_on(_template()))) if text.startswith(_STAND_IN))


def switched_on(text: str) -> str:
    """The text with every line in use that is switched off."""
    return _SWITCHED_OFF.sub("", text)


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for part in value.values() if isinstance(value, dict) else value:
            yield from _texts(part)


def _template() -> str:
    return (template_folder() / STARTER).read_text(encoding="utf-8")


def ground_at(text: str) -> int:
    """Where the sections of a starter begin."""
    return text.index("# Sections: chainages")

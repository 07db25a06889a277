"""Limitations of a record that can turn a verdict, and how a study names them."""

from collections.abc import Collection, Iterable, Mapping
from textwrap import shorten
from typing import Protocol

from calc.engine.sheet import Limitation, Sheet, Verdict

BRIEF = 150  # characters of a limitation on a terminal; the pages have it whole


def turning(sheets: Iterable[Sheet], verdict: Verdict) -> tuple[Limitation, ...]:
    """The limitations of a section by which a verdict with numbers would turn if they were otherwise."""
    if verdict.utilisation is None:
        return ()
    return tuple(limit for sheet in sheets for limit in sheet.limitations if verdict.key in limit.turns)


def brief(limit: Limitation) -> str:
    """The first words of a limitation."""
    return shorten(limit.text, BRIEF, placeholder=" …")


class Keyed(Protocol):
    """A limitation, or what a record says of one."""

    @property
    def key(self) -> str:
        """Its key."""


def limitation_numbers(limits: Iterable[Keyed]) -> dict[str, int]:
    """The numbers of limitations by their keys, in their order: by these they are named beside their words."""
    return {key: number for number, key in enumerate(dict.fromkeys(limit.key for limit in limits), start=1)}


def numbers_of(limits: Collection[Keyed], numbers: Mapping[str, int] | None = None) -> str:
    """Limitations by their numbers: their own, or those given where more are numbered together."""
    numbers = numbers or limitation_numbers(limits)
    return ", ".join(str(number) for number in sorted({numbers[limit.key] for limit in limits}))

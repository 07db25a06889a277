"""The numbers of lines: one for each quantity, the same in every section, whatever else a project holds.

A room of a chapter lists its quantities in `lines.txt`, new ones at its end; the place in the list is the number.
A design that lacks some of them has gaps between its numbers. What no list holds is numbered behind the last, in order.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from importlib.resources import files

from calc.engine.sheet import Sheet


def own_key(key: str) -> str:
    """The key of a step without its section: the same in every section."""
    return key.partition("/")[2]


@lru_cache(maxsize=64)
def listed_quantities(chapter: str) -> tuple[str, ...]:
    """The quantities which the room of a chapter lists, as `scope/symbol`; none for a chapter without a room."""
    place = files("calc.chapters") / chapter / "lines.txt"
    return tuple(place.read_text(encoding="utf-8").split()) if place.is_file() else ()


def line_numbers(sections: Sequence[Sequence[Sheet]]) -> dict[str, str]:
    """The number of each step of all sections by its key without the section: chapter and line, as in `7.83`."""
    numbers: dict[str, str] = {}
    for place, sheets in enumerate(zip(*sections, strict=True), start=1):
        chapter = sheets[0].key
        known = listed_quantities(chapter)
        keys = [own_key(step.key) for sheet in sheets for step in sheet.steps]
        new = merged_order([own_key(step.key) for step in sheet.steps] for sheet in sheets)
        every = [f"{chapter}/{name}" for name in known]
        every += [key for key in new if key not in set(every)]
        ranks = {key: rank for rank, key in enumerate(every, start=1)}
        numbers |= {key: f"{place}.{ranks[key]}" for key in keys}
    return numbers


def merged_order(lists: Iterable[Sequence[str]]) -> list[str]:
    """Several lists as one: what is new in a list comes behind what stands before it there."""
    made: list[str] = []
    places: dict[str, int] = {}
    for names in lists:
        at = 0
        for name in names:
            if name in places:
                at = places[name] + 1
                continue
            made.insert(at, name)
            places = {known: place for place, known in enumerate(made)} if at < len(places) else places | {name: at}
            at += 1
    return made

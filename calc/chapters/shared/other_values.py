"""The sheets of a section as something reads them again: which places it reads, or other values in some of them."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from calc.engine.sheet import Sheet, Value

Place = tuple[str, str, str]  # chapter, its scope or nothing, symbol


class OtherSheets:
    """The sheets of the chapters with other values in some places; what is read of the others is noted in `used`."""

    def __init__(self, done: Mapping[str, Sheet], used: dict[Place, Value], others: Mapping[Place, Value]) -> None:
        self._done, self._used, self._others = done, used, others
        self._known: dict[str, OtherSymbols] = {}

    def __getitem__(self, chapter: str) -> "OtherSymbols":
        if chapter not in self._known:
            self._known[chapter] = OtherSymbols(self._done[chapter], (chapter, ""), self._used, self._others)
        return self._known[chapter]


class OtherSymbols:
    """A chapter or a scope of it."""

    def __init__(
        self, real: Any, place: tuple[str, str], used: dict[Place, Value], others: Mapping[Place, Value]
    ) -> None:
        self._real, self._place, self._used, self._others = real, place, used, others

    @property
    def axes(self) -> dict[str, tuple[str, ...]]:
        """The axes of the chapter."""
        axes: dict[str, tuple[str, ...]] = self._real.axes
        return axes

    @property
    def values(self) -> dict[str, Value]:
        """Its own symbols, to ask which there are: their values are those of the run."""
        values: dict[str, Value] = self._real.values
        return values

    @cached_property
    def scopes(self) -> "dict[str, OtherSymbols]":
        """Its scopes by name."""
        chapter = self._place[0]
        return {name: OtherSymbols(scope, (chapter, name), self._used, self._others)
                for name, scope in self._real.scopes.items()}  # fmt: skip

    def __contains__(self, symbol: str) -> bool:
        return symbol in self._real

    def __getitem__(self, symbol: str) -> Value:
        place = (*self._place, symbol)
        if place in self._others:
            return self._others[place]
        value: Value = self._real[symbol]
        self._used[place] = value
        return value


def row_of(value: Value, sample: int) -> Value:
    """The value of one sample; the value itself where it is that of all."""
    if not value.axes or value.axes[0].name != "sample":
        return value
    mask = None if value.mask is None else value.mask[sample]
    return Value(value.symbol, value.array[sample], value.axes[1:], value.step, mask, value.reason)

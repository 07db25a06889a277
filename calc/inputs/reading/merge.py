"""Tables stated once for all sections, and what a section says differently."""

from dataclasses import dataclass, field
from typing import Any

from calc.inputs.reading.locate import Path


@dataclass(frozen=True, slots=True)
class Merged:
    """A table as it holds for one section, and where in the file each part of it stands."""

    table: dict[str, Any]
    origins: dict[Path, Path] = field(default_factory=dict)

    def stands_at(self, path: Path) -> Path:
        """The path in the file of a path in the merged table."""
        length = next(length for length in range(len(path), -1, -1) if path[:length] in self.origins)
        return self.origins[path[:length]] + path[length:]


def merge(common: dict[str, Any], own: dict[str, Any], at_common: Path, at_own: Path) -> Merged:
    """Lay the own table over the common one: tables are merged key by key, anything else is replaced as a whole."""
    table: dict[str, Any] = {}
    origins: dict[Path, Path] = {(): at_own}
    for key in [*common, *(key for key in own if key not in common)]:
        shared, special = common.get(key), own.get(key)
        if isinstance(shared, dict) and isinstance(special, dict):
            inner = merge(shared, special, (*at_common, key), (*at_own, key))
            table[key] = inner.table
            origins |= {(key, *path): place for path, place in inner.origins.items()}
        else:
            table[key] = special if key in own else shared
            origins[key,] = (*at_own, key) if key in own else (*at_common, key)
    return Merged(table, origins)

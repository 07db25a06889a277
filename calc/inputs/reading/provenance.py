"""Where every single value of a table comes from: the file, or the default of its field."""

from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any

from pydantic.fields import FieldInfo

from calc.inputs.reading.kinds import Table
from calc.inputs.reading.locate import Path
from calc.inputs.reading.source import Source
from calc.inputs.tables.section import Provenance, Section


def provenance(
    table: Table, path: Path, label: str, source: Source, stands_at: Callable[[Path], Path]
) -> dict[str, Provenance]:
    """Give each value its origin; tables in a list are labelled by their key, or by their index from 0."""
    origins: dict[str, Provenance] = {}
    for text, place, info, value in single_values(table, path, label):
        if (origin := _origin(source, stands_at(place), info, value)) is not None:
            origins[text] = origin
    return origins


def single_values(table: Table, path: Path, label: str) -> Iterator[tuple[str, Path, FieldInfo, Any]]:
    """Every single value of a table with its label, path and field; those of sections are left out."""
    for name, key, info in _fields(type(table)):
        for place, text, value in _values(getattr(table, name), (*path, key), f"{label}{key}"):
            if not isinstance(value, Table):
                yield text, place, info, value
            elif not isinstance(value, Section):  # its parts may stand in common tables: asked for section by section
                yield from single_values(value, place, f"{text}.")


@cache
def _fields(model: type[Table]) -> list[tuple[str, str, FieldInfo]]:
    """The fields of a table with their names in Python and in the file."""
    return [(name, info.alias or name, info) for name, info in model.model_fields.items()]


def _values(value: Any, path: Path, label: str) -> Iterable[tuple[Path, str, Any]]:
    if not isinstance(value, tuple):
        return [(path, label, value)]
    return [((*path, index), f"{label}.{getattr(item, 'key', index)}", item) for index, item in enumerate(value)]


def _origin(source: Source, path: Path, info: FieldInfo, value: object) -> Provenance | None:
    place = source.places.get(path)
    if place is not None:
        return Provenance(source.typed_text(path), place.line, place.column, "file")
    # The example of a field with a default is the default as one would type it.
    return None if value is None else Provenance(str((info.examples or [value])[0]), None, None, "default")

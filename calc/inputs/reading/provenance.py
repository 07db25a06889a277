"""Where every single value of a table comes from: the file, or the default of its field."""

from collections.abc import Callable, Iterator
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
    for name, info in type(table).model_fields.items():
        key = info.alias or name
        for place, text, value in _values(getattr(table, name), (*path, key), f"{label}{key}"):
            if isinstance(value, Section):
                continue  # its parts may stand in common tables: asked for section by section
            if isinstance(value, Table):
                yield from single_values(value, place, f"{text}.")
            else:
                yield text, place, info, value


def _values(value: Any, path: Path, label: str) -> Iterator[tuple[Path, str, Any]]:
    if not isinstance(value, tuple):
        yield path, label, value
        return
    for index, item in enumerate(value):
        yield (*path, index), f"{label}.{getattr(item, 'key', index)}", item


def _origin(source: Source, path: Path, info: FieldInfo, value: object) -> Provenance | None:
    place = source.places.get(path)
    if place is not None:
        return Provenance(source.typed_text(path), place.line, place.column, "file")
    # The example of a field with a default is the default as one would type it.
    return None if value is None else Provenance(str((info.examples or [value])[0]), None, None, "default")

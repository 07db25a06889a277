"""A design with other numbers in some fields of its project file, by their paths."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from calc.inputs import Design, Section
from calc.inputs.reading.kinds import Table


class FieldError(LookupError):
    """A path that leads to no number of the project file."""


def number_at(design: Design, section: Section, path: str) -> float:
    """The number of a field, in coherent units: of the section, or with ``basis.`` of the design basis.

    ``FieldError`` where the path names no field, or one without a number. A part of a layer has the values that are its
    own.
    """
    if path in section.own_values:
        return section.own_values[path]
    node: Any = design if path.startswith("basis.") else section
    tables: Any = _typed(section)
    for name in path.split("."):
        node = tables if node is section and name == "layer" else _step(node, name, path)
    if isinstance(node, bool) or not isinstance(node, int | float):
        message = f"{path} has no number in section {section.key}"
        raise FieldError(message)
    return float(node)


def with_numbers(design: Design, section: Section, numbers: Mapping[str, float]) -> tuple[Design, Section]:
    """Design and section with other numbers (coherent units) in fields, which must have one already."""
    basis, layers = design.basis, _typed(section)
    changed = section.with_own_values({path: numbers[path] for path in numbers if path in section.own_values})
    changed = changed.model_copy(update={"layers": layers})
    for path, number in numbers.items():
        number_at(design, section, path)
        if path in section.own_values:
            continue
        head, *rest = path.split(".")
        if head == "basis":
            basis = _with(basis, rest, number, path)
        else:
            changed = _with(changed, [head, *rest], number, path)
    if layers is not section.layers:
        changed = changed.in_parts()
    return replace(design, basis=basis), changed


def _typed(section: Section) -> Any:
    return section.soft_layers


def _step(node: Any, part: str, path: str) -> Any:
    """What a part of a path leads to: a field by its name in the file, a table of a list by its key or place."""
    if isinstance(node, tuple):
        place = _place(node, part)
        return node[place] if place is not None else _nothing(path)
    name = _field(node, part)
    return getattr(node, name) if name else _nothing(path)


def _with(table: Any, parts: list[str], number: float, path: str) -> Any:
    """A table, or a list of tables, with the number where the parts of a path lead."""
    if not parts:
        return number
    head, *rest = parts
    if isinstance(table, tuple):
        place = _place(table, head)
        assert place is not None  # noqa: S101 - the path was followed before
        return (*table[:place], _with(table[place], rest, number, path), *table[place + 1 :])
    name = _field(table, head)
    return table.model_copy(update={name: _with(getattr(table, name), rest, number, path)})


def _place(tables: tuple[Any, ...], part: str) -> int | None:
    keys = [getattr(table, "key", None) for table in tables]
    if part in keys:
        return keys.index(part)
    return int(part) if part.isdigit() and int(part) < len(tables) else None


def _field(table: Any, part: str) -> str:
    """The name of the attribute of a field, by its name in the file; empty where there is none."""
    if isinstance(table, Design):
        return part if part == "basis" else ""
    if not isinstance(table, Table):
        return ""
    names = {info.alias or name: name for name, info in type(table).model_fields.items()}
    return names.get(part, "")


def _nothing(path: str) -> Any:
    message = f"{path} is no field of the project file"
    raise FieldError(message)

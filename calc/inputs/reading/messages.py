"""The refusals of the validation library in the words of the project file."""

import re
import types
from collections.abc import Iterator
from difflib import get_close_matches
from typing import Any, Union, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from calc.inputs.reading.kinds import Table
from calc.inputs.reading.locate import Path
from calc.inputs.reading.scalars import show

MOVED: dict[Path, str] = {
    ("load_transfer", "first_lift"): "be given as [first_lift], the one table of the first lift",
    ("plug", "head"): "be given as the head of the last point of [[water.head]], the one input of the head below",
    ("construction", "first_lift"): "be given as [first_lift], with its thickness over the lowest reinforcement",
    ("slip", "seismic"): "be given as [earthquake], which acts in stages of the situation seismic",
}
TOES = (
    "be left out: the toes of a zone are given as its embedment in the bearing layer, or in soft ground by "
    "[columns.zone.floating], with toe_in"
)
MOVED |= {("columns", "zone", key): TOES for key in ("length", "toe_level", "toe")}


def must_and_got(
    model: type[Table], detail: ErrorDetails, more_keys: tuple[str, ...] = (), at: Path = ()
) -> tuple[str, str]:
    """What a value must be and what it got; `more_keys` are known at the top of the file beside those of the model.

    `at` is the path in the file where that of the detail is one in merged tables.
    """
    kind, context, path = detail["type"], detail.get("ctx", {}), detail["loc"]
    if kind == "input":
        return str(context["must"]), str(context["got"])
    if kind == "missing":
        info = field_at(model, path)
        return (f"be given: {as_typed(str(path[-1]), info)}" if info else "be given"), "nothing"
    if kind == "extra_forbidden":
        names = tuple(key for key in path if isinstance(key, str))
        moved = next((MOVED[names[-n:]] for n in (2, 3) if names[-n:] in MOVED), "")
        return moved or _unknown_field(model, path, more_keys), "an unknown key"
    if kind in {"too_short", "too_long"}:
        bound = "at least" if kind == "too_short" else "at most"
        count = context["min_length" if kind == "too_short" else "max_length"]
        return f"have {bound} {_entries(count)}", _entries(context["actual_length"])
    header = ".".join(str(key) for key in at or path if not isinstance(key, int))
    return _other_form(header, field_at(model, path), detail["input"], "list" if kind == "tuple_type" else "table")


def _other_form(header: str, info: FieldInfo | None, value: object, form: str) -> tuple[str, str]:
    """A list in place of a table, a table in place of a list, or a plain value in place of either."""
    if form == "list" and isinstance(value, dict):
        return f"be written [[{header}]]: it is a list", f"[{header}]"
    if form == "table" and isinstance(value, list):
        return f"be written [{header}]: there is one", f"[[{header}]]"
    example = str((info.examples or [""])[0]) if info else ""
    if not example.startswith("{"):
        return f"be a {form}", show(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        example = re.sub(r"(?<=value = )[^,]+", lambda _: str(value), example)
    if isinstance(value, str):
        example = re.sub(r'(?<=name = )"[^"]*"', lambda _: show(value), example)
    return f"be a table: {header.rpartition('.')[2]} = {example}", show(value)


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"


def as_typed(key: str, info: FieldInfo) -> str:
    """A field as a line of the file, made of its example; tables by their header."""
    example = (info.examples or [""])[0]
    if isinstance(example, str) and example[:1] in {"[", "{"}:
        return example if example.startswith(("[[", "[")) and '"' not in example else f"{key} = {example}"
    return f"{key} = {example_text(example)}"


def example_text(example: Any) -> str:
    """An example as it is typed in the file."""
    if isinstance(example, str):
        return example if example[:1] in {"[", "{"} else f'"{example}"'
    return str(example).lower() if isinstance(example, bool) else str(example)


def _unknown_field(model: type[Table], path: Path, more_keys: tuple[str, ...]) -> str:
    owner = table_at(model, path[:-1])
    known = [*keys_of(owner), *(more_keys if len(path) == 1 else ())] if owner else []
    near = get_close_matches(str(path[-1]), known, 1, 0.6)
    return f'be a key known here (near: "{near[0]}")' if near else f"be one of the keys known here: {', '.join(known)}"


def keys_of(model: type[Table]) -> dict[str, FieldInfo]:
    """The fields of a table by their names in the file."""
    return {info.alias or name: info for name, info in model.model_fields.items()}


def tables_in(annotation: Any) -> Iterator[type[Table]]:
    """The table of a field: itself, of an optional one, or of the items of a list."""
    if isinstance(annotation, type) and not get_origin(annotation) and issubclass(annotation, Table):
        yield annotation
    elif get_origin(annotation) in {Union, types.UnionType, tuple}:
        for part in get_args(annotation):
            yield from tables_in(part)


def table_at(model: type[Table], path: Path) -> type[Table] | None:
    """The table at a path of keys and list indices."""
    for key in path:
        if isinstance(key, str):
            info = keys_of(model).get(key)
            inner = next(tables_in(info.annotation), None) if info else None
            if inner is None:
                return None
            model = inner
    return model


def field_at(model: type[Table], path: Path) -> FieldInfo | None:
    """The field at a path of keys and list indices."""
    owner = table_at(model, path[:-1])
    return keys_of(owner).get(str(path[-1])) if owner else None

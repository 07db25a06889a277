"""The list of all fields of the project file, generated into docs/project-file.md."""

from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, get_args, get_origin

from pydantic.fields import FieldInfo

from calc.inputs.reading.document import Document
from calc.inputs.reading.kinds import Table, band_of
from calc.inputs.reading.messages import example_text, keys_of, tables_in
from calc.inputs.reading.scalars import AtRest, Number, Quantity, Ranged, Scalar, Slope, Whole
from calc.inputs.reading.texts import IsoDate, Key, OneOf, Text, TrueFalse

BEGIN, END = "<!-- fields: generated, do not edit -->", "<!-- end of fields -->"
MOST_HEADERS = 4
HEAD = "| key | unit or form | must | mandatory | example | meaning |\n|---|---|---|---|---|---|"


def with_fields(page: str) -> str:
    """Give the page with its generated part renewed."""
    before, rest = page.split(BEGIN)
    return f"{before}{BEGIN}\n\n{field_list()}\n{END}{rest.split(END)[1]}"


def field_list() -> str:
    """Every table of the project file with its fields, as Markdown; tables of one kind are listed once."""
    headers: dict[type[Table], list[str]] = {}
    for path, model, is_list in _tables(Document, ""):
        headers.setdefault(model, []).append(f"`[[{path}]]`" if is_list else f"`[{path}]`")
    return "\n".join(_part(model, paths) for model, paths in headers.items())


@cache
def list_headers() -> frozenset[str]:
    """The tables that are written [[name]], those of a section without its name."""
    return frozenset(path for path, _, is_list in _tables(Document, "") if is_list)


@cache
def tables_by_path() -> dict[str, tuple[type[Table], bool]]:
    """Every table by its path, those of a section without its name, and whether it is a list."""
    return {path: (model, is_list) for path, model, is_list in _tables(Document, "")}


@cache
def fields_by_path() -> dict[str, FieldInfo]:
    """Every field that is no table by its path; those of a section itself without its name."""
    fields = {}
    for table, (model, _) in tables_by_path().items():
        for key, info in keys_of(model).items():
            if next(tables_in(info.annotation), None) is None:
                fields[key if table == "section" else f"{table}.{key}"] = info
    return fields


def form_and_range(info: FieldInfo) -> tuple[str, str]:
    """The unit or form of a field and what its value must be."""
    kind = scalar_of(info)
    return (_form(kind), _must(kind)) if kind else ("list", _count(info))


def _part(model: type[Table], headers: list[str]) -> str:
    shown = headers if len(headers) <= MOST_HEADERS else [*headers[:2], f"… ({len(headers)} tables of this kind)"]
    rows = "\n".join(_row(key, info) for key, info in keys_of(model).items())
    text = " ".join((model.__doc__ or "").split())
    return f"### {', '.join(shown)}\n\n{text}\n\n{HEAD}\n{rows}\n"


def _tables(model: type[Table], path: str) -> Iterator[tuple[str, type[Table], bool]]:
    """Every table below a model with its path; the tables of a section that may be common by their short path."""
    for key, info in keys_of(model).items():
        for inner in tables_in(info.annotation):
            at = key if path in {"", "section"} else f"{path}.{key}"
            yield at, inner, get_origin(info.annotation) is tuple
            yield from _tables(inner, at)


def _row(key: str, info: FieldInfo) -> str:
    kind = scalar_of(info)
    table = next(tables_in(info.annotation), None)
    mandatory = "yes" if info.is_required() else _default(info)
    form, must = (_form(kind), _must(kind)) if kind else ("tables" if table else "list of texts", "")
    count = _count(info)
    cells = [
        f"`{key}`",
        form,
        must or count,
        mandatory,
        f"`{example_text((info.examples or [''])[0])}`",
        (info.description or "") + (f" Usual: {band.low} to {band.high}." if (band := band_of(info)) else ""),
    ]
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def scalar_of(info: FieldInfo) -> Scalar | None:
    """The kind of value of a field that holds a single value."""
    scalars = [item for item in info.metadata if isinstance(item, Scalar)]
    for part in get_args(info.annotation):
        if get_origin(part) is Annotated:
            scalars += [item for item in get_args(part) if isinstance(item, Scalar)]
    return scalars[0] if scalars and get_origin(info.annotation) is not tuple else None


def _default(info: FieldInfo) -> str:
    if info.default in (None, ()):
        return "no"
    return f"no; default `{example_text((info.examples or [''])[0])}`"


def _count(info: FieldInfo) -> str:
    limits: dict[str, Any] = {}
    for item in info.metadata:
        limits |= {name: getattr(item, name) for name in ("min_length", "max_length") if hasattr(item, name)}
    if not limits:
        return ""
    return f"{limits.get('min_length', 0)} to {limits['max_length']} entries"


def _form(kind: Scalar) -> str:
    if isinstance(kind, Quantity):
        return kind.unit
    forms: list[tuple[type[Scalar], str]] = [
        (AtRest, 'number or "jaky"'),
        (Whole, "whole number"),
        (Number, "number"),
        (Slope, "vertical:horizontal"),
        (IsoDate, "day"),
        (TrueFalse, "true, false"),
        (Key, "key"),
        (OneOf, "word"),
        (Text, "text"),
    ]
    return next(form for form_of, form in forms if isinstance(kind, form_of))


def _must(kind: Scalar) -> str:
    if isinstance(kind, Ranged):
        return kind.range_text()
    if isinstance(kind, OneOf):
        return ", ".join(f'"{word}"' for word in kind.words)
    if isinstance(kind, Slope):
        return "10:1 to 1:100"
    if isinstance(kind, Text):
        return kind.must() if kind.begins else f"at most {kind.longest} characters"
    return f"signs {kind.pattern()}" if isinstance(kind, Key) else ""

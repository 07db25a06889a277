"""Lines of the starter for fields that it has none of: `python -m calc.inputs.reading.schema` writes them."""

import re
from inspect import get_annotations

from calc.inputs.reading.field_list import tables_by_path
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.messages import example_text, keys_of, tables_in

HEADER = re.compile(r"^(#{0,2} *)\[+(?:section\.)?([\w.]+)\](?!\]? # as )")
"""The header of a table; not of one that stands for another, "as" that."""


def with_every_field(text: str) -> str:
    """The starter with a line for every field of its tables with a header that it has nowhere in a table of that kind.

    The line ends the table and has the field's example. A field that may be left out is switched off.
    """
    lines = text.split("\n")
    tables = [
        (range(at, _end(lines, at)), known[0]) for at, line in enumerate(lines)
        if (header := HEADER.match(line)) and (known := tables_by_path().get(header[2]))
    ]  # fmt: skip
    there = {
        (_owner(model, key), key)
        for block, model in tables for key in keys_of(model)
        if any(re.search(rf"(?<![\w.]){key} = ", lines[at]) for at in block)
    }  # fmt: skip
    added: list[tuple[int, str]] = []
    for block, model in tables:
        for key, info in keys_of(model).items():
            if next(tables_in(info.annotation), None) is None and (_owner(model, key), key) not in there:
                there.add((_owner(model, key), key))
                mark = _mark(lines[block[0]], mandatory=info.is_required())
                added.append((block.stop, f"{mark}{key} = {example_text((info.examples or [''])[0])}"))
    for at, line in reversed(added):
        lines.insert(at, line)
    return "\n".join(lines)


def _owner(model: type[Table], key: str) -> type:
    """The table that declares a field, which others take over."""
    name = next(name for name, info in model.model_fields.items() if key in {name, info.alias})
    return next(base for base in reversed(model.__mro__) if name in get_annotations(base))


def _end(lines: list[str], header: int) -> int:
    """Where a table of the starter ends: at an empty line or at the next header."""
    return next(at for at in range(header + 1, len(lines)) if not lines[at] or HEADER.match(lines[at]))


def _mark(header: str, *, mandatory: bool) -> str:
    """What stands before a field of a table: "## " where it may be left out of a table that is switched off."""
    match = HEADER.match(header)
    of_table = match[1] if match else ""
    if mandatory or of_table.startswith("##"):
        return of_table
    return f"{of_table}## " if len(of_table) > len("# ") else f"#{of_table}".rstrip() + " "

"""docs/verdicts.md: the verdicts of each chapter from the example runs, the limits and the tables of the project file.

`python -m tests.projects.store` writes it beside the stored runs.
"""

import ast
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic.fields import FieldInfo

from calc.chain import CHAPTERS, Run
from calc.engine.sheet import Step, Verdict
from calc.engine.symbols import symbol
from calc.inputs.reading.document import Document
from calc.inputs.reading.field_list import _form, _tables, scalar_of
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.messages import keys_of
from tests.architecture.checkout import ROOT

PAGE = ROOT / "docs" / "verdicts.md"
RENEW = "run: python -m tests.projects.store"
HEAD = """\
# Verdicts, limits, inputs

Generated from the [examples](../projects/) and the models of the project file by `python -m tests.projects.store`.
[method.md](method.md) says how each is computed, [project-file.md](project-file.md) what each field must be.

## Verdicts

Keys are those of `results.json`; `_1`, `_2` for one layer of several are left out. What is compared stands with its
symbols: the left one must not exceed the right one. *words*: in the examples it is stated, or open, without a number.
"""
ENDING = re.compile(r"_\d+$")  # of one layer of reinforcement among several
LAYER = re.compile(r": [^:]*, (across|along|both)$")  # its name, which the project gives
OPEN_LIMIT = re.compile(r"No limit is given \(field (\S+)\);")
CALLS = {"verdict", "not_verified", "settled"}


@dataclass(frozen=True)
class Row:
    """One verdict; ``compares`` is empty where no run has a number, ``limit`` the field that gives the limit."""

    key: str
    title: str
    compares: str
    limit: str

    def alike(self) -> str:
        """The title without the numbers that the project gives."""
        return re.sub(r"\d+(\.\d+)?", "", self.title)


OTHERWISE = " or "
Rows = dict[str, dict[str, Row]]  # by chapter and key


def rows_of(runs: Iterable[Run], known: Rows | None = None) -> Rows:
    """The verdicts of some runs after those known; one with a number stands for those without."""
    found: Rows = {chapter.key: dict((known or {}).get(chapter.key, {})) for chapter in CHAPTERS}
    for run in runs:
        for part in run.sections:
            steps = {step.key: step for sheet in part.sheets for step in sheet.steps}
            for sheet in part.sheets:
                for row in (_row(verdict, steps) for verdict in sheet.verdicts):
                    first = found[sheet.key].setdefault(row.key, row)
                    if row.compares and not first.compares:
                        found[sheet.key][row.key] = row
                    elif row.compares and row.compares not in first.compares.split(OTHERWISE):  # as with an earthquake
                        found[sheet.key][row.key] = replace(first, compares=first.compares + OTHERWISE + row.compares)
    return found


def _row(verdict: Verdict, steps: dict[str, Step]) -> Row:
    compares = limit = ""
    if verdict.effect_symbol:
        compares = f"{symbol(verdict.effect_symbol).plain} ≤ {symbol(verdict.resistance_symbol).plain}"
        held = steps[verdict.resistance_step]
        origins = held.origins if held.kind == "given" else ()
        limit = ", ".join(
            dict.fromkeys(re.sub(r"\.\d+\.", "[].", origin.path) for origin in origins if origin.kind == "file")
        )
    elif asked := OPEN_LIMIT.search(verdict.note):
        limit = asked[1]
    return Row(ENDING.sub("", verdict.key), LAYER.sub("", verdict.title), compares, limit)


def page_of(rows: Rows) -> str:
    """The whole page."""
    parts = [HEAD, *(_chapter(chapter.key, chapter.title, rows[chapter.key]) for chapter in CHAPTERS)]
    return "\n".join([*parts, _limits(rows), _inputs()])


def _chapter(key: str, title: str, rows: dict[str, Row]) -> str:
    parts = [f"### {title} (`{key}`)\n"]
    if rows:
        parts.append("| key | verdict | compares | limit given in |\n|---|---|---|---|")
        for row in rows.values():
            limit = row.limit and f"`{row.limit}`"
            parts.append(f"| `{row.key}` | {row.title} | {row.compares or '*words*'} | {limit} |")
        parts.append("")
    if unseen := [f"`{fromkey}`" for fromkey in dict.fromkeys(named(key)) if fromkey not in rows]:
        parts.append(f"In no example: {', '.join(unseen)}.\n")
    return "\n".join(parts)


def named(chapter: str) -> Iterator[str]:
    """Keys of verdicts that the steps of a chapter name in place."""
    for path in sorted((ROOT / "calc" / "chapters" / chapter).glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in CALLS:
                yield from (str(one.value) for one in node.args[:1] if isinstance(one, ast.Constant))


def _limits(rows: Rows) -> str:
    fields = {f"{path}{'[]' if many else ''}.{key}": info for path, many, _, key, info in _fields()}
    known = {path.replace("[]", ""): info for path, info in fields.items()}
    asked = {path for chapter in rows.values() for row in chapter.values() for path in row.limit.split(", ") if path}
    asked |= {path for path in fields if path.startswith("basis.limits.")}
    text = "## Limits\n\nWhere a limit that may be left out is not given, its verdict is *not required*.\n\n"
    text += "| field | unit or form | may be left out | meaning |\n|---|---|---|---|\n"
    for path in sorted(asked):
        info = known[path.replace("[]", "")]  # a table within a list has no sign of its own that it is in one
        kind, optional = scalar_of(info), "" if info.is_required() else "yes"
        text += f"| `{path}` | {_form(kind) if kind else ''} | {optional} | {info.description} |\n"
    return text


def _inputs() -> str:
    tables: dict[type[Table], tuple[list[str], list[str]]] = {}
    for path, many, model, key, info in _fields():
        headers, names = tables.setdefault(model, ([], []))
        header = f"`[[{path}]]`" if many else f"`[{path}]`"
        if header not in headers:
            headers.append(header)
        name = f"**{key}**" if info.is_required() else key
        if name not in names:
            names.append(name)
    text = (
        "## Inputs\n\nFields by table of the project file; mandatory ones in bold.\n\n| table | fields |\n|---|---|\n"
    )
    return text + "".join(f"| {_few(headers)} | {', '.join(names)} |\n" for headers, names in tables.values())


def _few(headers: list[str]) -> str:
    return ", ".join(headers if len(headers) <= 3 else [*headers[:2], "…"])


def _fields() -> Iterator[tuple[str, bool, type[Table], str, FieldInfo]]:
    """Path of the table, whether it is a list, its model, each field with its key."""
    for path, model, many in _tables(Document, ""):
        for key, info in keys_of(model).items():
            yield path, many, model, key, info


def read_page(page: Path = PAGE) -> Rows:
    """The verdicts as the page on file has them."""
    rows: Rows = {}
    at = ""
    for line in page.read_text(encoding="utf-8").splitlines():
        if heading := re.fullmatch(r"### .* \(`(\w+)`\)", line):
            at = heading[1]
            rows[at] = {}
        elif at and (cells := re.fullmatch(r"\| `([\w-]+)` \| (.*) \| (.*) \| (.*) \|", line)):
            key, title, compares, limit = cells.groups()
            rows[at][key] = Row(key, title, compares.replace("*words*", ""), limit.strip("`"))
        elif line.startswith("## "):
            at = ""
    return rows

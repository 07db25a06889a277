"""The recorded results as tables: one row a line of the calculation at the case that it prints, unrounded.

Everything comes from the record that `results.json` holds, the numbers of the lines too. Other cases than the printed
one stay in `results.json`.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calc.engine.sheet import case_words
from calc.engine.symbols import symbol
from calc.package.line_places import field_path

Cell = str | float | int | None
Json = dict[str, Any]

LINE_HEAD = (
    "line", "section", "chapter", "symbol", "name", "value", "unit", "case", "as printed", "no number because",
    "expression", "source", "key",
)  # fmt: skip
VERDICT_HEAD = (
    "section", "chapter", "verdict", "state", "effect", "resistance", "unit", "utilisation", "limit", "case",
    "factor set", "line", "reason", "key",
)  # fmt: skip
INPUT_HEAD = ("field", "as typed", "line of project.toml", "origin")
LIMIT_HEAD = ("number", "chapters", "limitation", "source")


@dataclass(frozen=True, slots=True)
class Exported:
    """One table: its title, the head of its columns, its rows; numbers are numbers, everything else is text.

    `printed`: its numbers are text as pages print them.
    """

    title: str
    head: Sequence[str]
    rows: Sequence[Sequence[Cell]]
    printed: bool = False


def overview(record: Json, project: Mapping[str, str]) -> Exported:
    """What the tables are of: project, revision, program, outcome."""
    software = record["software"]
    rows: list[tuple[Cell, ...]] = [
        *project.items(),
        ("date", record["date"]),
        ("outcome", record["outcome"]),
        ("program", f"{software['name']} {software['version']}"),
        ("fingerprint of the program", software["fingerprint"]),
        ("SHA-256 of project.toml", record["inputs_sha256"]),
        ("values", "unrounded (here 16 digits), in the unit of their row; one case a line, all cases in results.json"),
    ]
    return Exported("Overview", ("what", "of this calculation"), rows)


def line_tables(record: Json) -> list[Exported]:
    """The lines of every chapter, all sections one below the other."""
    typed = record["provenance"]
    by_title: dict[str, list[Sequence[Cell]]] = {}
    for section in record["sections"]:
        for check in section["checks"]:
            rows = by_title.setdefault(check["title"], [])
            rows += [_line(section["key"], check["title"], step, typed) for step in check["steps"]]
    return [Exported(title, LINE_HEAD, rows) for title, rows in by_title.items()]


def verdicts(record: Json) -> Exported:
    """Every verdict with its state in the one vocabulary."""
    rows = [
        _verdict(section["key"], check, verdict)
        for section in record["sections"] for check in section["checks"] for verdict in check["verdicts"]
    ]  # fmt: skip
    return Exported("Verdicts", VERDICT_HEAD, rows)


def inputs(record: Json) -> Exported:
    """Every field of the project file as typed, defaults too."""
    rows = [
        (field_path(path), origin["text"], origin["line"], origin["origin"])
        for path, origin in record["provenance"].items()
    ]
    return Exported("Inputs", INPUT_HEAD, rows)


def limitations(record: Json) -> Exported:
    """Every limitation once."""
    rows = [
        (limitation["number"], ", ".join(limitation["chapters"]), limitation["text"], limitation["source"])
        for limitation in record["limitations"]
    ]
    return Exported("Limitations", LIMIT_HEAD, rows)


def page_tables(record: Json) -> Exported:
    """The tables of the pages as they print, one below the other; their cells are text."""
    made = [
        (section["key"], check["title"], table)
        for section in record["sections"] for check in section["checks"] for table in check["tables"]
    ]  # fmt: skip
    widest = max((len(table["head"]) for _, _, table in made), default=0)
    rows = [row for section, chapter, table in made for row in _page_table(section, chapter, table)]
    return Exported(
        "Tables", ("section", "chapter", "table", *(f"column {k + 1}" for k in range(widest))), rows, printed=True
    )


def _page_table(section: str, chapter: str, table: Json) -> Iterator[Sequence[Cell]]:
    place = (section, chapter, table["title"])
    yield (*place, *(_head(column) for column in table["head"]))
    for row in table["rows"]:
        yield (*place, *row)
    if table["note"]:
        yield (*place, table["note"])


def _head(column: Json) -> str:
    name = column["words"] or symbol(column["symbol"]).plain
    return f"{name} ({column['unit']})" if column["unit"] else name


def _line(section: str, chapter: str, step: Json, typed: Json) -> Sequence[Cell]:
    result, case = step["result"], step["governing"]
    value = result["value"]
    for axis in step["axes"]:
        value = value[axis["labels"].index(case[axis["name"]])]
    return (
        step["number"], section, chapter, symbol(step["symbol"]).plain, step["title"], value, result["unit"],
        case_words(case), step["shown"][step["symbol"]], result["reason"] if value is None else None,
        step["expression"], _source(section, step, typed), step["key"],
    )  # fmt: skip


def _source(section: str, step: Json, typed: Json) -> str:
    """The publication of an equation; of a given value the fields that it was typed in, with their lines."""
    if step["source"]:
        return f"{step['source']} ({step['evidence']})" if step["evidence"] else str(step["source"])
    places = step["inputs"].get(step["symbol"], ())
    texts = []
    for path in dict.fromkeys([places] if isinstance(places, str) else places):
        origin = typed.get(f"section.{section}.{path}") or typed.get(path)
        line = f", line {origin['line']}" if origin and origin["line"] else ""
        texts.append(f"{field_path(path)}{line}" if origin else str(path))
    return "; ".join(texts)


def _verdict(section: str, check: Json, json: Json) -> Sequence[Cell]:
    numbers = {step["key"]: step["number"] for step in check["steps"]}
    limit = None if json["effect"] is None else json["limit"]
    return (
        section,
        check["title"],
        json["title"],
        json["stamp"],
        json["effect"],
        json["resistance"],
        json["unit"],
        json["utilisation"],
        limit,
        case_words(json["case"]),
        json["factor_set"],
        numbers.get(json["step"]),
        json["note"],
        json["key"],
    )

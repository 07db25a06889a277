"""What a field, a table, a verdict or a symbol is: meaning, unit, range, source, and how they hang together."""

from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from functools import cache
from textwrap import wrap

from pydantic.fields import FieldInfo

from calc.chain import CHAPTERS
from calc.engine.formula import REGISTRY
from calc.engine.symbols import NOMENCLATURE, Symbol
from calc.engine.typeset.line import plain
from calc.inputs.reading.field_list import fields_by_path, form_and_range, scalar_of, tables_by_path
from calc.inputs.reading.kinds import band_of
from calc.inputs.reading.messages import as_typed, keys_of
from calc.terminal.descent import VerdictOf, descent

FEW = 3  # fields of one name that are explained in full
NEAR = 5
SILENT = "No number of it is in the record of the examples: a text, a choice, a setting of a search, or given in none."
TITLES = {chapter.key: chapter.title for chapter in CHAPTERS}
EVIDENCE = {"inspected": "", "derived": "", "confirmed": " (confirmed in a second document)",
            "not inspected": " (not inspected)"}  # fmt: skip


def explanation(name: str, width: int) -> str:
    """Everything that has this name, or nothing."""
    lines = [line for part in _parts(name) for line in ("", *part)]
    return "\n".join(_wrap_line(line, width) for line in lines[1:])


def near(name: str) -> list[str]:
    """Names that are like one that is not known."""
    names = {form.casefold(): form for form in _names()}
    forms = get_close_matches(name.casefold(), names, NEAR, 0.6)
    return [names[form] for form in forms]


def _parts(name: str) -> Iterator[list[str]]:
    fields = _fields_named(name)
    if len(fields) > FEW:
        yield _several(name, fields)
    else:
        for path, info in fields.items():
            yield _field(path, info)
    header = name.removeprefix("section.")
    yield from (_table(path) for path in tables_by_path() if path == header or path.endswith(f".{header}"))
    yield from (_verdict(chapter, key, verdict) for (chapter, key), verdict in descent().verdicts.items()
                if name in {key, f"{chapter}.{key}", f"{chapter}/{key}"})  # fmt: skip
    yield from map(_symbol, _symbols_by_name().get(name, ()))


@cache
def _symbols_by_name() -> dict[str, list[Symbol]]:
    """The symbols of each name, by which they are declared or printed."""
    named = dict[str, list[Symbol]]()
    for quantity in NOMENCLATURE.values():
        for name in {quantity.name, quantity.plain}:
            named.setdefault(name, []).append(quantity)
    return named


def _fields_named(name: str) -> dict[str, FieldInfo]:
    """The fields of a path, or of the end of one; keys of tables in lists may be given."""
    known = fields_by_path()
    plain_name = name.removeprefix("section.")
    if plain_name in known:
        return {plain_name: known[plain_name]}
    return {path: info for path, info in known.items() if path.endswith(f".{plain_name}")}


def _several(name: str, fields: dict[str, FieldInfo]) -> list[str]:
    rows = [f"  {path}: {info.description}" for path, info in fields.items()]
    return [f"{name}: {len(fields)} fields of this name; one of them with its table:", *rows]


def _field(path: str, info: FieldInfo) -> list[str]:
    kind, form = scalar_of(info), form_and_range(info)
    key = path.rpartition(".")[2]
    lines = [f"{path}: field of the project file", f"  {info.description}"]
    if kind is not None:
        lines.append(f"  Unit or form: {', '.join(part for part in form if part)}.")
    if band := band_of(info):
        lines.append(f"  Usual: {band.low} to {band.high} ({band.origin}); outside of it a caution is printed.")
    example = as_typed(key, info)
    if info.is_required():
        lines.append("  Mandatory: there is no default.")
    else:
        lines.append("  May be left out" + ("." if info.default in (None, ()) else f"; default: {example}."))
    lines.append(f"  Example: {example}")
    return [*lines, *_acts(path)]


def _acts(path: str) -> list[str]:
    """Where a field is read, and the verdicts that descend from it, in the runs of the examples."""
    reads: dict[str, list[str]] = {}
    for chapter, symbol in descent().reads.get(path, ()):
        reads.setdefault(chapter, []).append(NOMENCLATURE[symbol].plain)
    by: dict[str, list[str]] = {}
    for (chapter, key), verdict in descent().verdicts.items():
        if path in verdict.fields:
            by.setdefault(chapter, []).append(key)
    if not reads and not by:
        return [f"  {SILENT}"]
    acts = "; ".join(f"{TITLES[chapter]} as {', '.join(dict.fromkeys(names))}" for chapter, names in reads.items())
    verdicts = [f"    {TITLES[chapter]}: {', '.join(keys)}" for chapter, keys in by.items()]
    return [f"  Acts in: {acts}.", "  Verdicts that descend from it in the examples:", *(verdicts or ["    none"])]


def _table(name: str) -> list[str]:
    model, is_list = tables_by_path()[name]
    header = f"[[{name}]]" if is_list else f"[{name}]"
    rows = [f"  {path.rpartition('.')[2]}: {info.description}" for path, info in fields_by_path().items()
            if path.rpartition(".")[0] == name]  # fmt: skip
    above, _, key = name.rpartition(".")
    owner = tables_by_path()[above][0] if above else None
    says = keys_of(owner)[key].description if owner else ""
    doc = " ".join((model.__doc__ or "").split())
    lines = [
        f"  {f'[[{path}]]' if many else f'[{path}]'}: {' '.join((of.__doc__ or '').split())}".rstrip(": ")
        for path, (of, many) in tables_by_path().items()
        if path.rpartition(".")[0] == name
    ]
    return [f"{header}: table of the project file", *(f"  {text}" for text in (says, doc) if text), *rows, *lines]


def _verdict(chapter: str, key: str, verdict: VerdictOf) -> list[str]:
    lines = [f"{key}: verdict of {TITLES[chapter]}", f"  {verdict.title}."]
    if verdict.effect:
        both = [NOMENCLATURE[name] for name in (verdict.effect, verdict.resistance)]
        lines.append(f"  Compares: {both[0].plain} ≤ {both[1].plain}.")
        for side in both:
            lines += [f"  {side.plain}: {side.meaning}{_unit(side)}.", *_formulas(side)]
    else:
        lines.append("  In the examples it is stated, or open, without a number.")
    if verdict.limit:
        lines.append(f"  Limit: {verdict.limit}.")
    if verdict.fields:
        lines += ["  Descends in the examples from:", *_by_table(verdict.fields)]
    return lines


def _by_table(fields: Sequence[str] | frozenset[str]) -> list[str]:
    tables: dict[str, list[str]] = {}
    for path in fields_by_path():
        if path in fields:
            table, _, key = path.rpartition(".")
            tables.setdefault(table or "section", []).append(key)
    return [f"    {table}: {', '.join(keys)}" for table, keys in tables.items()]


def _symbol(quantity: Symbol) -> list[str]:
    lines = [f"{quantity.plain}: symbol{_unit(quantity)}", f"  {quantity.meaning[:1].upper()}{quantity.meaning[1:]}."]
    lines += _formulas(quantity)
    fields = sorted(path for path, by in descent().reads.items() if quantity.name in {symbol for _, symbol in by})
    if fields:
        lines.append(f"  Read from: {', '.join(fields)}.")
    verdicts = [
        f"{chapter}.{key}"
        for (chapter, key), v in descent().verdicts.items()
        if quantity.name in {v.effect, v.resistance}
    ]
    if verdicts:
        lines.append(f"  Compared in: {', '.join(verdicts)}.")
    return lines


def _unit(symbol: Symbol) -> str:
    return f", {symbol.unit_text}" if symbol.unit_text else ""


def _formulas(symbol: Symbol) -> list[str]:
    """The equations that give a symbol, with their sources."""
    return [f"    {symbol.plain} = {plain(formula.tree)}; {formula.source.citation}{EVIDENCE[formula.source.evidence]}"
            for formula in REGISTRY if formula.symbol == symbol.name]  # fmt: skip


@cache
def _names() -> tuple[str, ...]:
    fields = fields_by_path()
    keys = {path.rpartition(".")[2] for path in fields}
    symbols = {form for quantity in NOMENCLATURE.values() for form in (quantity.name, quantity.plain)}
    return (*sorted(keys), *fields, *tables_by_path(), *(key for _, key in descent().verdicts), *sorted(symbols))


def _wrap_line(line: str, width: int) -> str:
    indent = line[: len(line) - len(line.lstrip())]
    return "\n".join(
        wrap(line.strip(), width, initial_indent=indent, subsequent_indent=f"{indent}  ", break_on_hyphens=False)
    )

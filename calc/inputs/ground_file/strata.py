"""The ground that a file tells of, with the place of every value, as tables of a project file."""

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from pydantic.fields import FieldInfo

from calc.inputs.reading.field_list import scalar_of
from calc.inputs.reading.kinds import Table
from calc.inputs.reading.messages import keys_of
from calc.inputs.reading.scalars import UNPRINTABLE, Number, Quantity
from calc.inputs.reading.starter import ground_at, starter_project
from calc.inputs.reading.texts import TrueFalse
from calc.inputs.tables.ground import BearingLayer, Layer, LayerBelow
from calc.inputs.tables.section import Section

TABLES: dict[str, type[Table]] = {"layer": Layer, "bearing_layer": BearingLayer, "layer_below": LayerBelow}
OWN = ("key", "title", "chainage", "ground_level", "makeup_fill", "initial_water")
LONGEST_NOTE = 300
PRINTABLE = "hold characters only that the fonts of the package can print"


@dataclass(frozen=True, slots=True)
class Found:
    """A value as the project file writes it without its quotes, and where it comes from."""

    typed: str
    place: str


@dataclass(slots=True)
class Stratum:
    """One layer: its table, what is known of it, and what was measured in it."""

    table: str
    values: dict[str, Found] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Ground:
    """The ground of one section; ``base`` is the depth that its strata reach, as typed, unknown where one has none."""

    values: dict[str, Found]
    strata: list[Stratum] = field(default_factory=list)
    base: Decimal | None = Decimal(0)


def project_with_ground(title: str, grounds: Sequence[Ground], file: str) -> str:
    """The starter project with the ground of a file in place of its example."""
    text = starter_project(title)
    head = [
        "# Sections: chainages with their own ground.",
        f"# Ground taken from {_comment(file)}: what stands behind # says where each value is in it. What it does",
        "# not say is switched off, to be filled in; results of tests stand as notes, because a characteristic value",
        "# is a judgement. All tables above are those of the starter.",
    ]
    return text[: ground_at(text)] + "\n".join([*head, *_lines(grounds)]) + "\n"


def _lines(grounds: Iterable[Ground]) -> Iterator[str]:
    for ground in grounds:
        yield from ("", "[[section]]")
        keys = {key: info for key, info in keys_of(Section).items() if key in OWN}
        yield from _fields(keys, ground.values)
        for name, model in TABLES.items():
            strata = [stratum for stratum in ground.strata if stratum.table == name]
            if not strata and name == "bearing_layer":
                strata = [Stratum(name, notes=["The layer of the column toes is for the designer to say."])]
            for stratum in strata:
                yield from ("", f"[section.{name}]" if name == "bearing_layer" else f"[[section.{name}]]")
                yield from (f"# {_comment(note)}" for note in stratum.notes)
                yield from _fields(keys_of(model), stratum.values)


def _fields(known: dict[str, FieldInfo], values: dict[str, Found]) -> Iterator[str]:
    """Every field on a line: those found, then the mandatory ones to be filled in, then those that may be left out."""
    for key, value in values.items():
        yield f"{key} = {_toml_text(known[key], value.typed)} # {_comment(value.place)}"
    open_fields = [(key, info) for key, info in known.items() if key not in values]
    for key, info in sorted(open_fields, key=lambda item: not item[1].is_required()):
        kind = scalar_of(info)
        if kind is not None:
            unit = f" {kind.unit}" if isinstance(kind, Quantity) else ""
            yield f'# {key} = "…{unit}"{" # mandatory" if info.is_required() else ""}'


def _toml_text(info: FieldInfo, typed: str) -> str:
    """A value as it is written in TOML."""
    kind = scalar_of(info)
    plain = isinstance(kind, TrueFalse) or (isinstance(kind, Number) and re.match(r"[-+.0-9]", typed))
    return typed if plain else json.dumps(typed, ensure_ascii=False)


def _comment(text: str) -> str:
    short = " ".join(UNPRINTABLE.sub(" ", text).split())
    return short if len(short) <= LONGEST_NOTE else f"{short[:LONGEST_NOTE]}…"


def key_of(name: str, used: Iterable[str], *, capitals: bool = False) -> str:
    """A key made of a name, another one than those in use."""
    text = name if capitals else name.lower()
    key = re.sub(r"[^A-Za-z0-9_]+", "-", text).strip("-")[:36].strip("-") or "layer"
    known = set(used)
    return next(candidate for candidate in (key, *(f"{key}-{k}" for k in range(2, 1000))) if candidate not in known)

"""The grid of a search for the design: its axes, every combination of their values, and what a combination changes."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import prod
from typing import Any

import numpy as np
import tomlkit
from numpy.typing import NDArray

from calc.inputs import Design, Section
from calc.inputs.reading.provenance import single_values
from calc.inputs.reading.source import text_of
from calc.inputs.tables.sizing import BermSize, Charge, Geosynthetic, Size
from calc.study.changed_file import Path, changed_text, without_tables
from calc.study.proposed_dates import day_text

Floats = NDArray[np.float64]
Places = NDArray[np.intp]

DIAMETER, SPACING, PATTERN, SLEEVE, INSTALLATION, MAT, ZONE, BERM = (
    "diameter", "spacing", "pattern", "sleeve", "installation", "mat", "zone", "berm"
)  # fmt: skip
OF_SECTION = ("oversize", "installed_radius")  # of the sleeve, and not of a product
CHARGES = ("price", "carbon")


class SizeError(ValueError):
    """A project without a grid to search, or a grid that asks for what the project does not give."""


@dataclass(frozen=True)
class BermChoice:
    """A berm by its sides, width and height of its top; without height it is none."""

    sides: tuple[str, ...]
    width: float
    height: float


@dataclass(frozen=True)
class Choice:
    """One value of an axis.

    ``changes`` are what it writes into the project file, ``numbers`` what that makes of inputs by their paths (kN, m,
    rad, day); what of it is no number is told by ``form``. ``charges`` are those of its kind, by objective.
    """

    name: str
    changes: Mapping[Path, Any]
    numbers: Mapping[str, float]
    form: Hashable
    charges: Mapping[str, Mapping[str, Charge]]
    berm: BermChoice | None = None


@dataclass(frozen=True)
class Axis:
    """A variable of the grid with its values."""

    name: str
    choices: tuple[Choice, ...]

    def numbers(self, path: str) -> Floats:
        """The value of an input for every choice."""
        return np.array([choice.numbers[path] for choice in self.choices])


@dataclass(frozen=True)
class Grid:
    """Every combination of the values of all axes, numbered in the order of the axes, the last one running first.

    ``hanging`` are verdicts that hang on dates which are searched with every combination: no run at other dates
    excludes one by them.
    """

    design: Design
    size: Size
    section: Section
    axes: tuple[Axis, ...]
    hanging: frozenset[str] = frozenset()

    @property
    def shape(self) -> tuple[int, ...]:
        """How many values every axis has."""
        return tuple(len(axis.choices) for axis in self.axes)

    def __len__(self) -> int:
        return prod(self.shape)

    def places(self, numbers: Places) -> tuple[Places, ...]:
        """The place on every axis of combinations."""
        return np.unravel_index(numbers, self.shape)

    def choices(self, number: int) -> tuple[Choice, ...]:
        """The values of a combination."""
        places = np.unravel_index(number, self.shape)
        return tuple(axis.choices[int(place)] for axis, place in zip(self.axes, places, strict=True))

    def axis(self, name: str) -> tuple[int, Axis]:
        """An axis with its number."""
        return next((k, axis) for k, axis in enumerate(self.axes) if axis.name == name)

    def along(self, name: str, values: Floats, numbers: Places) -> Floats:
        """What belongs to the values of an axis, for combinations."""
        by_combination: Floats = values[self.places(numbers)[self.axis(name)[0]]]
        return by_combination

    def changes(self, number: int) -> dict[Path, Any]:
        """What a combination changes in the project file."""
        return {path: value for choice in self.choices(number) for path, value in choice.changes.items()}

    def text(self, number: int, dates: Sequence[float] = (), mark: str = "") -> str:
        """The project file with a combination in it, comments kept; ``dates`` are starts and hand-over.

        What is written has the ``mark`` as its comment.
        """
        return changed_text(self._text, self._place, {**self.changes(number), **self._changed_dates(dates)}, mark)

    def run_text(self, number: int, dates: Sequence[float] = ()) -> str:
        """The same without the tables that no chapter reads: large ones take longer to read than to calculate."""
        return changed_text(self._bare, self._place, {**self.changes(number), **self._changed_dates(dates)})

    def _changed_dates(self, dates: Sequence[float]) -> dict[Path, Any]:
        """The dates that differ from those typed."""
        if not dates:
            return {}
        assert self.section.consolidation is not None  # noqa: S101 - a search of dates asks for it
        fields: list[Path] = [("stage", k, "start") for k in range(len(self.section.stages))]
        typed = [stage.start for stage in self.section.stages]
        pairs = zip([*fields, ("consolidation", "hand_over")], [*typed, self.section.consolidation.hand_over],
                    dates, strict=True)  # fmt: skip
        return {path: day_text(date) for path, old, date in pairs if date != old}

    @cached_property
    def _text(self) -> str:
        return text_of(self.design.text)

    @cached_property
    def _bare(self) -> str:
        return without_tables(self._text, ("size", "catalogue"))

    @cached_property
    def _place(self) -> int:
        return [section.key for section in self.design.stated].index(self.section.key)


def size_grid(design: Design) -> Grid:
    """The grid of the table [size] of a design; ``SizeError`` without one."""
    size = design.size
    if size is None:
        message = f"{design.source} must have a table [size], which says what may be varied and what is to be least"
        raise SizeError(message)
    key = size.section or design.stated[0].key
    section = next(section for section in design.stated if section.key == key)
    typed = tomlkit.parse(text_of(design.text)).unwrap()
    return Grid(design, size, section, tuple(_axes(design, size, section, typed)))


def _axes(design: Design, size: Size, section: Section, typed: Mapping[str, Any]) -> Iterator[Axis]:
    assert design.catalogue is not None  # noqa: S101 - a rule asks for the sleeves of the grid
    table = typed["size"]
    yield Axis(PATTERN, tuple(
        Choice(pattern, {("columns", "pattern"): pattern}, {}, pattern, {}) for pattern in size.pattern
    ))  # fmt: skip
    yield Axis(INSTALLATION, tuple(_installations(size, section)))
    yield Axis(SLEEVE, tuple(_products(size.sleeve, design.catalogue.sleeve, typed["catalogue"]["sleeve"],
                                       ("sleeve",), section.sleeve, [*OF_SECTION])))  # fmt: skip
    layers = [layer.name for layer in section.reinforcement]
    for mat in size.mat:
        place = mat.place_in(layers)
        assert place is not None  # noqa: S101 - a rule asks for it
        path: Path = ("reinforcement", place)
        yield Axis(f"{MAT} for {mat.replaces}",
                   tuple(_products(mat.products, design.catalogue.mat, typed["catalogue"]["mat"], path,
                                   section.reinforcement[place], ["direction", "level", "joint", "overlap",
                                                                  "anchorage"])))  # fmt: skip
    for zone in size.zone:
        at = [column_zone.key for column_zone in section.columns.zone].index(zone.key)
        texts = table[ZONE][size.zone.index(zone)][SPACING]
        yield Axis(f"{ZONE} {zone.key}", tuple(
            Choice(text, {("columns", "zone", at, SPACING): text}, {f"columns.zone.{at}.spacing": value}, text, {})
            for text, value in zip(texts, zone.spacing, strict=True)
        ))  # fmt: skip
    for berm, as_typed in zip(size.berm, table.get(BERM, ()), strict=True):
        yield Axis(f"{BERM} {berm.side}", tuple(_berms(berm, as_typed)))
    for name in (DIAMETER, SPACING):
        values = zip(table[name], getattr(size, name), strict=True)
        yield Axis(name, tuple(
            Choice(text, {("columns", name): text}, {f"columns.{name}": value}, None, {}) for text, value in values
        ))  # fmt: skip


def _installations(size: Size, section: Section) -> Iterator[Choice]:
    for installation in size.installation:
        changes: dict[Path, Any] = {("columns", "installation"): installation.method}
        if installation.K_star is not None or section.columns.K_star is not None:
            changes["columns", "K_star"] = installation.K_star
        numbers = {} if installation.K_star is None else {"columns.K_star": installation.K_star}
        charges = {name: {"column": given.column, "metre": given.metre, "volume": given.volume}
                   for name in CHARGES if (given := getattr(installation, name)) is not None}  # fmt: skip
        name = (
            installation.method if installation.K_star is None else f"{installation.method}, K* {installation.K_star:g}"
        )
        yield Choice(name, changes, numbers, (installation.method, installation.K_star is None), charges)


def _berms(berm: BermSize, typed: Mapping[str, Any]) -> Iterator[Choice]:
    """Every width with every height; without height one choice, whatever the width."""
    charges = {name: {"volume": given} for name in CHARGES if (given := getattr(berm, name)) is not None}
    pairs = [(zip(typed[name], getattr(berm, name), strict=True)) for name in ("height", "width")]
    for k, ((height, h), (width, b)) in enumerate(product(*pairs)):
        if not h and k % len(berm.width):
            continue
        changes: dict[Path, Any] = {}
        for side in berm.sides:
            table = ("embankment", f"berm_{side}")
            changes |= {(*table, "height"): height} | ({(*table, "width"): width} if h else {})
        name = f"{width} × {height}" if h else "none"
        yield Choice(name, changes, {}, name, charges, BermChoice(berm.sides, b, h))


def _products(
    names: Sequence[str], products: Sequence[Geosynthetic], typed: Sequence[Mapping[str, Any]], path: Path,
    replaced: Any, kept: Sequence[str],
) -> Iterator[Choice]:  # fmt: skip
    """Products of the catalogue in the place of what the section has; ``kept`` are keys that stay."""
    by_name = {product.name: k for k, product in enumerate(products)}
    fields = [key for key, value in replaced if value is not None and key not in kept]
    for name in names:
        product, table = products[by_name[name]], typed[by_name[name]]
        given = {key: value for key, value in table.items() if key not in CHARGES}
        changes = {(*path, key): None for key in fields if key not in given}
        changes |= {(*path, key): value for key, value in given.items()}
        label = "".join(f"{part}." for part in path)
        single = [(text, value) for text, where, _, value in single_values(product, (), label)
                  if isinstance(value, float) and where[0] not in CHARGES]  # fmt: skip
        numbers = {text: value for text, value in single if not text.endswith(".time")}
        times = tuple((text, value) for text, value in single if text.endswith(".time"))
        charges = {key: {"area": charge} for key in CHARGES if (charge := getattr(product, key)) is not None}
        yield Choice(name, changes, numbers, (times, tuple(sorted(numbers))), charges)

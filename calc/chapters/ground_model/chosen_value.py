"""A value of the project with its readings, and where its numbers come from."""

from dataclasses import dataclass, field

from calc.chapters.shared.frame import origin_of
from calc.engine.sheet import Origin, Scope, Sheet, Value
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.ground_file.ags_kinds import AGS, heading_of
from calc.inputs.ground_file.result_rows import joined_ranges
from calc.inputs.ground_file.selection import Reading
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.ground_model import HIGH, ChosenValue
from calc.inputs.tables.profiles import Line

say = words_of(__name__)

READING = "reading"
NAMES = {"c_u": say("strength"), "sigma_p": say("pressure"), "E_oed_ref": say("modulus")}


@dataclass
class Chosen:
    """One entry of the table with what it selects; ``estimate`` and ``deviation`` are symbols once there are any.

    ``trend`` is the estimate along a trend with depth where the constant one governs; ``stresses`` are the least and
    the largest mean stress in kPa at which the unit cell takes the modulus of the layer, none without a unit cell.
    """

    sheet: Sheet
    design: Design
    section: Section
    layer: Layer
    value: ChosenValue
    index: int
    readings: tuple[Reading, ...]
    file: str
    stresses: tuple[float, ...] = ()
    estimate: str = ""
    deviation: str = ""
    trend: Value | None = None
    significant: bool = False
    notes: list[str] = field(default_factory=list)

    @property
    def key(self) -> str:
        """The name of the scope, and of the verdict behind ``value_``."""
        return f"{self.value.parameter}_{self.layer.key}_{self.value.test}"

    @property
    def title(self) -> str:
        """What is estimated: quantity, layer, test."""
        return say("title", what=NAMES[self.value.parameter], layer=self.layer.name, test=self.value.test)

    @property
    def high_is_unsafe(self) -> bool:
        """Whether a value above the estimate is on the unsafe side."""
        return self.value.unsafe == HIGH

    @property
    def line(self) -> Line | None:
        """The points over depth by which the layer has the value; None where it has a number."""
        profile = getattr(self.layer, f"{self.value.parameter}_profile", None)
        return None if profile is None else profile.line

    @property
    def labels(self) -> tuple[str, ...]:
        """The readings by their ids."""
        return tuple(reading.first.id for reading in self.readings)

    @property
    def cites(self) -> str:
        """The tests that the value rests on, and where they stand."""
        places = joined_ranges(dict.fromkeys(reading.first.location for reading in self.readings))
        rows = joined_ranges(str(row.row) for reading in self.readings for row in reading.rows)
        return say("cites", count=len(self.readings), test=self.value.test, places=places, rows=rows, file=self.file)

    @property
    def top(self) -> float:
        """Depth of the top of the layer in m."""
        before = self.section.soft_layers[: self.section.soft_layers.index(self.layer)]
        return sum(layer.thickness for layer in before)

    def from_file(self) -> Origin:
        """The field that names the file of results."""
        return origin_of(self.section, "ground_model.file")

    def given_of_field(self, scope: Scope, name: str, attribute: str, number: float) -> Value:
        """Give a symbol the value of a field of the entry."""
        path = f"ground_model.value.{self.index}.{attribute}"
        return scope.given(name, number, origin=origin_of(self.section, path))

    def given_of_rows(self, scope: Scope, name: str, column: str, otherwise: str = "") -> Value:
        """Give a symbol a column of the file, and a field of the entry to readings whose row has no number there."""
        rows = [reading.first for reading in self.readings]
        spare: float = getattr(self.value, otherwise).value if otherwise and getattr(self.value, otherwise) else 0.0
        path = f"ground_model.value.{self.index}.{otherwise}.value"
        origins = [self.from_file() if column in row.values else origin_of(self.section, path) for row in rows]
        return scope.given(
            name, [row.values.get(column, spare) for row in rows], [READING], origin=origins, origin_axis=READING,
            note=self._place(column),
        )  # fmt: skip

    def _place(self, column: str) -> str:
        """Where a quantity of the test stands in the file."""
        if self.file.endswith(AGS):
            return say("heading", heading=heading_of(self.value.test, column), file=self.file)
        return say("column", column=column, file=self.file)

    def depths(self, scope: Scope) -> Value:
        """Give the depths of the readings."""
        return scope.given(
            "z_j", [reading.first.depth for reading in self.readings], [READING], origin=self.from_file(),
            note=self._place("depth"),
        )  # fmt: skip

    def open(self, why: str) -> None:
        """Say why there is no verdict."""
        self.sheet.not_verified(f"value_{self.key}", self.verdict, f"{why} {self.cites}", required=self.value.required)

    @property
    def verdict(self) -> str:
        """The title of the verdict."""
        return say("not-above", title=self.title) if self.high_is_unsafe else say("not-below", title=self.title)

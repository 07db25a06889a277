"""Base soils of the filters: the soft layers and the fill of the columns with their gradings, and what is missing."""

from dataclasses import dataclass

from calc.chapters.shared.frame import origin_of
from calc.chapters.shared.missing import quoted_names
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.filters import uniformity
from calc.inputs import Section
from calc.inputs.tables.filters import Criteria, Filters, Geotextile, Grading

say = words_of(__name__)

TABLES = {"fill": say("missing-fill"), "geotextile": say("missing-geotextile"), "criteria": say("missing-criteria")}

FILL = "fill of columns"
GRAINS = ("D_10", "D_15", "D_60", "D_85")


@dataclass(frozen=True, slots=True)
class BaseSoil:
    """One soil beside the sleeve: label on the axis, its name, its grading and where it stands in the file."""

    label: str
    name: str
    grading: Grading
    path: str

    @property
    def has_test(self) -> bool:
        """Whether a filtration test stands in the place of the rules."""
        return self.grading.filtration_test is not None

    @property
    def key(self) -> str:
        """The label as a part of keys."""
        return "fill" if self.is_fill else self.label

    @property
    def is_fill(self) -> bool:
        """Whether this is the fill of the columns."""
        return self.label == FILL


@dataclass(frozen=True, slots=True)
class FilterData:
    """Everything that the rules need: base soils with the fill last, the sleeve as a filter, the coefficients."""

    soils: tuple[BaseSoil, ...]
    geotextile: Geotextile
    criteria: Criteria

    @property
    def layers(self) -> list[str]:
        """Labels of the soft layers."""
        return [soil.label for soil in self.soils if not soil.is_fill]

    @property
    def soils_by_rule(self) -> tuple[BaseSoil, ...]:
        """The soils that the rules for retention and clogging are applied to."""
        return tuple(soil for soil in self.soils if not soil.has_test)


def filter_data(section: Section, filters: Filters) -> FilterData | None:
    """What the rules need; None where something is missing, which :func:`missing_tables` names."""
    fill, geotextile, criteria = filters.fill, filters.geotextile, filters.criteria
    if fill is None or geotextile is None or criteria is None or missing_tables(section, filters):
        return None
    soils = {soil.layer: (index, soil) for index, soil in enumerate(filters.soils)}
    layers = [
        BaseSoil(layer.key, layer.name, soils[layer.key][1], f"filters.soil.{soils[layer.key][0]}")
        for layer in section.soft_layers
    ]
    return FilterData((*layers, BaseSoil(FILL, FILL, fill, "filters.fill")), geotextile, criteria)


def missing_tables(section: Section, filters: Filters) -> str:
    """What the filter rules need and the project file does not give, in words; empty if nothing."""
    layers = {soil.layer for soil in filters.soils}
    bare = [layer.name for layer in section.soft_layers if layer.key not in layers]
    missing = [say("missing-gradings", layers=quoted_names(bare))] if bare else []
    missing += [words for name, words in TABLES.items() if getattr(filters, name) is None]
    return "; ".join(missing)


def give_gradings(sheet: Sheet, section: Section, soils: tuple[BaseSoil, ...]) -> None:
    """Give the grains of every base soil along the axis of the layers."""
    for name, attribute in (*((grain, grain) for grain in GRAINS), ("p_75", "fines")):
        origins = [origin_of(section, f"{soil.path}.{attribute}") for soil in soils]
        values = [getattr(soil.grading, attribute) for soil in soils]
        sheet.given(name, values, ["grading"], origin=origins, origin_axis="grading")
    sheet(uniformity)


def take_of(scope: Scope, names: tuple[str, ...], labels: list[str]) -> None:
    """Carry values of some base soils into a scope."""
    for name in names:
        scope.take(name, scope.sheet[name].at(grading=labels))

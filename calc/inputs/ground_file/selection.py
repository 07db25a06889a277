"""Which readings of a file a characteristic value rests on; the rules between the table [ground_model] and the file."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from calc.engine.levels import above
from calc.inputs.ground_file.results_file import Result, ResultsFile
from calc.inputs.reading.scalars import show
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.ground_model import (
    C_U,
    CONE,
    DONE,
    FITS,
    LIQUID_LIMIT,
    OEDOMETER,
    OWN,
    PEAT,
    PLASTICITY,
    SIGMA_P,
    TREND,
    VANE,
    ChosenValue,
    GroundModel,
)
from calc.inputs.tables.problem import Problem, Problems, unique

MOST_READINGS = 100
UNUSED = "be left out: this test and method do not use it"
FEWEST_INCREMENTS = 2
Told = tuple[tuple[str | int, ...], str, str | None]
INDICES = {PLASTICITY: "I_P", LIQUID_LIMIT: "w_L"}


@dataclass(frozen=True, slots=True)
class Increment:
    """A load increment of an oedometer test: effective stresses in kPa, strains as numbers."""

    row: int
    stress: tuple[float, float]
    strain: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, or all rows of one oedometer test."""

    first: Result
    rows: tuple[Result, ...]

    @property
    def increments(self) -> list[Increment]:
        """The increments that lie wholly above the preconsolidation pressure."""
        return [
            Increment(
                after.row,
                (before.values["stress"], after.values["stress"]),
                (before.values["strain"], after.values["strain"]),
            )
            for before, after in pairwise(self.rows)
            if before.values["stress"] >= self.first.values["sigma_p"]
        ]


def layer_of(result: Result, layers: Sequence[Layer]) -> str:
    """The key of the layer that a reading belongs to: as the file names it, else by its depth; empty outside of all."""
    if result.layer:
        return result.layer
    ends = list(accumulate((layer.thickness for layer in layers), initial=0.0))
    for layer, (top, end) in zip(layers, pairwise(ends), strict=True):
        if not above(top, result.depth) and above(end, result.depth):
            return layer.key
    return ""


def readings_of(
    file: ResultsFile, model: GroundModel, test: str, layers: Sequence[Layer], layer: str | None = None
) -> list[Reading]:
    """The readings of a kind of test at the locations of a section, in one layer or in all."""
    rows: dict[str, list[Result]] = {}
    for result in file.results:
        here = result.location in model.locations and result.test == test
        if here and (layer is None or layer_of(result, layers) == layer):
            rows.setdefault(result.id, []).append(result)
    return [Reading(row[0], tuple(row)) for row in rows.values()]


def selected_readings(
    file: ResultsFile, model: GroundModel, value: ChosenValue, layers: Sequence[Layer]
) -> list[Reading]:
    """The readings that a value rests on, those left out taken away."""
    gone = {reading.id for reading in value.left_out}
    return [
        reading for reading in readings_of(file, model, value.test, layers, value.layer) if reading.first.id not in gone
    ]


def chosen_values(ground_model: GroundModel | None, layers: tuple[Layer, ...]) -> Problems:
    """Each value belongs to a layer that has it, rests on tests that can give it, and has what its method needs."""
    if ground_model is None:
        return
    known = {layer.key: layer for layer in layers}
    seen: set[tuple[str, str, str]] = set()
    for index, value in enumerate(ground_model.values):
        at = ("ground_model", "value", index)
        if value.layer not in known:
            yield Problem((*at, "layer"), "be the key of a layer of the section: " + ", ".join(known))
        elif not _has(known[value.layer], value.parameter):
            yield Problem((*at, "parameter"), f"be given in the layer {value.layer}: a value to be compared")
        elif value.averaging is not None and above(value.averaging, known[value.layer].thickness):
            thickness = f"{known[value.layer].thickness:.12g} m"
            yield Problem((*at, "averaging"), f"be at most the thickness of the layer {value.layer}, {thickness}")
        if value.test not in FITS[value.parameter]:
            fits = ", ".join(f'"{test}"' for test in FITS[value.parameter])
            yield Problem((*at, "test"), f"be one of {fits} for {value.parameter}")
        if (key := (value.layer, value.parameter, value.test)) in seen:
            yield Problem((*at, "test"), "be given once for a layer and parameter")
        seen.add(key)
        yield from (Problem((*at, *path), must, got) for path, must, got in _method(value))


def _has(layer: Layer, parameter: str) -> bool:
    """Whether a layer has a value of a parameter, as a number or by points."""
    return any(getattr(layer, name, None) is not None for name in (parameter, f"{parameter}_profile"))


def _method(value: ChosenValue) -> Iterator[Told]:
    """What a method needs, and what it cannot use."""
    needs = {
        "correction": value.test == VANE,
        "N_kt": value.test == CONE and value.parameter == C_U,
        "k_sigma": value.test == CONE and value.parameter == SIGMA_P,
        "averaging": value.theta is not None,
    }
    for name, needed in needs.items():
        has_value = getattr(value, name) is not None
        if needed and not has_value:
            yield (name,), "be given for this test and method", "nothing"
        elif has_value and not needed:
            yield (name,), UNUSED, None
    if value.correction == OWN and value.mu is None:
        yield ("mu",), "be given for this test and method", "nothing"
    spare = {
        "mu": value.correction in {OWN, DONE},
        "I_P": value.correction == PLASTICITY,
        "w_L": value.correction == LIQUID_LIMIT,
        "N_du": value.test == CONE,
        "area_ratio": value.test == CONE,
    }
    for name, fits in spare.items():
        if getattr(value, name) is not None and not fits:
            yield (name,), UNUSED, None
    if value.soil == PEAT and value.test == VANE and value.correction in INDICES:
        yield ("correction",), f'be "{OWN}" or "{DONE}" for peat: its indices do not correct a vane', None
    if value.theta is not None and value.estimate == "local":
        yield ("theta",), "be left out for a local value, which nothing averages", None
    if value.V is not None and value.estimate == TREND:
        yield ("V",), "be left out with a trend, which takes its scatter from the readings", None
    yield from ((("left_out", k, "id"), must, None) for k, must in _twice([reading.id for reading in value.left_out]))


def _twice(ids: Sequence[str]) -> Iterator[tuple[int, str]]:
    for problem in unique(ids, (), "id"):
        yield int(problem.path[0]), problem.must


def values_in_the_file(
    ground_model: GroundModel | None, layers: tuple[Layer, ...], results_file: ResultsFile
) -> Problems:
    """What is named is in the file, and every reading has what its correction needs."""
    if ground_model is None:
        return
    yield from _places(ground_model, layers, results_file)
    for index, value in enumerate(ground_model.values):
        for path, must, got in _readings(ground_model, layers, results_file, value):
            yield Problem(("ground_model", "value", index, *path), must, got)
        yield from _incomplete(("ground_model", "value", index, "test"), results_file, value, ground_model, layers)


def _places(model: GroundModel, layers: tuple[Layer, ...], results_file: ResultsFile) -> Problems:
    """Locations are in the file, and what it names as layers there is in the section."""
    places = {result.location for result in results_file.results}
    strange = {result.layer: result.row for result in results_file.results
               if result.location in model.locations and result.layer} | {layer.key: 0 for layer in layers}  # fmt: skip
    for name, row in strange.items():
        if row:
            must = f"name layers of the section at its locations: {', '.join(layer.key for layer in layers)}"
            yield Problem(("ground_model", "file"), must, show(name), row)
    for index, place in enumerate(model.locations):
        if place not in places:
            known = ", ".join(sorted(places)[:20])
            yield Problem(("ground_model", "locations", index), f"be a location of {results_file.name}: {known}")


def _readings(
    model: GroundModel, layers: tuple[Layer, ...], results_file: ResultsFile, value: ChosenValue
) -> Iterator[Told]:
    """What is wrong with the readings of a value."""
    ids = {reading.first.id for reading in readings_of(results_file, model, value.test, layers, value.layer)}
    for k, gone in enumerate(value.left_out):
        if gone.id not in ids:
            yield ("left_out", k, "id"), "be the id of a reading that would be used", None
    used = selected_readings(results_file, model, value, layers)
    if not 0 < len(used) <= MOST_READINGS:
        must = f'select 1 to {MOST_READINGS} readings of the layer "{value.layer}" at the locations of the section'
        yield ("test",), must, f"{len(used)} in {results_file.name}"


def _incomplete(
    at: tuple[str | int, ...], results_file: ResultsFile, value: ChosenValue, model: GroundModel,
    layers: tuple[Layer, ...],
) -> Problems:  # fmt: skip
    """Readings that lack what the method of a value needs."""
    for reading in selected_readings(results_file, model, value, layers):
        if missing := "; ".join(incomplete(value, reading)):
            must = "go with complete rows; a reading without stands in left_out with its reason"
            yield Problem(at, must, f"{show(reading.first.id)}: {missing}", reading.first.row)


def incomplete(value: ChosenValue, reading: Reading) -> Iterator[str]:
    """What a reading lacks for the method of a value."""
    has = reading.first.values
    name = INDICES.get(value.correction or "")
    if value.test == VANE and name and name not in has and getattr(value, name) is None:
        yield f"no {name}"
    if value.test == CONE and "a" not in has and value.area_ratio is None:
        yield "no net area ratio a"
    if value.test != OEDOMETER:
        return
    if any(row.values["sigma_p"] != has["sigma_p"] for row in reading.rows):
        yield "more than one preconsolidation pressure"
    for quantity in ("stress", "strain"):
        if any(after.values[quantity] <= before.values[quantity] for before, after in pairwise(reading.rows)):
            yield f"a {quantity} that does not rise from row to row"
    if len(reading.increments) < FEWEST_INCREMENTS:
        yield f"fewer than {FEWEST_INCREMENTS} load increments above its preconsolidation pressure"


GROUND_MODEL_RULES = (chosen_values, values_in_the_file)

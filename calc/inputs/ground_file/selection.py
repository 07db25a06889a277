"""Which readings of a file a characteristic value rests on; the rules between the table [ground_model] and the file."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate, pairwise
from math import inf

from calc.engine.levels import above
from calc.inputs.ground_file.result_rows import INDEX, Result, ResultsFile
from calc.inputs.reading.scalars import show
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.ground_model import (
    C_U,
    CONE,
    DONE,
    FITS,
    LIQUID_LIMIT,
    LOW,
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
DIGITS = 6  # of a distance in m: 1.00 is as far from 0.85 as from 1.15, which floating point does not know
INDICES = {PLASTICITY: "I_P", LIQUID_LIMIT: "w_L"}


@dataclass(frozen=True, slots=True)
class Increment:
    """A load increment of an oedometer test with what its modulus follows from by symbol, in kPa.

    These are effective stresses with strains or void ratios at start and end, or with the coefficient of volume
    compressibility; stresses alone where the file has none of them.
    """

    row: int
    stress: tuple[float, float]
    given: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading, or all rows of one oedometer test with its preconsolidation pressure.

    ``indices`` are the index tests that stand for a vane, by quantity; ``stated`` is the place of the pressure among
    those of the project.
    """

    first: Result
    rows: tuple[Result, ...]
    sigma_p: float | None = None
    stated: int | None = None
    indices: Mapping[str, Result] = field(default_factory=dict)

    @property
    def increments(self) -> list[Increment]:
        """The increments of first loading that lie wholly above the preconsolidation pressure."""
        stresses = [row.values["stress"] for row in self.rows]
        least = inf if self.sigma_p is None else self.sigma_p
        return [
            Increment(after.row, (low, high), _stresses_and_strains(before.values, after.values, low, high))
            for (before, after), (low, high), peak in zip(
                pairwise(self.rows), pairwise(stresses), accumulate(stresses, max), strict=False
            )
            if low >= max(least, peak) and high > low
        ]

    @property
    def unloaded(self) -> list[int]:
        """The rows of unloading and reloading."""
        stresses = [row.values["stress"] for row in self.rows]
        peaks = accumulate(stresses, max)
        return [
            after.row for after, (low, high), peak in zip(self.rows[1:], pairwise(stresses), peaks, strict=False)
            if high <= low or low < peak
        ]  # fmt: skip


def _stresses_and_strains(
    before: Mapping[str, float], after: Mapping[str, float], low: float, high: float
) -> dict[str, float]:
    """What the modulus of an increment follows from."""
    if "strain" in after:
        return {"sigma_1": low, "eps_1": before["strain"], "sigma_2": high, "eps_2": after["strain"]}
    if "e_0" in after:
        return {"sigma_1": low, "e_1": after.get("e_1", before["e_2"]), "sigma_2": high, "e_2": after["e_2"]}
    return {"sigma_1": low, "sigma_2": high, **{name: after[name] for name in ("m_v",) if name in after}}


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
    if test == VANE:
        return [_with_index(row[0], file, model, layers) for row in rows.values()]
    stated = {pressure.test: (pressure.value, k) for k, pressure in enumerate(model.pressures)}
    return [Reading(row[0], tuple(row), *_pressure(row[0], stated)) for row in rows.values()]


def _pressure(first: Result, stated: Mapping[str, tuple[float, int]]) -> tuple[float | None, int | None]:
    """The preconsolidation pressure of a test by the file, else as the project states it."""
    if "sigma_p" in first.values or first.test != OEDOMETER:
        return first.values.get("sigma_p"), None
    return stated.get(first.id, (None, None))


def _with_index(vane: Result, file: ResultsFile, model: GroundModel, layers: Sequence[Layer]) -> Reading:
    """A vane with each index that it lacks by the nearest index test in depth in its layer, its own hole first.

    One of the same place and depth always counts, others as far as the project says.
    """
    most, layer = model.index_distance, layer_of(vane, layers)
    near = [
        (round(distance, DIGITS), test.location != vane.location, test.row, test)
        for test in file.results
        if test.test == INDEX and test.location in model.locations and layer_of(test, layers) == layer
        and not above(distance := abs(test.depth - vane.depth), most or 0.0)
        and (most is not None or test.location == vane.location)
    ]  # fmt: skip
    tests = [test for *_, test in sorted(near, key=lambda candidate: candidate[:3])]
    indices = {
        name: next(test for test in tests if name in test.values)
        for name in INDICES.values()
        if name not in vane.values and any(name in test.values for test in tests)
    }
    values = {**vane.values, **{name: test.values[name] for name, test in indices.items()}}
    with_them = replace(vane, values=values)
    return Reading(with_them, (with_them,), indices=indices)


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
    twice = unique([reading.id for reading in value.left_out], ("left_out",), "id")
    yield from ((problem.path, problem.must, None) for problem in twice)


def values_in_the_file(
    ground_model: GroundModel | None, layers: tuple[Layer, ...], results_file: ResultsFile
) -> Problems:
    """What is named is in the file, and every reading has what its correction needs."""
    if ground_model is None:
        return
    yield from _places(ground_model, layers, results_file)
    yield from _pressures(ground_model, results_file)
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


def _pressures(model: GroundModel, results_file: ResultsFile) -> Problems:
    """Stated preconsolidation pressures belong to oedometer tests of the section whose rows have none."""
    tests = {result.id: "sigma_p" in result.values for result in results_file.results
             if result.test == OEDOMETER and result.location in model.locations}  # fmt: skip
    for index, stated in enumerate(model.pressures):
        if tests.get(stated.test, True):
            must = f"be the id of an oedometer test of {results_file.name} that has no sigma_p there"
            yield Problem(("ground_model", "sigma_p", index, "test"), must)
    yield from unique([stated.test for stated in model.pressures], ("ground_model", "sigma_p"), "test")


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
        passed = [f"; {gone}" for gone in results_file.passed if gone.test == value.test]
        yield ("test",), must, f"{len(used)} in {results_file.name}{''.join(passed)}"


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
    if value.test == OEDOMETER:
        yield from _incomplete_test(value, reading)


def _incomplete_test(value: ChosenValue, reading: Reading) -> Iterator[str]:
    """What an oedometer test lacks for a modulus."""
    has = reading.first.values
    if reading.sigma_p is None:
        yield "no preconsolidation pressure, which ground_model.sigma_p may state"
        return
    if any(row.values.get("sigma_p") != has.get("sigma_p") for row in reading.rows):
        yield "more than one preconsolidation pressure"
    for quantity in ("stress", "strain") if "strain" in has else ():
        if any(after.values[quantity] <= before.values[quantity] for before, after in pairwise(reading.rows)):
            yield f"a {quantity} that does not rise from row to row"
    increments = reading.increments
    if not all(increment.given.keys() & {"eps_1", "e_1", "m_v"} for increment in increments):
        yield "no coefficient of volume compressibility in an increment above its preconsolidation pressure"
    if any("e_1" in increment.given and increment.given["e_1"] <= increment.given["e_2"] for increment in increments):
        yield "a void ratio that does not fall in an increment above its preconsolidation pressure"
    if value.unsafe == LOW and any("m_v" in increment.given for increment in increments):
        yield "no void ratios: by m_v a modulus is on the low side, which is unsafe here"
    if len(increments) < FEWEST_INCREMENTS:
        yield f"fewer than {FEWEST_INCREMENTS} load increments above its preconsolidation pressure"


GROUND_MODEL_RULES = (chosen_values, values_in_the_file)

"""What a range, a distribution or a correlation of [vary] must be, and whether the inputs named there take it."""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from statistics import NormalDist
from typing import Any, get_args

import numpy as np
from pydantic.fields import FieldInfo

from calc.inputs.reading import units
from calc.inputs.reading.provenance import single_values
from calc.inputs.reading.scalars import Quantity, Ranged, Whole, show
from calc.inputs.tables.monitoring import Measure
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.section import Section
from calc.inputs.tables.vary import (
    DATA,
    LOGNORMAL,
    NORMAL,
    PERT,
    SUBLAYERS,
    TRIANGULAR,
    TRUNCATED,
    UNIFORM,
    Correlation,
    VariedInput,
    Vary,
)

Values = dict[str, Any]

MOMENTS = (NORMAL, LOGNORMAL, TRUNCATED)
AVERAGED = (NORMAL, LOGNORMAL)
"""Whose average over a height is taken to have the same kind of distribution."""
NEEDS = {
    NORMAL: ("mean",), LOGNORMAL: ("mean",), TRUNCATED: ("mean", "least", "most"), UNIFORM: ("least", "most"),
    TRIANGULAR: ("least", "mode", "most"), PERT: ("least", "mode", "most"), DATA: ("file", "column"),
}  # fmt: skip
OF_SHAPE = ("mean", "sd", "cov", "mode", "file", "column", "unit")
WHOLE_ONLY = ("thickness", "thickness_left", "thickness_right", "c_u_growth")
"""Numbers of a layer that its sublayers cannot have by themselves."""
AMOUNTS = ("least", "most", "mean", "sd", "mode")
OUTSIDE = 1e-9
"""Greatest probability with which a distribution may give a value that its field does not take; project rule."""
SHORTEST = 0.01
"""Averaging length over scale of fluctuation below which nothing is averaged; project rule."""
SMALLEST = 1e-6
"""Smallest eigenvalue that the matrix of correlations may have; project rule."""
Known = Mapping[str, tuple[FieldInfo, Any]]


def inputs_of(section: Section) -> Known:
    """Every single value of a section by its path, with its field."""
    return {path: (info, value) for path, _, info, value in single_values(section, (), "")}


def kind_of(info: FieldInfo) -> Ranged | None:
    """The kind of number that a field takes; None for what is no number with a range."""
    metadata = [*info.metadata, *_metadata(info.annotation)]
    return next((kind for kind in metadata if isinstance(kind, Ranged) and not isinstance(kind, Whole)), None)


def _metadata(annotation: Any) -> Iterator[Any]:
    for part in get_args(annotation):
        yield part
        yield from _metadata(part)


def unit_of(kind: Ranged) -> str:
    """The unit that values of a kind convert to, none for plain numbers."""
    return kind.unit if isinstance(kind, Quantity) else ""


def bounds_inside(kind: Ranged) -> tuple[float, float]:
    """Ends of the values that a field takes, in kN, m, kPa, rad, day."""
    factor = float(units.factor_inside(kind.unit)) if isinstance(kind, Quantity) else 1.0
    low = [end for end in (kind.gt, kind.ge) if end is not None]
    high = [end for end in (kind.lt, kind.le) if end is not None]
    return factor * max(low, default=-np.inf), factor * min(high, default=np.inf)


def of_scores(rank: float) -> float:
    """The correlation of normal scores with a rank correlation, for the rule alone, which knows no formulas."""
    return 2.0 * math.sin(math.pi * rank / 6.0)


def correlation_matrix(
    vary: Vary, convert: Callable[[float], Any] = of_scores
) -> np.ndarray[Any, np.dtype[np.float64]]:  # fmt: skip
    """Correlations of the normal scores of the inputs with distributions, of their rank correlations.

    Exact for inputs that are joined by a Gaussian copula. A study converts by the formula that it prints.
    """
    names = [varied.path for varied in vary.with_distributions]
    matrix = np.eye(len(names))
    for correlation in vary.correlations:
        i, j = (names.index(path) for path in correlation.between)
        matrix[i, j] = matrix[j, i] = float(convert(correlation.rank))
    return matrix


def spread_of(varied: VariedInput) -> float:
    """Standard deviation of a distribution with moments."""
    assert varied.mean is not None and varied.mean.value is not None  # noqa: S101, PT018 - a rule asks for it
    return abs(varied.cov * varied.mean.value) if varied.cov is not None else float(number_of(varied.sd))


def number_of(amount: Measure | None) -> float:
    """A value inside, NaN where there is none."""
    return np.nan if amount is None or amount.value is None else amount.value


def layer_field(path: str) -> tuple[str, str]:
    """Key of the soft layer and name of its field that a path leads to; empty where it is no number of a layer."""
    match path.split("."):
        case ["layer", key, name]:
            return key, name
    return "", ""


def varied_shapes(vary: Vary | None) -> Problems:
    """Every input has a range, a distribution or both, each with all that it needs and nothing else."""
    if vary is None:
        return
    yield from unique([varied.path for varied in vary.inputs], ("vary", "input"), "path")
    if vary.points & (vary.points - 1):
        yield Problem(("vary", "points"), "be a power of two such as 4096")
    for k, varied in enumerate(vary.inputs):
        yield from (Problem(("vary", "input", k, *path), must, got) for path, must, got in _shape(varied))
        yield from _of_cut_layer(vary, k, varied)


Wrong = Iterator[tuple[tuple[str, ...], str, str | None]]


def _shape(varied: VariedInput) -> Wrong:
    needs = ("least", "most") if varied.distribution is None else NEEDS[varied.distribution]
    where = "without distribution" if varied.distribution is None else f'with distribution = "{varied.distribution}"'
    for name in needs:
        if getattr(varied, name) is None:
            yield (name,), f"be given {where}", "nothing"
    if (varied.least is None) != (varied.most is None) and "least" not in needs:
        yield ("most" if varied.most is None else "least",), "be given where the other end of the range is", "nothing"
    moments = ("sd", "cov", "mean") if varied.distribution in MOMENTS else ()
    allowed = {*needs, *moments, *(("unit",) if varied.distribution == DATA else ())}
    for name in OF_SHAPE:
        if getattr(varied, name) is not None and name not in allowed:
            yield (name,), f"be left out {where}", None
    if moments and (varied.sd is None) == (varied.cov is None):
        yield ("cov",), "be given, or sd, but not both", None
    yield from _order(varied)
    yield from _averaging(varied)


def _order(varied: VariedInput) -> Wrong:
    """Least, mode and most rise; deviations are positive, and so is what a logarithm or a quotient is taken of."""
    least, mode, most = (number_of(getattr(varied, name)) for name in ("least", "mode", "most"))
    if most <= least:
        yield ("most",), "be greater than least", None
    if mode < least or mode > most:
        yield ("mode",), "lie between least and most", None
    if number_of(varied.sd) <= 0:
        yield ("sd",), "be greater than 0", None
    if (
        varied.mean is not None
        and number_of(varied.mean) <= 0
        and (varied.distribution == LOGNORMAL or varied.cov is not None)
    ):
        yield ("mean",), "be greater than 0 for a lognormal distribution or a coefficient of variation", None


def _averaging(varied: VariedInput) -> Wrong:
    """The scale of fluctuation has what it is for: sublayers, or an averaging length with it."""
    by_sublayer = varied.vertical == SUBLAYERS
    pair = {"correlation_length": varied.correlation_length, "averaging_length": varied.averaging_length}
    for name, amount in pair.items():
        if amount is None:
            continue
        if varied.distribution not in AVERAGED and not (by_sublayer and name == "correlation_length"):
            must = "be left out: an average has the same kind of distribution only of a normal or lognormal one"
            yield (name,), must, None
        elif None in pair.values() and not by_sublayer:
            other = next(key for key in pair if key != name)
            yield (other,), f"be given with {name}", "nothing"
        elif not _fits(amount, "m") or number_of(amount) <= 0:
            yield (name,), "be a length greater than 0 m", None
    if by_sublayer:
        yield from _by_sublayer(varied)
    if number_of(varied.averaging_length) < SHORTEST * number_of(varied.correlation_length):
        must = f"be at least {SHORTEST:g} times correlation_length (project rule): less averages nothing"
        yield ("averaging_length",), must, None


def _by_sublayer(varied: VariedInput) -> Wrong:
    """A number of a soft layer with a distribution and a scale of fluctuation may differ between sublayers."""
    where = f'with vertical = "{SUBLAYERS}"'
    if varied.distribution is None:
        yield ("distribution",), f"be given {where}", "nothing"
    if varied.correlation_length is None:
        yield ("correlation_length",), f"be given {where}", "nothing"
    key, name = layer_field(varied.path)
    if not key or name in WHOLE_ONLY:
        must = f"be layer.KEY.FIELD {where}, a number of a soft layer, and none of {', '.join(WHOLE_ONLY)}"
        yield ("path",), must, None


def _of_cut_layer(vary: Vary, place: int, varied: VariedInput) -> Problems:
    """What the division into sublayers, or a strength by sublayer, is made of is not varied beside it."""
    if varied.vertical == SUBLAYERS:
        return
    key, name = layer_field(varied.path)
    fields = [layer_field(other.path)[1] for other in vary.by_sublayer if layer_field(other.path)[0] == key]
    if (fields and name in WHOLE_ONLY and name != "c_u_growth") or (name == "c_u_growth" and "c_u" in fields):
        must = f'not be varied where layer {key} has values by sublayer (vertical = "{SUBLAYERS}")'
        yield Problem(("vary", "input", place, "path"), must)


def _fits(amount: Measure, unit: str) -> bool:
    """Whether a value has a unit that converts to this one, or neither has one."""
    if not unit or not amount.unit:
        return unit == amount.unit
    try:
        units.factor(amount.unit, unit)
    except units.QuantityError:
        return False
    return True


def varied_paths(vary: Vary | None, section_values: Sequence[Values]) -> Problems:
    """Every input is a number of every section that is studied, and its values are ones that its field takes."""
    if vary is None:
        return
    keys = [values.get("key") for values in section_values]
    for k, key in enumerate(vary.sections):
        if key not in keys:
            yield Problem(("vary", "sections", k), f"name a section ({', '.join(map(str, keys))})")
        elif key in vary.sections[:k]:
            yield Problem(("vary", "sections", k), "be used once only")
    for values in section_values:
        if (vary.sections and values.get("key") not in vary.sections) or values.keys() < Section.model_fields.keys():
            continue
        known = inputs_of(Section.model_construct(None, **values))
        for k, varied in enumerate(vary.inputs):
            at = ("vary", "input", k)
            yield from (Problem((*at, *path), must, got) for path, must, got in _values(varied, known, values["key"]))


def _values(varied: VariedInput, known: Known, section: str) -> Wrong:
    info, value = known.get(varied.path, (None, None))
    kind = kind_of(info) if info is not None else None
    if kind is None or not isinstance(value, float):
        yield ("path",), f"name a number that section {section} gives, such as columns.spacing", None
        return
    unit, (low, high) = unit_of(kind), bounds_inside(kind)
    wanted = f"have a unit that converts to {unit}" if unit else "be a plain number, as the input is"
    given = {name: getattr(varied, name) for name in AMOUNTS if getattr(varied, name) is not None}
    wrong = [name for name, amount in given.items() if not _fits(amount, unit)]
    yield from (((name,), wanted, None) for name in wrong)
    if varied.distribution == DATA and unit and varied.unit is None:
        yield ("unit",), f"be given: the input converts to {unit}", "nothing"
    if varied.unit is not None and not _fits(Measure(1.0, varied.unit), unit):
        yield ("unit",), f"be a unit that converts to {unit}" if unit else "be left out: the input has none", None
    outside = [name for name in given if name not in {"sd", *wrong} and not low <= given[name].value <= high]
    yield from (((name,), f"be a value that the input takes: {kind.range_text(unit)}", None) for name in outside)
    if varied.distribution in AVERAGED and not wrong and not outside and not list(_shape(varied)):
        beyond = _beyond(varied, low, high)
        if beyond > OUTSIDE:
            must = (
                f"give values that the input takes ({kind.range_text(unit)}) but for a probability of {OUTSIDE:g} "
                "(project rule): a bounded distribution or another spread"
            )
            yield ("distribution",), must, f"{varied.distribution} with {beyond:.2g} outside"


def _beyond(varied: VariedInput, low: float, high: float) -> float:
    """Probability with which a normal or lognormal distribution gives less than `low` or more than `high`."""
    mean, spread = number_of(varied.mean), spread_of(varied)
    if varied.distribution == NORMAL:
        law = NormalDist(mean, spread)
        return law.cdf(low) + law.cdf(2 * mean - high)
    centre, spread = log_moments(mean, spread)
    law = NormalDist(centre, spread)
    below = law.cdf(math.log(low)) if low > 0 else 0.0
    return below + law.cdf(2 * centre - math.log(high))


def log_moments(mean: float, deviation: float) -> tuple[float, float]:
    """Mean and standard deviation of the logarithm of a lognormal variable."""
    variance = math.log1p((deviation / mean) ** 2)
    return math.log(mean) - variance / 2, math.sqrt(variance)


def varied_correlations(vary: Vary | None) -> Problems:
    """Correlations join two inputs with distributions, each pair once, to a matrix that is positive definite."""
    if vary is None:
        return
    names = [varied.path for varied in vary.with_distributions]
    seen: list[frozenset[str]] = []
    sound = True
    for k, correlation in enumerate(vary.correlations):
        at, pair = ("vary", "correlation", k, "between"), frozenset(correlation.between)
        if not pair <= set(names) or len(pair) == 1:
            must = f"name two inputs with distributions ({', '.join(names) or 'there are none'})"
            yield Problem(at, must, " and ".join(map(show, correlation.between)))
            sound = False
        elif pair in seen:
            yield Problem(at, "be a pair that is given once only", " and ".join(map(show, correlation.between)))
        elif must := _unlike_fields(vary, correlation):
            yield Problem(at, must, " and ".join(map(show, correlation.between)))
        seen.append(pair)
    if sound and vary.correlations:
        least = float(np.linalg.eigvalsh(correlation_matrix(vary))[0])
        if least < SMALLEST:
            must = f"make a positive definite matrix (smallest eigenvalue at least {SMALLEST:g}; project rule)"
            yield Problem(("vary", "correlation"), must, f"a smallest eigenvalue of {least:.3g}")


def _unlike_fields(vary: Vary, correlation: Correlation) -> str:
    """What two correlated inputs must be where one has values by sublayer; nothing where they are."""
    pair = [other for other in vary.with_distributions if other.path in correlation.between]
    alike = {(layer_field(other.path)[0], number_of(other.correlation_length), str(number_of(other.averaging_length)))
             for other in pair}  # fmt: skip
    kinds = {other.vertical for other in pair}
    if SUBLAYERS not in kinds or (len(kinds) == 1 and len(alike) == 1):
        return ""
    return (
        "join inputs of one layer with the same correlation_length and averaging_length where one of them has "
        f'vertical = "{SUBLAYERS}": one number does not say how values at other depths are correlated'
    )


def varied_targets(vary: Vary | None) -> Problems:
    """A limit state is asked about once; a target has its source, and a class its target."""
    if vary is None:
        return
    yield from unique([limit_state.verdict for limit_state in vary.limit_states], ("vary", "limit_state"), "verdict")
    for k, limit_state in enumerate(vary.limit_states):
        at = ("vary", "limit_state", k)
        if limit_state.target is not None and limit_state.source is None:
            yield Problem((*at, "source"), "be given with target", "nothing")
        if limit_state.target is None and limit_state.reliability_class is not None:
            yield Problem((*at, "target"), "be given with reliability_class", "nothing")


VARY_RULES = (varied_shapes, varied_paths, varied_correlations, varied_targets)

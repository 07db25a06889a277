"""Figures of a search: utilisation and settlement over the spacing, where each verdict governs, the front."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calc.engine.figure import Chart, Curve
from calc.engine.words import words_of
from calc.inputs.tables.sizing import SETTLEMENT as BY_SETTLEMENT
from calc.study.report import clean
from calc.study.size_grid import SLEEVE, SPACING, Floats, Places
from calc.study.size_report import MM, WORDS, on_one_line, unit_of, varied_axes
from calc.study.size_search import Search
from calc.study.whole_section import SETTLEMENT

say = words_of(__name__)

MOST_CURVES = 6
LARGEST = 2.0  # utilisation over its limit that is drawn
LEAST_POINTS = 2


@dataclass(frozen=True)
class Plane:
    """Combinations over spacing and sleeve, in ascending order of both; the rest is that of one design.

    ``numbers`` has a row for every sleeve, by its stiffness at the last time.
    """

    spacings: Floats
    sleeves: tuple[str, ...]
    stiffness: Floats
    numbers: Places


def plane_of(search: Search) -> Plane:
    """The plane through the best design; through the first combination without one."""
    grid = search.grid
    number = search.best[0].number if search.best else 0
    places = [np.array([int(place)]) for place in np.unravel_index(number, grid.shape)]
    (k_spacing, spacing), (k_sleeve, sleeve) = grid.axis(SPACING), grid.axis(SLEEVE)
    values = spacing.numbers("columns.spacing")
    last = np.array([list(_stiffness(choice.numbers))[-1] for choice in sleeve.choices])
    across, up = np.argsort(values, kind="stable"), np.argsort(last, kind="stable")
    places[k_spacing], places[k_sleeve] = across[None, :], up[:, None]
    numbers = np.ravel_multi_index(tuple(np.broadcast_arrays(*places)), grid.shape)
    names = tuple(clean(sleeve.choices[int(k)].name) for k in up)
    return Plane(values[across], names, last[up], numbers)


def _stiffness(numbers: object) -> Iterator[float]:
    assert isinstance(numbers, dict)  # noqa: S101 - as the grid makes them
    for path, value in numbers.items():
        if path.endswith(".J"):
            yield value


def charts(search: Search) -> Iterator[Chart]:
    """The figures for which the grid has enough values."""
    plane = plane_of(search)
    if len(plane.spacings) >= LEAST_POINTS:
        rest, ratios = _rest(search), ratios_of(search, plane)
        if ratios:
            yield from _over_spacing(search, plane, ratios, rest)
        if len(plane.sleeves) >= LEAST_POINTS:
            yield from _borders(search, plane, ratios, rest)
    if search.front and len(search.best) >= LEAST_POINTS:
        yield _front(search)


def ratios_of(search: Search, plane: Plane) -> dict[str, Floats]:
    """Utilisation over its limit of every verdict that is followed, in the shape of the plane; NaN where none is."""
    flat = plane.numbers.ravel()
    apart = np.isin(flat, search.screening.apart)
    made = {}
    for key, values in search.screening.ratios(flat[apart]).items():
        whole = np.full(flat.shape, np.nan)
        whole[apart] = values
        made[key] = whole.reshape(plane.numbers.shape)
    return made


def _rest(search: Search) -> str:
    """What the other values are in the plane that is drawn."""
    grid = search.grid
    chosen = grid.choices(search.best[0].number if search.best else 0)
    others = [
        f"{axis.name} {clean(chosen[k].name)}" for k, axis in varied_axes(grid) if axis.name not in {SPACING, SLEEVE}
    ]
    return f" ({on_one_line(others)})" if others else ""


def _over_spacing(search: Search, plane: Plane, ratios: Mapping[str, Floats], rest: str) -> Iterator[Chart]:
    shown = _spread(len(plane.sleeves), MOST_CURVES)
    places = _ticks(plane.spacings)
    changing = {key: values for key, values in ratios.items() if key not in search.unchanged}
    largest = np.max(list((changing or ratios).values()), axis=0)
    worst = [_curve(plane.sleeves[k], plane.spacings, largest[k], LARGEST) for k in shown]
    curves = [curve for curve in worst if len(curve.x) >= LEAST_POINTS]
    alone = [clean(title) for title in search.screening.unfollowed.values()]
    alone += [say("dated")] if search.screening.dated else []
    beside = say("beside", verdicts="; ".join(alone)) if alone else ""
    note = say("drawn", largest=f"{LARGEST:g}", beside=beside)
    if changing and search.unchanged:
        note += say("unchanged", largest=f"{max(search.unchanged.values()):.3f}")
    if curves:
        ends = float(plane.spacings[0]), float(plane.spacings[-1])
        yield Chart("utilisation", say("utilisation-title", rest=rest), say("utilisation-alt"), say("spacing"),
                    say("utilisation"), (*curves, Curve(say("limit"), ends, (1.0, 1.0))), places=places,
                    note=note, upward=True)  # fmt: skip
    settlement = ratios.get(SETTLEMENT)
    limit = search.grid.design.basis.limits.settlement_total
    if settlement is None or limit is None:
        return
    settled = MM * limit * settlement
    all_curves = [_curve(plane.sleeves[k], plane.spacings, settled[k], np.inf) for k in shown]
    curves = [curve for curve in all_curves if len(curve.x) >= LEAST_POINTS]
    if curves:
        yield Chart("settlement", say("settlement-title", rest=rest), say("settlement-alt"), say("spacing"),
                    say("settlement"), tuple(curves), places=places)  # fmt: skip


def _spread(count: int, most: int) -> list[int]:
    """Places spread evenly, both ends among them."""
    return sorted({round(k) for k in np.linspace(0, count - 1, min(count, most))})


def _ticks(values: Floats) -> tuple[tuple[float, str], ...]:
    return tuple((float(values[k]), f"{values[k]:g}") for k in _spread(len(values), 9))


def _curve(label: str, x: Floats, y: Floats, largest: float) -> Curve:
    kept = np.isfinite(y) & (y <= largest)
    return Curve(label, tuple(map(float, x[kept])), tuple(map(float, y[kept])))


def _borders(search: Search, plane: Plane, ratios: Mapping[str, Floats], rest: str) -> Iterator[Chart]:
    """The largest spacing that each verdict allows, over the stiffness of the sleeve: where one governs."""
    apart = len(set(plane.stiffness.tolist())) == len(plane.stiffness)
    across = plane.stiffness if apart else np.arange(1.0, 1 + len(plane.sleeves))
    curves = []
    for key, values in ratios.items():
        allowed = np.array([allowed_spacing(plane.spacings, row) for row in values])
        if np.isfinite(allowed).sum() >= LEAST_POINTS:
            curves.append(_curve(clean(search.screening.titles.get(key, key)), across, allowed, np.inf))
    above = above_the_lowest(curves)
    order = sorted(range(len(curves)), key=lambda k: (above[k], min(curves[k].y)))
    curves, left_out = [curves[k] for k in order[:MOST_CURVES]], [above[k] for k in order[MOST_CURVES:]]
    if curves:
        places = _ticks(across)
        title, note = say("stiffness") if apart else say("sleeves"), say("borders")
        if left_out:
            govern = sum(not gap for gap in left_out)
            what = say("govern", count=govern) if govern else say("none-governs")
            note += say("not-drawn", count=len(left_out), what=what)
        yield Chart("borders", say("borders-title", rest=rest), say("borders-alt"), title, say("spacing"),
                    tuple(curves), places=places, note=note, upward=True)  # fmt: skip


def above_the_lowest(curves: Sequence[Curve]) -> list[float]:
    """How near every curve comes to the lowest one of all; 0 where it is that somewhere."""
    lowest: dict[float, float] = {}
    for curve in curves:
        for x, y in zip(curve.x, curve.y, strict=True):
            lowest[x] = min(y, lowest.get(x, y))
    return [min(y - lowest[x] for x, y in zip(curve.x, curve.y, strict=True)) for curve in curves]


def allowed_spacing(spacings: Floats, ratios: Floats) -> float:
    """The spacing at which a verdict first reaches its limit, linear between two values; NaN where it does not."""
    over = np.flatnonzero(ratios > 1)
    if not over.size or over[0] == 0 or not np.isfinite(ratios[over[0]]):
        return float("nan")
    k = int(over[0])
    share = (1 - ratios[k - 1]) / (ratios[k] - ratios[k - 1])
    return float(spacings[k - 1] + share * (spacings[k] - spacings[k - 1]))


def _front(search: Search) -> Chart:
    names = search.grid.size.objective
    units = [unit_of(search.grid, name) for name in names]
    x, y = (_objective(search, k, name) for k, name in enumerate(names))
    first, second = (WORDS[name] for name in names)
    return Chart("front", say("front-title", one=first, other=second), say("front-alt", one=first, other=second),
                 f"{WORDS[names[0]]}, {units[0]}", f"{WORDS[names[1]]}, {units[1]}", (Curve("front", x, y),),
                 places=tuple((value, f"{value:.4g}") for value in np.linspace(x[0], x[-1], 5).tolist()),
                 upward=True)  # fmt: skip


def _objective(search: Search, place: int, name: str) -> tuple[float, ...]:
    factor = MM if name == BY_SETTLEMENT else 1.0
    return tuple(factor * design.objectives[place] for design in search.best)

"""Sliding blocks: an active wedge, a block on a weak plane or on a layer of reinforcement, and a passive wedge."""

from itertools import pairwise, product
from math import pi, tan

import numpy as np

from calc.procedures.slip.evaluate import Interface, factors_of_lines
from calc.procedures.slip.model import BlockSearch, Range, SlipError, Surface
from calc.procedures.slip.reasons import NO_STRENGTH, REASONS
from calc.procedures.slip.result import Record
from calc.procedures.slip.solve import Bools
from calc.procedures.slip.vertical_strips import Floats, Ground
from calc.procedures.slip.wish import Wish

Pairs = tuple[tuple[float, float], ...]


def search_blocks(ground: Ground, search: BlockSearch, wish: Wish) -> tuple[Surface, Record]:
    """The block with the least factor; without passive angles the base runs on until it leaves the ground."""
    _refuse(ground, search)
    active, passive = search.active, search.passive
    tried, rejected = 0, dict[str, int]()
    best, line = np.inf, None
    pairs = tuple(product(search.active_angles, search.passive_angles or (0.0,)))
    for _ in range(1 + search.zooms):
        px, py = _corners(ground, search, (active, passive), pairs)
        pieces = tuple(range(1, len(px) - (2 if search.passive_angles else 1)))
        interface = None
        if search.c is not None or search.phi is not None:
            interface = Interface(pieces, search.c or 0.0, tan(search.phi or 0.0))
        whole: Bools = np.logical_and(np.isfinite(px).all(axis=0), (np.diff(px, axis=0) >= 0).all(axis=0))
        factors = factors_of_lines(ground, px[:, whole], py[:, whole], wish, interface)
        tried += len(whole)
        rejections = factors.counts() | {REASONS[1]: int((~whole).sum())}
        rejected = {name: rejected.get(name, 0) + rejections.get(name, 0) for name in {**rejected, **rejections}}
        nothing = rejections.get(REASONS[NO_STRENGTH], 0)
        if nothing:
            message = f"{nothing} of {len(whole)} translational mechanisms have no strength at all, so that their "
            message += "factor is 0: the ground there needs a strength, or the search other ranges"
            raise SlipError(message)
        if np.isnan(factors.factor).all():
            break
        least = int(np.nanargmin(factors.factor))
        if factors.factor[least] < best:
            best = factors.factor[least]
            x, y = px[:, whole][:, least], py[:, whole][:, least]
            line = Surface(
                tuple((float(corner_x), float(corner_y)) for corner_x, corner_y in zip(x, y, strict=True)),
                search.c, search.phi, pieces,
            )  # fmt: skip
            middle = x[1], x[-2 if search.passive_angles else -1]
        active = _range_around_best(search.active, active, middle[0], search.counts[0])
        passive = _range_around_best(search.passive, passive, middle[1], search.counts[1])
        pairs = _lowest(pairs, whole, factors.factor, search.wedges)
    if line is None:
        message = f"no admissible translational mechanism among {tried}: rejected {rejected}"
        raise SlipError(message)
    return line, Record(tried, {name: count for name, count in rejected.items() if count})


def _lowest(pairs: Pairs, whole: Bools, factor: Floats, most: int) -> Pairs:
    """The pairs of wedges with the least factors; the last axis of the blocks runs over the pairs."""
    value = np.full(len(whole), np.inf)
    value[whole] = np.where(np.isnan(factor), np.inf, factor)
    order = np.argsort(value.reshape(-1, len(pairs)).min(axis=0), kind="stable")
    return tuple(pairs[k] for k in sorted(order[:most]))


def _range_around_best(bounds: Range, last: Range, middle: float, count: int) -> Range:
    """One spacing of the last grid on both sides of the best place, within the range given."""
    step = (last[1] - last[0]) / (count - 1)
    return max(bounds[0], middle - step), min(bounds[1], middle + step)


def _refuse(ground: Ground, search: BlockSearch) -> None:
    """``SlipError`` with every reason for a search that cannot be made."""
    first, last = float(ground.x[0]), float(ground.x[-1])
    wrong = []
    if len(search.base) < 2 or any(after[0] <= before[0] for before, after in pairwise(search.base)):
        wrong.append(f"base must be at least two points with growing x (got {search.base})")
    else:
        first, last = max(first, search.base[0][0]), min(last, search.base[-1][0])
    for name, (low, high) in (("active", search.active), ("passive", search.passive)):
        if not first <= low <= high <= last:
            wrong.append(
                f"{name} must be a range on the base within x = {first:g} to {last:g} (got {low:g} to {high:g})"
            )
    if not search.active_angles:
        wrong.append("active_angles must hold at least one angle")
    if any(not 0 < angle < pi / 2 for angle in (*search.active_angles, *search.passive_angles)):
        wrong.append("angles of the wedges must lie between 0 and π/2")
    if min(search.counts) < 2:
        wrong.append(f"counts must be at least 2 each (got {search.counts})")
    if wrong:
        raise SlipError("\n".join(wrong))


def _corners(ground: Ground, search: BlockSearch, ranges: tuple[Range, Range], pairs: Pairs) -> tuple[Floats, Floats]:
    """Corners (corners, blocks): upper end, end of the active wedge, bends of the base, passive wedge, lower end."""
    base_x, base_y = np.array(search.base).T
    places = [np.linspace(*limits, count) for limits, count in zip(ranges, search.counts, strict=True)]
    places.append(np.arange(float(len(pairs))))
    x_a, x_p, pair = (values.ravel() for values in np.meshgrid(*places, indexing="ij"))
    active_angle, passive_angle = np.array(pairs, dtype=np.float64)[pair.astype(np.int64)].T
    if not search.passive_angles:
        x_p = _daylight(ground, base_x, base_y, x_a)
    bends = [np.clip(bend, x_a, np.maximum(x_a, x_p)) for bend in base_x[1:-1]]
    inner = np.array([x_a, *bends, x_p])
    inner_y = np.interp(inner, base_x, base_y)
    # The slip line begins at the bottom of the crack.
    crack = ground.model.crack.depth if ground.model.crack else 0.0
    left = _meeting(ground, x_a, inner_y[0], -np.tan(active_angle), -1, crack)
    if not search.passive_angles:
        return np.array([left, *inner]), np.array([_surface(ground, left) - crack, *inner_y])
    right = _meeting(ground, x_p, inner_y[-1], np.tan(passive_angle), 1, 0.0)
    py = np.array([_surface(ground, left) - crack, *inner_y, _surface(ground, right)])
    return np.array([left, *inner, right]), py


def _surface(ground: Ground, x: Floats) -> Floats:
    return np.interp(x, [place for place, _ in ground.model.surface], [level for _, level in ground.model.surface])


def _daylight(ground: Ground, base_x: Floats, base_y: Floats, x_a: Floats) -> Floats:
    """The first place beyond each ``x_a`` at which the base comes out of the ground; NaN where it does not."""
    places = np.union1d(ground.x, base_x)
    places = places[(places >= base_x[0]) & (places <= base_x[-1])]
    over = np.interp(places, base_x, base_y) - _surface(ground, places)
    over = np.where(np.abs(over) < ground.slack, 0.0, over)
    out = [
        x + (other - x) * (0.0 if high == low else -low / (high - low))
        for (x, low), (other, high) in pairwise(zip(places, over, strict=True))
        if low < 0 <= high
    ]
    beyond = [np.where(np.array(places) > x_a, places, np.inf) for places in out]
    nearest = np.min([np.full_like(x_a, np.inf), *beyond], axis=0)
    return np.where(np.isfinite(nearest), nearest, np.nan)


def _meeting(ground: Ground, x: Floats, y: Floats, slope: Floats, way: int, depth: float) -> Floats:
    """Where the straight line from each point, rising to the side ``way``, is at a depth; NaN where never."""
    begin, end = ground.x[:-1], ground.x[1:]
    rise = slope[:, None] - ground.surface.slope
    with np.errstate(divide="ignore", invalid="ignore"):
        place = (
            x[:, None] + (ground.surface.left - depth + ground.surface.slope * (x[:, None] - begin) - y[:, None]) / rise
        )
    ahead = way * (place - x[:, None])
    good = (ahead >= 0) & (place >= begin - ground.slack) & (place <= end + ground.slack)
    nearest = np.where(good, ahead, np.inf).min(axis=1)
    under = _surface(ground, x) - depth - y > -ground.slack
    return np.where(np.isfinite(nearest) & under, x + way * nearest, np.nan)

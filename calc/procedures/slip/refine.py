"""From the valleys of a grid to the decisive circle: finer steps, each with the bottom of a parabola fitted to it.

Valleys bend where a circle meets something: the least depth allowed, a boundary or a layer of reinforcement, crest or
toe. So places are given in four ways, and in one of them such a bend is a plane that steps can follow.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from calc.procedures.slip.circles import Ends
from calc.procedures.slip.slope import Slope
from calc.procedures.slip.solve import Bools
from calc.procedures.slip.vertical_strips import Floats, Ground, Ints

ROUNDS = 40
FINER = 1 / 3  # of a step after a round that has not led on
COARSE = 0.2  # share of the grid's spacing at which places by centre are left for places by the ends
LONGER = 4.0  # by which the steps of the ends are longer: a circle moves its ends less than its centre
MANY, FEW = (2, 4), 2  # rounds up to which twice the valleys and all are followed, and how many of them after that
GAIN = 1e-12
BY_LEVEL, BY_DEPTH, BY_ENDS, BY_CHORD = range(4)
FLAT = 1e-3  # least depth of an arc below its chord, over the height of the slope
LIFTED = 1e-7  # of the same by which an arc passes above its lower end, so that it leaves the ground at a corner
SHALLOW = 2e-3  # share by which the least depth is kept clear of, because slices see it at their middles
FAR = 2.0  # steps to which the parabola is believed
AXES = np.array(np.meshgrid(*[(-1.0, 0.0, 1.0)] * 3, indexing="ij")).reshape(3, -1)
MIDDLE = 13
AROUND = np.delete(AXES, MIDDLE, axis=1)
PAIRS = ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))
TERMS = np.array([np.ones(27), *AXES, *[AXES[i] * AXES[j] / (2 if i == j else 1) for i, j in PAIRS]])
FIT = np.linalg.pinv(TERMS.T)  # terms of a parabola by least squares
BEND = np.array([[4, 7, 8], [7, 5, 9], [8, 9, 6]])  # places of the second derivatives among them

Look = Callable[[Floats, Floats, Floats], Floats]


def inf_for_nan(value: Floats) -> Floats:
    """Infinity instead of nothing, so that a minimum over nothing raises no warning."""
    return np.where(np.isnan(value), np.inf, value)


@dataclass(frozen=True)
class Depth:
    """The depth below the line of the slope in place of the level of the lowest point."""

    crest: tuple[float, float]
    fall: float
    least: float

    @classmethod
    def below(cls, slope: Slope, least: float) -> "Depth":
        """Depths below a slope, from a least one."""
        return cls(slope.crest, slope.height / slope.length, least * (1 + SHALLOW))

    def above(self, x: Floats, y: Floats) -> Floats:
        """Height of the centre above the line of the slope."""
        return np.asarray(y - self.crest[1] + self.fall * (x - self.crest[0]))

    @property
    def cosine(self) -> float:
        """Cosine of the inclination of the slope."""
        return float(1 / np.sqrt(1 + self.fall**2))

    def to_tangent(self, place: Floats) -> Floats:
        """Level of the lowest point of circles given by centre and depth."""
        return np.asarray(place[1] - (place[2] + self.above(place[0], place[1])) * self.cosine)

    def of_tangent(self, place: Floats) -> Floats:
        """Depth of circles given by centre and level of the lowest point."""
        depth = (place[1] - place[2]) / self.cosine - self.above(place[0], place[1])
        return np.asarray(np.maximum(depth, self.least))


@dataclass(frozen=True)
class Ways:
    """The ways in which a place gives a circle, as centre and level of its lowest point (3, circles)."""

    ground: Ground
    depth: Depth
    floor: float
    changes: Floats
    ends: Callable[[Floats, Floats, Floats], Ends]
    height: float

    def circles(self, place: Floats, kind: Ints) -> Floats:
        """Circles of places of any kind."""
        x, y, z = place
        made = np.array([x, y, np.where(kind == BY_DEPTH, self.depth.to_tangent(place), z)])
        chosen = kind == BY_ENDS
        if chosen.any():
            made[:, chosen] = self._through(place[:, chosen])
        chosen = kind == BY_CHORD
        if chosen.any():
            made[:, chosen] = self._over_chord(place[:, chosen])
        return made

    def _surface(self, x: Floats) -> Floats:
        places, levels = np.array(self.ground.model.surface).T
        return np.asarray(np.interp(x, places, levels))

    def _through(self, place: Floats) -> Floats:
        """Circles by upper end, lower end and the level of a lowest point between them.

        With the ends a and b above that level, radius r and centre u beside the upper end: u² = a (2r − a),
        (l − u)² = b (2r − b).
        """
        crack = self.ground.model.crack.depth if self.ground.model.crack else 0.0
        first, last, level = place
        length = last - first
        y_1, y_2 = self._surface(first) - crack, self._surface(last)
        with np.errstate(all="ignore"):
            a, b = y_1 - level, y_2 - level
            u = (length**2 - b * (a - b)) / (length + np.sqrt(b / a) * np.hypot(length, a - b))
            r = (u**2 / a + a) / 2
        return np.array([first + u, level + r, level])

    def _over_chord(self, place: Floats) -> Floats:
        """Circles by upper end, lower end and the depth of the arc below the chord, wherever the lowest point lies."""
        crack = self.ground.model.crack.depth if self.ground.model.crack else 0.0
        first, last, depth = place
        y_1, y_2 = self._surface(first) - crack, self._surface(last) + LIFTED * self.height
        run, fall = last - first, y_1 - y_2
        with np.errstate(all="ignore"):
            chord = np.hypot(run, fall)
            r = chord**2 / (8 * depth) + depth / 2
            x = (first + last) / 2 + fall / chord * (r - depth)
            y = (y_1 + y_2) / 2 + run / chord * (r - depth)
        return np.array([x, y, y - r])

    def to_ends(self, circles: Floats) -> tuple[Floats, Floats]:
        """Places by the ends: with the level of the lowest point where it lies between them, else by the chord.

        NaN for those of the other way, and for circles without a stretch.
        """
        x, y, level = circles
        ends = self.ends(x, y, y - level)
        inside = (ends.left < x) & (x < ends.right)
        run, fall = ends.right - ends.left, self._surface(ends.left) - self._surface(ends.right)
        with np.errstate(invalid="ignore"):
            depth = y - level - np.sqrt(np.maximum((y - level) ** 2 - (run**2 + fall**2) / 4, 0.0))
        between = np.where(inside, np.array([ends.left, ends.right, level]), np.nan)
        return between, np.where(inside, np.nan, np.array([ends.left, ends.right, depth]))

    def to_corner(self, place: Floats) -> Floats:
        """Places by the chord with the lower end at the next corner of the ground downhill, such as the toe."""
        corners = np.array([x for x, _ in self.ground.model.surface[:-1]])
        index = np.searchsorted(corners, place[1], side="left")
        last = np.where(index < len(corners), corners[np.minimum(index, len(corners) - 1)], place[1])
        return np.array([place[0], last, place[2]])

    def bound(self, place: Floats, kind: Ints) -> Floats:
        """The third coordinate not below what is allowed."""
        least = np.choose(kind, [self.floor, self.depth.least, self.floor, FLAT * self.height])
        return np.asarray(np.maximum(place[2], least))


@dataclass(frozen=True)
class _Valleys:
    """Places (3, valleys) with their kinds, steps, least goals, and bottoms of fitted parabolas."""

    place: Floats
    kind: Ints
    step: Floats
    least: Floats
    hint: Floats

    def at(self, chosen: Any) -> "_Valleys":
        """Some of the valleys."""
        return _Valleys(
            self.place[:, chosen], self.kind[chosen], self.step[:, chosen], self.least[chosen], self.hint[:, chosen]
        )


def refine_circle(
    look: Look, seeds: Floats, spacing: Floats, ways: Ways, most: int, close: float
) -> tuple[float, float, float]:  # fmt: skip
    """Centre and level of the lowest point of the least circle that is found from the seeds (3, seeds).

    First in steps of the centre, then in steps of the ends, which end ``close``, a share of the spacing; ``most``
    valleys are followed.
    """
    by_depth = np.array([seeds[0], seeds[1], ways.depth.of_tangent(seeds)])
    place = np.concatenate([seeds, by_depth], axis=1)
    kind = np.repeat([BY_LEVEL, BY_DEPTH], seeds.shape[1])
    step = np.tile(spacing[:, None] / 2, place.shape[1])
    valleys = _Valleys(place, kind, step, np.full(place.shape[1], np.inf), place)
    valleys = _follow(look, valleys, ways, COARSE * spacing, most)
    valleys = _follow(look, _by_ends(valleys, ways), ways, close * spacing, most)
    x, y, tangent = ways.circles(valleys.place, valleys.kind)[:, int(valleys.least.argmin())]
    return float(x), float(y), float(tangent)


def _by_ends(valleys: _Valleys, ways: Ways) -> _Valleys:
    """The valleys by their ends, and again at the nearest change of level or at the next corner of the ground.

    Those by depth stay as they are beside.
    """
    circles = ways.circles(valleys.place, valleys.kind)
    place, chord = ways.to_ends(circles)
    inside, beyond = ~np.isnan(place[0]), ~np.isnan(chord[0])
    near = ways.changes[np.abs(ways.changes[:, None] - circles[2]).argmin(axis=0)]
    moved = [
        valleys.at(~inside | (valleys.kind == BY_DEPTH)),
        _change_kind(valleys, place, BY_ENDS, inside),
        _change_kind(valleys, np.array([*place[:2], near]), BY_ENDS, inside),
        _change_kind(valleys, chord, BY_CHORD, beyond),
        _change_kind(valleys, ways.to_corner(chord), BY_CHORD, beyond),
    ]
    return _join(moved)


def _change_kind(valleys: _Valleys, place: Floats, kind: int, chosen: Bools) -> _Valleys:
    """Some of the valleys with places of another kind."""
    number = len(valleys.least)
    made = _Valleys(place, np.full(number, kind), LONGER * valleys.step, np.full(number, np.inf), place)
    return made.at(chosen)


def _join(parts: list[_Valleys]) -> _Valleys:
    return _Valleys(
        *(np.concatenate([getattr(valleys, part.name) for valleys in parts], axis=-1) for part in fields(_Valleys))
    )


def _follow(look: Look, valleys: _Valleys, ways: Ways, close: Floats, most: int) -> _Valleys:
    """Round after round until all steps are close; the steps of valleys that have fallen behind are spared."""
    for turn in range(ROUNDS):
        valleys = _step(look, valleys, ways)
        valleys = valleys.at(
            _lowest_valleys(valleys, ways, 2 * most if turn < MANY[0] else most if turn < MANY[1] else FEW)
        )
        if (valleys.step < close[:, None]).all():
            break
    return valleys


def _lowest_valleys(valleys: _Valleys, ways: Ways, most: int) -> list[int]:
    """The lowest valleys, of those of a kind within a step of each other the lower one."""
    circles = ways.circles(valleys.place, valleys.kind)
    kept: list[int] = []
    for k in np.argsort(valleys.least, kind="stable"):
        apart = np.abs(circles[:, kept] - circles[:, k : k + 1]) / valleys.step[:, k : k + 1]
        if not ((apart < 1).all(axis=0) & (valleys.kind[kept] == valleys.kind[k])).any():
            kept.append(int(k))
        if len(kept) == most:
            break
    return kept


def _step(look: Look, valleys: _Valleys, ways: Ways) -> _Valleys:
    """One round: the neighbours of every place and the bottom of its last parabola; the best becomes the place."""
    around = valleys.place[:, :, None] + valleys.step[:, :, None] * AROUND[:, None, :]
    around = np.concatenate([around, valleys.hint[:, :, None]], axis=2)
    around[2] = ways.bound(around, valleys.kind[:, None])
    kinds = np.repeat(valleys.kind, around.shape[2])
    circles = ways.circles(around.reshape(3, -1), kinds)
    value = inf_for_nan(look(*circles)).reshape(valleys.place.shape[1], -1)
    lane, best = np.arange(len(value)), value.argmin(axis=1)
    better: Bools = np.less(value[lane, best], valleys.least - GAIN)
    led = better & (best < AROUND.shape[1]) & np.isfinite(valleys.least)
    centre = np.where(np.isfinite(valleys.least), valleys.least, value[:, -1])
    hint = valleys.place + valleys.step * _bottoms(np.insert(value[:, :-1], MIDDLE, centre, axis=1))
    return replace(
        valleys, place=np.where(better, around[:, lane, best], valleys.place),
        step=np.where(led, valleys.step, FINER * valleys.step),
        least=np.where(better, value[lane, best], valleys.least), hint=hint,
    )  # fmt: skip


def _bottoms(value: Floats) -> Floats:
    """Bottoms (3, valleys) of the parabolas fitted to values (valleys, 27), in units of the step; 0 where not found."""
    good: Bools = np.logical_and.reduce(np.isfinite(value), axis=1)
    fitted = np.where(good[:, None], value, 0.0) @ FIT.T
    slope = fitted[:, 1:4]
    size, turned = np.linalg.eigh(fitted[:, BEND])
    along = np.einsum("nij,ni->nj", turned, slope)
    # A ridge is left downhill as a valley of the same bend is.
    size = np.maximum(np.abs(size), 1e-3 * np.abs(size).max(axis=1, keepdims=True))
    with np.errstate(divide="ignore", invalid="ignore"):
        move = np.einsum("nij,nj->in", turned, -along / size)
    move = np.where(np.isfinite(move), move, 0.0)
    return np.asarray(move / np.maximum(1.0, np.abs(move).max(axis=0) / FAR))

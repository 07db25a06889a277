"""The inputs at a design point: values and weights, of a field in every sublayer."""

from dataclasses import dataclass, field

import numpy as np

from calc.study.vary.design_points import DesignPoint, LimitState, points_beside
from calc.study.vary.marginals import Floats, Joint
from calc.study.vary.sampling import FIRST

MOST_CENTRES = 8
"""Design points that importance sampling goes around at most; project rule."""


@dataclass(frozen=True)
class Profile:
    """A field at the design point: its value in every sublayer and the normal score there over β."""

    labels: tuple[str, ...]
    values: tuple[float, ...]
    alphas: tuple[float, ...]

    @property
    def place(self) -> int:
        """The sublayer that is farthest from its median."""
        return int(np.abs(self.alphas).argmax())


@dataclass(frozen=True)
class PointValues:
    """Values of inputs at the design point, and their weights α; of fields the values are `profiles`.

    The weight of an input is its normal score over β; that of a field the length of its scores in the space of
    independent variables over β, with the sign of the sublayer that is farthest from its median.
    """

    values: dict[str, float] = field(default_factory=dict)
    alphas: dict[str, float] = field(default_factory=dict)
    profiles: dict[str, Profile] = field(default_factory=dict)


def point_values(joint: Joint, form: DesignPoint) -> PointValues:
    """What the inputs with distributions are at a design point."""
    at, values = joint.scores(form.u[None])[0], joint.values(form.u[None])
    shares = at / form.index if form.index else np.zeros(len(at))
    point = PointValues()
    for path, place in joint.places.items():
        own: Floats = shares[place]
        if path not in joint.fields:
            point.values[path], point.alphas[path] = float(values[path][0]), float(own[0])
            continue
        field_of = joint.fields[path]
        there = tuple(float(values[part][0]) for part in field_of.parts)
        profile = Profile(field_of.labels, there, tuple(own.tolist()))
        point.profiles[path] = profile
        point.alphas[path] = float(np.copysign(field_of.size_of(own), own[profile.place]))
    return point


def further_points(state: LimitState, form: DesignPoint, joint: Joint, points: int) -> Floats | None:
    """Design points beside the first, searched toward each sublayer of a field by itself; None without any.

    The weakest of many sublayers may be one here and another there, each with a design point of its own.
    """
    weights = point_values(joint, form).alphas
    starts = [
        np.copysign(form.index, weights[path]) * row
        for path in joint.fields for row in joint.lower[joint.places[path]]
    ]  # fmt: skip
    centres = points_beside(state, form, starts, min(MOST_CENTRES, points // FIRST))
    return centres if len(centres) else None

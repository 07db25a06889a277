"""What a factor of safety cannot say by itself: tension in the mass, circles without equilibrium, a crack to count."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calc.formulas.ground import active_coefficient
from calc.formulas.slip import drained_crack_depth, undrained_crack_depth
from calc.procedures.slip.base import Base
from calc.procedures.slip.complete import PULL, pulled_before
from calc.procedures.slip.evaluate import Lines
from calc.procedures.slip.vertical_strips import Floats, Ground

Key = Literal["no_equilibrium", "interslice_tension", "negative_normal", "crack", "weak"]
LIFTED = 0.01  # share of the largest normal force of a base below which one that pulls is of no account
SMALL = 0.02  # share of the largest force between slices below which its level says nothing


@dataclass(frozen=True)
class Remark:
    """Something that limits a result: what kind, in words, and the number in it."""

    key: Key
    text: str
    value: float


def thrust_levels(base: Base, push: Floats, shear: Floats, turning: Floats) -> Floats:
    """Levels at which the normal forces act on the right faces (slices,): the line of thrust of one slip line.

    Moments about the middle of the base, through which weight, normal and shear of the base pass (statics, derived
    here); ``turning`` is the moment there of the horizontal forces that do not. NaN where the force is nearly nothing.
    """
    x, y, right = base.x[:, 0], base.y[:, 0], base.right_faces()[:, 0]
    left = np.concatenate([base.left, right[:-1]])
    before, after = push[:-1, 0], push[1:, 0]
    turned = turning[:, 0] - (x - left) * shear[:-1, 0] - (right - x) * shear[1:, 0]
    moment, levels = 0.0, np.full(len(x), np.nan)
    height = y[0]
    for index in range(len(x)):
        # The moment of the force on the left face is that on the face before, about the next base.
        moment = moment + before[index] * (height - y[index]) + turned[index]
        height = y[index]
        if abs(after[index]) > SMALL * push.max():
            levels[index] = height + moment / after[index]
    return levels


def turning_of(lines: Lines, factor: Floats) -> Floats:
    """Moment about the middles of the bases (slices, 1) of earthquake, water and tension of the reinforcement."""
    base, p = lines.base, lines.problem
    arm = base.centre_y - base.y
    moment = np.zeros_like(base.x)
    if p.push is not None and p.push_moment is not None:
        moment = moment + p.push * arm - p.push_moment
    for pull in lines.tensions:
        share = lines.in_slice(pull.x) * pull.force / (1.0 if lines.form == "A" else factor)
        moment = moment - np.where(pull.force > 0, share * (pull.layer.level - base.y), 0.0)
    return moment


def tension_remarks(
    ground: Ground, lines: Lines, factor: Floats, push: Floats | None, normal: Floats, word: str, sign: float
) -> tuple[list[Remark], float]:
    """Remarks on tension between the slices and at their bases, and the depth of the crack that it asks for, or NaN."""
    base, remarks = lines.base, []
    upper = False
    if push is not None:
        # Uphill of the largest force the layers of reinforcement that are cut hold the slices back.
        held = pulled_before(lines.problem, factor)
        push = np.where(np.arange(len(push))[:, None] < push.argmax(), push + held, push)
    if push is not None and push.min() < -PULL * push.max():
        place = int(push[1:, 0].argmin())
        upper = bool(place < push[1:, 0].argmax())
        x = sign * base.right_faces()[place, 0]
        remarks.append(Remark("interslice_tension", f"by {word} the force between slices is tensile, up to "
                            f"{-push.min():.1f} kN/m, at x = {x:.2f} m", float(-push.min())))  # fmt: skip
    lifted = (normal < -LIFTED * normal.max()).any(axis=(0,))[:, 0]
    if lifted.any():
        places = sign * base.x[lifted, 0]
        upper = upper or bool(lifted[: len(lifted) // 2].any())
        least = float(normal.min())
        bases = f"{lifted.sum()} of {len(base.x)} bases"
        remarks.append(Remark("negative_normal", f"by {word} the effective normal force is tensile on {bases}, "
                            f"down to {least:.1f} kN/m, {_stretch(places.min(), places.max())}", least))  # fmt: skip
    depth = crack_depth(ground, float(base.left[0])) if upper else np.nan
    crack = ground.model.crack.depth if ground.model.crack else 0.0
    if not depth > crack:
        return remarks, np.nan
    remarks.append(Remark("crack", "the ground at the upper end cannot take this tension: "
                        f"a tension crack {depth:.2f} m deep should be taken into account, 2 c/(γ √Kₐ) or 2 cᵤ/γ "
                        "with design values, at most the thickness of the uppermost soil (limit of active earth "
                        "pressure without tension, Rankine 1857 ◦)", depth))  # fmt: skip
    return remarks, depth


def _stretch(first: float, last: float) -> str:
    """A place, or two where they differ as printed."""
    if f"{first:.2f}" == f"{last:.2f}":
        return f"at x = {first:.2f} m"
    return f"between x = {first:.2f} and {last:.2f} m"


def crack_depth(ground: Ground, x: float) -> float:
    """Depth to which the uppermost soil at a place stands in tension, not below it; 0 without cohesion."""
    place = np.array([x])
    strip = ground.strip_of(place)
    soil = ground.soils[int(ground.soil[0, strip[0]])]
    if soil.c_u is None:
        depth = float(drained_crack_depth(c=soil.c, gamma=soil.gamma, K_a=active_coefficient(phi=soil.phi)))
    else:
        depth = float(undrained_crack_depth(c_u=soil.c_u, gamma=soil.gamma))
    surface = float(np.asarray(ground.surface.at(place, strip)).item())
    for top, below in zip(ground.tops[1:], ground.soil[1:, strip[0]], strict=True):
        if ground.soils[int(below)] != soil:
            return min(depth, max(surface - float(np.asarray(top.at(place, strip)).item()), 0.0))
    return min(depth, surface - ground.model.bottom)


def search_remarks(plain: Floats, weak: int, factor: float, word: str) -> list[Remark]:
    """Remarks on a search: circles that a complete method has no equilibrium for though Bishop's factor is lower."""
    remarks = []
    lower = plain[plain < factor]
    if len(lower):
        circles = "1 circle has" if len(lower) == 1 else f"{len(lower)} circles have"
        remarks.append(Remark("no_equilibrium", f"{circles} a lower factor by Bishop, down to "
                            f"{lower.min():.3f}, than the {factor:.3f} found, but no equilibrium by {word}: Bishop's "
                            "method governs there", float(lower.min())))  # fmt: skip
    if weak:
        remarks.append(Remark("weak", f"{weak} of the slip surfaces evaluated have a factor below 0.1, which no method "
                            "gives with accuracy: the ground is not stable there by itself", float(weak)))  # fmt: skip
    return remarks

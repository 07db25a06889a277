"""Inputs that have a value of their own in every sublayer of their layer, correlated over depth."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from calc.chapters.shared.frame import frame
from calc.formulas.characteristic import variance_reduction
from calc.formulas.reliability import (
    correlation_of_averages,
    correlation_over_depth,
    covariance_of_averages,
    inner_part_of_averages,
)
from calc.inputs import Design, Section
from calc.inputs.tables.layer_parts import PART
from calc.inputs.tables.vary import Vary
from calc.inputs.tables.vary_rules import layer_field, number_of

Floats = NDArray[np.float64]
Number = TypeVar("Number", float, Floats)

MOST_VARIABLES = 500
"""Independent variables of a section at most; project rule: scrambled Sobol' points fill as many."""
CLOSE = float(np.exp(-1.0))
"""Correlation of neighbouring sublayers below which they are told to be thick; project rule."""


@dataclass(frozen=True, slots=True)
class DepthField:
    """An input of a layer with a value in each of its sublayers, from the top down; plain data.

    ``parts`` are the paths of these values, ``shifts`` what the strength in a sublayer has more than at the top of its
    layer. ``scale`` is the vertical scale of fluctuation, ``average`` the height over which values are averages, 0 for
    values at a point.
    """

    path: str
    parts: tuple[str, ...]
    thickness: tuple[float, ...]
    top: float
    shifts: tuple[float, ...]
    scale: float
    average: float

    @property
    def layer(self) -> str:
        """Key of the layer."""
        return layer_field(self.path)[0]

    @property
    def tops(self) -> Floats:
        """Depths of the tops of the sublayers below the ground."""
        return self.top + np.concatenate([[0.0], np.cumsum(self.thickness)[:-1]])

    @property
    def middles(self) -> Floats:
        """Depths of their middles."""
        depths: Floats = self.tops + np.array(self.thickness) / 2
        return depths

    @property
    def labels(self) -> tuple[str, ...]:
        """Their depths as text."""
        ends = zip(self.tops, self.tops + np.array(self.thickness), strict=True)
        return tuple(f"{top:.2f}–{bottom:.2f} m" for top, bottom in ends)

    @property
    def correlation(self) -> Floats:
        """Correlation of the normal scores of the sublayers."""
        middles = self.middles
        distance = np.abs(middles[:, None] - middles[None, :])
        correlation: Floats = correlation_over_depth(distance, self.scale)
        if self.average:
            inner = inner_part_of_averages(distance, self.scale, self.average)
            shared = covariance_of_averages(distance, self.scale, self.average, inner)
            correlation = correlation_of_averages(shared, variance_reduction(self.scale, self.average))
        return np.where(np.eye(len(middles), dtype=bool), 1.0, correlation)

    @property
    def thick(self) -> bool:
        """Whether neighbours are so far apart that weaker places between them are seen by no sublayer."""
        return len(self.parts) > 1 and bool(np.diag(self.correlation, 1).min() < CLOSE)

    def modes(self) -> tuple[Floats, Floats]:
        """Variances of the independent parts of the field, largest first, and the field by them (sublayers, parts).

        The discrete form of the expansion of Karhunen and Loève: the scores are ``modes @ u``.
        """
        values, vectors = np.linalg.eigh(self.correlation)
        values, vectors = np.maximum(values[::-1], 0.0), vectors[:, ::-1]
        signs = np.where(vectors[0] < 0, -1.0, 1.0)  # a vector and its opposite serve alike: one of them everywhere
        return values, vectors * signs * np.sqrt(values)

    def size_of(self, scores: Floats) -> float:
        """Length of scores of its sublayers in the space of independent normal variables."""
        coordinates, *_ = np.linalg.lstsq(self.modes()[1], scores, rcond=1e-9)
        return float(np.linalg.norm(coordinates))


def fields_of(design: Design, section: Section, vary: Vary) -> tuple[DepthField, ...]:
    """The fields of a section that was run: in the sublayers of that run. None where layers change across.

    Zones of the columns and positions across have ground of their own.
    """
    if section.slopes or section.by_zones():
        return ()
    layers, sublayers = section.layers, frame(design, section).sublayers
    fields = []
    for varied in vary.by_sublayer:
        key, name = layer_field(varied.path)
        own = [k for k, place in enumerate(sublayers.layer) if layers[place].of == key]
        parts = tuple(f"layer.{key}{PART}{number}.{name}" for number in range(1, len(own) + 1))
        top = sublayers.top[own[0]]
        layer = next(layer for layer in section.soft_layers if layer.key == key)
        growth = (layer.c_u_growth or 0.0) if name == "c_u" else 0.0
        shifts = tuple(growth * (sublayers.top[k] - top) for k in own)
        scale, average = (number_of(amount) for amount in (varied.correlation_length, varied.averaging_length))
        fields.append(DepthField(varied.path, parts, tuple(sublayers.thickness[k] for k in own), top, shifts, scale,
                                0.0 if np.isnan(average) else average))  # fmt: skip
    return tuple(fields)


def in_sublayers(section: Section, fields: Sequence[DepthField], values: Mapping[str, float]) -> Section:
    """The section with every layer that has a field cut into its sublayers; `values` are those of whole layers."""
    thickness = {field.layer: field.thickness for field in fields}
    return section.cut(thickness, by_part(fields, {field.path: values[field.path] for field in fields}))


def by_part(fields: Sequence[DepthField], values: Mapping[str, Number]) -> dict[str, Number]:
    """Values with those of a field that moves as a whole given to each of its sublayers."""
    by_path = dict(values)
    for field in fields:
        if field.path in by_path:
            whole = by_path.pop(field.path)
            by_path |= {part: whole + shift for part, shift in zip(field.parts, field.shifts, strict=True)}
    return by_path


def reason_by_fields(text: str, fields: Sequence[DepthField]) -> str:
    """A reason with the path of a field once where it names the values of its sublayers one by one."""
    for field in fields:
        part = "|".join(re.escape(part) for part in sorted(field.parts, key=len, reverse=True))
        text = re.sub(rf"(?:{part})(?:, (?:{part}))*", f"{field.path} by sublayer", text)
    return text

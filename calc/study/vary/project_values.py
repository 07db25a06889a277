"""Values of the project that lie outside of what [vary] says of them: the study is about another thing then."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress

import numpy as np
from scipy.special import ndtri

from calc.engine.words import words_of
from calc.inputs import Design, InputErrors, Section
from calc.inputs.tables.vary import DATA, VariedInput
from calc.inputs.tables.vary_rules import number_of
from calc.study.changed import number_at
from calc.study.vary.data_file import data_of
from calc.study.vary.depth_fields import CLOSE, DepthField
from calc.study.vary.marginals import Marginal, marginal
from calc.study.vary.varied_amounts import amount_text

say = words_of(__name__)

TAIL = 0.001
"""Fractile of a distribution beyond which a project's value is far outside of it; project rule."""


def values_outside(
    inputs: Sequence[VariedInput], base: Mapping[str, float], known: Mapping[str, Marginal]
) -> Iterator[str]:  # fmt: skip
    """A caution for every input whose value in the project lies outside of its range, or far out of its distribution.

    Inputs whose distribution is not known have their range alone.
    """
    for varied in inputs:
        value, path = base[varied.path], varied.path
        if path in known:
            low, high = map(float, known[path].at(ndtri(np.array([TAIL, 1 - TAIL]))))
            if not low <= value <= high:
                yield say("distribution", path=path, value=amount_text(varied, value), low=amount_text(varied, low),
                          high=amount_text(varied, high), tail=f"{100 * TAIL:g}",
                          top=f"{100 * (1 - TAIL):g}")  # fmt: skip
                continue
        if varied.least is not None and varied.most is not None:
            low, high = number_of(varied.least), number_of(varied.most)
            if not low <= value <= high:
                yield say("range", path=path, value=amount_text(varied, value), low=amount_text(varied, low),
                          high=amount_text(varied, high))  # fmt: skip


def thick_sublayers(fields: Iterable[DepthField]) -> Iterator[str]:
    """A caution for fields of which neighbouring sublayers are hardly correlated, those alike together."""
    alike: dict[tuple[str, float, float], list[DepthField]] = {}
    for field in fields:
        if field.thick:
            alike.setdefault((field.layer, field.scale, field.average), []).append(field)
    for first, *others in alike.values():
        least = float(np.diag(first.correlation, 1).min())
        yield say("thick", paths=", ".join(field.path for field in (first, *others)),
                  most=f"{max(first.thickness):.2f}",
                  least=f"{least:.2f}", close=f"{CLOSE:.2f}")  # fmt: skip


def design_outside(design: Design, section: Section) -> list[str]:
    """The cautions for a section of a design; none where its inputs are not varied.

    Data that are refused are so by the study, and nothing is said of their input here.
    """
    vary = design.vary
    if vary is None or (vary.sections and section.key not in vary.sections):
        return []
    known = dict[str, Marginal]()
    for place, varied in enumerate(vary.inputs):
        if varied.distribution is not None:
            with suppress(InputErrors):
                data = data_of(design, section, varied, place) if varied.distribution == DATA else None
                known[varied.path] = marginal(varied, data)
    base = {varied.path: number_at(design, section, varied.path) for varied in vary.inputs}
    return [*values_outside(vary.inputs, base, known)]

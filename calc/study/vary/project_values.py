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
    for one in inputs:
        value, path = base[one.path], one.path
        if path in known:
            low, high = map(float, known[path].at(ndtri(np.array([TAIL, 1 - TAIL]))))
            if not low <= value <= high:
                yield say("distribution", path=path, value=amount_text(one, value), low=amount_text(one, low),
                          high=amount_text(one, high), tail=f"{100 * TAIL:g}", top=f"{100 * (1 - TAIL):g}")  # fmt: skip
                continue
        if one.least is not None and one.most is not None:
            low, high = number_of(one.least), number_of(one.most)
            if not low <= value <= high:
                yield say("range", path=path, value=amount_text(one, value), low=amount_text(one, low),
                          high=amount_text(one, high))  # fmt: skip


def thick_sublayers(fields: Iterable[DepthField]) -> Iterator[str]:
    """A caution for fields of which neighbouring sublayers are hardly correlated, those alike together."""
    alike: dict[tuple[str, float, float], list[DepthField]] = {}
    for one in fields:
        if one.thick:
            alike.setdefault((one.layer, one.scale, one.average), []).append(one)
    for first, *others in alike.values():
        least = float(np.diag(first.correlation, 1).min())
        yield say("thick", paths=", ".join(one.path for one in (first, *others)), most=f"{max(first.thickness):.2f}",
                  least=f"{least:.2f}", close=f"{CLOSE:.2f}")  # fmt: skip


def design_outside(design: Design, section: Section) -> list[str]:
    """The cautions for a section of a design; none where its inputs are not varied.

    Data that are refused are so by the study, and nothing is said of their input here.
    """
    vary = design.vary
    if vary is None or (vary.sections and section.key not in vary.sections):
        return []
    known = dict[str, Marginal]()
    for place, one in enumerate(vary.inputs):
        if one.distribution is not None:
            with suppress(InputErrors):
                data = data_of(design, section, one, place) if one.distribution == DATA else None
                known[one.path] = marginal(one, data)
    base = {one.path: number_at(design, section, one.path) for one in vary.inputs}
    return [*values_outside(vary.inputs, base, known)]

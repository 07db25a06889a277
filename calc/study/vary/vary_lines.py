"""The calculation behind distributions and probabilities as recorded steps, and their lines on the page."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from calc.engine.sheet import Sheet, Step, value_text
from calc.engine.sheet.steps import Origin
from calc.engine.words import words_of
from calc.formulas.characteristic import variance_reduction
from calc.formulas.reliability import (
    averaged_variation,
    correlation_of_averages,
    correlation_over_depth,
    covariance_of_averages,
    failure_probability,
    inner_part_of_averages,
    lognormal_spread,
    normal_correlation,
)
from calc.inputs.tables.vary import LOGNORMAL, VariedInput
from calc.inputs.tables.vary_rules import number_of, spread_of
from calc.package.small_lines import small_line
from calc.study.vary.depth_fields import DepthField
from calc.study.vary.read_vary import ReadVary, RecordedSection

say = words_of(__name__)


def calculation(of: ReadVary, section: RecordedSection) -> Sheet:
    """A sheet with what the numbers of a section follow from by formulas."""
    sheet = Sheet(section=section.key, key="vary")
    for place, varied in enumerate(of.vary.inputs):
        parts = section.inputs[place].field
        if varied.averaging_length is not None or varied.distribution == LOGNORMAL or parts is not None:
            _distribution(sheet, of, place, varied, parts)
    for place, joined in enumerate(of.vary.correlations):
        scope = sheet.scope(f"correlation_{place}", say("correlation", paths=" – ".join(joined.between)))
        scope.given("r_sp", joined.rank, origin=_origin(of, f"vary.correlation.{place}.rank"), note=joined.source)
        scope(normal_correlation)
    for place, state in enumerate(section.limit_states):
        if (counted := state.monte_carlo) is not None:
            scope = sheet.scope(f"failure_{place}", state.title)
            scope.given("n_fa", counted.failures, origin=Origin("project rule", text=say("counted")))
            scope.given("n_pt", counted.points, origin=Origin("project rule", text=say("replicates")))
            scope(failure_probability)
    return sheet


def _distribution(sheet: Sheet, of: ReadVary, place: int, varied: VariedInput, parts: DepthField | None) -> None:
    scope = sheet.scope(f"input_{place}", varied.path)
    at = f"vary.input.{place}"
    mean = number_of(varied.mean)
    variation = spread_of(varied) / abs(mean) if mean else 0.0
    origin = _origin(of, f"{at}.{'cov' if varied.cov is not None else 'sd'}")
    if varied.averaging_length is not None:
        scope.given("V_pt", variation, origin=origin)
        scope.given("L_av", number_of(varied.averaging_length), origin=_origin(of, f"{at}.averaging_length"))
    if varied.correlation_length is not None:
        scope.given("theta_v", number_of(varied.correlation_length), origin=_origin(of, f"{at}.correlation_length"))
    if varied.averaging_length is not None:
        scope(variance_reduction)
        scope(averaged_variation)
    elif varied.distribution == LOGNORMAL:
        scope.given("V_av", variation, origin=origin)
    if varied.distribution == LOGNORMAL:
        scope(lognormal_spread)
    if parts is not None and len(parts.parts) > 1:
        apart = np.diff(parts.middles)
        k = int(apart.argmax())
        words = say("neighbours", upper=parts.labels[k], lower=parts.labels[k + 1])
        scope.given("Dz_m", float(apart[k]), origin=Origin("project rule", text=words))
        of_averages = (inner_part_of_averages, covariance_of_averages, correlation_of_averages)
        for step in of_averages if parts.average else (correlation_over_depth,):
            scope(step)


def _origin(of: ReadVary, path: str) -> Origin:
    origin = of.design.provenance[path]
    return Origin("file", path=path, line=origin.line, typed=origin.text)


def lines(sheet: Sheet) -> Iterator[dict[str, Any]]:
    """The lines of a sheet, scope by scope."""
    for name, scope in sheet.scopes.items():
        yield {"head": scope.title}
        yield from (_line(step) for step in sheet.steps if step.scope == name)


def _line(step: Step) -> dict[str, Any]:
    return small_line(step, value_text(step.value, {}, step.symbol), _source(step)) | {"head": ""}


def _source(step: Step) -> str:
    if step.source is not None:
        return f"{step.source.mark} {step.source.citation}".strip()
    origin = step.origins[0]
    text = say("typed", path=origin.path, typed=origin.typed) if origin.kind == "file" else origin.text
    return f"{text} {step.note}".rstrip()

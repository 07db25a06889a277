"""The calculation behind distributions and probabilities as recorded steps, and their lines on the page."""

from collections.abc import Iterator
from typing import Any

from calc.engine.sheet import Sheet, Step, value_text
from calc.engine.sheet.steps import Origin
from calc.engine.words import words_of
from calc.formulas.characteristic import variance_reduction
from calc.formulas.reliability import (
    averaged_variation,
    failure_probability,
    lognormal_spread,
    normal_correlation,
)
from calc.inputs.tables.vary import LOGNORMAL, VariedInput
from calc.inputs.tables.vary_rules import number_of, spread_of
from calc.package.small_lines import small_line
from calc.study.vary.read_vary import ReadVary, RecordedSection

say = words_of(__name__)


def calculation(of: ReadVary, section: RecordedSection) -> Sheet:
    """A sheet with what the numbers of a section follow from by formulas."""
    sheet = Sheet(section=section.key, key="vary")
    for place, one in enumerate(of.vary.inputs):
        if one.averaging_length is not None or one.distribution == LOGNORMAL:
            _distribution(sheet, of, place, one)
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


def _distribution(sheet: Sheet, of: ReadVary, place: int, one: VariedInput) -> None:
    scope = sheet.scope(f"input_{place}", one.path)
    at = f"vary.input.{place}"
    mean = number_of(one.mean)
    variation = spread_of(one) / abs(mean) if mean else 0.0
    origin = _origin(of, f"{at}.{'cov' if one.cov is not None else 'sd'}")
    if one.averaging_length is None:
        scope.given("V_av", variation, origin=origin)
    else:
        scope.given("V_pt", variation, origin=origin)
        scope.given("L_av", number_of(one.averaging_length), origin=_origin(of, f"{at}.averaging_length"))
        scope.given("theta_v", number_of(one.correlation_length), origin=_origin(of, f"{at}.correlation_length"))
        scope(variance_reduction)
        scope(averaged_variation)
    if one.distribution == LOGNORMAL:
        scope(lognormal_spread)


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

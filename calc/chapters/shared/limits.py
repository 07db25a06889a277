"""Limits that a project may ask for: compared where they are given, said to be open where they are not."""

from calc.chapters.shared.frame import AS_GIVEN, origin_of
from calc.engine.sheet import Scope, Value, number_text
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)


def optional_limit(
    scope: Scope,
    owner: Design | Section,
    named: tuple[str, str],
    effect: Value | None,
    limit: float | None,
    *,
    symbol: str,
    path: str,
    missing: str = "",
    never: str = "",
    note: str = "",
) -> None:
    """Compare a value with a limit, or say that none is asked for or what is missing of the value.

    ``named`` are key and title of the verdict, ``path`` is the field of the limit, ``missing`` says why the value is
    not known; it counts only where a limit is asked for. ``never`` says why the question cannot arise, whatever is
    asked for. ``effect`` is None only where ``missing`` is said. ``note`` stands beside the comparison.
    """
    key, title = named
    if never:
        scope.sheet.not_applicable(key, title, never)
    elif limit is None:
        scope.sheet.not_verified(key, title, say("open-limit", path=path), required=False)
    elif effect is None or missing:
        scope.sheet.not_verified(key, title, missing)
    else:
        allowed = scope.given(symbol, limit, origin=origin_of(owner, path))
        scope.sheet.verdict(key, title, effect=effect, resistance=allowed, note=note)


def best_estimate(settlement: Value) -> str:
    """What c_h as given brings, to stand beside a verdict that another c_h decides."""
    number = settlement.number({"scenario": AS_GIVEN}) or 0.0
    if number >= settlement.array.max():
        return ""
    return say("best-estimate", mm=number_text(1000 * number, 1))

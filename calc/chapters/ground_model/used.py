"""The value used beside its estimate: the designer's choice stays, and a verdict says on which side it lies."""

import numpy as np

from calc.chapters.ground_model.chosen import Chosen
from calc.chapters.shared.frame import origin_of, origins_of_layers
from calc.engine.levels import above
from calc.engine.sheet import Origin, Scope, Sheet, Value, Verdict, number_text
from calc.engine.words import words_of
from calc.formulas.characteristic import distance_from_estimate
from calc.formulas.ground import strength_at_depth
from calc.inputs.tables.ground_model import C_U

say = words_of(__name__)


def compare(chosen: Chosen, scope: Scope) -> None:
    """Value used, its distance from the estimate, and the verdict."""
    used, found = _used(chosen, scope), scope[chosen.estimate]
    scope(distance_from_estimate, x_low=chosen.estimate, s_x=chosen.deviation)
    key = f"value_{chosen.key}"
    if (found.array <= 0).any():
        chosen.open(say("not-positive-why"))
        return
    sheet = chosen.sheet
    effect, resistance = (used, found) if chosen.high_is_unsafe else (found, used)
    made = sheet.verdict(key, chosen.verdict, effect=effect, resistance=resistance, note=chosen.cites)
    if not chosen.value.required:
        sheet.verdicts.pop()
        side = say("safe") if made.state == "pass" else say("unsafe")
        why = say("information-why", ratio=number_text(made.utilisation or 0.0, 3), side=side, cites=chosen.cites)
        sheet.not_verified(key, chosen.verdict, why, required=False, informs=True)
    _passed_over(chosen, made, used)
    _outside(chosen, sheet)


def _used(chosen: Chosen, scope: Scope) -> Value:
    """The value of the layer, a strength at the depth of every reading."""
    layer, section = chosen.layer, chosen.section
    path = f"layer.{layer.key}"
    if chosen.value.parameter != C_U:
        name = chosen.value.parameter
        return scope.given("x_use", getattr(layer, name), origin=origin_of(section, f"{path}.{name}"))
    scope.given("c_ut", layer.c_u or 0.0, origin=origin_of(section, f"{path}.c_u"))
    level = Origin("project rule", text=say("level"))
    grows = layer.c_u_growth is not None
    scope.given("rho_ut", layer.c_u_growth or 0.0, origin=origin_of(section, f"{path}.c_u_growth") if grows else level)
    scope.reading("d_lt", chosen.top, title=say("top-title"), origins=origins_of_layers(section, "thickness"))
    return scope(strength_at_depth, c_u="x_use", z="z_j")


def _passed_over(chosen: Chosen, made: Verdict, used: Value) -> None:
    """A significant trend that the project does not use, and what it would say of the verdict."""
    if chosen.trend is None or not chosen.significant:
        return
    trend = chosen.trend.array
    worst = (
        float(np.max(used.array / trend if chosen.high_is_unsafe else trend / used.array)) if (trend > 0).all() else 2
    )
    turned = (made.key,) if made.state == "pass" and worst > 1 else ()
    text = say("limitation-trend", title=chosen.title, worst=number_text(worst, 2))
    chosen.sheet.limitation(f"trend-{chosen.key}", text, "project rule", turns=turned)


def _outside(chosen: Chosen, sheet: Sheet) -> None:
    """Depths of the layer that no test reached."""
    depths = [one.first.depth for one in chosen.readings]
    low, high = chosen.top, chosen.top + chosen.layer.thickness
    if above(min(depths), low) or above(high, max(depths)):
        text = say(
            "limitation-range", title=chosen.title, shallow=number_text(min(depths), 2),
            deep=number_text(max(depths), 2), top=number_text(low, 2), base=number_text(high, 2),
        )  # fmt: skip
        sheet.limitation(f"range-{chosen.key}", text, "project rule")

"""The value used beside its estimate: the designer's choice stays, and a verdict says on which side it lies."""

from calc.chapters.ground_model.chosen_value import READING, Chosen
from calc.chapters.ground_model.doubts import doubt
from calc.chapters.shared.frame import origin_of, origins_of_layers
from calc.engine.sheet import Origin, Scope, Value, number_text
from calc.engine.words import words_of
from calc.formulas.characteristic import distance_from_estimate
from calc.formulas.ground import strength_at_depth
from calc.inputs.tables.ground_model import C_U
from calc.inputs.tables.profiles import value_at

say = words_of(__name__)


def compare(chosen: Chosen, scope: Scope) -> None:
    """Value used, its distance from the estimate, and the verdict."""
    used, estimate = _value_used(chosen, scope), scope[chosen.estimate]
    scope(distance_from_estimate, x_low=chosen.estimate, s_x=chosen.deviation)
    key = f"value_{chosen.key}"
    if (estimate.array <= 0).any():
        chosen.open(say("not-positive-why"))
        return
    sheet = chosen.sheet
    effect, resistance = (used, estimate) if chosen.high_is_unsafe else (estimate, used)
    made = sheet.verdict(key, chosen.verdict, effect=effect, resistance=resistance, note=chosen.cites)
    if not chosen.value.required:
        sheet.verdicts.pop()
        side = say("safe") if made.state == "pass" else say("unsafe")
        why = say("information-why", ratio=number_text(made.utilisation or 0.0, 3), side=side, cites=chosen.cites)
        sheet.not_verified(key, chosen.verdict, why, required=False, informs=True)
    if READING in made.case:
        sheet.leads[chosen.key][READING] = made.case[READING]
    doubt(chosen, scope, made)


def _value_used(chosen: Chosen, scope: Scope) -> Value:
    """The value of the layer, a strength at the depth of every reading."""
    layer, section = chosen.layer, chosen.section
    path, name = f"layer.{layer.key}", chosen.value.parameter
    if (line := chosen.line) is not None:
        points = f"{path}.{name}_profile.points"
        origins = [origin_of(section, f"{points}.{k}.{field}") for k, _ in enumerate(line) for field in ("depth", name)]
        numbers = [value_at(line, depth) for depth in scope["z_j"].array.tolist()]
        return scope.reading("x_use", numbers, [READING], title=say("points-title"), origins=origins,
                             inputs=[scope["z_j"]])  # fmt: skip
    if name != C_U:
        return scope.given("x_use", getattr(layer, name), origin=origin_of(section, f"{path}.{name}"))
    scope.given("c_ut", layer.c_u or 0.0, origin=origin_of(section, f"{path}.c_u"))
    level = Origin("project rule", text=say("level"))
    grows = layer.c_u_growth is not None
    scope.given("rho_ut", layer.c_u_growth or 0.0, origin=origin_of(section, f"{path}.c_u_growth") if grows else level)
    scope.reading("d_lt", chosen.top, title=say("top-title"), origins=origins_of_layers(section, "thickness"))
    return scope(strength_at_depth, c_u="x_use", z="z_j")

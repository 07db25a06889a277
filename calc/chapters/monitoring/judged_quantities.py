"""The quantities that are judged, one record each: what is expected in the time of a trigger, what the design bears."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from calc.chapters.monitoring.bounds import Bound, Bounds, Expected, Floats
from calc.chapters.monitoring.rates import BY_CELL, LEAST_GAIN
from calc.chapters.monitoring.reading_dates import stages_of
from calc.chapters.shared.frame import SCENARIOS, origin_of
from calc.chapters.shared.programme import opening, steps_of
from calc.engine.sheet import Origin, Scope, Value
from calc.engine.words import words_of
from calc.factors.monitored import QUANTITIES, Monitored, Symbols
from calc.formulas.monitoring import (
    pressure_on_soil,
    settlement_left,
    settlement_rate,
    smaller_strain,
    strain_left,
    strain_of_tension,
    tension_left,
)
from calc.formulas.unit_cell import column_stress_increment, stress_ratio
from calc.inputs.tables.monitoring import Trigger

say = words_of(__name__)

DAY = 1.0


def _no_value(_of: Bounds, _trigger: Trigger) -> Bound:
    return Bound(None, say("no-value"))


@dataclass(frozen=True)
class Quantity:
    """How a monitored quantity is judged.

    ``expected`` gives the readings in the time of a trigger and ``holds`` the value up to which the design holds, whose
    ``words`` say where it comes from; ``arching`` is the symbol of the reading that load transfer expects at the heads.
    """

    of: Monitored
    expected: Callable[[Bounds, Trigger], Expected]
    holds: Callable[[Bounds, Trigger], Bound] = _no_value
    words: str = ""
    arching: str = ""

    @property
    def symbols(self) -> Symbols:
        """Its symbols; what is judged has them."""
        assert self.of.symbols is not None  # noqa: S101 - JUDGED holds quantities with symbols alone
        return self.of.symbols

    def range_in_time(self, of: Bounds, trigger: Trigger) -> Expected:
        """The end of the range of every course in the time of a trigger: largest, or least of what triggers below."""
        expected = self.expected(of, trigger)
        if expected.values is None:
            return expected
        least = self.of.falls
        axes = tuple(range(1, expected.values.ndim))
        ends = np.asarray(expected.values.min(axis=axes) if least else expected.values.max(axis=axes))
        for cell in of.steps("heads", self.arching) if self.arching else ():
            part = cell.at(stage=of.stages(trigger))
            if part.valid.any():
                numbers = part.array[part.valid]
                ends = np.minimum(ends, numbers.min()) if least else np.maximum(ends, numbers.max())
                expected = replace(expected, inputs=(*expected.inputs, cell))
        return replace(expected, values=ends)


def _expectation(values_at: Callable[[Bounds, Floats], Floats], symbol: str) -> Callable[[Bounds, Trigger], Expected]:
    """What is expected over the time of a trigger, by the step that has it over all dates."""
    return lambda of, trigger: Expected(values_at(of, of.times(trigger)), of.steps("expected", symbol))


def _settlement_left(of: Bounds, trigger: Trigger) -> Bound:
    """The limit of the settlement less what comes after the time in which the level holds."""
    limit = of.limit("settlement_total")
    if limit.value is None:
        return limit
    scope, expected = of.bound_scope(trigger), of.sheet.scopes["expected"]
    scope.given("s_lim", limit.value, origin=limit.origins)
    follows = max(of.follows(trigger, law) for law in (of.known.settlement_at, of.known.plastic_settlement_at))
    scope.reading("Ds_fol", follows, title=say("follows"), inputs=[expected["s_ob"], expected["s_oEP"]])
    drains = [origin_of(of.section, f"layer_below.{layer.key}.drains") for layer in of.section.layers_below]
    if all(layer.drains for layer in of.section.layers_below):
        scope.given("s_bfol", 0.0, origin=drains or Origin("project rule", text=say("no-ground-below")))
    else:
        scope.take("s_bfol", expected["s_b"])
    return _bound_left(scope(settlement_left), limit)


def _bound_left(value: Value, limit: Bound | None = None) -> Bound:
    """The bound that a step of the trigger's own scope has, and the field of the limit that it comes from."""
    return Bound(float(value.array), inputs=(value,), origins=limit.origins if limit else ())


def _rate(of: Bounds, trigger: Trigger) -> Expected:
    """Settlement in a day; the day before a break is looked at, too, because the rate is largest there."""
    days = of.times(trigger)
    earlier = [day - DAY for day in of.days.breaks if days[0] <= day - DAY and day <= days[-1]]
    begins = np.unique([*days, *earlier])
    opened = [of.section.stages[k].start for k in opening(of.section) if of.section.stages[k].name != trigger.stage]
    if opened and (begins + DAY <= min(opened)).any():
        # Traffic on the finished road comes day by day; the calculation places it at once, which no fill does.
        begins = begins[begins + DAY <= min(opened)]
    values = settlement_rate(of.known.settlement_at(begins + DAY), of.known.settlement_at(begins), DAY)
    return Expected(np.asarray(values), of.steps("rates", "v_ob"))


def _residual(of: Bounds, _trigger: Trigger) -> Expected:
    """As bearing has it with the ground below the toes, or consolidation for the soft ground alone."""
    whole = of.done["bearing"].scopes.get("rest")
    settlement = of.done["consolidation"].scopes["residual"]["s_resL"] if whole is None else whole["s_resb"]
    return Expected(settlement.array[:, None], (settlement,))


def pressure_read(of: Bounds, trigger: Trigger) -> Floats:
    """Reading of a sensor in each sublayer of a trigger over its time in kPa, (scenarios, days, sublayers)."""
    return of.known.reading_at(of.times(trigger))[..., of.layers(trigger)]


def pressure_asked_of(of: Bounds, trigger: Trigger) -> Floats:
    """Pore pressure up to which the design holds in every sublayer of a trigger, in kPa, the least of its stages.

    A trigger names a layer at most: its level holds at every depth there, so that each sublayer has its own bound.
    """
    pressures = of.sheet.scopes["asked"]["u_ask"].at(stage=of.stages(trigger)).array[:, of.layers(trigger)]
    return np.asarray(pressures.min(axis=0))


def admitted_scenarios(of: Bounds, trigger: Trigger) -> np.ndarray:
    """Scenarios whose pore pressure stays, in every sublayer, within what the design holds up to there."""
    return np.asarray((pressure_read(of, trigger).max(axis=1) <= pressure_asked_of(of, trigger)).all(axis=-1))


def _asked_pressure(of: Bounds, trigger: Trigger) -> Bound:
    """What the design asks for leaves of the load before, the lift undrained; the least of stages and sublayers."""
    least = float(pressure_asked_of(of, trigger).min())
    return Bound(least, inputs=of.steps("asked", "u_ask")) if least > 0 else Bound(None, say("nothing-placed"))


def _degree_asked(of: Bounds, trigger: Trigger) -> Bound:
    degree = of.section.stages[stages_of(of.section, trigger)[0]].degree_min
    if degree is None:
        return Bound(None, say("no-degree-asked"))
    return Bound(degree, origins=of.stage_fields(trigger, "degree_min"))


def _bearable_tension(of: Bounds, trigger: Trigger) -> Bound:
    """The tension at which the sleeve is used up less what comes after the time in which the level holds."""
    if "bearable" not in of.sheet.scopes:
        return Bound(None, say("no-tension"))
    return _bound_left(_tension_left(of, trigger, of.bound_scope(trigger)))


def _tension_left(of: Bounds, trigger: Trigger, scope: Scope) -> Value:
    scope.take("F_kd", of.sheet.scopes["bearable"]["F_kd"])
    follows = of.follows(trigger, of.known.ground.tension_at)
    scope.reading("DF_fol", follows, title=say("follows"), inputs=of.steps("expected", "F_ob"))
    return scope(tension_left)


def _bearable_strain(of: Bounds, trigger: Trigger) -> Bound:
    """The smaller of the limit asked for and the strain at which the sleeve is used up, less what comes after.

    A sleeve is used up by tension, which creep does not raise; the stiffest sleeve has the least strain then.
    """
    limit, bearable = of.limit("ring_strain"), of.sheet.scopes.get("bearable")
    if limit.value is None and bearable is None:
        return Bound(None, say("no-strain"))
    scope = of.bound_scope(trigger)
    if bearable is not None:
        _tension_left(of, trigger, scope)
        scope.take("J", bearable["J"])
        strain = scope(strain_of_tension, eps_ob="eps_TD", F_ob="F_D")
    if limit.value is not None:
        scope.given("eps_lim", limit.value, origin=limit.origins)
        follows = of.follows(trigger, of.known.strain_at)
        scope.reading("De_fol", follows, title=say("follows"), inputs=of.steps("expected", "eps_ob"))
        strain = scope(strain_left)
    return _bound_left(strain if limit.value is None or bearable is None else scope(smaller_strain), limit)


def _soil_at(of: Bounds, days: Floats) -> Floats:
    """Pressure on the soil at the heads in kPa, (scenarios, days)."""
    return np.asarray(pressure_on_soil(of.known.soil_at(days), of.known.ground.pressure_at(days)[..., 0]))


def _column_at(of: Bounds, days: Floats) -> Floats:
    """Pressure on the heads of the columns in kPa, (scenarios, days)."""
    share = float(of.done["columns"]["a_E"].array)
    return np.asarray(column_stress_increment(of.known.load_at(days), share, _soil_at(of, days)))


def _soil_share(of: Bounds, trigger: Trigger) -> Bound:
    """Pressure that bearing, lateral extrusion and stability count on the soil, the least of the stages."""
    (counted,) = of.steps("programme", "sigma_sst")
    least = min(float(counted.at(stage=label).array) for label in of.stages(trigger))
    return Bound(least, inputs=(counted,)) if least > 0 else Bound(None, say("nothing-placed"))


def _ratio(of: Bounds, trigger: Trigger) -> Expected:
    """Column over soil while both carry load.

    Under the first centimetres of fill it is the quotient of two pressures near zero, which no cell reads and which
    hangs on the day that is looked at.
    """
    placed = [of.days.ends[k] for k, load in zip(steps_of(of.section), of.known.load, strict=True) if load > 0]
    days = of.times(trigger)
    days = days[days >= min(placed, default=np.inf)]
    soil, column = _soil_at(of, days), _column_at(of, days)
    loaded = (soil > 0).all(axis=0)
    if not loaded.any():
        return Expected(None)
    return Expected(np.asarray(stress_ratio(column[:, loaded], soil[:, loaded])), of.steps("expected", "n_ob"))


def _ratio_credited(of: Bounds, trigger: Trigger) -> Bound:
    value = max(of.section.stages[k].n_stability for k in stages_of(of.section, trigger))
    return Bound(value, origins=of.stage_fields(trigger, "n_stability"))


def _strengths(of: Bounds, trigger: Trigger, scope: str, name: str) -> Floats | None:
    """Strengths in kPa of the sublayers of a trigger at the start of its stage, where they are known."""
    if scope not in of.sheet.scopes or name not in of.sheet.scopes[scope]:
        return None
    return np.asarray(of.sheet.scopes[scope][name].at(stage=of.stages(trigger)[0]).array[of.layers(trigger)])


def counted_strengths(of: Bounds, trigger: Trigger) -> Floats | None:
    """Strength that the stage of a trigger counts on in each of its sublayers, in kPa, where it is known."""
    return _strengths(of, trigger, "programme", "c_ust")


def strength_by_layer(of: Bounds, trigger: Trigger) -> tuple[tuple[str, float], ...]:
    """Key of each layer of a trigger and the strength in kPa that is counted on in its weakest sublayer."""
    counted = counted_strengths(of, trigger)
    if counted is None:
        return ()
    least: dict[str, float] = {}
    for k, value in zip(of.layers(trigger), counted, strict=True):
        key = of.section.layers[of.shared.sublayers.layer[k]].of
        least[key] = min(float(value), least.get(key, float(value)))
    return tuple(least.items())


def _strength(of: Bounds, trigger: Trigger) -> Expected:
    """One course: the gain that is counted is that of the lower c_h, and the level holds for it."""
    value, counted = _strengths(of, trigger, "strength", "c_uob"), counted_strengths(of, trigger)
    if value is None:
        return Expected(None)
    if trigger.level.value is None and counted is not None:
        value = value[[int(np.argmin(value - counted))]]
    return Expected(np.broadcast_to(value, (len(SCENARIOS), 1, *value.shape)), of.steps("strength", "c_uob"))


def less_by_cell(of: Bounds, trigger: Trigger, level: float | None) -> bool:
    """Whether the strength by the soil stress of the unit cell lies below a level in some sublayer of a trigger.

    A level that is the design value is what every sublayer is counted with.
    """
    strengths, counted = _strengths(of, trigger, BY_CELL, "c_uoc"), counted_strengths(of, trigger)
    strengths_needed = counted if trigger.level.value is None else level
    return (
        strengths is not None
        and strengths_needed is not None
        and bool((strengths < np.asarray(strengths_needed) - LEAST_GAIN).any())
    )


def _strength_credited(of: Bounds, trigger: Trigger) -> Bound:
    """The weakest sublayer; of a level that is what the design counts on, the one with the least margin."""
    counted, strengths = counted_strengths(of, trigger), _strengths(of, trigger, "strength", "c_uob")
    if counted is None:
        return Bound(None, say("no-strength"))
    inputs = of.steps("programme", "c_ust")
    if trigger.level.value is not None or strengths is None:
        return Bound(float(counted.min()), inputs=inputs)
    least = float(counted[int(np.argmin(strengths - counted))])
    return Bound(least, inputs=(*inputs, *of.steps("strength", "c_uob")))


def _at_rest(of: Bounds, level: Value | None) -> Expected:
    """The water level, or the head of the aquifer, before construction, above the toes, whatever the course."""
    if level is None:
        return Expected(None)
    place = "initial_water" if of.section.initial_water else "stage.0.water"
    value = float(level.at(stage=of.shared.stages[0]).array)
    return Expected(np.full((len(SCENARIOS), 1), value), (level,), (origin_of(of.section, place),))


def _lowest(of: Bounds, trigger: Trigger, level: Value | None) -> Bound:
    """The lowest of the water levels, or heads of the aquifer, that the stages are verified at, above the toes."""
    if level is None:
        return Bound(None, say("no-heads"))
    least = float(level.at(stage=of.stages(trigger)).array.min())
    if least <= 0:
        return Bound(None, say("water-below-toes"))
    return Bound(least, inputs=(level,), origins=of.stage_fields(trigger, "water"))


def _quantity(
    name: str, expected: Callable[[Bounds, Trigger], Expected], holds: Callable[[Bounds, Trigger], Bound] = _no_value,
    words: str = "", arching: str = "",
) -> Quantity:  # fmt: skip
    return Quantity(QUANTITIES[name], expected, holds, words, arching)


_ALL = (
    _quantity("settlement", _expectation(lambda of, days: of.known.settlement_at(days), "s_ob"),
            _settlement_left, say("settlement-left")),
    _quantity("settlement rate", _rate),
    _quantity("residual settlement", _residual, lambda of, _trigger: of.limit("settlement_residual"),
            say("settlement-residual")),
    _quantity("pore pressure", lambda of, trigger: Expected(pressure_read(of, trigger), of.steps("expected", "u_sen")),
            _asked_pressure, say("pressure-asked")),
    _quantity("degree of consolidation", _expectation(lambda of, days: of.known.degree_at(days), "U_ob"),
            _degree_asked, say("degree-asked")),
    _quantity("ring strain", _expectation(lambda of, days: of.known.strain_at(days), "eps_ob"),
            _bearable_strain, say("bearable-strain")),
    _quantity("ring tension", _expectation(lambda of, days: of.known.ground.tension_at(days), "F_ob"),
            _bearable_tension, say("bearable-tension")),
    _quantity("pressure on soil", _expectation(_soil_at, "sigma_sob"), _soil_share, say("soil-share"), "sigma_slt"),
    _quantity("pressure on columns", _expectation(_column_at, "sigma_cob"), arching="sigma_clt"),
    _quantity("stress ratio", _ratio, _ratio_credited, say("ratio-credited"), "n_lt"),
    _quantity("undrained strength", _strength, _strength_credited, say("strength-credited")),
    _quantity("groundwater", lambda of, _trigger: _at_rest(of, of.water),
              lambda of, trigger: _lowest(of, trigger, of.water), say("lowest-water")),
    _quantity("aquifer head", lambda of, _trigger: _at_rest(of, of.aquifer),
              lambda of, trigger: _lowest(of, trigger, of.aquifer), say("lowest-head")),
)  # fmt: skip

JUDGED = {quantity.of.name: quantity for quantity in _ALL}
"""By the name that stands in a project file."""

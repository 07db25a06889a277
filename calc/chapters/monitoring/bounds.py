"""What a trigger has to clear, and up to where the design holds, quantity by quantity."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calc.chapters.monitoring.dates import breaks_of, spans_of, stages_of, times_of
from calc.chapters.monitoring.expected import Known
from calc.chapters.shared.frame import COURSES, SHORT, TOP, Frame, initial_water
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.monitoring import bearable_tension, pressure_on_soil, settlement_rate, strain_of_tension
from calc.formulas.unit_cell import column_stress, stress_ratio
from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import FALLING, Trigger

say = words_of(__name__)

Floats = NDArray[np.float64]
Bound = tuple[float | None, str]
DAY = 1.0

KEYS = {
    "settlement": "s",
    "settlement rate": "v",
    "residual settlement": "s_r",
    "pore pressure": "u",
    "degree of consolidation": "U",
    "ring strain": "eps",
    "ring tension": "F",
    "pressure on soil": "sigma_s",
    "pressure on columns": "sigma_c",
    "stress ratio": "n",
    "undrained strength": "c_u",
    "groundwater": "h_w",
}
"""The quantities that are judged, with the base of their symbols."""


@dataclass(frozen=True)
class Bounds:
    """Everything that the bounds of triggers follow from."""

    sheet: Sheet
    design: Design
    section: Section
    shared: Frame
    found: Known
    done: dict[str, Sheet]

    def courses(self, one: Trigger) -> Floats | None:
        """The end of the range of every course in the time of a trigger: largest, or least of what triggers below."""
        values = _READINGS[one.quantity](self, one)
        if values is None:
            return None
        axes = tuple(range(1, values.ndim))
        ends = np.asarray(values.min(axis=axes) if one.quantity in FALLING else values.max(axis=axes))
        beside = self._by_arching(one)
        if beside is None:
            return ends
        return np.asarray(np.minimum(ends, beside) if one.quantity in FALLING else np.maximum(ends, beside))

    def _by_arching(self, one: Trigger) -> float | None:
        """What load transfer expects of a pressure cell in the stages of a trigger, on the far side of its range."""
        name, scope = _BY_ARCHING.get(one.quantity), self.sheet.scopes.get("heads")
        if name is None or scope is None:
            return None
        value = scope[name].at(stage=[self.shared.stages[k + 1] for k in stages_of(self.section, one)])
        if not value.valid.any():
            return None
        numbers = value.array[value.valid]
        return float(numbers.min() if one.quantity in FALLING else numbers.max())

    def admitted(self, one: Trigger) -> NDArray[np.bool_]:
        """Courses whose pore pressure stays, in every sublayer, within what the design holds up to there."""
        asked = asked_of(self, one)
        return np.asarray((pressure_read(self, one).max(axis=1) <= asked).all(axis=-1))

    def holds(self, one: Trigger) -> Bound:
        """The value up to which the design holds, or None and why there is none."""
        return _HOLDS.get(one.quantity, _unknown)(self, one)

    def follows(self, one: Trigger, values_at: Callable[[Floats], Floats]) -> float:
        """What comes of a reading after the time in which a trigger holds, the most of all courses and sublayers."""
        ground = self.found.ground
        last = max(end for _, end in spans_of(self.section, one, ground.hand_over, ground.life))
        values = values_at(np.array([last, ground.end_of_life]))
        return max(0.0, float((values[:, 1] - values[:, 0]).max()))

    def times(self, one: Trigger) -> Floats:
        """Days at which a trigger is looked at."""
        ground = self.found.ground
        spans = spans_of(self.section, one, ground.hand_over, ground.life)
        return times_of(spans, breaks_of(self.section))

    def layers(self, one: Trigger) -> list[int]:
        """Indices of the sublayers that a trigger is for."""
        keys = [self.section.layers[k].key for k in self.shared.sublayers.layer]
        return [k for k, key in enumerate(keys) if one.layer in {None, key}]

    def soil(self, days: Floats) -> Floats:
        """Pressure on the soil at the heads in kPa, (courses, days)."""
        water = self.found.ground.pressure_at(days)[..., 0]
        return np.asarray(pressure_on_soil(self.found.soil_at(days), water))

    def column(self, days: Floats) -> Floats:
        """Pressure on the heads of the columns in kPa, (courses, days)."""
        share = float(self.done["columns"]["a_E"].array)
        return np.asarray(column_stress(self.found.load_at(days), share, self.soil(days)))


def _settlement(of: Bounds, one: Trigger) -> Floats:
    return of.found.settlement_at(of.times(one))


def _rate(of: Bounds, one: Trigger) -> Floats:
    """Settlement in a day; the day before a break is looked at, too, because the rate is largest there."""
    days = of.times(one)
    earlier = [day - DAY for day in breaks_of(of.section) if days[0] <= day - DAY and day <= days[-1]]
    begins = np.unique([*days, *earlier])
    return np.asarray(settlement_rate(of.found.settlement_at(begins + DAY), of.found.settlement_at(begins), DAY))


def _residual(of: Bounds, _one: Trigger) -> Floats:
    """As bearing has it with the ground below the toes, or consolidation for the soft ground alone."""
    whole = of.done["bearing"].scopes.get("rest")
    found = of.done["consolidation"].scopes["residual"]["s_resL"] if whole is None else whole["s_resb"]
    return found.array[:, None]


def pressure_read(of: Bounds, one: Trigger) -> Floats:
    """Reading of a sensor in each sublayer of a trigger over its time in kPa, (courses, days, sublayers)."""
    return of.found.reading_at(of.times(one))[..., of.layers(one)]


def _degree(of: Bounds, one: Trigger) -> Floats:
    return of.found.degree_at(of.times(one))


def _tension(of: Bounds, one: Trigger) -> Floats:
    return of.found.ground.tension_at(of.times(one))


def _strain(of: Bounds, one: Trigger) -> Floats:
    return of.found.strain_at(of.times(one))


def _soil(of: Bounds, one: Trigger) -> Floats:
    return of.soil(of.times(one))


def _column(of: Bounds, one: Trigger) -> Floats:
    return of.column(of.times(one))


def _ratio(of: Bounds, one: Trigger) -> Floats | None:
    """Column over soil while both carry load."""
    days = of.times(one)
    soil, column = of.soil(days), of.column(days)
    loaded = (soil > 0).all(axis=0)
    return np.asarray(stress_ratio(column[:, loaded], soil[:, loaded])) if loaded.any() else None


def _strength(of: Bounds, one: Trigger) -> Floats | None:
    scope = of.sheet.scopes.get("strength")
    if scope is None:
        return None
    label = of.shared.stages[stages_of(of.section, one)[0] + 1]
    # One course: the gain that is counted is that of the lower c_h, and the level holds for it.
    value = scope["c_uob"].at(stage=label).array[of.layers(one)]
    counted = counted_strength(of, one)
    if one.level.value is None and counted is not None:
        value = value[[int(np.argmin(value - counted))]]
    return np.broadcast_to(value, (len(COURSES), 1, *value.shape))


def counted_strength(of: Bounds, one: Trigger) -> Floats | None:
    """Strength that the stage of a trigger counts on in each of its sublayers, in kPa, where it is known."""
    scope = of.sheet.scopes["programme"]
    if "c_ust" not in scope:
        return None
    label = of.shared.stages[stages_of(of.section, one)[0] + 1]
    return np.asarray(scope["c_ust"].at(stage=label).array[of.layers(one)])


def _at_rest(of: Bounds, _one: Trigger) -> Floats:
    """The water level before construction, above the toes, whatever the course."""
    levels = {level.name: level.level for level in of.section.water}
    return np.full((len(COURSES), 1), levels[initial_water(of.section)] - toe_of(of.section))


_READINGS: dict[str, Callable[[Bounds, Trigger], Floats | None]] = {
    "settlement": _settlement,
    "settlement rate": _rate,
    "residual settlement": _residual,
    "pore pressure": pressure_read,
    "degree of consolidation": _degree,
    "ring strain": _strain,
    "ring tension": _tension,
    "pressure on soil": _soil,
    "pressure on columns": _column,
    "stress ratio": _ratio,
    "undrained strength": _strength,
    "groundwater": _at_rest,
}


_BY_ARCHING = {"pressure on soil": "sigma_slt", "pressure on columns": "sigma_clt", "stress ratio": "n_lt"}


def _unknown(_of: Bounds, _one: Trigger) -> Bound:
    return None, say("unknown")


def _limit(name: str) -> Callable[[Bounds, Trigger], Bound]:
    def holds(of: Bounds, _one: Trigger) -> Bound:
        value: float | None = getattr(of.design.basis.limits, name)
        return value, "" if value is not None else say("holds", name=name)

    return holds


def _settlement_left(of: Bounds, one: Trigger) -> Bound:
    """The limit of the settlement less what comes after the time in which the level holds."""
    limit, why = _limit("settlement_total")(of, one)
    if limit is None:
        return limit, why
    follows = max(of.follows(one, law) for law in (of.found.settlement_at, of.found.plastic_settlement_at))
    drained = all(layer.drains for layer in of.section.layers_below)
    return limit - follows - (0.0 if drained else of.found.below), ""


def _asked_pressure(of: Bounds, one: Trigger) -> Bound:
    """What the design asks for leaves of the load before, the lift undrained; the least of stages and sublayers."""
    least = float(asked_of(of, one).min())
    return (least, "") if least > 0 else (None, say("asked-pressure"))


def asked_of(of: Bounds, one: Trigger) -> Floats:
    """Pore pressure up to which the design holds in every sublayer of a trigger, in kPa, the least of its stages.

    A trigger names a layer at most: its level holds at every depth there, so that each sublayer has its own bound.
    """
    labels = [of.shared.stages[k + 1] for k in stages_of(of.section, one)]
    found = of.sheet.scopes["asked"]["u_ask"].at(stage=labels).array[:, of.layers(one)]
    return np.asarray(found.min(axis=0))


def _degree_asked(of: Bounds, one: Trigger) -> Bound:
    asked = of.section.stages[stages_of(of.section, one)[0]].degree_min
    return asked, "" if asked is not None else say("degree-asked")


def _bearable_tension(of: Bounds, one: Trigger) -> Bound:
    """The tension at which the sleeve is used up less what comes after the time in which the level holds."""
    scope = of.sheet.scopes.get("bearable")
    if scope is None:
        return None, say("bearable-tension")
    return float(scope["F_kd"].array) - of.follows(one, of.found.ground.tension_at), ""


def _bearable_strain(of: Bounds, one: Trigger) -> Bound:
    """The smaller of the limit asked for and the strain at which the sleeve is used up, less what comes after.

    A sleeve is used up by tension, which creep does not raise; the stiffest sleeve has the least strain then.
    """
    scope, limit = of.sheet.scopes.get("bearable"), of.design.basis.limits.ring_strain
    found = []
    if scope is not None:
        found.append(float(strain_of_tension(_bearable_tension(of, one)[0], scope["J"].array)))
    if limit is not None:
        found.append(limit - of.follows(one, of.found.strain_at))
    return (min(found), "") if found else (None, say("bearable-strain"))


def _soil_share(of: Bounds, one: Trigger) -> Bound:
    """Pressure that bearing, lateral extrusion and stability count on the soil, the least of the stages."""
    counted = of.sheet.scopes["programme"]["sigma_sst"]
    values = [float(counted.at(stage=of.shared.stages[k + 1]).array) for k in stages_of(of.section, one)]
    return (min(values), "") if min(values) > 0 else (None, say("soil-share"))


def _ratio_credited(of: Bounds, one: Trigger) -> Bound:
    return max(of.section.stages[k].n_stability for k in stages_of(of.section, one)), ""


def _strength_credited(of: Bounds, one: Trigger) -> Bound:
    """The weakest sublayer; of a level that is what the design counts on, the one with the least margin."""
    counted, strength = counted_strength(of, one), of.sheet.scopes.get("strength")
    if counted is None:
        return None, say("strength-credited")
    if one.level.value is not None or strength is None:
        return float(counted.min()), ""
    label = of.shared.stages[stages_of(of.section, one)[0] + 1]
    found = strength["c_uob"].at(stage=label).array[of.layers(one)]
    return float(counted[int(np.argmin(found - counted))]), ""


def _water(of: Bounds, one: Trigger) -> Bound:
    """The lowest of the water levels that the stages are verified at, above the toes."""
    levels = {level.name: level.level for level in of.section.water}
    least = min(levels[of.section.stages[k].water] for k in stages_of(of.section, one)) - toe_of(of.section)
    return (least, "") if least > 0 else (None, say("water"))


def toe_of(section: Section) -> float:
    """Elevation of the toes of the columns."""
    return section.ground_level - sum(layer.thickness for layer in section.layers) - section.columns.embedment


_HOLDS: dict[str, Callable[[Bounds, Trigger], Bound]] = {
    "settlement": _settlement_left,
    "residual settlement": _limit("settlement_residual"),
    "pore pressure": _asked_pressure,
    "degree of consolidation": _degree_asked,
    "ring strain": _bearable_strain,
    "ring tension": _bearable_tension,
    "pressure on soil": _soil_share,
    "stress ratio": _ratio_credited,
    "undrained strength": _strength_credited,
    "groundwater": _water,
}


def bearable(sheet: Sheet, shared: Frame, done: dict[str, Sheet]) -> Scope | None:
    """Record the characteristic ring tension and strain at which the most utilised sublayer has used its sleeve up."""
    found = [
        scope["u_R"].largest("stage", "layer").at(stage=shared.persistent)
        for scope in done["sleeve"].scopes.values()
        if "u_R" in scope
    ]
    # Sublayers within the head zone have no number.
    ratio = max(found, key=lambda one: float(np.nanmax(one.array)))
    case = ratio.case_at(int(np.nanargmax(ratio.array)))
    tension = done["unit_cell"].scopes["strain"]["F_R"].at(stiffness=SHORT, point=TOP, **case)
    if not tension.valid.all() or float(tension.array) <= 0 or float(ratio.at(**case).array) <= 0:
        return None
    scope = sheet.scope("bearable", say("scope-bearable-title"))
    scope.take("F_k", tension, note=say("take-f-k-note"))
    scope.take("u_Rx", ratio.at(**case), note=say("take-u-rx-note"))
    scope(bearable_tension)
    scope.take("J", done["unit_cell"]["J"].at(stiffness=SHORT))
    scope(strain_of_tension, eps_ob="eps_kd", F_ob="F_kd")
    return scope

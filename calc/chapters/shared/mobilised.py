"""Tension of a layer across that stability counts on: its strength, at most what it has at the strain allowed."""

from calc.chapters.shared.frame import TRANSIENT, given_of_section, origin_of
from calc.engine.sheet import Scope, Sheet, Value, number_text
from calc.engine.words import words_of
from calc.formulas import sleeve as sl
from calc.formulas.reinforcement import mobilised_tension, tension_at_allowed_strain
from calc.inputs import Section
from calc.inputs.tables.sleeve import ReinforcementLayer

say = words_of(__name__)


def mobilised(sheet: Sheet, section: Section, done: dict[str, Sheet], place: int) -> Value:
    """Tension of one layer by stage, derived once: in this chapter or an earlier one."""
    key = f"mobilised_{place}"
    if key in sheet.scopes:
        return sheet.scopes[key]["T_mob"]
    layer = section.reinforcement[place]
    scope = sheet.scope(key, say("scope-mobilised-title", layer_name=layer.name))
    sheet.leads[key] = {"stage": sheet.axes["stage"][-1]}
    known = done["bearing"].scopes.get(key) if "bearing" in done else None
    if known is not None:
        return scope.take("T_mob", known["T_mob"])
    return _derive(scope, section, place)


def _derive(scope: Scope, section: Section, place: int) -> Value:
    layer = section.reinforcement[place]
    strengths = [strength_of(layer, one) for one in _situations(section)]
    whole = scope.reading(
        "R_rl", strengths, ["stage"], title=say("reading-r-rl-title"),
        note=say("reading-r-rl-note"),
    )  # fmt: skip
    chosen = section.load_transfer
    if chosen is None or chosen.strain is None:
        return scope.take("T_mob", whole, note=say("take-t-mob-note"))
    given_of_section(scope, "eps_all", section, "load_transfer.strain", chosen.strain)
    _stiffness(scope, section, place)
    scope(tension_at_allowed_strain)
    return scope(mobilised_tension)


def _stiffness(scope: Scope, section: Section, place: int) -> None:
    """Stiffness by stage: while filling that of the end of construction, then the last value given."""
    given, path = section.reinforcement[place].stiffness, f"reinforcement.{place}.stiffness"
    at, last = len(section.stages) - 1, section.stages[-1]
    scope.given("t_0", last.start, origin=origin_of(section, f"stage.{at}.start"))
    scope.given("t_f", last.duration, origin=origin_of(section, f"stage.{at}.duration"))
    end = float(scope(sl.end_of_construction).array)
    later = next((k for k, one in enumerate(given) if one.time > end), len(given))
    inside = 0 < later < len(given)
    for name, time, k in (("J_1", "t_1", later - 1), ("J_2", "t_2", later)) if inside else ():
        given_of_section(scope, name, section, f"{path}.{k}.J", given[k].J)
        given_of_section(scope, time, section, f"{path}.{k}.time", given[k].time)
    if inside:
        scope(sl.stiffness_at_time, J_t="J_rc")
    else:
        near = min(later, len(given) - 1)
        given_of_section(scope, "J_rc", section, f"{path}.{near}.J", given[near].J)
    long = given_of_section(scope, "J_re", section, f"{path}.{len(given) - 1}.J", given[-1].J)
    middle = scope["J_rc"]
    values = [float((middle if one == TRANSIENT else long).array) for one in _situations(section)]
    scope.reading(
        "J_rt", values, ["stage"], title=say("reading-j-rt-title"), inputs=[middle, long],
        note=say("reading-j-rt-note"),
    )  # fmt: skip


def state_strain(sheet: Sheet, section: Section, places: list[int], turns: list[str]) -> None:
    """Where no strain is allowed, say what strain the tension counted would need."""
    chosen = section.load_transfer
    if not places or (chosen is not None and chosen.strain is not None):
        return
    found = [
        strength_of(section.reinforcement[k], one) / section.reinforcement[k].stiffness[-1].J
        for k in places
        for one in _situations(section)
    ]
    sheet.limitation(
        "mobilised-strain",
        say("limitation-mobilised-strain", found=number_text(100 * max(found), 1)),
        "project rule ▵",
        turns=turns,
    )


def strength_of(layer: ReinforcementLayer, situation: str) -> float:
    """Design strength of a layer in kN/m, derived line by line in the chapter on the reinforcement."""
    gamma_M = getattr(layer.gamma_M, situation)  # noqa: N806 - printed symbol
    found = []
    if layer.factors is not None:
        by = {f"A_{k}": getattr(layer.factors, f"A{k}").value for k in range(1, 6)}
        found.append(
            sl.design_resistance(R_Bk=sl.characteristic_resistance(R_Bk0=layer.strength, **by), gamma_M=gamma_M)
        )
    if layer.iso20432 is not None:
        iso = layer.iso20432
        f_s = sl.uncertainty_factor(R_1=iso.R1.value, R_2=iso.R2.value)
        by = {name: getattr(iso, name).value for name in ("RF_CR", "RF_ID", "RF_W", "RF_CH")}
        found.append(
            sl.design_resistance(R_Bk=sl.long_term_strength(R_Bk0=layer.strength, f_s=f_s, **by), gamma_M=gamma_M)
        )
    return float(min(found))


def _situations(section: Section) -> list[str]:
    """The design situation of every stage; building the columns is transient."""
    return [TRANSIENT, *(one.situation for one in section.stages)]

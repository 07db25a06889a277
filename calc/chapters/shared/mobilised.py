"""Tension of a layer across that stability counts on: its strength, at most what it has at the strain allowed."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from calc.chapters.shared.frame import TRANSIENT, given_of_section, origin_of
from calc.chapters.shared.layer_strength import layer_strength
from calc.engine.sheet import Again, Axis, Scope, Sheet, Value, number_text
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas import sleeve as sl
from calc.formulas.reinforcement import mobilised_tension, strain_of_counted_tension, tension_at_allowed_strain
from calc.inputs import Section

say = words_of(__name__)


def tension_by_stage(sheet: Sheet, section: Section, done: dict[str, Sheet], place: int) -> Value:
    """Tension of one layer by stage, derived once: in this chapter or an earlier one."""
    key = f"mobilised_{place}"
    if key in sheet.scopes:
        return sheet.scopes[key]["T_mob"]
    known = done["bearing"].scopes.get(key) if "bearing" in done else None
    # The strength stands before what is mobilised of it.
    strength = layer_strength(sheet, section, done, place)["R_rl"]
    scope = sheet.scope(key, say("scope-mobilised-title", layer_name=section.reinforcement[place].name))
    sheet.leads[key] = {"stage": sheet.axes["stage"][-1]}
    if known is not None:
        taken = scope.take("T_mob", known["T_mob"])
        if "eps_mob" in known:
            scope.take("eps_mob", known["eps_mob"])
        return taken
    return _derive(scope, section, place, strength)


def _derive(scope: Scope, section: Section, place: int, strength: Value) -> Value:
    """Tension of the layer from its strength and, where a strain is allowed, from its stiffness."""
    whole = scope.take("R_rl", strength)
    chosen = section.load_transfer
    if chosen is None or chosen.strain is None:
        made = scope.take("T_mob", whole, note=say("take-t-mob-note"))
        stiffness_in_time, last = (
            section.reinforcement[place].stiffness,
            len(section.reinforcement[place].stiffness) - 1,
        )
        given_of_section(scope, "J_re", section, f"reinforcement.{place}.stiffness.{last}.J", stiffness_in_time[-1].J)
        scope(strain_of_counted_tension)
        return made
    given_of_section(scope, "eps_all", section, "load_transfer.strain", chosen.strain)
    _stiffness(scope, section, place)
    scope(tension_at_allowed_strain)
    return scope(mobilised_tension)


def _stiffness(scope: Scope, section: Section, place: int) -> None:
    """Stiffness by stage: while filling that of the end of construction, then the last value given."""
    stiffness_in_time, path = section.reinforcement[place].stiffness, f"reinforcement.{place}.stiffness"
    at, last = len(section.stages) - 1, section.stages[-1]
    scope.given("t_0", last.start, origin=origin_of(section, f"stage.{at}.start"))
    scope.given("t_f", last.duration, origin=origin_of(section, f"stage.{at}.duration"))
    end = float(scope(sl.end_of_construction).array)
    later = next((k for k, stiffness in enumerate(stiffness_in_time) if stiffness.time > end), len(stiffness_in_time))
    inside = 0 < later < len(stiffness_in_time)
    for name, time, k in (("J_1", "t_1", later - 1), ("J_2", "t_2", later)) if inside else ():
        given_of_section(scope, name, section, f"{path}.{k}.J", stiffness_in_time[k].J)
        given_of_section(scope, time, section, f"{path}.{k}.time", stiffness_in_time[k].time)
    if inside:
        scope(sl.stiffness_at_time, J_t="J_rc")
    else:
        near = min(later, len(stiffness_in_time) - 1)
        given_of_section(scope, "J_rc", section, f"{path}.{near}.J", stiffness_in_time[near].J)
    long = given_of_section(scope, "J_re", section, f"{path}.{len(stiffness_in_time) - 1}.J", stiffness_in_time[-1].J)
    middle = scope["J_rc"]
    # Building the columns is transient.
    situations = [TRANSIENT, *(stage.situation for stage in section.stages)]
    stages = Axis("stage", scope.sheet.axes["stage"])
    again = Again(
        partial(by_stage, stages=stages, early=[situation == TRANSIENT for situation in situations]), (middle, long)
    )
    scope.reading(
        "J_rt", again.value().array, ["stage"], title=say("reading-j-rt-title"), inputs=[middle, long],
        note=say("reading-j-rt-note"), again=again,
    )  # fmt: skip


def by_stage(middle: Value, long: Value, *, stages: Axis, early: Sequence[bool]) -> Value:
    """The stiffness of every stage: early ones have that of the end of construction."""
    axes = union_axes((middle, long))
    pair = [spread(value.array, value.axes, axes)[..., None] for value in (middle, long)]
    return Value("J_rt", np.where(early, *pair), (*axes, stages))


def state_strain(sheet: Sheet, section: Section, places: list[int], turns: list[str]) -> None:
    """Where no strain is allowed, say what strain the tension counted would need."""
    chosen = section.load_transfer
    if not places or (chosen is not None and chosen.strain is not None):
        return
    strains = [float(sheet.scopes[f"mobilised_{k}"]["eps_mob"].array.max()) for k in places]
    sheet.limitation(
        "mobilised-strain",
        say("limitation-mobilised-strain", found=number_text(100 * max(strains), 1)),
        "project rule ◇",
        turns=turns,
    )

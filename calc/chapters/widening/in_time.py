"""What settles after hand-over where no columns stand: vertical flow alone, all of the old bank's rest as if new."""

from calc.chapters.shared.frame import LOW
from calc.chapters.shared.programme import DATES, PROGRAMME
from calc.chapters.shared.rests import fill_placed
from calc.chapters.widening.settlement import INDICES, MODULUS, by_step
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import consolidation as co
from calc.formulas import widening as wd
from calc.inputs import Section

say = words_of(__name__)

TITLES = {INDICES: say("left-indices"), MODULUS: say("left-modulus")}
FLOW, LEFT = "flow", "left_"  # scopes, the latter with the name of the law


def left_at_hand_over(sheet: Sheet, section: Section, law: Scope, done: dict[str, Sheet]) -> Value | None:
    """Settlement after hand-over by a law, over positions and methods; None where the time is not known."""
    time = done["consolidation"]
    if "vertical" not in time.scopes or DATES not in time.scopes:
        return None
    flow = sheet.scopes.get(FLOW) or _flow(sheet, section, done)
    scope = sheet.scope(f"{LEFT}{law.name}", TITLES[law.name], **sheet.leads[law.name])
    scope(wd.increment_without_traffic)
    if law.name == INDICES:
        for name in ("C_cs", "C_rs", "e_0"):
            scope.take(name, law[name])
        scope(wd.stress_without_traffic)
        scope(wd.settlement_by_indices, s_iu="s_if", sigma_W1="sigma_W1f")
    else:
        by_step(scope, "Dsigma_Wf", "s_if")
    scope.take("s_iu", law["s_iu"])
    scope.take("U_vW", flow["U_vW"])
    return scope(wd.settlement_left_at_hand_over)


def _flow(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> Scope:
    """Degree of consolidation at hand-over of the fill, of which all is as old as the last."""
    scope, time = sheet.scope(FLOW, say("scope-flow")), done["consolidation"]
    last = max(k for k, placed in enumerate(fill_placed(section), start=1) if placed)
    scope.take("t_ho", time.scopes[DATES]["t_ho"])
    times = done["basis"].scopes[PROGRAMME]["t_es"]
    scope.take("t_en", times.at(stage=times.labels("stage")[last]))
    scope(wd.age_of_widening)
    given = time.scopes["vertical"]["c_vs"]
    scope.reading("c_vWm", float(given.array.min()), title=say("least"), inputs=[given])
    scope.take("f_chl", time["f_ch"].at(scenario=LOW))
    scope(wd.lower_vertical_coefficient)
    scope.take("H_dr", time.scopes["vertical"]["H_dr"])
    scope(co.vertical_time_factor, c_vs="c_vW", t="t_aW")
    scope(wd.degree_without_columns)
    return scope

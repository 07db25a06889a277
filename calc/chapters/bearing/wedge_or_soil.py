"""Lateral extrusion where the wedge or the soil alone holds, as one number of every stage, for a study of both.

A calculation takes them one after the other: where the soil alone bears its share no wedge is worked out.
"""

from calc.chapters.bearing.loads import loaded_stages, stages_at_rest
from calc.chapters.bearing.soft import ALONE
from calc.chapters.bearing.wedge_conditions import HELD, RING, THIN_GROUND
from calc.chapters.shared.frame import GIVEN_RATIO, at_labels
from calc.chapters.shared.mats import ACROSS
from calc.chapters.shared.ratio_limits import unproven
from calc.chapters.shared.soft_ground import Side, without_idle_ratio
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas.extrusion import resistance_with_soil_alone, safety_of_soil_alone_that_counts, wedge_safety
from calc.inputs import Section

say = words_of(__name__)

LEAST = say("least-of-stage")


def either_counts(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> bool:
    """Whether a study asks for every stage of one grid to firm ground, where the soil alone may bear its share.

    Zones are judged by the worst of their grids, and in an earthquake the soil alone settles nothing. Without
    reinforcement across no column counts in any stage.
    """
    if section.columns.zone or section.columns.some_float or unproven(done):
        return False
    if all(mat.direction not in ACROSS for mat in section.reinforcement):
        return False
    return section.wedge_in_every_stage and stages_at_rest(sheet, section) == loaded_stages(sheet)


def with_soil_alone(sheet: Sheet, side: Side, scope: Scope, effect: str, state: str) -> Value:
    """What the wedge, as far as its columns count, or else the soil alone resists."""
    scope.take("F_ri", sheet.scopes[f"{RING}{side.ending}"]["F_ri"].smallest("stage"), note=LEAST)
    scope.take("F_he", sheet.scopes[f"{HELD}{side.ending}"]["F_he"].smallest("stage"), note=LEAST)
    # The soil alone may bear its share in one case of a stage and not in another: the worst one counts.
    scope.take("F_so", without_idle_ratio(sheet, sheet.scopes[ALONE[state]]["F_so"]).smallest("stage"), note=LEAST)
    scope(wedge_safety, p_sE=effect)
    thin = sheet.scopes[f"{THIN_GROUND}{side.ending}"]
    for name in ("L_mx", "L_thin", "Dc_th", "Dc_fast"):
        scope.take(name, thin[name])
    # A stage with a gain is the wedge's by both stress ratios, also where that of the cell brings none.
    scope(safety_of_soil_alone_that_counts, Dc_u=at_labels(sheet["Dc_u"], ratio=GIVEN_RATIO))
    return scope(resistance_with_soil_alone, p_sE=effect)

"""The stress ratio that stability counts with, against the one that has come by the start of a stage."""

from functools import partial

import numpy as np
from numpy.typing import NDArray

from calc.chapters.consolidation.course import rates_of
from calc.chapters.consolidation.ground_again import GroundAgain
from calc.chapters.shared.frame import AS_GIVEN, LONG, LOW, Frame, at_labels, origin_of
from calc.chapters.shared.least import print_least
from calc.chapters.shared.programme import SETTLES, at_other_stages, begun_before, starts_of, steps_of
from calc.engine.levels import above
from calc.engine.sheet import Again, Axis, Origin, Scope, Sheet, Value, number_text, stage_name, stage_names
from calc.engine.words import words_of
from calc.formulas.shear_parameters import soil_stress_share
from calc.formulas.stage_pressure import soil_share_of_lift
from calc.formulas.staged import ratio_of_share
from calc.inputs import Section
from calc.procedures.ground_in_time import GroundInTime

say = words_of(__name__)

Floats = NDArray[np.float64]

RATIO = ("ratio_before", say("ratio"))
NO_STEP, NO_RATIO = say("nothing-has-been-placed-before"), say("text")


def counted_ratios(section: Section) -> list[tuple[float, int]]:
    """What every stage counts with at its start, and the stage whose n_stability that is (from 0).

    The load placed before has the ratio of the stage before; where a stage places nothing, its own counts at once.
    """
    stages = section.stages
    pairs = [(1.0, 0)]
    for k in range(1, len(stages)):
        lifts = above(stages[k].fill_height, stages[k - 1].fill_height)
        indices = [k - 1] if lifts else [k - 1, k]
        pairs.append(max((stages[index].n_stability, index) for index in indices))
    return pairs


def least_ratio(share: Floats, mu_sf: Floats, a_E: float) -> Floats:  # noqa: N803 - the printed symbol
    """Stress ratio of the sublayer that has least, by degrees of the shape (..., layers); NaN where none has one."""
    ratio = np.asarray(ratio_of_share(mu_t=soil_share_of_lift(U_L=share, mu_s=mu_sf), a_E=a_E))
    known = np.broadcast_to(~np.isnan(mu_sf), ratio.shape)
    least = np.where(known, ratio, np.inf).min(axis=-1)
    return np.where(np.isinf(least), np.nan, least)


def ratios(sheet: Sheet, section: Section, shared: Frame, again: GroundAgain, done: dict[str, Sheet]) -> None:
    """Compare the ratio that every stage counts with and the one reached at its start; say where low c_h waits."""
    key, title = RATIO
    pairs = [(1.0, 0), *counted_ratios(section)]
    values = np.array([ratio for ratio, _ in pairs])
    if not (values > 1).any():
        sheet.not_applicable(key, title, say("settled-ratios-why"))
        return
    scope = _ratio_in_time(sheet, section, shared, again, done)
    rule = Origin("project rule", text=say("rule"))
    origins = [rule, rule, *(origin_of(section, f"stage.{k}.n_stability") for _, k in pairs[2:])]
    counted = scope.given("n_as", values, ["stage"], origin=origins, origin_axis="stage", note=say("given-n-as-note"))
    least = scope["n_tl"].at(scenario=AS_GIVEN)
    none = values <= 1
    bare = [
        label
        for label, unassumed, valid in zip(shared.stages, none, least.valid, strict=True)
        if not unassumed and not valid
    ]
    if bare:
        sheet.not_verified(key, title, say("ratios-why", bare=stage_names(bare)))
        return
    made = sheet.verdict(key, title, effect=counted.without(none, say("none-assumed")),
                         resistance=least.without(none, say("none-assumed")))  # fmt: skip
    print_least(scope, scope["n_t"].at(stage=made.case["stage"], scenario=AS_GIVEN), "layer")
    low = scope["n_tl"].at(scenario=LOW).array
    late = [
        say("instead", stage=stage_name(label), other=number_text(float(other), 2), value=number_text(float(value), 2))
        for label, value, other in zip(shared.stages, values, low, strict=True)
        if value > max(1.0, other)
    ]
    if late:
        sheet.limitation("ratio-low", say("limitation-ratio-low", late=", ".join(late)), turns=[key])


def _ratio_in_time(sheet: Sheet, section: Section, shared: Frame, again: GroundAgain, done: dict[str, Sheet]) -> Scope:
    """Record the ratio at the start of every stage."""
    scope = sheet.scope("ratio", say("scope-ratio-title"), scenario=AS_GIVEN)
    scope.take("a_E", done["columns"]["a_E"])
    steps, placed = steps_of(section), begun_before(section)
    cell = at_labels(done["unit_cell"].scopes["settlement"]["n"], **SETTLES, stiffness=LONG)
    sources = [shared.stages[steps[count - 1] + 1] if count else None for count in placed]
    none = say("either", step=NO_STEP, ratio=NO_RATIO)
    axes = tuple(Axis(name, sheet.axes[name]) for name in ("stage", "scenario", "layer"))
    rule = partial(at_other_stages, stages=shared.stages, sources=sources, reason=none)
    before = Again(rule, (cell,), whole=("stage",))
    made = before.value()
    scope.reading("n_cb", made.array, ["stage", "layer"], inputs=[cell], mask=made.mask, reason=none,
                  title=say("reading-n-cb-title"), note=say("reading-n-cb-note"), moves=("stage",),
                  again=before)  # fmt: skip
    scope(soil_stress_share, mu_s="mu_sf", n_st="n_cb")
    drained = partial(_degrees_before, starts=starts_of(section))
    scope.reading("U_p", drained(again.ground), ["stage", "scenario", "layer"],
                  inputs=[scope["n_cb"], *rates_of(sheet)], note=say("reading-u-p-note"), moves=("stage",),
                  title=say("reading-u-p-title"), again=again.reading("U_p", axes, drained))  # fmt: skip
    scope(soil_share_of_lift, mu_L="mu_t", U_L="U_p", mu_s="mu_sf")
    ratio = scope(ratio_of_share)
    least = Again(least_of_sublayers, (ratio,))
    value = least.value()
    scope.reading("n_tl", value.array, ["stage", "scenario"], inputs=[ratio], mask=value.mask, reason=none,
                  title=say("reading-n-tl-title"), again=least)  # fmt: skip
    return scope


def _degrees_before(ground: GroundInTime, *, starts: list[float]) -> Floats:
    """Degree of consolidation by the start of every stage, shape (stages, scenarios, layers)."""
    return ground.drained_at(starts).transpose(1, 0, 2)


def least_of_sublayers(ratio: Value) -> Value:
    """The least number of all sublayers; none where none of them has one."""
    return ratio.smallest("sample", "stage", "scenario")

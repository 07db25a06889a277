"""The programme at a glance: what every stage brings, from the chapters before."""

import numpy as np

from calc.chapters.shared.frame import CENTRE, LONG, at_labels
from calc.chapters.shared.least import print_largest, print_least
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.monitoring import over_design_factor, pressure_counted_on_soil, strength_with_gain

say = words_of(__name__)

NOT_LOOKED_AT = say("not-considered")
STABILITY = "global_stability"


def programme(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """Load, pressure on the soil, strength and stability of every stage."""
    scope = sheet.scope("programme", say("scope-programme-title"))
    cell = done["unit_cell"].scopes["settlement"]["Dsigma_0"]
    at = {"position": CENTRE, "load": "G+Q", "stiffness": LONG}
    scope.take("Dsigma_0", cell.at(**{axis: label for axis, label in at.items() if axis in cell.axis_names}))
    scope.take("mu_s", done["stability"]["mu_s"])
    scope(pressure_counted_on_soil)
    _strength(scope, done["stability"])
    _stability(scope, done["stability"])
    _print_at(scope)


def _strength(scope: Scope, stability: Sheet) -> None:
    """Undrained strength with the gain that the stage counts on."""
    undrained = stability.scopes.get("undrained")
    if undrained is not None:
        for name in ("c_u", "Dc_u"):
            scope.take(name, undrained[name])
        scope(strength_with_gain, c_uob="c_ust")


def _stability(scope: Scope, stability: Sheet) -> None:
    """The least over-design factor over everything that the chapter on stability verifies in the stage."""
    labels = scope.sheet.axes["stage"]
    largest, rests = np.full(len(labels), -np.inf), set[str]()
    for verdict in stability.verdicts:
        if verdict.key.startswith(STABILITY) and verdict.utilisations is not None:
            rests |= {verdict.step, verdict.resistance_step}
            utilisations = verdict.utilisations.largest("stage")
            for k, label in enumerate(utilisations.labels("stage")):
                number = utilisations.number({"stage": label})
                place = labels.index(label)
                largest[place] = max(largest[place], -np.inf if number is None else utilisations.array[k])
    nothing = np.isinf(largest)
    if nothing.all():
        return
    scope.reading("u_st", largest, ["stage"], title=say("reading-u-st-title"), mask=nothing, reason=NOT_LOOKED_AT,
                  inputs=[step.value for step in stability.steps if step.key in rests],
                  note=say("reading-u-st-note"))  # fmt: skip
    scope(over_design_factor)


def _print_at(scope: Scope) -> None:
    """Print at the stage in which global stability is utilised most, in its weakest sublayer."""
    if "u_st" in scope:
        print_largest(scope, scope["u_st"], "stage")
    if "c_ust" in scope:
        print_least(scope, at_labels(scope["c_ust"], **scope.sheet.leads[scope.name]), "layer")

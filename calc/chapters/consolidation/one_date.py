"""One date of the course laid open, so that it can be done again by hand: one sublayer, its rates, shares and steps."""

from dataclasses import dataclass

import numpy as np

from calc.chapters.consolidation.course import rates_of
from calc.chapters.consolidation.drainage import slowest_sublayer
from calc.chapters.shared.frame import AS_GIVEN, CENTRE, END, Frame
from calc.chapters.shared.programme import PROGRAMME, last_fill, steps_of
from calc.engine.sheet import Scope, Sheet, Value, number_text
from calc.engine.words import words_of
from calc.formulas import staged
from calc.inputs import Section
from calc.procedures.ground_in_time import Floats, GroundInTime, StepsOfLayer

say = words_of(__name__)

SCOPE = "one_date"
Flow = tuple[Floats, Floats]
SETTLES = 1e-4  # m in the last step: of less nothing could be followed
SEEN = 2e-5  # terms of vertical flow that leave less than this are not printed; the shares have five decimals


@dataclass(frozen=True)
class OneDate:
    """What the tables show of the date: the steps, rates and shares of vertical flow, what is left of each step."""

    parts: StepsOfLayer
    vertical: Flow
    left: Floats
    names: tuple[str, ...]
    date: float


def one_date(sheet: Sheet, section: Section, shared: Frame, ground: GroundInTime, done: dict[str, Sheet]) -> None:
    """Rates, shares and settlement by step of the slowest sublayer that settles, when the last fill begins or ends."""
    steps = steps_of(section)
    programme, final = done["basis"].scopes[PROGRAMME], done["unit_cell"].scopes["settlement"]["s_i"]
    last = shared.stages[steps[last_fill(section)] + 1]
    only = section.stages[steps[last_fill(section)]].start <= ground.programme.begin[0]
    at = programme["t_es" if only else "t_bs"].at(stage=last)
    date = float(at.array)
    settling = [k for k in range(len(shared.layers)) if ground.steps_of_layer(k, date).added[-1] > SETTLES]
    label = slowest_sublayer(section, shared, settling)
    layer = shared.layers.index(label)
    parts = ground.steps_of_layer(layer, date)
    names = [shared.stages[steps[k] + 1] for k in range(parts.begin.size)]
    scope = sheet.scope(SCOPE, say("one-date-title", label=label, date=number_text(date, 2, exact=True)))
    vertical = _lasting_terms(parts, date)
    left = np.array([_share_left(parts, vertical, k, date) for k in range(parts.begin.size)])
    rests = rates_of(sheet, layer=label, scenario=AS_GIVEN)
    _slowest_pair(scope, parts, vertical, rests)
    scope.take("T_k", programme["t_ds"].at(stage=names[-1]))
    scope.take("t", at, note=say("take-t-note"))
    scope(staged.time_since_end_of_filling, t_L="t_ek", t_en=programme["t_es"].at(stage=names[-1]))
    scope(staged.placing_exponent)
    pair = scope(staged.pair_left)
    scope.reading("u_left", left[-1], inputs=[pair], title=say("reading-u-left-title"))
    scope(staged.degree_of_step)
    added = final.at(position=CENTRE, load="G+Q", stiffness=END, layer=label, stage=names[-1])
    scope.reading("Ds_k", parts.added[-1], title=say("reading-ds-k-title"),
                  inputs=[added], note=say("reading-ds-k-note"))  # fmt: skip
    scope(staged.settlement_of_step)
    scope.reading("s_dat", float(ground.settlement_at([date]).value()[0, 0, layer]), inputs=rests,
                  note=say("reading-s-dat-note"), title=say("reading-s-dat-title"))  # fmt: skip
    sheet.kept[SCOPE] = OneDate(parts, vertical, left, tuple(names), date)


def _radial(parts: StepsOfLayer, k: int) -> Flow:
    """Exponentials of horizontal flow of a step."""
    modes = parts.loose if parts.slack[k] else parts.taut
    assert modes is not None  # noqa: S101 - without columns without a sleeve no step is slack
    return modes


def _lasting_terms(parts: StepsOfLayer, date: float) -> Flow:
    """Terms of vertical flow that still leave something of the latest step."""
    rates, shares = parts.vertical
    takes = float(parts.end[-1] - parts.begin[-1])
    wanted = np.abs(shares) * np.exp(-rates * (date - parts.end[-1])) / np.maximum(1, rates * takes) > SEEN
    return rates[wanted], shares[wanted]


def _share_left(parts: StepsOfLayer, vertical: Flow, k: int, date: float) -> float:
    """Share of the pressure of a step that is left at the date: the sum over all pairs."""
    (w_i, g_i), (w_j, g_j) = _radial(parts, k), vertical
    pair = {"w_i": w_i[:, None], "w_j": w_j}
    exponent = staged.placing_exponent(**pair, T_k=parts.end[k] - parts.begin[k])
    return float(np.sum(staged.pair_left(g_i=g_i[:, None], g_j=g_j, x_pl=exponent, **pair, t_ek=date - parts.end[k])))


def _slowest_pair(scope: Scope, parts: StepsOfLayer, vertical: Flow, rests: list[Value]) -> None:
    """The slowest pair of exponentials of the last step."""
    (w_i, g_i), (w_j, g_j) = _radial(parts, -1), vertical
    for name, value, flow in (("w_i", w_i[0], "horizontal"), ("g_i", g_i[0], "horizontal"),
                              ("w_j", w_j[0], "vertical"), ("g_j", g_j[0], "vertical")):  # fmt: skip
        what = "Rate" if name.startswith("w") else "Share"
        scope.reading(name, value, title=say("reading-line-title", what=what, flow=flow), note=say("reading-line-note"),
                      inputs=rests)  # fmt: skip

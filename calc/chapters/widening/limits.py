"""Where the widening leaves what is calculated, here and in the chapters that know nothing of the old bank."""

from collections.abc import Sequence

from calc.chapters.widening.crest_shape import CROSS_FALL, DIFFERENCE, GRADE, PROFILE, RESIDUAL, SETTLEMENT
from calc.chapters.widening.settlement import CELL, INDICES, PLASTIC
from calc.engine.sheet import Sheet, Turning, Verdict, number_text
from calc.engine.words import words_of
from calc.inputs import Section
from calc.inputs.tables.embankment import SIDES
from calc.inputs.tables.widening import ALIKE, Widening

say = words_of(__name__)

RULE = "project rule"
LATER, WHOLE = ("settlement_residual", "settlement_rest"), ("settlement_with_time", "settlement_life")
BELOW = "below"  # scope of the chapter on bearing


def limits(sheet: Sheet, section: Section, widening: Widening, done: dict[str, Sheet]) -> None:
    """State what the profile leaves out, and what the results of other chapters stand for."""
    sheet.limitation("widening-stress", say("limitation-stress"), RULE)
    sheet.limitation("widening-cell", say("limitation-cell"), RULE)
    sheet.limitation("widening-other-chapters", say("limitation-other-chapters"), RULE)
    sheet.limitation("widening-works", say("limitation-works"), RULE)
    _limit_not_mobilised(sheet)
    _second_cell(sheet)
    kept = [side for side in SIDES if not widening.widens(section.embankment, side)]
    if kept:
        sheet.limitation("widening-side", say("limitation-side", side=kept[0], alike=100 * ALIKE), RULE)
    sheet.limitation("widening-time", say("limitation-time"), RULE, turns=_in_time(sheet))
    if INDICES not in sheet.scopes:
        turned = _verdicts_with_numbers(sheet, DIFFERENCE, CROSS_FALL, GRADE)
        sheet.limitation("widening-one-law", say("limitation-one-law"), RULE, turns=turned)
    if any(layer.C_alpha is not None for layer in section.layers):
        turned = _verdicts_with_numbers(sheet, DIFFERENCE, CROSS_FALL, GRADE)
        sheet.limitation("widening-secondary", say("limitation-secondary"), RULE, turns=turned)
    _below(sheet, done)


def _in_time(sheet: Sheet) -> Turning:
    """What the old part, which settles more slowly, would turn: nothing of what its bound passes by itself."""
    states = {verdict.key: verdict.state for verdict in sheet.verdicts if verdict.applies}
    asked = ((LATER, RESIDUAL), (WHOLE, SETTLEMENT))
    open_keys = [key for keys, (question, _) in asked if states.get(question, "pass") != "pass" for key in keys]
    return lambda verdict: verdict.key in open_keys or verdict.key.startswith("gradient_")


def _verdicts_with_numbers(sheet: Sheet, *named: tuple[str, str]) -> list[str]:
    """The keys of those verdicts of this chapter that have a number."""
    keys = {key for key, _ in named}
    return [verdict.key for verdict in sheet.verdicts if verdict.key in keys and verdict.utilisation is not None]


def _limit_not_mobilised(sheet: Sheet) -> None:
    """Where the cell gives no settlement because its sleeve is not mobilised, it has one of unknown size."""
    stress = sheet.scopes[CELL]["Dsigma_vs"].at(
        position=[label for label in sheet.axes["position"] if label in sheet.kept["columns"]]
    )
    count, total = int((~stress.valid).sum()), stress.array.size
    if count:
        sheet.limitation("widening-not-mobilised", say("limitation-not-mobilised", count=count, total=total), RULE)


def _second_cell(sheet: Sheet) -> None:
    """What the second method settles more on columns at most adds to one of two positions, as far as it comes later."""
    scope = sheet.scopes[PLASTIC]
    more, gaps = (scope["s_EP"].array - scope["s_Wc"].array)[scope["s_EP"].valid], scope["delta_s"]
    largest, gap = max(float(more.max()), 0.0), float(gaps.array[gaps.valid].max())
    later = float(sheet.scopes[PROFILE]["r_Wc"].array) * largest
    words = say("limitation-second-cell", more=number_text(1000 * largest, 0), later=number_text(1000 * later, 0),
                gap=number_text(100 * gap, 0), expected=number_text(100 * float(scope["d_exp"].array), 0))  # fmt: skip
    turns = _would(sheet, later, (DIFFERENCE,))
    sheet.limitation("widening-second-cell", words, "comparison of the two methods", turns=turns)


def _would(sheet: Sheet, more: float, single: Sequence[tuple[str, str]]) -> Turning:
    """What so much more settlement in m at one of two positions turns; ``single`` by itself, slopes by the base."""
    added, profile = {key: more for key, _ in single}, sheet.scopes[PROFILE]
    if "L_WB" in profile:
        base = float(profile["L_WB"].array)
        added |= {CROSS_FALL[0]: more / base, GRADE[0]: 2 * more / base}

    def would(verdict: Verdict) -> bool:
        return verdict.key in added and (verdict.effect or 0.0) + added[verdict.key] > verdict.limit * (
            verdict.resistance or 0.0
        )

    return would


def _below(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """The ground below the toes at most settles by all of its part at one of two positions."""
    scope = done["bearing"].scopes.get(BELOW)
    if scope is None:
        return
    deep = float(scope["s_b"].largest().array)
    text = say("limitation-below", deep=number_text(1000 * deep, 0))
    sheet.limitation("widening-below", text, RULE, turns=_would(sheet, deep, (SETTLEMENT, RESIDUAL, DIFFERENCE)))

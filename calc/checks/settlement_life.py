"""Settlement at the end of the design life and residual settlement with the ground below the toes, all parts known."""

from calc.checks.consolidation_model import SETTLES, opening, settled_load, steps_of
from calc.checks.consolidation_residual import OPEN_SECONDARY
from calc.checks.frame import AS_GIVEN, LONG, LOW, at_labels, frame, origin_of
from calc.formulas.below_toe import life_with_ground_below, residual_settlement_below, residual_with_ground_below
from calc.inputs import Design, Section
from calc.sheet import Origin, Scope, Sheet, Table, TableColumn, Value, number_text

LIFE = ("settlement_life", "Settlement at the end of the design life with that of the ground below the toes")
REST = ("settlement_rest", "Residual settlement with that of the ground below the toes")
DRAINS = "every layer below the toes drains while it is loaded: its settlement comes with its load, at once"
SLOW = "not every layer below the toes drains while it is loaded: all of their settlement counts as residual"
SOFT = "soft ground, the larger of the two methods of the unit cell; see consolidation"
SPREADS = "the larger of the two spreads of the load"
NOTHING = "nothing that consolidates is placed before hand-over"


def settlement_life(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """The larger of both methods for the soft ground and, below the toes, the larger of both spreads of the load."""
    rest = done["consolidation"].scopes.get("residual")
    below = sheet.scopes.get("below")
    if rest is None or below is None:
        why = (
            "The course of settlement is not known; see the chapter on consolidation."
            if rest is None
            else "No layer below the toes is given in [[section.layer_below]]."
        )
        for key, title in (LIFE, REST):
            sheet.not_verified(key, title, why)
        return
    deep = below["s_b"].largest()
    life = sheet.scope("life", "Settlement at the end of the design life, all parts")
    life.take("s_lifeL", rest["s_lifeL"], note=SOFT)
    life.take("s_b", deep, note=SPREADS)
    life(life_with_ground_below)
    limits = design.basis.limits
    _verdict(life, LIFE, life["s_lifeb"], ("s_lim", limits.settlement_total, "settlement_total"), design, section)
    left = sheet.scope("rest", "Residual settlement, all parts", course=AS_GIVEN)
    left.take("s_resL", rest["s_resL"], note=SOFT)
    left.take("s_b", deep, note=SPREADS)
    _residual(left, section, frame(design, section).stages, done)
    at = left["s_resb"].at(course=AS_GIVEN)
    _verdict(left, REST, at, ("s_rlim", limits.settlement_residual, "settlement_residual"), design, section)
    if sheet.verdicts[-1].state != "not verified":
        _low(sheet, left["s_resb"], limits.settlement_residual or 0.0)
    sheet.tables.append(_table(left, rest))


def _residual(scope: Scope, section: Section, stages: tuple[str, ...], done: dict[str, Sheet]) -> None:
    """What of the ground below the toes counts as residual: by rule, with the rule printed."""
    load = done["unit_cell"].scopes["settlement"]["Dsigma_0"]
    steps = [k for k in steps_of(section) if k not in opening(section)]
    last = stages[steps_of(section)[-1] + 1]
    scope.take("p_fin", at_labels(load, **SETTLES, stiffness=LONG, stage=last), note="unit cell, quasi-permanent load")
    drained = all(layer.drains for layer in section.layers_below)
    if drained and steps:
        handed = {**SETTLES, "load": settled_load(section)}
        value = at_labels(load, **handed, stiffness=LONG, stage=stages[steps[-1] + 1])
        scope.take("p_bh", value, note=f"{DRAINS}; the load that counts as settled at hand-over")
    else:
        scope.given("p_bh", 0.0, origin=Origin("project rule", text=NOTHING if drained else SLOW))
    scope(residual_settlement_below)
    scope(residual_with_ground_below)


def _verdict(
    scope: Scope, named: tuple[str, str], effect: Value, limit: tuple[str, float | None, str], design: Design,
    section: Section,
) -> None:  # fmt: skip
    """The effect against its limit, where there is one and every part is known."""
    symbol, allowed, field = limit
    missing = ", ".join(f"layer.{layer.key}.C_alpha" for layer in section.layers if layer.C_alpha is None)
    if allowed is None:
        why = f"No limit is asked for in basis.limits.{field}; the value is printed for judgement."
        scope.sheet.not_verified(*named, why, required=False)
    elif missing:
        scope.sheet.not_verified(*named, OPEN_SECONDARY.format(missing))
    else:
        resistance = scope.given(symbol, allowed, origin=origin_of(design, f"basis.limits.{field}"))
        scope.sheet.verdict(*named, effect=effect, resistance=resistance)


def _low(sheet: Sheet, left: Value, limit: float) -> None:
    """Say where the range of c_h alone takes the residual settlement over its limit."""
    worst = left.number({"course": LOW}) or 0.0
    if worst > limit:
        sheet.limitation(
            "residual-low-whole",
            f"With c_h at the lower end of its range the residual settlement with that of the ground below the toes is "
            f"{number_text(1000 * worst, 0)} mm and exceeds the limit of {number_text(1000 * limit, 0)} mm.",
            turns=[REST[0]],
        )


def _table(scope: Scope, rest: Scope) -> Table:
    """Both methods of the soft ground beside each other, with the ground below the toes."""
    below, later = (float(scope[name].array) for name in ("s_b", "s_bre"))
    rows = []
    for words, life, left in (
        ("standard", "s_life", "s_res"),
        ("elastic, plastic column", "s_lifeEP", "s_resEP"),
    ):
        soft, residual = (float(rest[name].at(course=AS_GIVEN).array) for name in (life, left))
        numbers = (soft, below, soft + below, residual, later, residual + later)
        rows.append([words, *(number_text(1000 * number, 1) for number in numbers)])
    heads = (
        "end of design life, soft ground",
        "below the toes",
        "sum",
        "residual, soft ground",
        "below the toes",
        "sum",
    )
    head = [TableColumn(words="method of the unit cell"), *(TableColumn(words=one, unit="mm") for one in heads)]
    note = (
        "c_h as given. The sum of the standard method at the end of the design life is the settlement that the chapter "
        "on monitoring expects then; the larger sum is compared with the limit."
    )
    return Table("life", "Settlement at the end of the design life and residual settlement by both methods", head, rows,
                 note)  # fmt: skip

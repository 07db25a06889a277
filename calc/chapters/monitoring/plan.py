"""The plan: instruments with what EN 1997-1 asks a plan to state, and what the design relies on with who watches it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from calc.chapters.shared.heads import HEADS, has_heads
from calc.engine.sheet import Sheet, number_text
from calc.engine.words import words_of
from calc.factors.monitored import QUANTITIES
from calc.inputs import Design, Section
from calc.inputs.tables.monitoring import MUST_STATE, Monitoring, Trigger

say = words_of(__name__)

EC7 = "EN 1997-1:2004, 2.8(4)P, 2.8(5) and 4.5"


def instruments(sheet: Sheet, monitoring: Monitoring) -> None:
    """What the plan leaves out."""
    title = say("instruments-title")
    if not monitoring.instruments:
        sheet.not_verified("monitoring_plan", title, say("no-instruments-why"))
        return
    open_fields = [
        f"{instrument.name}: {', '.join(missing)}"
        for instrument in monitoring.instruments
        if (missing := [name for name in MUST_STATE if getattr(instrument, name) is None])
    ]
    if open_fields:
        why = say("instruments-why", open_fields="; ".join(open_fields))
        sheet.not_verified("monitoring_plan", title, why)
    else:
        why = say("instruments-why-2")
        sheet.accepted("monitoring_plan", title, why)
    sheet.limitation("plan-standard", say("limitation-plan-standard"), f"{EC7} ◦")


def triggers_read(sheet: Sheet, monitoring: Monitoring) -> None:
    """Every trigger is read by an instrument."""
    title = say("triggers-read-title")
    if not monitoring.triggers:
        sheet.not_verified("triggers_read", title, say("open-triggers-read-why"))
        return
    measured = {instrument.quantity for instrument in monitoring.instruments}
    missing = [
        say("needs", k=k, quantity=trigger.quantity, lacking=AND.join(lacking))
        for k, trigger in enumerate(monitoring.triggers, start=1)
        if (lacking := [name for name in QUANTITIES[trigger.quantity].read_by if name not in measured])
    ]
    if missing:
        sheet.not_verified("triggers_read", title, say("triggers-read-why", missing="; ".join(missing)))
    else:
        sheet.settled("triggers_read", title, say("settled-triggers-read-why"))


COVERAGE = say("coverage-title")
AND = say("and")
WEDGE = say("columns-in-the-extruding-wedge")


@dataclass(frozen=True)
class Relied:
    """Something that the design relies on: its value in words, the stage, the quantity whose trigger watches it."""

    what: str
    value: str
    stage: str | None
    quantity: str


def head_relied_on(section: Section, ground: Sheet) -> Iterator[Relied]:
    """The largest head of the aquifer with the first stage that has it; columns and casings open into the aquifer."""
    if has_heads(ground):
        heads = ground.scopes[HEADS]["h_a"].array[1:]
        k = int(heads.argmax())
        level = f"{number_text(section.ground_level + float(heads[k]), 2)} m"
        yield Relied(say("relied-on-head"), level, section.stages[k].name, "aquifer head")


def relied_on(design: Design, section: Section, gains: Sequence[float], *, wedge: Sequence[str]) -> Iterator[Relied]:
    """What has to come about for the design to hold, stage by stage; ``gains`` in kPa, stage 0 first.

    ``wedge``: the stages in which lateral extrusion relies on the columns, and so on stops by pore pressure and lateral
    rate.
    """
    for name, quantity in product(wedge, ("pore pressure", "lateral rate")):
        yield Relied(WEDGE, say("filling-stops"), name, quantity)
    for stage, gain in zip(section.stages, gains[1:], strict=True):
        if gain > 0:
            value = f"{number_text(gain, 2)} kN/m²"
            yield Relied(say("relied-on"), value, stage.name, "undrained strength")
        if stage.degree_min:
            value = f"{number_text(100 * stage.degree_min, 0)} %"
            yield Relied(say("degree"), value, stage.name, "degree of consolidation")
        if stage.n_stability > 1:
            yield Relied(say("ratio"), number_text(stage.n_stability, 2), stage.name, "stress ratio")
    residual = design.basis.limits.settlement_residual
    if residual is not None:
        yield Relied(say("residual"), f"{number_text(1000 * residual, 0)} mm", None, "residual settlement")


def coverage(sheet: Sheet, relied: Sequence[Relied], monitoring: Monitoring) -> None:
    """Whether everything that the design relies on is measured and has a trigger."""
    if not relied:
        sheet.not_applicable("monitoring_coverage", COVERAGE, say("settled-monitoring-coverage-why"))
        return
    missing = []
    for assumption in relied:
        place = say("at-stage", stage=assumption.stage) if assumption.stage else ""
        if not instruments_of(assumption, monitoring):
            needed = AND.join(f'"{name}"' for name in QUANTITIES[assumption.quantity].read_by)
            missing.append(f"{assumption.what}{place}: {say('instrument-for', needed=needed)}")
        if not triggers_of(assumption, monitoring.triggers):
            missing.append(say("coverage-missing", what=assumption.what, place=place, quantity=assumption.quantity))
    if missing:
        sheet.not_verified("monitoring_coverage", COVERAGE, say("coverage-why", missing="; ".join(missing)))
    else:
        sheet.settled("monitoring_coverage", COVERAGE, say("settled-monitoring-coverage-why-2"))


def instruments_of(relied: Relied, monitoring: Monitoring) -> str:
    """Names of the instruments, empty where one of the quantities is not measured."""
    names = [
        [instrument.name for instrument in monitoring.instruments if instrument.quantity == quantity]
        for quantity in QUANTITIES[relied.quantity].read_by
    ]
    return ", ".join(name for group in names for name in group) if all(names) else ""


def triggers_of(relied: Relied, triggers: Sequence[Trigger]) -> str:
    """Numbers of the triggers that watch it in its stage."""
    return ", ".join(
        f"T{k}"
        for k, trigger in enumerate(triggers, start=1)
        if trigger.quantity == relied.quantity and trigger.stage in {None, relied.stage}
    )

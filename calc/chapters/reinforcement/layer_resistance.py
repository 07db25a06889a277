"""One layer in one direction: its share of the tension against its design resistance, the strength required."""

from dataclasses import dataclass

from calc.chapters.shared.frame import SHORT, given_of_section
from calc.chapters.shared.layer_strength import layer_strength
from calc.chapters.shared.mats import layers_in
from calc.engine.sheet import Scope, Sheet, Value, Verdict, stage_names
from calc.engine.words import words_of
from calc.formulas.mat import layer_tension
from calc.formulas.reinforcement import tension_ratio
from calc.formulas.sleeve import required_strength, required_strength_by_reduction
from calc.inputs import Section
from calc.inputs.tables.sleeve import ReinforcementLayer

say = words_of(__name__)

FULL_LAYER = "_full_layer"
NOT_TAKEN = ("R_1", "R_2", "R_rl")  # of the strength of a layer; nothing of a member is computed from them
TENSION = {"across": "T_across", "along": "T_along"}


@dataclass(frozen=True, slots=True)
class Member:
    """A layer in a direction that it carries in: words, ending of its keys, place in the project file, the layer."""

    words: str
    ending: str
    place: int
    layer: ReinforcementLayer

    @property
    def scope(self) -> str:
        """Key of the scope of its strength."""
        return f"{self.words}{self.ending}_strength"

    @property
    def path(self) -> str:
        """Path of the layer in the project file."""
        return f"reinforcement.{self.place}"

    @property
    def resistance(self) -> str:
        """Symbol of its design resistance."""
        return "R_rd" if self.layer.factors is not None else "T_rDd"


def members(section: Section, words: str) -> list[Member]:
    """The layers that carry in a direction; their keys end with a number where there are several."""
    layers = layers_in(section, words)
    endings = [""] if len(layers) == 1 else [f"_{place}" for place in range(1, len(layers) + 1)]
    return [Member(words, ending, k, layer) for ending, (k, layer) in zip(endings, layers, strict=True)]


@dataclass(frozen=True, slots=True)
class Demand:
    """Tension of a direction as the design uses it and at full arching, and the stiffness of all its layers."""

    used: Value
    at_full: Scope
    stiffness: Value


def strength(sheet: Sheet, section: Section, done: dict[str, Sheet], member: Member, demand: Demand) -> None:
    """Tension of the layer against its design resistance, in one or both formats."""
    scope = sheet.scope(member.scope, say("scope-title", name=member.layer.name, member_words=member.words))
    name = TENSION[member.words]
    scope.take(name, demand.used)
    given_of_section(scope, "J_rk", section, f"{member.path}.stiffness.0.J", member.layer.stiffness[0].J)
    scope.take("J_r", demand.stiffness.at(stiffness=SHORT), note=say("take-j-r-note"))
    scope(layer_tension, T_across=name)
    for symbol, value in layer_strength(sheet, section, done, member.place).values.items():
        if symbol not in NOT_TAKEN:
            scope.take(symbol, value)
    if member.layer.factors is not None:
        _by_factors(sheet, scope, member)
    if member.layer.iso20432 is not None:
        _by_iso(sheet, scope, member)
    _at_full_arching(sheet, scope, member, demand.at_full)


def _at_full_arching(sheet: Sheet, scope: Scope, member: Member, at_full: Scope) -> None:
    """Say where the layer would not carry the upper limit of the load transfer."""
    share = {name: scope[name] for name in ("J_rk", "J_r")}
    part = sheet.scope(f"{member.words}{member.ending}{FULL_LAYER}", say("scope-title-2", name=member.layer.name))
    full = part(layer_tension, T_rd="T_rF", T_across=at_full[TENSION[member.words]], **share)
    over = full.valid & (full.array > scope[member.resistance].array)
    if over.any():
        stages = stage_names(label for k, label in enumerate(full.labels("stage")) if over[:, k].any())
        sheet.limitation(
            f"full-arching-{member.words}{member.ending}",
            say("limitation-full-arching", name=member.layer.name, member_words=member.words, stages=stages),
            "project rule ◇",
            turns=[f"tension_{member.words}{member.ending}{'' if member.layer.factors is not None else '_iso'}"],
        )


def _by_factors(sheet: Sheet, scope: Scope, member: Member) -> None:
    scope(required_strength, R_req="R_rreq", F_Rd="T_rd")
    scope(tension_ratio)
    title = say("by-factors-title", member_words=member.words, name=member.layer.name)
    verdict = sheet.verdict(
        f"tension_{member.words}{member.ending}", title, effect=scope["T_rd"], resistance=scope["R_rd"]
    )
    _print_at(sheet, scope, verdict)


def _by_iso(sheet: Sheet, scope: Scope, member: Member) -> None:
    scope(required_strength_by_reduction, R_req="R_rreqRF", F_Rd="T_rd")
    title = say("by-iso-title", member_words=member.words, name=member.layer.name)
    key = f"tension_{member.words}{member.ending}_iso"
    verdict = sheet.verdict(key, title, effect=scope["T_rd"], resistance=scope["T_rDd"])
    if member.layer.factors is None:
        _print_at(sheet, scope, verdict)
    sheet.limitation(
        f"iso-joint-{member.words}{member.ending}",
        say("limitation-iso-joint", name=member.layer.name),
        "ISO/TS 20432:2022 ◦",
    )


def _print_at(sheet: Sheet, scope: Scope, verdict: Verdict) -> None:
    """The chain of the layer prints at its own governing case, also where a lap or the first lift is utilised more."""
    sheet.leads[scope.name] = dict(verdict.case)

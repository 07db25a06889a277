"""Horizontal reinforcement: tension across and along, strength, laps, anchorage, strain, first lift.

Where the chapter on stability hands over ``T_stab`` over (factor set, stage), the tension across follows it as well.
"""

from calc.chapters.reinforcement.anchorage import anchorage, lap
from calc.chapters.reinforcement.layer_resistance import TENSION, Demand, members, strength
from calc.chapters.reinforcement.lift import first_lift, lift_of_direction
from calc.chapters.reinforcement.sliding import sliding_below
from calc.chapters.reinforcement.strain import strain
from calc.chapters.shared.column_zones import largest_of_grids, zone_sheets
from calc.chapters.shared.earthquake import take_coefficients
from calc.chapters.shared.frame import SERVICE, SHORT, chapter
from calc.chapters.shared.geometry import record_edges
from calc.chapters.shared.mats import DIRECTIONS, layers_in
from calc.chapters.shared.zones import heaviest, take_zones, zones_of
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas.column_field import design_friction_angle
from calc.formulas.mat import design_membrane_tension, favourable_unit_weight
from calc.formulas.reinforcement import tension_across
from calc.formulas.thrust import lighter_unit_weight
from calc.inputs import Design, Section

say = words_of(__name__)


def reinforcement(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Every layer in every direction it carries in, for every stage and factor set."""
    sheet = chapter("reinforcement", design, section)
    if not section.reinforcement:
        for words, _ in DIRECTIONS:
            why = say("reinforcement-why")
            sheet.not_verified(f"tension_{words}", say("open-tension-title", words=words), why)
        return sheet
    for name in ("gamma_G", "gamma_Q"):
        sheet.take(name, done["basis"][name])
    for name in ("gamma_E", "gamma_El", "gamma_phi", "phi_Ek", "gamma_Gf", "z_P", "H"):
        if name == "gamma_E" and section.embankment.zones:
            heaviest(sheet, done)
        else:
            sheet.take(name, done["thrust"][name])
    record_edges(sheet, section, done)
    sheet(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    zones = zones_of(done)
    if zones is None:
        sheet(favourable_unit_weight, gamma_E="gamma_El")
    else:
        sheet.take("gamma_En", zones["gamma_En"])
        sheet(lighter_unit_weight, gamma_El="gamma_Ea", gamma_E="gamma_El", gamma_P="gamma_En")
        take_zones(sheet, done, resisting=True)
    if section.earthquake is not None:
        take_coefficients(sheet, done, "f_vu")
    _stability(sheet, done)
    first_lift(sheet, design, section, done)
    for words, tag in DIRECTIONS:
        if layers_in(section, words):
            _direction(sheet, design, section, done, words, tag)
        else:
            why = say("reinforcement-why-2", words=words)
            sheet.not_verified(f"tension_{words}", say("open-tension-title", words=words), why)
    _limits(sheet, section)
    return sheet


def _stability(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """What stability asks for, or words that it is not known."""
    if "T_stab" in done["stability"]:
        sheet.take("T_stab", done["stability"]["T_stab"])
        return
    sheet.given("T_stab", 0.0, origin=Origin("project rule", text=say("rule")))
    sheet.not_verified("stability_tension", say("open-stability-tension-title"), say("stability-why"))


def _direction(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet], words: str, tag: str) -> None:
    zones = [zone.done["load_transfer"] for zone in zone_sheets(section, done)]
    demand = _demand(sheet, done, zones, words, f"T_m{tag}D", words, say("design-tension"))
    at_full = _demand(sheet, done, zones, words, f"T_m{tag}F", f"{words}_full", say("direction-at-full"))
    stiffness = done["load_transfer"][f"J_{tag}"]
    both = Demand(demand[TENSION[words]], at_full, stiffness)
    layers = members(section, words)
    for member in layers:
        strength(sheet, section, done, member, both)
        lap(sheet, section, member)
        if words == "across":
            sliding_below(sheet, section, done, member)
            anchorage(sheet, section, member)
    strain(sheet, design, section, done, words, tag)
    lift_of_direction(sheet, section, layers, stiffness)


def _demand(
    sheet: Sheet, done: dict[str, Sheet], zones: list[Sheet], words: str, membrane: str, name: str, title: str
) -> Scope:  # fmt: skip
    """Spreading and vertical load together across, vertical load alone along; stability asks for its own tension."""
    scope = sheet.scope(name, say("demand-title", title=title, words=words))
    tension_here, *others = [
        transfer[membrane].at(factor_set=sheet.axes["factor_set"], stiffness=SHORT)
        for transfer in (done["load_transfer"], *zones)
    ]
    for symbol, load in (("T_G", "G"), ("T_GQ", "G+Q")):
        largest_of_grids(
            scope, symbol, tension_here.at(load=load), [other.at(load=load) for other in others], say("demand-note")
        )
    scope(design_membrane_tension)
    if words == "across":
        scope.take("T_ds", done["thrust"]["T_spr"])
        scope(tension_across, T_m="T_md")
    else:
        note = say("demand-note-2")
        scope.take("T_along", scope["T_md"], note=note)
    return scope


def _limits(sheet: Sheet, section: Section) -> None:
    if section.embankment.berms:
        sheet.limitation("reinforcement-berm", say("limitation-reinforcement-berm"), "project rule ◇")
    sheet.limitation("reinforcement-ends", say("limitation-reinforcement-ends"), "project rule ◇")
    sheet.limitation(
        "reinforcement-service", say("limitation-reinforcement-service", service=SERVICE), "project rule ◇"
    )

"""Horizontal reinforcement: tension across and along, strength, laps, anchorage, strain, first lift.

Where the chapter on stability hands over ``T_stab`` over (variant, stage), the tension across follows it as well.
"""

from calc.checks.anchorage import anchorage, lap
from calc.checks.beside import set_aside
from calc.checks.frame import SHORT, chapter
from calc.checks.load_transfer_cell import SERVICE
from calc.checks.membrane import DIRECTIONS, layers_in
from calc.checks.reinforcement_lift import first_lift, lift_of_direction
from calc.checks.reinforcement_sliding import sliding_below
from calc.checks.reinforcement_strain import strain
from calc.checks.reinforcement_strength import FULL_LAYER, TENSION, Demand, Member, strength
from calc.checks.sketch_anchorage import anchorage_sketch
from calc.checks.tables import envelopes_table
from calc.formulas.column_field import design_friction_angle
from calc.formulas.mat import design_membrane_tension, favourable_unit_weight
from calc.formulas.reinforcement import tension_across
from calc.inputs import Design, Section
from calc.sheet import Origin, Scope, Sheet


def reinforcement(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Every layer in every direction it carries in, for every stage and factor set."""
    sheet = chapter("reinforcement", design, section)
    if not section.reinforcement:
        for words, _ in DIRECTIONS:
            why = "No layer of reinforcement is given in [[reinforcement]]."
            sheet.not_verified(f"tension_{words}", f"Tension of the reinforcement {words} the embankment", why)
        return sheet
    for name in ("gamma_G", "gamma_Q"):
        sheet.take(name, done["basis"][name])
    for name in ("gamma_E", "gamma_El", "gamma_phi", "phi_Ek", "gamma_Gf", "z_P", "H"):
        sheet.take(name, done["thrust"][name])
    sheet(design_friction_angle, phi_d="phi_E", phi="phi_Ek")
    sheet(favourable_unit_weight, gamma_E="gamma_El")
    _stability(sheet, done)
    first_lift(sheet, design, section, done)
    for words, tag in DIRECTIONS:
        if layers_in(section, words):
            _direction(sheet, design, section, done, words, tag)
        else:
            why = f"No layer in [[reinforcement]] has the direction {words} or both."
            sheet.not_verified(f"tension_{words}", f"Tension of the reinforcement {words} the embankment", why)
    _ends(sheet)
    sheet.figures.append(anchorage_sketch(section))
    return sheet


def _stability(sheet: Sheet, done: dict[str, Sheet]) -> None:
    """What stability asks for, or words that it is not known."""
    if "T_stab" in done["stability"]:
        sheet.take("T_stab", done["stability"]["T_stab"])
        return
    rule = Origin("project rule", text="not known: the chapter on global stability hands over no tension")
    sheet.given("T_stab", 0.0, origin=rule)
    why = (
        "The chapter on global stability hands over no tension for the reinforcement; the tension is that of spreading "
        "and vertical load alone."
    )
    sheet.not_verified("stability_tension", "Tension of the reinforcement that global stability asks for", why)


def _direction(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet], words: str, tag: str) -> None:
    demand = _demand(sheet, done, words, f"T_m{tag}D", words, "Design tension")
    at_full = _demand(sheet, done, words, f"T_m{tag}F", f"{words}_full", "At full arching, free: tension")
    members = []
    layers = layers_in(section, words)
    stiffness = done["load_transfer"][f"J_{tag}"]
    both = Demand(demand[TENSION[words]], at_full, stiffness)
    for place, (k, layer) in enumerate(layers, start=1):
        ending = "" if len(layers) == 1 else f"_{place}"
        member = Member(words, ending, k, layer)
        members.append(member)
        strength(sheet, design, section, member, both)
        lap(sheet, section, member)
        if words == "across":
            sliding_below(sheet, section, done, member)
            anchorage(sheet, section, member)
    strain(sheet, design, section, done, words, tag)
    lift_of_direction(sheet, section, members, stiffness)
    _limits_table(sheet, words, demand, at_full)
    _set_aside(sheet, at_full, members)


def _demand(sheet: Sheet, done: dict[str, Sheet], words: str, membrane: str, name: str, title: str) -> Scope:
    """Spreading and vertical load together across, vertical load alone along; stability asks for its own tension."""
    scope = sheet.scope(name, f"{title} {words} the embankment")
    tension = done["load_transfer"][membrane].at(variant=sheet.axes["variant"], stiffness=SHORT)
    note = "by the short-term stiffness, which gives more than the long-term one"
    scope.take("T_G", tension.at(load="G"), note=note)
    scope.take("T_GQ", tension.at(load="G+Q"), note=note)
    scope(design_membrane_tension)
    if words == "across":
        scope.take("T_ds", done["thrust"]["T_spr"])
        scope(tension_across, T_m="T_md")
    else:
        note = "stability across asks nothing of a layer along; end slopes are not part of this calculation"
        scope.take("T_along", scope["T_md"], note=note)
    return scope


def _limits_table(sheet: Sheet, words: str, demand: Scope, at_full: Scope) -> None:
    """The envelope: equal settlement, where only spreading pulls, and full arching without support of the ground."""
    name = TENSION[words]
    parts = [("as used", demand[name]), ("full arching, free", at_full[name])]
    if words == "across":
        parts.insert(1, ("spreading alone", demand["T_ds"]))
    filled = [(limit, value.at(stage=sheet.axes["stage"][1:])) for limit, value in parts]
    title = f"Design tension {words}, between equal settlement and full arching without support of the ground"
    note = "Largest over loads. At full arching by the same equations as for the tension used."
    sheet.tables.append(envelopes_table(f"tension-{words}", title, filled, "stage", "variant", note=note))


def _set_aside(sheet: Sheet, at_full: Scope, members: list[Member]) -> None:
    """The tension at full arching stands in the table: its equations are those printed for the tension used."""
    names = [at_full.name, *(f"{member.words}{member.ending}{FULL_LAYER}" for member in members)]
    sheet.at_cases.append(lambda _: set_aside(sheet, names))


def _ends(sheet: Sheet) -> None:
    sheet.limitation(
        "reinforcement-ends",
        "Along the embankment the layers carry membrane tension alone: circles across ask nothing of them. End slopes "
        "(thrust, stability, anchorage) are not part of this calculation; see the matters outside it.",
        "project rule ▵",
    )
    sheet.limitation(
        "reinforcement-service",
        f"Strains are those of the case {SERVICE}: spreading and vertical load with all factors 1; the soft ground is "
        "not asked to carry thrust there.",
        "project rule ▵",
    )

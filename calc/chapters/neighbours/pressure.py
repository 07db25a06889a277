"""Lateral pressure of the soft ground on piles: the screen by q/c_u, and what the methods say side by side."""

import numpy as np

from calc.chapters.neighbours.judge import accepted_analyses, by_analysis, missing_records, names_of
from calc.chapters.shared.frame import CENTRE, LONG, at_labels, given_of_section, origin_of
from calc.chapters.shared.missing import not_given
from calc.engine.sheet import Origin, Scope, Sheet, Value, number_text
from calc.engine.sheet.values import Array, Mask
from calc.engine.words import words_of
from calc.formulas import pile_pressure as pp
from calc.inputs import Section
from calc.inputs.tables.neighbours import Neighbour, Neighbours, PileMethods

say = words_of(__name__)

TITLE, MOMENT = say("title"), say("moment")
NOTED, SCREENED = 3.0, 5.14  # q/c_u: up to the first it is noted, above the second, 2 + π, the ground itself fails
OF_LIMITS = (
    ("r_q3", NOTED, "Stewart, Jewell & Randolph (1994), Géotechnique 44(2), 277–296 ◦"),
    ("r_qf", SCREENED, "Prandtl (1920), Nachr. Ges. Wiss. Göttingen, Math.-phys. Kl., 74–85 ◦"),
)
OF_PILES = (("c_uN", "c_u"), ("d_N", "diameter"), ("a_N", "spacing"), ("h_N", "length"))
OF_METHODS = (("alpha_N", "adhesion"), ("K_fl", "flow_factor"), ("f_bN", "width_factor"))
OF_SURCHARGE = (("alpha_DB", "slope"), ("phi_DB", "phi"))
METHODS = (
    pp.adhesion_angle, pp.flow_factor, pp.plastic_flow_pressure, pp.flow_pressure, pp.loading_width,
    pp.resultant_earth_pressure, pp.earth_pressure_on_pile, pp.smaller_of_earth_pressure_and_flow,
)  # fmt: skip
SCOPE = "pressure"


def pressure(sheet: Sheet, section: Section, neighbours: Neighbours, done: dict[str, Sheet]) -> None:
    """The screen first, then pressures and moments where the values of the methods are given."""
    places = [k for k, neighbour in enumerate(neighbours.neighbours) if neighbour.piles is not None]
    unknown = np.array(
        [neighbour.kind == "abutment" and neighbour.piles is None for neighbour in neighbours.neighbours]
    )
    if not places:
        _without_piles(sheet, neighbours.neighbours, unknown)
        sheet.not_applicable("neighbour_moment", MOMENT, say("no-piles"))
        return
    piled = tuple(neighbours.neighbours[k] for k in places)
    sheet.axis("piles", [neighbour.name for neighbour in piled])
    scope = sheet.scope(SCOPE, say("scope-title"))
    _load(scope, section, done)
    for name, field in OF_PILES:
        scope.given(
            name, [getattr(neighbour.piles, field) for neighbour in piled], ["piles"], origin_axis="piles",
            origin=[origin_of(section, f"neighbours.neighbour.{k}.piles.{field}") for k in places],
        )  # fmt: skip
    level = scope(pp.load_level)
    for name, limit, source in OF_LIMITS:
        scope.given(name, limit, origin=Origin("project rule", text=source))
    _screen(sheet, piled, level, names_of(neighbours.neighbours, unknown & ~accepted_analyses(neighbours.neighbours)))
    if neighbours.pile_methods is not None:
        _methods(scope, section, neighbours.pile_methods, level)
    _moment(scope, section, piled, places)
    sheet.limitation("neighbour-methods", say("limitation"), "project rule")


def _without_piles(sheet: Sheet, structures: tuple[Neighbour, ...], unknown: Mask) -> None:
    analyses = accepted_analyses(structures)
    if not unknown.any():
        sheet.not_applicable("neighbour_pressure", TITLE, say("no-piles"))
    elif (unknown & ~analyses).any():
        why = (
            say("undescribed", names=names_of(structures, unknown & ~analyses)),
            *missing_records(structures, unknown),
        )
        sheet.not_verified("neighbour_pressure", TITLE, " ".join(why))
    else:
        sheet.accepted("neighbour_pressure", TITLE, by_analysis(structures, unknown))


def _load(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """The largest pressure of all stages with platform and traffic, none of it taken by columns."""
    cell = done["unit_cell"]
    load = at_labels(cell.scopes["settlement"]["Dsigma_0"], position=CENTRE, load="G", stiffness=LONG)
    heaviest = load.labels("stage")[int(np.argmax(load.array))]
    scope.take("Dsigma_0", load.at(stage=heaviest))
    scope.take("q", cell["q"].largest())
    if section.platform is not None and section.platform.role == "initial":
        scope.take("gamma_P", cell["gamma_P"])
        scope.take("t_P", cell["t_P"])
        scope(pp.pressure_with_initial_platform)
    else:
        scope(pp.pressure_beside_neighbour)


def _screen(sheet: Sheet, piled: tuple[Neighbour, ...], level: Value, undescribed: str) -> None:
    key, analyses = "neighbour_pressure", accepted_analyses(piled)
    largest = number_text(float(level.array.max()), 2)
    beyond, between = level.array > SCREENED, (level.array > NOTED) & (level.array <= SCREENED)
    left = []
    if (beyond & ~analyses).any():
        left.append(say("beyond", limit=number_text(SCREENED, 2), names=names_of(piled, beyond & ~analyses)))
    if (between & ~analyses).any():
        left.append(say("between", limit=number_text(NOTED, 0), names=names_of(piled, between & ~analyses)))
    if undescribed:
        left.append(say("undescribed", names=undescribed))
    if left:
        left += missing_records(piled, beyond | between)
        sheet.not_verified(key, TITLE, " ".join((say("largest", largest=largest), *left)))
    elif (beyond | between).any():
        words = (say("largest", largest=largest), by_analysis(piled, beyond | between))
        sheet.accepted(key, TITLE, " ".join(words))
    else:
        sheet.not_verified(
            key, TITLE, say("noted", limit=number_text(NOTED, 0), largest=largest), required=False, informs=True
        )


def _methods(scope: Scope, section: Section, methods: PileMethods, level: Value) -> None:
    """Pressures side by side; the largest of those that apply goes on to the moments.

    A method that does not hold leaves no smaller pressure behind: the bound by flow stands in its place.
    """
    for name, field in OF_METHODS:
        given_of_section(scope, name, section, f"neighbours.pile_methods.{field}", getattr(methods, field))
    for step in METHODS:
        scope(step)
    beyond, ended = level.array > SCREENED, say("ended", limit=number_text(SCREENED, 2))
    share = methods.surcharge
    if share is not None and share.safety >= share.safety_min:
        for name, field in OF_SURCHARGE:
            given_of_section(scope, name, section, f"neighbours.pile_methods.surcharge.{field}", getattr(share, field))
        scope(pp.share_of_surcharge)
        scope(pp.surcharge_on_pile)
        scope(pp.largest_pile_pressure, p_EA=scope["p_EA"].without(beyond, ended))
    else:
        scope(pp.bounding_pile_pressure, p_RH=scope["p_RH"].without(beyond, ended))
    scope(pp.moment_propped)
    scope(pp.moment_with_free_head)


def _moment(scope: Scope, section: Section, piled: tuple[Neighbour, ...], places: list[int]) -> None:
    """The moment against what the owner allows: fails above it, unless only a bound exceeds it or nothing loads."""
    key, sheet, analyses = "neighbour_moment", scope.sheet, accepted_analyses(piled)
    limits = np.array([(neighbour.piles.moment_max if neighbour.piles else None) or np.nan for neighbour in piled])
    bare = np.isnan(limits)
    if bare.all():
        sheet.not_verified(key, MOMENT, say("no-moment"), required=False)
        return
    if "p_N" not in scope:
        if (~bare & ~analyses).any():
            missing = (not_given(say("missing-methods")), *missing_records(piled, ~bare))
            sheet.not_verified(key, MOMENT, " ".join(missing))
        else:
            sheet.accepted(key, MOMENT, by_analysis(piled, ~bare))
        return
    allowed = _limits_and_moments(scope, section, piled, places, limits)
    effect = scope["M_N"]
    moment, bounded = effect.array, "p_DB" not in scope
    over = ~bare & (moment > limits)
    ended, unloaded = ~bare & np.isnan(moment), ~bare & (moment == 0)
    left = ended | unloaded | (over & bounded)
    compared = ~bare & ~left & ~(over & analyses)
    if (over & compared).any():
        sheet.verdict(key, MOMENT, effect=effect.without(~compared, say("not-compared")), resistance=allowed,
                      note=say("moment-note"))  # fmt: skip
    elif (left & ~analyses).any():
        why = []
        if (ended & ~analyses).any():
            why.append(say("moment-beyond", limit=number_text(SCREENED, 2), names=names_of(piled, ended & ~analyses)))
        if (unloaded & ~analyses).any():
            why.append(say("moment-none", names=names_of(piled, unloaded & ~analyses)))
        if (over & ~analyses).any():
            why.append(say("moment-bound", names=names_of(piled, over & ~analyses)))
        sheet.not_verified(key, MOMENT, " ".join((*why, *missing_records(piled, left))))
    elif compared.any():
        note = " ".join((say("moment-note"), by_analysis(piled, (left | over) & analyses))).strip()
        sheet.verdict(key, MOMENT, effect=effect.without(~compared, say("not-compared")), resistance=allowed, note=note)
    else:
        sheet.accepted(key, MOMENT, by_analysis(piled, left | over))


def _limits_and_moments(
    scope: Scope, section: Section, piled: tuple[Neighbour, ...], places: list[int], limits: Array
) -> Value:  # fmt: skip
    """The limits of the owners, and the moments of their piles with the heads as given."""
    bare = np.isnan(limits)

    def origins(field: str) -> list[Origin]:
        return [origin_of(section, f"neighbours.neighbour.{k}.piles.{field}")
                for k, none in zip(places, bare, strict=True) if not none]  # fmt: skip

    held = np.array([neighbour.piles is not None and neighbour.piles.head == "held" for neighbour in piled])
    scope.reading(
        "i_hN", np.where(held, 1.0, 0.0), ["piles"], title=say("head"), mask=bare, reason=say("no-limit"),
        origins=origins("head"),
    )  # fmt: skip
    scope(pp.pile_moment)
    return scope.reading(
        "M_Nm", np.where(bare, 0.0, limits), ["piles"], title=say("allowed"), mask=bare, reason=say("no-limit"),
        origins=origins("moment_max"),
    )  # fmt: skip

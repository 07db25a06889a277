"""Design basis: situations of the stages, partial factors and how they enter, limits asked for."""

from calc.chapters.shared.earthquake import record_earthquake
from calc.chapters.shared.frame import Frame, chapter, frame, give_factor
from calc.chapters.shared.programme import record_programme
from calc.chapters.shared.rests import state_rests
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.factors import FactorSet
from calc.inputs import OUTSIDE, Design, Section

say = words_of(__name__)

# How the two kinds of factor sets enter the unit cell (project rule, stated on the page).
EFFECT = "effect"
OTHER_ORGANISATION = 3  # check category
DESIGN_APPROACH_1 = ("EN 1997-1 DA1-1", "EN 1997-1 DA1-2")


def basis(design: Design, section: Section, _done: dict[str, Sheet]) -> Sheet:
    """Design situations, partial factors and their source, limits asked for, matters outside."""
    sheet = chapter("basis", design, section)
    shared, sets = frame(design, section), design.factor_sets(section)
    _factors(sheet, shared, sets)
    record_programme(sheet, section)
    record_earthquake(sheet, section)
    _factors_from_memory(sheet, sets, shared)
    _both_combinations(sheet, sets)
    _supervision(sheet, design)
    _outside(sheet, design)
    state_rests(sheet, design, section, shared)
    return sheet


def _factors(sheet: Sheet, shared: Frame, sets: tuple[FactorSet, ...]) -> None:
    """Give each factor over factor sets and stages; the kind of the set decides where it enters."""
    effect = [factor_set.kind == EFFECT for factor_set in sets]
    give_factor(sheet, shared, sets, "gamma_G", "gamma_G", enters=effect)
    give_factor(sheet, shared, sets, "gamma_Q", "gamma_Q", enters=effect)
    at_source = [not on_effect for on_effect in effect]
    give_factor(sheet, shared, sets, "f_G", "gamma_G", enters=at_source)
    give_factor(sheet, shared, sets, "gamma_QS", "gamma_Q", enters=at_source)
    give_factor(sheet, shared, sets, "gamma_phi", "gamma_phi", enters=[True] * len(sets))


def _factors_from_memory(sheet: Sheet, sets: tuple[FactorSet, ...], shared: Frame) -> None:
    """State which factor sets hold values that were not compared with their source."""
    for factor_set in sets:
        from_memory = {
            name
            for situation in shared.situations
            for name in ("gamma_G", "gamma_Q", "gamma_phi")
            if factor_set.evidence_for(situation, name) == "not inspected"
        }
        if from_memory:
            sheet.limitation(
                f"factors-{factor_set.key}", say("limitation-factors", one_key=factor_set.key), factor_set.source
            )


def _both_combinations(sheet: Sheet, sets: tuple[FactorSet, ...]) -> None:
    """Design approach 1 is verified by two combinations; one alone leaves half of it open."""
    keys = [factor_set.key for factor_set in sets]
    combinations = [key for key in DESIGN_APPROACH_1 if key in keys]
    if len(combinations) == 1:
        [missing] = set(DESIGN_APPROACH_1) - set(combinations)
        sheet.limitation(
            "design-approach-1",
            say("limitation-design-approach-1", given=combinations[0], missing=missing),
            "EN 1997-1:2004, 2.4.7.3.4.2 ◦",
            turns=lambda verdict: bool(verdict.factor_set),
        )


def _supervision(sheet: Sheet, design: Design) -> None:
    """The highest consequence class is to be checked by another organisation."""
    basis = design.basis
    if basis.consequence_class == "CC3" and basis.check_category != OTHER_ORGANISATION:
        category = "none" if basis.check_category is None else basis.check_category
        sheet.limitation(
            "supervision", say("limitation-supervision", given=category), "EN 1990:2002, Annex B, Table B.4 ◦"
        )


def _outside(sheet: Sheet, design: Design) -> None:
    """The matters outside this calculation must each have an answer."""
    open_matters = [words for key, words in OUTSIDE.items() if key not in design.answered]
    if open_matters:
        why = say("outside-why") + " ".join(open_matters)
        sheet.not_verified("outside", say("outside-title"), why)
    else:
        sheet.accepted("outside", say("outside-title"), say("settled-outside-why"))

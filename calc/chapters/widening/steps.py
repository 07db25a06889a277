"""Widening of an existing bank: stress, settlement with and without columns, slope of the crest, joint of the mats."""

from calc.chapters.shared.frame import chapter
from calc.chapters.widening.crest_shape import across
from calc.chapters.widening.joint import joint
from calc.chapters.widening.limits import limits
from calc.chapters.widening.settlement import settlements
from calc.chapters.widening.stress import stresses
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.widening import Widening

say = words_of(__name__)


def widening(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """The old bank as it has loaded the ground, the widened one, and the settlement from now on across the section."""
    sheet = chapter("widening", design, section)
    given = section.widening
    if given is None:
        sheet.not_applicable("widening", say("none-title"), say("none-why"))
        return sheet
    positions = stresses(sheet, design, section, given, done)
    laws = settlements(sheet, design, section, positions, done)
    across(sheet, design, section, given, positions, laws, done)
    joint(sheet, section, given, done)
    _stability(sheet, given.stability)
    _bare_sides(sheet, section, given)
    limits(sheet, section, given, done)
    return sheet


def _stability(sheet: Sheet, document: str | None) -> None:
    """Whole bank, benches and traffic meanwhile are proved elsewhere, or open."""
    key, title = "widening_stability", say("stability-title")
    if document is None:
        sheet.not_verified(key, title, say("stability-open"))
    else:
        sheet.accepted(key, title, say("stability-given", document=document))


def _bare_sides(sheet: Sheet, section: Section, given: Widening) -> None:
    """A side that changes without columns is verified by nobody here."""
    for side in given.bare_sides(section.embankment):
        key, title = f"widening_side_{side}", say("side-title", side=side.capitalize())
        if given.stability is None:
            sheet.not_verified(key, title, say("side-open"))
        else:
            sheet.accepted(key, title, say("stability-given", document=given.stability))

"""Construction: quantities, tolerances, hold points, tests on site, head of the columns, first lift."""

from collections.abc import Sequence

from calc.chapters.construction.quantities import quantities
from calc.chapters.shared.frame import chapter, given_of_section
from calc.chapters.shared.rests import proven_before
from calc.chapters.shared.soft_ground import credited_gains
from calc.engine.levels import above, same
from calc.engine.sheet import Sheet, number_text
from calc.engine.words import words_of
from calc.formulas.quantities import fill_over_heads, head_cover, head_level
from calc.inputs import Design, Section
from calc.inputs.tables.construction import TEST_KINDS, Construction

say = words_of(__name__)

MUST = TEST_KINDS[:-1]


def construction(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """What the site needs to build what was calculated; every tolerance and rule is an input with its source."""
    sheet = chapter("construction", design, section)
    given = section.construction or Construction()
    quantities(sheet, section, given, done)
    _levels(sheet, section, given)
    _head(sheet, section, given)
    _first_lift(sheet, section)
    _tolerances(sheet, section, given)
    _hold_points(sheet, section, given, credited_gains(section, done))
    _tests(sheet, given)
    return sheet


def _levels(sheet: Sheet, section: Section, given: Construction) -> None:
    """Cover from the heads to the lowest reinforcement, where a question is asked of it."""
    if not section.reinforcement or (given.head is None and section.first_lift is None):
        return
    scope = sheet.scope("head", say("scope-head-title"))
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    given_of_section(scope, "t_up", section, "columns.upstand", section.columns.upstand)
    scope(head_level)
    lowest = min(range(len(section.reinforcement)), key=lambda k: section.reinforcement[k].level)
    given_of_section(scope, "z_R", section, f"reinforcement.{lowest}.level", section.reinforcement[lowest].level)
    scope(head_cover)


def _head(sheet: Sheet, section: Section, given: Construction) -> None:
    """Cover below the lowest reinforcement against the least one."""
    key, title = "head_cover", say("head")
    if given.head is None:
        sheet.not_verified(key, title, say("no-head-why"))
        return
    if not section.reinforcement:
        sheet.not_applicable(key, title, say("open-head-why"))
        return
    scope = sheet.scopes["head"]
    cover = scope["t_cov"]
    given_of_section(scope, "t_covm", section, "construction.head.cover", given.head.cover)
    clear, cover_asked = float(cover.array), given.head.cover
    if above(clear, 0.0) and cover_asked > 0 and not (clear < cover_asked and same(clear, cover_asked)):
        sheet.verdict(key, title, effect=scope["t_covm"], resistance=cover, note=given.head.source)
    elif not above(cover_asked, clear):
        if cover_asked:
            sheet.settled(key, title, say("head-words"))
        else:
            sheet.accepted(key, title, say("head-words-2"))
    else:
        sheet.not_verified(key, title, say("head-why"))


def _first_lift(sheet: Sheet, section: Section) -> None:
    """Fill over the heads with the first lift is thick enough for the machines that drive on it."""
    key, title = "first_lift", say("first-lift")
    lift = section.first_lift
    if lift is None:
        sheet.not_verified(key, title, say("no-lift-why"))
        return
    given_of_section(sheet, "t_fl", section, "first_lift.thickness", lift.thickness)
    if section.reinforcement:
        fill = sheet(fill_over_heads, t_cov=sheet.scopes["head"]["t_cov"])
    else:
        fill = sheet.take("t_FL", sheet["t_fl"], note=say("take-t-fl-note"))
    given_of_section(sheet, "t_mach", section, "first_lift.machine_cover", lift.machine_cover)
    if above(float(fill.array), 0.0):
        sheet.verdict(key, title, effect=sheet["t_mach"], resistance=fill, note=lift.source)
    else:
        sheet.not_verified(key, title, say("open-first-lift-why"))


def _tolerances(sheet: Sheet, section: Section, given: Construction) -> None:
    """Tolerances are the project's; the level of the water in open casings is compared with that of the calculation."""
    title = say("tolerances-title")
    casing = section.uplift.casing if section.uplift else None
    levels = [tolerance.casing_level for tolerance in given.tolerances if tolerance.casing_level is not None]
    missing = [] if given.tolerances else [say("open-tolerances-why")]
    if casing is not None and not levels:
        missing.append(say("tolerances-no-level", level=number_text(casing.water_level, 2)))
    if missing:
        sheet.not_verified("tolerances", title, " ".join(missing))
    elif casing is not None and above(casing.water_level, min(levels)):
        required, allowed = (number_text(height, 2) for height in (casing.water_level, min(levels)))
        sheet.not_verified("tolerances", title, say("tolerances-low-level", level=required, asked=allowed))
    elif casing is not None:
        required, allowed = (number_text(height, 2) for height in (casing.water_level, min(levels)))
        sheet.accepted("tolerances", title, say("tolerances-level", level=required, asked=allowed))
    else:
        sheet.accepted("tolerances", title, say("settled-tolerances-why"))


def _hold_points(sheet: Sheet, section: Section, given: Construction, gains: Sequence[float]) -> None:
    """Hold points, one at least before each stage that relies on a gain of strength."""
    title = say("hold-points")
    held = {point.stage for point in given.hold_points}
    relying = [stage.name for stage, gain in zip(section.stages, gains[1:], strict=True) if gain > 0]
    waits = {name: proven_before(section, name) for name in relying}
    unheld = [
        f"“{name}”" + (say("traffic-begins", stage=stage) if stage != name else "")
        for name, stage in waits.items() if stage not in held
    ]  # fmt: skip
    missing = [] if given.hold_points else [say("no-hold-points-why")]
    if unheld and given.hold_points:
        missing.append(say("hold-points-why", unheld=", ".join(unheld)))
    if section.uplift and section.uplift.casing and not any(point.casing for point in given.hold_points):
        missing.append(say("hold-points-casing"))
    if missing:
        sheet.not_verified("hold_points", title, " ".join(missing))
    elif not relying:
        sheet.settled("hold_points", title, say("settled-hold-points-why-2"))
    else:
        sheet.settled("hold_points", title, say("settled-hold-points-why"))


def _tests(sheet: Sheet, given: Construction) -> None:
    """Tests on site; trial columns, density, tension of the sleeve and levels as built are asked for."""
    title = say("tests-on-site")
    missing = [kind for kind in MUST if kind not in {test.kind for test in given.tests}]
    if missing:
        why = say("tests-why") + ", ".join(f"“{kind}”" for kind in missing) + "."
        sheet.not_verified("site_tests", title, why)
    else:
        sheet.accepted("site_tests", title, say("settled-site-tests-why"))

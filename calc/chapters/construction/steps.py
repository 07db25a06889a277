"""Construction: quantities, tolerances, hold points, tests on site, head of the columns, first lift."""

from calc.chapters.construction.first_lift_plant import same_plant
from calc.chapters.construction.quantities import quantities
from calc.chapters.shared.frame import chapter, given_of_section
from calc.engine.levels import above, same
from calc.engine.sheet import Sheet, number_text
from calc.engine.words import words_of
from calc.formulas.quantities import head_cover, head_level
from calc.inputs import Design, Section
from calc.inputs.tables.construction import TEST_KINDS, Construction

say = words_of(__name__)

MUST = TEST_KINDS[:-1]


def construction(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """What the site needs to build what was calculated; every tolerance and rule is an input with its source."""
    sheet = chapter("construction", design, section)
    given = section.construction or Construction()
    quantities(sheet, section, given, done)
    _head(sheet, section, given)
    _first_lift(sheet, section, given)
    same_plant(sheet, section)
    _tolerances(sheet, given)
    _hold_points(sheet, section, given)
    _tests(sheet, given)
    return sheet


def _head(sheet: Sheet, section: Section, given: Construction) -> None:
    """Cover from the heads to the lowest reinforcement."""
    key, title = "head_cover", say("head")
    if given.head is None:
        sheet.not_verified(key, title, "Not given: [construction.head].")
        return
    if not section.reinforcement:
        sheet.not_verified(key, title, say("open-head-why"), required=False)
        return
    scope = sheet.scope("head", say("scope-head-title"))
    given_of_section(scope, "z_g", section, "ground_level", section.ground_level)
    given_of_section(scope, "t_up", section, "columns.upstand", section.columns.upstand)
    scope(head_level)
    lowest = min(range(len(section.reinforcement)), key=lambda k: section.reinforcement[k].level)
    given_of_section(scope, "z_R", section, f"reinforcement.{lowest}.level", section.reinforcement[lowest].level)
    cover = scope(head_cover)
    given_of_section(scope, "t_covm", section, "construction.head.cover", given.head.cover)
    clear, asked = float(cover.array), given.head.cover
    if above(clear, 0.0) and asked > 0 and not (clear < asked and same(clear, asked)):
        sheet.verdict(key, title, effect=scope["t_covm"], resistance=cover, note=given.head.source)
    elif not above(asked, clear):
        words = say("head-words") if asked else say("head-words-2")
        sheet.settled(key, title, words)
    else:
        why = say("head-why")
        sheet.not_verified(key, title, why)


def _first_lift(sheet: Sheet, section: Section, given: Construction) -> None:
    """The first lift is thick enough for the machines that drive on it."""
    key, title = "first_lift", say("first-lift")
    lift = given.first_lift
    if lift is None:
        sheet.not_verified(key, title, "Not given: [construction.first_lift].")
        return
    path = "construction.first_lift"
    given_of_section(sheet, "t_FL", section, f"{path}.thickness", lift.thickness)
    given_of_section(sheet, "t_mach", section, f"{path}.machine_cover", lift.machine_cover)
    sheet.verdict(key, title, effect=sheet["t_mach"], resistance=sheet["t_FL"], note=lift.source)
    _same_lift(sheet, section, lift.thickness)


def _same_lift(sheet: Sheet, section: Section, thickness: float) -> None:
    """The lift that loads the reinforcement is the one that the machines drive on, less what lies below the sheet."""
    loading = section.load_transfer.first_lift if section.load_transfer is not None else None
    if loading is None or not section.reinforcement:
        return
    title = say("same-lift-title")
    head = section.ground_level + section.columns.upstand
    cover = thickness - (min(layer.level for layer in section.reinforcement) - head)
    words = say(
        "same-lift-words",
        thickness=number_text(thickness, 2),
        cover=number_text(cover, 2),
        thickness_2=number_text(loading.thickness, 2),
    )
    over = above(cover, 0.0)  # else the layer lies on the first lift or above it
    if over and not above(cover, loading.thickness) and not above(loading.thickness, thickness):
        sheet.settled("first_lift_thickness", title, words)
    else:
        sheet.not_verified("first_lift_thickness", title, say("open-first-lift-thickness-why", words=words))


def _tolerances(sheet: Sheet, given: Construction) -> None:
    title = say("tolerances-title")
    if not given.tolerances:
        sheet.not_verified("tolerances", title, say("open-tolerances-why"))
        return
    sheet.settled("tolerances", title, say("settled-tolerances-why"))


def _hold_points(sheet: Sheet, section: Section, given: Construction) -> None:
    """Hold points, one at least before each stage that counts on a gain of strength."""
    title = "Hold points"
    held = {point.stage for point in given.hold_points}
    unheld = [stage.name for stage in section.stages if stage.c_u_gain and stage.name not in held]
    if not given.hold_points:
        sheet.not_verified("hold_points", title, "Not given: [[construction.hold_point]].")
    elif unheld:
        why = say("hold-points-why", unheld=", ".join(unheld))
        sheet.not_verified("hold_points", title, f"{why} Give construction.hold_point.stage.")
    else:
        sheet.settled("hold_points", title, say("settled-hold-points-why"))


def _tests(sheet: Sheet, given: Construction) -> None:
    """Tests on site; trial columns, density, tension of the sleeve and levels as built are asked for."""
    title = "Tests on site"
    missing = [kind for kind in MUST if kind not in {test.kind for test in given.tests}]
    if missing:
        why = say("tests-why") + ", ".join(f'"{kind}"' for kind in missing) + "."
        sheet.not_verified("site_tests", title, why)
    else:
        sheet.settled("site_tests", title, say("settled-site-tests-why"))

"""Design basis: situations of the stages, partial factors and how they enter, limits asked for."""

from calc.chapters.shared.frame import Frame, chapter, frame, give_factor, initial_water
from calc.chapters.shared.rests import state_rests
from calc.chapters.shared.sketches import cross_section
from calc.engine.formula import EVIDENCE_MARKS
from calc.engine.sheet import Sheet, Table, TableColumn, number_text
from calc.engine.words import words_of
from calc.factors import FactorSet
from calc.inputs import OUTSIDE, Design, Section

say = words_of(__name__)

# How the two kinds of factor sets enter the unit cell (project rule, stated on the page).
EFFECT, MATERIAL = "effect", "material"
DESIGN_APPROACH_1 = ("EN 1997-1 DA1-1", "EN 1997-1 DA1-2")


def basis(design: Design, section: Section, _done: dict[str, Sheet]) -> Sheet:
    """Design situations, partial factors and their source, limits asked for, matters outside."""
    sheet = chapter("basis", design, section)
    shared = frame(design, section)
    _factors(sheet, shared, design.basis.factor_sets)
    sheet.tables.append(_stages(section, shared))
    sheet.tables.append(_factor_table(shared, design.basis.factor_sets))
    sheet.tables.append(_limits(design))
    sheet.figures.append(cross_section(section))
    _notes(sheet, design, shared)
    _both_combinations(sheet, design)
    _outside(sheet, design)
    state_rests(sheet, design, section, shared)
    return sheet


def _factors(sheet: Sheet, shared: Frame, sets: tuple[FactorSet, ...]) -> None:
    """Give each factor over factor sets and stages; the kind of the set decides where it enters."""
    effect = [one.kind == EFFECT for one in sets]
    give_factor(sheet, shared, sets, "gamma_G", "gamma_G", enters=effect)
    give_factor(sheet, shared, sets, "gamma_Q", "gamma_Q", enters=effect)
    at_source = [not one for one in effect]
    give_factor(sheet, shared, sets, "f_G", "gamma_G", enters=at_source)
    give_factor(sheet, shared, sets, "gamma_QS", "gamma_Q", enters=at_source)
    give_factor(sheet, shared, sets, "gamma_phi", "gamma_phi", enters=[True] * len(sets))


def _stages(section: Section, shared: Frame) -> Table:
    head = [
        TableColumn(words="stage"),
        TableColumn(words="situation"),
        TableColumn(words="water level"),
        TableColumn(words="fill", unit="m"),
        TableColumn(words="traffic"),
        TableColumn(words="start", unit="d"),
        TableColumn(words="placing", unit="d"),
        TableColumn(words="n for stability"),
    ]
    rows = [[shared.stages[0], "transient", initial_water(section), "0", "no", "–", "–", "–"]]
    rows += [
        [
            label,
            stage.situation,
            stage.water,
            number_text(stage.fill_height, 2),
            "yes" if stage.traffic else "no",
            number_text(stage.start, 0),
            number_text(stage.duration, 0),
            number_text(stage.n_stability, 1),
        ]
        for label, stage in zip(shared.stages[1:], section.stages, strict=True)
    ]
    return Table("stages", say("table-stages-title"), head, rows)


def _factor_table(shared: Frame, sets: tuple[FactorSet, ...]) -> Table:
    names = ("gamma_G", "gamma_Q", "gamma_phi")
    head = [
        TableColumn(words="factor set"),
        TableColumn(words="situation"),
        *(TableColumn(symbol=name) for name in names),
        TableColumn(words="enters as"),
        TableColumn(words="source"),
    ]
    enters = {
        EFFECT: say("factor-table-enters"),
        MATERIAL: say("factor-table-enters-2"),
    }
    rows = [
        [
            one.key,
            situation,
            *(
                number_text(getattr(one.at(situation), name), 2)
                + f" {EVIDENCE_MARKS.get(one.evidence_for(situation, name), '')}".rstrip()
                for name in names
            ),
            enters[one.kind],
            say("factor-table-rows") + one.source if one.evidence == "given" else one.source,
        ]
        for one in sets
        for situation in dict.fromkeys(shared.situations)
    ]
    return Table("factors", "Partial factors used", head, rows, note=say("table-factors-note"))


def _limits(design: Design) -> Table:
    limits = design.basis.limits
    asked = [
        ("total settlement", limits.settlement_total, 1000.0, "mm", 0),
        ("residual settlement", limits.settlement_residual, 1000.0, "mm", 0),
        ("differential settlement", limits.settlement_difference, 1000.0, "mm", 0),
        ("ring strain", limits.ring_strain, 100.0, "%", 1),
        ("creep strain", limits.creep_strain, 100.0, "%", 1),
    ]
    rows = [
        [name, "not asked for" if value is None else f"{number_text(value * factor, decimals)} {unit}"]
        for name, value, factor, unit, decimals in asked
    ]
    return Table("limits", "Limits asked for", [TableColumn(words="quantity"), TableColumn(words="limit")], rows)


def _notes(sheet: Sheet, design: Design, shared: Frame) -> None:
    for one in design.basis.factor_sets:
        from_memory = {
            name
            for situation in shared.situations
            for name in ("gamma_G", "gamma_Q", "gamma_phi")
            if one.evidence_for(situation, name) == "not inspected"
        }
        if from_memory:
            sheet.limitation(
                f"factors-{one.key}",
                say("limitation-factors", one_key=one.key),
                one.source,
            )


def _both_combinations(sheet: Sheet, design: Design) -> None:
    """Design approach 1 is verified by two combinations; one alone leaves half of it open."""
    keys = [one.key for one in design.basis.factor_sets]
    given = [one for one in DESIGN_APPROACH_1 if one in keys]
    if len(given) == 1:
        [missing] = set(DESIGN_APPROACH_1) - set(given)
        sheet.limitation(
            "design-approach-1",
            say("limitation-design-approach-1", given=given[0], missing=missing),
            "EN 1997-1:2004, 2.4.7.3.4.2 ◦",
            turns=lambda one: bool(one.factor_set),
        )


def _outside(sheet: Sheet, design: Design) -> None:
    """The matters outside this calculation must each have an answer."""
    answers = design.outside
    open_matters = [words for key, words in OUTSIDE.items() if key not in answers]
    if open_matters:
        why = say("outside-why") + " ".join(open_matters)
        sheet.not_verified("outside", say("open-outside-title"), why)
    else:
        sheet.settled("outside", say("settled-outside-title"), say("settled-outside-why"))

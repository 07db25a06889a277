"""The page of the design basis: stages, partial factors and limits as tables, and the cross-section."""

from calc.chapters.basis.sketch import cross_section
from calc.chapters.shared.frame import Frame, frame, initial_water
from calc.engine.formula import EVIDENCE_MARKS
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text
from calc.engine.words import words_of
from calc.factors import FactorSet
from calc.inputs import Design, Section

say = words_of(__name__)


def page(of: Page, design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Stages, factors, limits asked for, and the section to scale."""
    shared = frame(design, section)
    of.tables += [stages(section, shared), partial_factors(shared, design.basis.factor_sets), limits(design)]
    of.figures.append(cross_section(section))


def stages(section: Section, shared: Frame) -> Table:
    """The column just built and every stage with situation, water, fill and programme."""
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
    return Table("stages", say("stages-title"), head, rows)


def partial_factors(shared: Frame, sets: tuple[FactorSet, ...]) -> Table:
    """The factors of every set and situation with their source; a mark where they were not inspected."""
    names = ("gamma_G", "gamma_Q", "gamma_phi")
    head = [
        TableColumn(words="factor set"),
        TableColumn(words="situation"),
        *(TableColumn(symbol=name) for name in names),
        TableColumn(words="enters as"),
        TableColumn(words="source"),
    ]
    enters = {"effect": say("enters-effect"), "material": say("enters-source")}
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
            say("given-factors") + one.source if one.evidence == "given" else one.source,
        ]
        for one in sets
        for situation in dict.fromkeys(shared.situations)
    ]
    return Table("factors", "Partial factors used", head, rows, note=say("factors-note"))


def limits(design: Design) -> Table:
    """The limits that the project asks for, and those that it does not."""
    given = design.basis.limits
    asked = [
        ("total settlement", given.settlement_total, 1000.0, "mm", 0),
        ("residual settlement", given.settlement_residual, 1000.0, "mm", 0),
        ("differential settlement", given.settlement_difference, 1000.0, "mm", 0),
        ("ring strain", given.ring_strain, 100.0, "%", 1),
        ("creep strain", given.creep_strain, 100.0, "%", 1),
    ]
    rows = [
        [name, "not asked for" if value is None else f"{number_text(value * factor, decimals)} {unit}"]
        for name, value, factor, unit, decimals in asked
    ]
    return Table("limits", "Limits asked for", [TableColumn(words="quantity"), TableColumn(words="limit")], rows)

"""Design basis: situations of the stages, partial factors and how they enter, limits asked for."""

from calc.checks.frame import Frame, chapter, frame
from calc.checks.sketches import cross_section
from calc.factors import FactorSet
from calc.inputs import OUTSIDE, Design, Section
from calc.sheet import Origin, Sheet, Table, TableColumn, number_text

# How the two kinds of factor sets enter the unit cell (project rule, stated on the page).
EFFECT, MATERIAL = "effect", "material"


def basis(design: Design, section: Section, _done: dict[str, Sheet]) -> Sheet:
    """Design situations, partial factors and their source, limits asked for, matters outside."""
    sheet = chapter("basis", design, section)
    shared = frame(design, section)
    _factors(sheet, shared, design.basis.factor_sets)
    sheet.tables.append(_stages(section, shared))
    sheet.tables.append(_factor_table(shared, design.basis.factor_sets))
    sheet.tables.append(_limits(design))
    sheet.figures.append(cross_section(section))
    _notes(sheet, design)
    _outside(sheet, design)
    return sheet


def _factors(sheet: Sheet, shared: Frame, sets: tuple[FactorSet, ...]) -> None:
    """Give each factor over factor sets and stages; the kind of the set decides where it enters."""
    given = [[one.at(situation) for situation in shared.situations] for one in sets]
    origins = [
        Origin("factor set", text=one.key, evidence="memory" if one.evidence == "memory" else "read") for one in sets
    ]
    effect = [one.kind == EFFECT for one in sets]

    def give(name: str, attribute: str, *, of_effects: bool) -> None:
        values = [
            [getattr(at, attribute) if is_effect == of_effects else 1.0 for at in row]
            for row, is_effect in zip(given, effect, strict=True)
        ]
        sheet.given(name, values, ["variant", "stage"], origin=origins, origin_axis="variant")

    give("gamma_G", "gamma_G", of_effects=True)
    give("gamma_Q", "gamma_Q", of_effects=True)
    give("f_G", "gamma_G", of_effects=False)
    give("gamma_QS", "gamma_Q", of_effects=False)
    phi = [[at.gamma_phi for at in row] for row in given]
    sheet.given("gamma_phi", phi, ["variant", "stage"], origin=origins, origin_axis="variant")


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
    rows = [[shared.stages[0], "transient", f"as stage 1: {section.stages[0].water}", "0", "no", "–", "–", "–"]]
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
    return Table("stages", "Stages and their design situations", head, rows)


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
        EFFECT: "factor on the effect of actions",
        MATERIAL: "factor on actions and strength at their source",
    }
    rows = [
        [
            one.key,
            situation,
            *(number_text(getattr(one.at(situation), name), 2) for name in names),
            enters[one.kind],
            one.source + (" ◦" if one.evidence == "memory" else ""),
        ]
        for one in sets
        for situation in dict.fromkeys(shared.situations)
    ]
    return Table("factors", "Partial factors used", head, rows, note="Values of a national annex prevail.")


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


def _notes(sheet: Sheet, design: Design) -> None:
    for one in design.basis.factor_sets:
        if one.evidence == "memory":
            sheet.limitation(
                f"factors-{one.key}",
                f"The factors of {one.key} were recalled from memory and must be compared with the standard.",
                one.source,
            )


def _outside(sheet: Sheet, design: Design) -> None:
    """The matters outside this calculation must each have an answer."""
    answers = design.outside
    open_matters = [words for key, words in OUTSIDE.items() if key not in answers]
    if open_matters:
        why = "No answer is given for: " + " ".join(open_matters)
        sheet.not_verified("outside", "Matters outside this calculation", why)
    else:
        sheet.settled("outside", "Matters outside this calculation", "Each matter has an answer in the project file.")

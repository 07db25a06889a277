"""The page of the design basis: stages, partial factors and limits as tables, and the cross-section."""

from calc.chapters.basis.factors_page import other_factors
from calc.chapters.basis.sketch import cross_section
from calc.chapters.shared.frame import Frame, frame, initial_water
from calc.chapters.shared.geometry import profile
from calc.engine.formula import EVIDENCE_MARKS
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text
from calc.engine.words import words_of
from calc.factors import FactorSet
from calc.inputs import Design, Section

say = words_of(__name__)

# The factors by the symbol that they print as, with the factor of a set that each is, and the kind of set that has it
# there: the others have 1. The one on unit weights is 1 in every set.
FACTORS = (
    ("gamma_G", "gamma_G", "effect"), ("f_G", "gamma_G", "material"), ("gamma_Gf", "gamma_G_fav", ""),
    ("gamma_Q", "gamma_Q", "effect"), ("gamma_QS", "gamma_Q", "material"), ("gamma_phi", "gamma_phi", ""),
    ("gamma_c", "gamma_c", ""), ("gamma_cu", "gamma_cu", ""), ("gamma_Re", "gamma_R_e", ""),
    ("gamma_Rv", "gamma_R_v", ""), ("gamma_Rh", "gamma_R_h", ""),
)  # fmt: skip


def page(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Stages, factors, limits asked for, and the section to scale."""
    if section.zone is not None:  # the section says it
        return
    shared = frame(design, section)
    sets = design.factor_sets(section)
    of.tables += [stages(section, shared), partial_factors(shared, section, sets), other_factors(section)]
    table = limits(design)
    of.record(table)
    of.notes.append(f"{table.title}: {'; '.join(f'{name} {limit}' for name, limit in table.rows)}.")
    if section.position is None:  # a position is level ground of a section that is drawn
        of.figures.append(cross_section(section, profile(done["columns"], shared.stages[-1])))


def stages(section: Section, shared: Frame) -> Table:
    """The column just built and every stage with situation, water, fill and programme."""
    head = [
        TableColumn(words=say("stage")),
        TableColumn(words=say("situation")),
        TableColumn(words=say("water-level")),
        TableColumn(words=say("fill"), unit="m"),
        TableColumn(words=say("traffic")),
        TableColumn(words=say("start"), unit="d"),
        TableColumn(words=say("placing"), unit="d"),
        TableColumn(words=say("stress-ratio-for-stability")),
    ]
    rows = [[shared.stages[0], "transient", initial_water(section), "0", say("no"), "–", "–", "–"]]
    rows += [
        [
            label,
            stage.situation,
            stage.water,
            number_text(stage.fill_height, 2),
            say("yes") if stage.traffic else say("no"),
            number_text(stage.start, 0),
            number_text(stage.duration, 0),
            number_text(stage.n_stability, 1),
        ]
        for label, stage in zip(shared.stages[1:], section.stages, strict=True)
    ]
    return Table("stages", say("stages-title"), head, rows)


def partial_factors(shared: Frame, section: Section, sets: tuple[FactorSet, ...]) -> Table:
    """All factors of every set and situation with their source; a mark where they were not inspected."""
    head = [
        TableColumn(words=say("factor-set")),
        TableColumn(words=say("situation")),
        *(TableColumn(symbol=symbol) for symbol, _, _ in FACTORS),
        TableColumn(words=say("enters-as")),
    ]
    enters = {"effect": say("enters-effect"), "material": say("enters-source")}
    rows = [
        [
            factor_set.key,
            situation,
            *(
                _factor(factor_set, situation, name) if kind in {"", factor_set.kind} else number_text(1.0, 2)
                for _, name, kind in FACTORS
            ),
            enters[factor_set.kind],
        ]
        for factor_set in sets
        for situation in dict.fromkeys(shared.situations)
    ]
    keys: dict[str, list[str]] = {}
    for factor_set in sets:
        source = (say("given-factors") if factor_set.evidence == "given" else "") + factor_set.source
        keys.setdefault(source, []).append(factor_set.key)
    # Which set has which source, where they differ.
    listed = list(keys) if len(keys) == 1 else [f"{', '.join(named)}: {source}" for source, named in keys.items()]
    if section.earthquake is not None:
        listed.append(say("seismic-factors", source=section.earthquake.factors.source))
    sources = "; ".join(listed)
    return Table("factors", say("factors-title"), head, rows, note=say("factors-note", sources=sources))


def _factor(factor_set: FactorSet, situation: str, name: str) -> str:
    mark = EVIDENCE_MARKS.get(factor_set.evidence_for(situation, name), "")
    return f"{number_text(getattr(factor_set.at(situation), name), 2)} {mark}".rstrip()


def limits(design: Design) -> Table:
    """The limits that the project asks for, and those that it does not."""
    serviceability = design.basis.limits
    criteria = [
        (say("total-settlement"), serviceability.settlement_total, 1000.0, "mm", 0),
        (say("residual-settlement"), serviceability.settlement_residual, 1000.0, "mm", 0),
        (say("differential-settlement"), serviceability.settlement_difference, 1000.0, "mm", 0),
        (say("ring-strain"), serviceability.ring_strain, 100.0, "%", 1),
        (say("creep-strain"), serviceability.creep_strain, 100.0, "%", 1),
    ]
    rows = [
        [name, say("not-required") if value is None else f"{number_text(value * factor, decimals)} {unit}"]
        for name, value, factor, unit, decimals in criteria
    ]
    return Table(
        "limits",
        say("serviceability-criteria"),
        [TableColumn(words=say("quantity")), TableColumn(words=say("limit"))],
        rows,
    )

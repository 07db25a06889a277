"""The page of the chapter on bearing: toes, soft ground by stage, extruding wedge, edge of the field, settlement."""

from calc.chapters.bearing.below_toe import DEPTH
from calc.chapters.bearing.loads import SLOWEST, loaded_stages
from calc.chapters.bearing.settlement_life import BESIDE, BY_METHOD
from calc.chapters.bearing.toe_page import toe_sketch
from calc.chapters.bearing.wedge import THIN
from calc.chapters.bearing.wedge_conditions import THIN_GROUND
from calc.chapters.bearing.wedge_limits import STATES
from calc.chapters.bearing.wedge_page import edge_sketch, printed_block
from calc.chapters.bearing.wedge_reach import END
from calc.chapters.shared.layer_tables import boundaries, envelope_table
from calc.chapters.shared.soft_ground import SOFT_LAYERS, Side, missing_strength, sides, strengths, without_idle_ratio
from calc.engine.figure import Panel, Profile, Series
from calc.engine.sheet import Page, Sheet, Table, TableColumn, Value, number_text, value_text
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.procedures.growing_strength import FACTOR, GROWTH, METHOD

say = words_of(__name__)

LIFE_COLUMNS = ("s_lifeL", "s_b", "s_lifeb", "s_resL", "s_bre", "s_resb")
SOFT = (("soft_early", say("pages-words")), ("soft_lift", say("pages-words-2")), ("soft", say("pages-words-3")))


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Pressures on the toes, over-design factors of soft ground and wedge by stage, settlement by both methods."""
    of.set_aside(END, BESIDE, SLOWEST, SOFT_LAYERS, DEPTH)
    if not any(THIN in verdict.note for verdict in of.sheet.verdicts):
        of.set_aside(THIN_GROUND)
    of.figures.append(toe_sketch(section))
    _toes(of, floating=section.columns.floating is not None)
    if "life" in of.sheet.scopes:
        of.tables.append(_life(of.sheet))
    # Behind it, as the figure of the strengths has room beside the table of the factor alone.
    if not missing_strength(section):
        _soft_ground(of)
    if not missing_strength(section) and section.zone is None:
        of.figures.append(edge_sketch(section))
        for side in sides(section):
            if side.extent is not None:
                _wedge(of, side)
        of.figures.append(_strength_line(of.sheet, section))


def _toes(of: Page, *, floating: bool) -> None:
    scope = of.sheet.scopes["toe"]
    title = say("floating-title") if floating else say("toe-title")
    of.record(envelope_table("toe-stages", title, scope["sigma_td"], "stage", "factor_set"))
    for load, name in (("G", "Dsigma_vcG"), ("G+Q", "Dsigma_vcGQ")):
        title = say("floating-title-2", load=load) if floating else say("toe-title-2", load=load)
        value = scope[name].at(stage=list(of.sheet.axes["stage"][1:]))
        of.record(envelope_table(f"toe-cell-{load}", title, value, "stage", "factor_set", note=say("toe-note")))


def _soft_ground(of: Page) -> None:
    columns = {words: of.sheet.scopes[name]["F_so"] for name, words in SOFT}
    of.record(_least_table(of.sheet, "soft-stages", say("pages"), columns, say("pages-note")))
    rows = [[number_text(k, 0), number_text(F, 3)] for k, F in zip(GROWTH, FACTOR, strict=True)]
    head = [TableColumn(symbol="k_rho"), TableColumn(symbol="F_rho")]
    note = say("pages-note-2", upper=METHOD[0].upper(), method=METHOD[1:])
    of.tables.append(Table("growth-factor", say("table-growth-factor-title"), head, rows, note))


def _wedge(of: Page, side: Side) -> None:
    """Without columns, and with them in the states that the soil alone leaves open; the last of these is drawn."""
    scopes = of.sheet.scopes
    states = [(key, words) for key, words in STATES if f"{key}{side.ending}" in scopes]
    columns = {"untreated": scopes[f"untreated{side.ending}"]["F_x"]}
    columns |= {words: scopes[f"{key}{side.ending}"]["F_x"] for key, words in states}
    title = say("squeeze-title", side_words=side.words)
    of.record(_least_table(of.sheet, f"squeeze{side.ending}", title, columns, say("squeeze-note")))
    if states:
        of.figures.append(printed_block(of, side, states[-1][0]))


def _least_table(sheet: Sheet, key: str, title: str, columns: dict[str, Value], note: str) -> Table:
    """A row for each stage with the least of every value over all its other cases."""
    head = [TableColumn(words=say("stage")), *(TableColumn(words=words) for words in columns)]
    rows = []
    for label in loaded_stages(sheet):
        least = [without_idle_ratio(sheet, value).at(stage=label) for value in columns.values()]
        rows.append(
            [label, *(number_text(value.array[value.valid].min(), 3) if value.valid.any() else "–" for value in least)]
        )
    return Table(key, title, head, rows, note)


def _strength_line(sheet: Sheet, section: Section) -> Profile:
    """Strength of the layers as given and the straight line below it."""
    depths, values = strengths(sheet)
    top, growth = (float(sheet[name].array) for name in ("c_u0k", "rho_uk"))
    ends = (0.0, depths[-1])
    curves = (
        Series("given", tuple(values), tuple(depths)),
        Series("line", tuple(top + growth * z for z in ends), ends),
    )
    panel = Panel("c<sub>u</sub>", "kN/m²", curves)
    return Profile(
        "strength", say("strength-title"), say("strength-alt"), say("strength-axis"), (panel,), boundaries(section)
    )


def _life(sheet: Sheet) -> Table:
    """Both methods of the soft ground beside each other, with the ground below the toes."""
    rows = []
    for key, words, _, _ in BY_METHOD:
        scope = sheet.scopes[f"{BESIDE}{key}"]
        rows.append([words, *(value_text(scope[name], {}, name) for name in LIFE_COLUMNS)])
    titles = (
        say("table-heads"),
        say("below-the-toes"),
        say("sum"),
        say("residual-soft-ground"),
        say("below-the-toes"),
        say("sum"),
    )
    head = [TableColumn(words=say("table-head-words")), *(TableColumn(words=words, unit="mm") for words in titles)]
    return Table("life", say("table-life-title"), head, rows, say("table-note"))

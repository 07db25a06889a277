"""Load transfer: tension by stage, the models side by side, what stands in tables for comparison, the sketch."""

from collections.abc import Iterator
from math import cos, pi, sin

from calc.chapters.load_transfer.arching import COEFFICIENT, MODELS
from calc.chapters.load_transfer.page_comparison import set_beside_governing
from calc.chapters.shared.frame import SHORT
from calc.chapters.shared.layer_tables import envelopes_table
from calc.chapters.shared.mats import reinforced_directions
from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, box, symbol_text
from calc.engine.formula import EVIDENCE_MARKS
from calc.engine.sheet import Page, Sheet, Table, TableColumn, case_words, value_text
from calc.engine.words import words_of
from calc.formulas.geometry import square_cell_area, triangular_cell_area
from calc.formulas.load_transfer import equivalent_square_spacing, equivalent_square_width
from calc.inputs import Design, Section

say = words_of(__name__)

SAG = 0.22  # of the clear span, as drawn
COMPARED = ("sigma_sA", "E_A", "W_T", "r_eq")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Tension from vertical load by stage and factor set, all models; only what the printed case rests on in lines."""
    of.figures.append(membrane_sketch(section))
    of.record(*_envelopes(of.sheet, section))
    of.tables.append(_models(of))
    set_beside_governing(of, section)


def _envelopes(sheet: Sheet, section: Section) -> Iterator[Table]:
    note = say("envelope-note")
    for words, tag in reinforced_directions(section):
        parts = [
            (limit, sheet[f"T_m{tag}{ending}"].at(stiffness=SHORT, stage=sheet.axes["stage"][1:]))
            for ending, limit in (("D", say("as-used")), ("F", say("full-arching-free")))
        ]
        title = say("envelope-title", words=words)
        yield envelopes_table(f"membrane-{tag}", title, parts, "stage", "factor_set", note=note)


def _models(of: Page) -> Table:
    """The models at the case that the chapter prints at."""
    scopes, case = of.sheet.scopes, of.case("domes")
    head = [
        TableColumn(words=say("model")),
        *(TableColumn(symbol=name) for name in COMPARED),
        TableColumn(words=say("source-status")),
    ]
    rows = []
    for model in (*MODELS, COEFFICIENT):
        if model.key in scopes:
            scope = scopes[model.key]
            cells = [value_text(scope[name], case, name) if name and name in scope else "–"
                     for name in (model.symbol, *COMPARED[1:])]  # fmt: skip
            mark = EVIDENCE_MARKS[model.source.evidence]
            rows.append([model.title, *cells, f"{mark} {model.source.evidence}".strip()])
    return Table("models", say("models-title"), head, rows, say("models-note", case=case_words(case)))


def membrane_sketch(section: Section) -> Scene:
    """Spacing and width of the heads true to the grid; the sag is drawn larger than it is."""
    columns = section.columns
    area = {"triangular": triangular_cell_area, "square": square_cell_area}[columns.pattern](columns.spacing)
    spacing, width = float(equivalent_square_spacing(area)), float(equivalent_square_width(columns.diameter))
    alt = say("membrane-sketch-alt", width=width, spacing=spacing)
    items = (*_body(spacing, width), *_arches(spacing, width), *_forces(spacing, width))
    return Scene("membrane", say("scene-membrane-text"), alt, items, height_mm=56.0, note=say("membrane-sketch-note"))


def _body(spacing: float, width: float) -> Iterator[Item]:
    half, deep, high = width / 2, -0.55 * spacing, 0.62 * spacing
    yield Polygon(box(-spacing / 2 - half, spacing / 2 + half, high, 0.0), "fill")
    yield Polygon(box(-spacing / 2 - half, spacing / 2 + half, 0.0, deep), "soft")
    for side in (-1, 1):
        middle = side * spacing / 2
        yield Polygon(box(middle - half, middle + half, 0.0, deep), "column")
    yield Line(tuple(_sagging_line(spacing, width)), "reinforcement")
    yield Dimension(-spacing / 2, deep, spacing / 2, deep, symbol_text("s_q"), -4.0)
    yield Dimension(spacing / 2 - half, deep, spacing / 2 + half, deep, symbol_text("a_q"), -10.0)
    yield Dimension(-spacing / 2 + half, deep, spacing / 2 - half, deep, symbol_text("L_m"), -10.0)


def _sagging_line(spacing: float, width: float) -> Iterator[tuple[float, float]]:
    span = spacing - width
    yield -spacing / 2 - width / 2, 0.0
    for k in range(21):
        x = -span / 2 + span * k / 20
        yield x, -SAG * span * (1 - (2 * x / span) ** 2)
    yield spacing / 2 + width / 2, 0.0


def _arches(spacing: float, width: float) -> Iterator[Item]:
    for radius in ((spacing - width) / 2, spacing / 2):
        yield Line(tuple((radius * cos(k * pi / 24), radius * sin(k * pi / 24)) for k in range(25)), "dashed")


def _forces(spacing: float, width: float) -> Iterator[Item]:
    span = spacing - width
    above, below = symbol_text("sigma_sA"), symbol_text("sigma_su")
    # Each is named at one side only: there is no room for both names beside each other.
    for share, over, under in ((-0.26, above, ""), (0.26, "", below)):
        at = -SAG * span * (1 - (2 * share) ** 2)
        yield Arrow(share * span, at + 0.2 * spacing, share * span, at + 0.02 * spacing, over)
        yield Arrow(share * span, at - 0.2 * spacing, share * span, at - 0.03 * spacing, under)
    for side in (-1, 1):
        x = side * spacing / 2
        yield Arrow(x, 0.3 * spacing, x, 0.03 * spacing, symbol_text("F_head"))
        edge = side * (spacing / 2 + width / 2)
        yield Arrow(edge, 0.0, edge + side * 0.25 * spacing, 0.0)
        yield Label(edge + side * 0.3 * spacing, 0.06 * spacing, symbol_text("T_m"), "start" if side > 0 else "end")
    yield Dimension(0.0, -SAG * span, 0.0, 0.0, symbol_text("f_m"), 0.0)

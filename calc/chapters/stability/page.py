"""The page of the chapter on stability: parameters by sublayer, tables handed over, slip surfaces of every side."""

from collections.abc import Iterator

from calc.chapters.shared.layer_tables import envelope_table, layer_table
from calc.chapters.shared.soft_ground import missing_strength
from calc.chapters.stability.handed_page import handed_over
from calc.chapters.stability.slip_ground import is_for_record
from calc.chapters.stability.slip_page import critical_surface, methods_table, other_circles
from calc.engine.figure import Arrow, Dimension, Item, Label, Line, Polygon, Scene, symbol_text
from calc.engine.sheet import Page, Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

SPLIT = ("sigma_v0s", "sigma_v0c", "sigma_vs", "sigma_vc", "sigma_vm", "phi_ss")


def page(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Tables handed over, parameters of the column field, circles and blocks as they were found."""
    _aside(of)
    if section.zone is not None:
        _parameters(of, section)
        return
    of.figures.append(split_sketch())
    handed_over(of, design, section, done)
    surfaces = of.sheet.kept.get("surfaces", [])
    for circles, *_ in surfaces:
        of.record(*(methods_table(of.sheet, circle.scope) for circle in circles if "F_Sp" in circle.scope))
    if "T_stab" in of.sheet.values:
        tension, note = of.sheet["T_stab"], say("tension-note")
        of.record(envelope_table("stability-tension", say("tension-title"), tension, "stage", "factor_set", note=note))
    _parameters(of, section)
    for circles, blocks, within in surfaces:
        critical_surface(of, done["columns"], section, circles)
        other_circles(of, done["columns"], section, circles, within)
        critical_surface(of, done["columns"], section, blocks)


def _aside(of: Page) -> None:
    """Leave the values that the slip model is made of in the record, and name few of them on the lines of a search."""
    of.aside.update(name for name in of.sheet.scopes if is_for_record(name))
    places = of.sheet.section + "/columns/"
    for step in of.sheet.steps:
        model = {
            name for name, argument in step.inputs.items()
            if argument.value.step.startswith(places) or is_for_record(argument.value.step.split("/")[2])
        }  # fmt: skip
        if step.kind in {"reading", "procedure"} and model and step.scope not in of.aside:
            kept = {name: argument for name, argument in step.inputs.items() if name not in model}
            of.shortened[step.key] = kept, f"{step.note}; {say('model')}".removeprefix("; ")


def _parameters(of: Page, section: Section) -> None:
    """Strengths of the sublayers by the strict split; those for comparison stand in the record."""
    of.recorded |= {"averaged", "undrained", "weighted"}
    layer_table(of, "split", say("split-title"), "split", SPLIT)
    layer_table(of, "averaged", say("averaged-title"), "averaged", ("phi_avg", "c_avg", "gamma_mr"))
    if not missing_strength(section):
        layer_table(of, "undrained", say("undrained-title"), "undrained", ("c_ud", "c_avgu", "phi_avgu"))
    layer_table(of, "weighted", say("weighted-title"), "weighted", ("omega", "phi_m", "c_m"))


def split_sketch() -> Scene:
    """The strict split: each part with its own stress and strength on one slip surface; a diagram."""
    alt = say("split-sketch-alt")
    note = say("split-sketch-note")
    return Scene("split", say("scene-split-text"), alt, tuple(_items()), 82.0, 40.0, equal=False, note=note)


def _items() -> Iterator[Item]:
    yield Polygon(((0.0, 0.0), (0.0, 3.0), (3.0, 3.0), (3.0, 0.9)), "soft")
    yield Polygon(((3.0, 0.9), (3.0, 3.0), (4.2, 3.0), (4.2, 1.26)), "column")
    yield Line(((-0.8, -0.24), (5.0, 1.5)), "outline")
    for x in (0.6, 1.5, 2.4):
        yield Arrow(x, 3.45, x, 3.05)
    for x in (3.3, 3.9):
        yield Arrow(x, 3.95, x, 3.05)
    yield Label(-0.15, 3.25, symbol_text("sigma_vs"), "end")
    yield Label(4.35, 3.5, symbol_text("sigma_vc"), "start")
    yield Arrow(2.1, 0.38, 0.9, 0.02, symbol_text("tau_s"))
    yield Arrow(4.35, 1.05, 3.3, 0.74, symbol_text("tau_c"))
    yield Dimension(0.0, -0.5, 3.0, -0.5, "1 − " + symbol_text("a_E"), -2.0)
    yield Dimension(3.0, -0.5, 4.2, -0.5, symbol_text("a_E"), -2.0)
    yield Label(1.5, 1.8, say("soil"), "middle", "small")
    yield Label(3.6, 2.3, say("column"), "middle", "small")
    yield Label(4.35, 1.75, say("slip-surface"), "start", "small")

"""Which models of arching and which membranes the printed case does not rest on.

The first section prints their equations with numbers; the others print the results of the models alone.
"""

from collections.abc import Sequence

from calc.chapters.load_transfer.arching import COEFFICIENT, Model
from calc.chapters.load_transfer.membrane import shapes_used
from calc.chapters.shared.beside import methods_beside, rest_on, set_aside, variants_beside
from calc.chapters.shared.frame import SHORT
from calc.chapters.shared.mats import reinforced_directions
from calc.engine.sheet import Sheet
from calc.engine.sheet.cases import Cases
from calc.engine.words import words_of
from calc.formulas.membrane import SHAPES
from calc.inputs import Design, Section

say = words_of(__name__)


def set_beside_governing(sheet: Sheet, design: Design, section: Section, models: Sequence[Model]) -> None:
    """Once the case is known, print line by line only what it rests on; what stands beside it becomes tables."""
    first = design.sections[0]

    def fill(cases: Cases) -> None:
        case = {"load": "G+Q", "stiffness": SHORT, **cases[sheet.key, ""]}
        won = sheet.won(sheet["sigma_sX"], case)  # none where the fill is too low for arching
        model = won.scope if won else ""
        shape = next((one for _, tag in reinforced_directions(section) if (one := _free_shape(sheet, tag, case))), "")
        if section is first:
            _equations(sheet, section, cases, [one for one in (*models, COEFFICIENT) if one.key != model], shape)
        note = say("fill-note") + (say("fill-note-2") if section is first else say("fill-note-3", first_key=first.key))
        rest_on(sheet, "sigma_sX", model, note)
        for _, tag in reinforced_directions(section):
            rest_on(sheet, f"T_m{tag}F", shape, note)
        kept = {"", model, shape, "surface", *(name for name in sheet.scopes if name.startswith("compatible_"))}
        set_aside(sheet, [name for name in sheet.scopes if name not in kept])

    sheet.at_cases.append(fill)


def _equations(sheet: Sheet, section: Section, cases: Cases, models: Sequence[Model], shape: str) -> None:
    scopes = [(model.key, sheet.scopes[model.key].title) for model in models]
    title = say("equations-title")
    methods_beside(sheet, cases, "beside-models", title, scopes)
    directions = reinforced_directions(section)
    if not directions:
        return
    free = [(f"free_{one.key}", one.title) for one in SHAPES.values() if f"free_{one.key}" != shape]
    variants_beside(sheet, cases, "beside-free", say("equations"), free)
    for used in shapes_used(section):
        on_ground = [(f"supported_{used.key}_{words}", words) for words, _ in directions]
        title = say("equations-title-2", used_title=used.title)
        variants_beside(sheet, cases, f"beside-ground-{used.key}", title, on_ground)


def _free_shape(sheet: Sheet, tag: str, case: dict[str, str]) -> str:
    """Scope of the shape at full arching which the design rests on, empty where it rests on compatible settlement."""
    full, used = sheet[f"T_m{tag}F"], sheet[f"T_m{tag}D"]
    if used.step in sheet.winners and (won := sheet.won(used, case)) and won.key != full.step:
        return ""
    shape = sheet.won(full, case)
    return shape.scope if shape else ""

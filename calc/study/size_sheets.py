"""What the first design found takes of money and carbon, as sheets that can be followed by hand."""

from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.inputs import read_design
from calc.study.chapters import chapters
from calc.study.objectives import CHARGE_OF, charge_sheet
from calc.study.size_grid import Grid
from calc.study.size_report import WORDS, design_words, on_one_line, unit_of

say = words_of(__name__)


def charge_sheets(grid: Grid, number: int) -> list[tuple[str, Sheet]]:
    """A sheet with its title for cost and for carbon of a combination, where they are objectives."""
    names = [name for name in grid.size.objective if name in CHARGE_OF]
    if not names:
        return []
    design = read_design(grid.design.source.parent, grid.text(number).encode())
    section = next(section for section in design.sections if section.key == grid.section.key)
    parts = {"": section, **{part.zone.key: part for part in section.by_zones() if part.zone is not None}}
    columns = {key: chapters(design, part, until="columns")["columns"] for key, part in parts.items()}
    words = on_one_line(design_words(grid, number))
    return [
        (say("title", objective=WORDS[name].capitalize(), unit=unit_of(grid, name), design=words),
         charge_sheet(grid, name, columns, number))
        for name in names
    ]  # fmt: skip

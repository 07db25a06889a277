"""The page of the chapter on settlement along the alignment: transitions, gradients over time, long sections."""

from calc.chapters.alignment.long_section import long_sections
from calc.chapters.alignment.settlements import GRADIENT_HAND, GRADIENT_LATER, Sheets
from calc.chapters.alignment.steps import CROSSED
from calc.engine.sheet import Page, Table, TableColumn, Value, number_text
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)


def page(of: Page, design: Design, section: Section, done: Sheets) -> None:
    """Every transition of the project once, and both long sections."""
    of.set_aside(CROSSED)
    sheets: dict[str, Sheets] = {section.key: {key: sheet for key, sheet in done.items() if "/" not in key}}
    for path, sheet in done.items():
        key, other, name = path.partition("/")
        if other:
            sheets.setdefault(key, {})[name] = sheet
    of.figures.extend(long_sections(design, sheets))
    rows = _transitions(design, sheets)
    if rows:
        dates = next(
            sheets_of_section["alignment"].axes["date"]
            for sheets_of_section in sheets.values()
            if "date" in sheets_of_section["alignment"].axes
        )
        head = [TableColumn(words=say("transition")), TableColumn(symbol="L_tn"), TableColumn(words=say("means")),
                TableColumn(symbol="i_ho"), *(TableColumn(symbol="i_f", words=date) for date in dates)]  # fmt: skip
        of.tables.append(Table("transitions", say("transitions"), head, rows, say("transitions-note")))


def _transitions(design: Design, sheets: dict[str, Sheets]) -> list[list[str]]:
    """A row for each transition that has its numbers, in the order of the file."""
    rows: dict[int, list[str]] = {}
    for key, sheets_of_section in sheets.items():
        sheet = sheets_of_section["alignment"]
        for label, index in sheet.kept.get("transitions", {}).items():
            transition = design.alignment.transitions[index]  # type: ignore[union-attr]  # kept where the table is given
            later = sheet.scopes[GRADIENT_LATER]["i_f"].at(transition=label)
            gradients = [sheet.scopes[GRADIENT_HAND]["i_ho"].at(transition=label),
                     *(later.at(date=date) for date in sheet.axes["date"])]  # fmt: skip
            what = say("row", key=key, label=label)
            rows.setdefault(
                index, [what, number_text(transition.length, 1), transition.means, *map(_largest, gradients)]
            )
    return [rows[index] for index in sorted(rows)]


def _largest(value: Value) -> str:
    return number_text(100 * float(value.array[value.valid].max()), 2) if value.valid.any() else "–"

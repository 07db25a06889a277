"""Filters: the sleeve and the fill against every soft layer and against the fill, the columns as drains, the plug."""

import numpy as np

from calc.checks.filters_drainage import drainage, estimates
from calc.checks.filters_rules import clogging, fill_as_filter, permeability, retention, tests_of_soils
from calc.checks.filters_sketch import filter_sketch
from calc.checks.filters_soils import FilterData, filter_data, give_gradings, missing_tables
from calc.checks.frame import chapter, given_of_section
from calc.checks.seal_plug import seal_plug
from calc.formulas.filters import strained_opening
from calc.inputs import Design, Section
from calc.inputs.filters import Filters
from calc.sheet import Sheet

OPEN = (
    ("filter_retention", "The sleeve holds soil and fill back"),
    ("filter_permeability", "Permeability of the sleeve"),
    ("filter_permittivity", "Permittivity of the sleeve"),
    ("filter_clogging", "The sleeve does not clog"),
    ("fill_passes_water", "The fill passes the water of the soft ground"),
)
FINE_RULES = "Christopher & Holtz (1985), FHWA-TS-86/203 ◦"


def filters(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Retention, permeability and clogging of the sleeve in both directions, drainage by the columns, plug."""
    sheet = chapter("filters", design, section)
    given = section.filters or Filters()
    data = filter_data(section, given)
    sheet.figures.append(filter_sketch(section))
    if data is None:
        for key, title in OPEN:
            sheet.not_verified(key, title, f"Not given: {missing_tables(section, given)}.")
    else:
        sheet.axis("layer", [soil.label for soil in data.soils])
        give_gradings(sheet, section, data.soils)
        _sleeve(sheet, section, data, done)
        retention(sheet, section, data)
        permeability(sheet, section, data)
        clogging(sheet, section, data)
        tests_of_soils(sheet, data)
        fill_as_filter(sheet, section, data)
        _notes(sheet, section, given, data)
    estimates(sheet, design, section, given)
    drainage(sheet, section, given, done)
    seal_plug(sheet, design, section, done)
    return sheet


def _sleeve(sheet: Sheet, section: Section, data: FilterData, done: dict[str, Sheet]) -> None:
    """The fabric, and its opening under the largest ring strain of the section."""
    for name, attribute in (("O_95", "opening"), ("d_y", "yarn"), ("k_g", "permeability"), ("t_g", "thickness")):
        value = getattr(data.geotextile, attribute)
        given_of_section(sheet, name, section, f"filters.geotextile.{attribute}", value)
    strain = done["unit_cell"].scopes["settlement"]["eps_Ri"]
    worst = strain.case_at(int(np.argmax(np.where(strain.valid, strain.array, -1.0))))
    sheet.take("eps_Rm", strain.at(**worst), note="characteristic, largest of all sublayers and stages")
    sheet(strained_opening, eps_R="eps_Rm")


def _notes(sheet: Sheet, section: Section, given: Filters, data: FilterData) -> None:
    sheet.notes.append(
        f"Filter data of the sleeve: {data.geotextile.source}. Coefficients of the rules: {data.criteria.source}."
    )
    sheet.limitation(
        "filter-rules",
        "The rules are made for mineral grains without cohesion. Peat and organic soil have no grading that says as "
        "much; there only a filtration test with the soil itself is evidence.",
        FINE_RULES,
    )
    idle = [soil.layer for soil in given.soils if soil.layer not in {layer.key for layer in section.layers}]
    if idle:
        sheet.notes.append(f"Gradings of layers that this section does not have: {', '.join(idle)}.")

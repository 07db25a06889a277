"""Filters: the sleeve and the fill against every soft layer and against the fill, the columns as drains, the plug."""

import numpy as np

from calc.chapters.filters.column_drains import drainage, estimates
from calc.chapters.filters.filter_rules import clogging, fill_as_filter, permeability, retention, tests_of_soils
from calc.chapters.filters.plug import seal_plug
from calc.chapters.filters.soils import filter_data, give_gradings, missing_tables
from calc.chapters.shared.frame import chapter, given_of_section
from calc.chapters.shared.missing import not_given
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.filters import strained_opening
from calc.inputs import Design, Section
from calc.inputs.tables.filters import Filters

say = words_of(__name__)

OPEN = (
    ("filter_retention", say("open")),
    ("filter_permeability", say("open-2")),
    ("filter_permittivity", say("open-3")),
    ("filter_clogging", say("open-4")),
    ("fill_passes_water", say("open-5")),
)
FINE_RULES = "Christopher & Holtz (1985), FHWA-TS-86/203 ◦"


def filters(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Retention, permeability and clogging of the sleeve in both directions, drainage by the columns, plug."""
    sheet = chapter("filters", design, section)
    table = section.filters or Filters()
    if section.zone is not None:  # what depends on the grid; the soils and the fabric are those of the section
        if table.drainage is not None:
            drainage(sheet, section, table, done)
        return sheet
    data = filter_data(section, table)
    if data is None:
        for key, title in OPEN:
            sheet.not_verified(key, title, not_given(missing_tables(section, table)))
    else:
        sheet.axis("grading", [soil.label for soil in data.soils])
        give_gradings(sheet, section, data.soils)
        # The fabric, and its opening under the largest ring strain of the section.
        for name, attribute in (("O_95", "opening"), ("d_y", "yarn"), ("k_g", "permeability"), ("t_g", "thickness")):
            value = getattr(data.geotextile, attribute)
            given_of_section(sheet, name, section, f"filters.geotextile.{attribute}", value)
        strain = done["unit_cell"].scopes["settlement"]["eps_Ri"]
        worst = strain.case_at(int(np.argmax(np.where(strain.valid, strain.array, -1.0))))
        sheet.take("eps_Rm", strain.at(**worst), note=say("take-eps-rm-note"))
        sheet(strained_opening, eps_R="eps_Rm")
        retention(sheet, section, data)
        permeability(sheet, section, data)
        clogging(sheet, section, data)
        tests_of_soils(sheet, data)
        fill_as_filter(sheet, section, data)
        sheet.limitation("filter-rules", say("limitation-filter-rules"), FINE_RULES)
    estimates(sheet, design, section, table)
    drainage(sheet, section, table, done)
    seal_plug(sheet, design, section, done)
    return sheet

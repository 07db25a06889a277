"""Whether the settlement brings a light zone of the fill below the highest water level, where it would be buoyant."""

from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.geometry import place_of
from calc.engine.levels import above
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.zones import height_above_water
from calc.inputs import Section

say = words_of(__name__)

TITLE = say("title")


def light_zones(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Compare the largest settlement calculated with the height of the lowest light zone above water.

    A zone as heavy as the fill is as the fill of the embankment, which settles below water without floating.
    """
    fill = section.embankment
    light = [(k, zone) for k, zone in fill.zones if zone.gamma < fill.gamma]
    if not light:
        return
    k, zone = min(light, key=lambda known: known[1].bottom)
    highest = max(section.water, key=lambda level: level.level)
    cell = done["unit_cell"].scopes
    known = [cell["settlement"]["s"], cell["elastic_plastic"]["s_EP"]]
    known += [sheet.scopes[name][symbol] for name, symbol in (("below", "s_tot"), ("life", "s_lifeb"))
              if name in sheet.scopes]  # fmt: skip
    scope = sheet.scope("light_zone_water", TITLE)
    largest = max(float(value.array[value.valid].max()) for value in known)
    settled = scope.reading("s_zw", largest, title=say("largest"), inputs=known)
    scope.take("z_P", place_of(done["columns"], "z_P"))
    given_of_section(scope, "h_zb", section, f"embankment.zone.{k}.bottom", zone.bottom)
    given_of_section(scope, "z_wx", section, f"water.{highest.name}", highest.level)
    height = scope(height_above_water)
    if above(float(height.array), largest):
        note = "" if "life" in sheet.scopes else say("part")
        sheet.verdict("light_zone_water", TITLE, effect=settled, resistance=height, note=note)
    else:
        sheet.not_verified("light_zone_water", TITLE, say("below", name=zone.name, water=highest.name))

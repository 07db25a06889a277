"""Horizontal zones of the fill: recorded once, in the chapter on the columns, and read by every chapter after it."""

import numpy as np

from calc.chapters.shared.frame import given_of_section, origin_of
from calc.engine.sheet import Scope, Sheet, Value
from calc.engine.words import words_of
from calc.formulas import zones as zo
from calc.inputs import Section

say = words_of(__name__)

ZONES, HALF = "zones", "zones_half"  # scopes of the chapter on the columns
OF_A_ZONE = ("gamma_z", "h_zb", "h_zt")


def record_zones(sheet: Sheet, section: Section, height: Value, lower: Value) -> None:
    """Record the zones and what they weigh beyond as much fill, at full height and at mid-slope; nothing without.

    ``lower`` is the height at the lower crest edge, above whose slope the middle counts.
    """
    zones = section.embankment.zones
    if not zones:
        return
    sheet.axis("zone", [zone.name for _, zone in zones])
    scope = sheet.scope(ZONES, say("scope-zones-title"))
    for name, field in (("gamma_z", "gamma"), ("h_zb", "bottom"), ("h_zt", "top")):
        origins = [origin_of(section, f"embankment.zone.{k}.{field}") for k, _ in zones]
        values = [getattr(zone, field) for _, zone in zones]
        scope.given(name, values, ["zone"], origin=origins, origin_axis="zone")
    given_of_section(scope, "gamma_E", section, "embankment.gamma", section.embankment.gamma)
    scope.take("H", height)
    for step in (zo.zone_thickness, zo.zone_pressure, zo.pressure_of_zones):
        scope(step)
    inputs = [scope["gamma_z"], scope["gamma_E"]]
    weights = [*scope["gamma_z"].array.tolist(), section.embankment.gamma]
    scope.reading("gamma_Ex", np.array(max(weights)), title=say("heaviest"), inputs=inputs)
    scope.reading("gamma_En", np.array(min(weights)), title=say("lightest"), inputs=inputs)
    half = sheet.scope(HALF, say("scope-half-title"))
    half.take("H", lower)
    half(zo.half_height)
    for name in (*OF_A_ZONE, "gamma_E"):
        half.take(name, scope[name])
    half(zo.zone_thickness, H="H_hf")
    half(zo.zone_pressure)
    half(zo.pressure_of_zones, p_Z="p_Zh")
    sheet.limitation("zones", say("limitation-zones"), "project rule ◇")


def zones_of(done: dict[str, Sheet]) -> Scope | None:
    """The recorded zones, None without any."""
    return done["columns"].scopes.get(ZONES)


def heaviest(scope: Scope | Sheet, done: dict[str, Sheet], name: str = "gamma_E") -> None:
    """Take the largest unit weight of fill and zones, of a fill that has zones."""
    scope.take(name, done["columns"].scopes[ZONES]["gamma_Ex"], note=say("heaviest-note"))


def friction_of_fill(scope: Scope | Sheet, section: Section) -> None:
    """Give the friction angle of the fill, the least of its zones where they have less."""
    fill = section.embankment
    known = [("embankment.phi", fill.phi), *((f"embankment.zone.{k}.phi", zone.phi) for k, zone in fill.zones)]
    path, value = min(known, key=lambda angle: angle[1])
    given_of_section(scope, "phi_Ek", section, path, value)


def take_zones(scope: Scope | Sheet, done: dict[str, Sheet]) -> None:
    """Take what the zones are made of, of a fill that has zones."""
    zones = done["columns"].scopes[ZONES]
    scope.sheet.axis("zone", zones["gamma_z"].labels("zone"))
    for name in OF_A_ZONE:
        scope.take(name, zones[name])

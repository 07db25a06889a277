"""Ground: sublayers, water and the initial effective stresses in soil and column."""

from math import radians

from calc.chapters.ground.liquefaction import liquefaction
from calc.chapters.ground.uplift import uplift
from calc.chapters.shared.frame import frame
from calc.chapters.shared.heads import names_of_water
from calc.chapters.shared.initial_state import initial_state
from calc.chapters.shared.missing import quoted_names
from calc.engine.levels import above
from calc.engine.sheet import Sheet, stage_names
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

LEAST_SOIL_FRICTION = radians(10.0)
USUAL_K_STAR = 1.0
SOFT_STRENGTH = (3.0, 30.0)  # kPa, undrained strength of the ground the method was made for
SOFT_MODULUS = (500.0, 3000.0)  # kPa
EBGEO = "EBGEO (2010), ch. 10 ◦"


def ground(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Initial stresses per sublayer and stage, coefficients at rest, validity of the soil data."""
    sheet = initial_state(design, section)
    _water(sheet, section)
    _validity(sheet, section)
    _doubtful(sheet)
    uplift(sheet, section, frame(design, section))
    liquefaction(sheet, section, done)
    return sheet


def _water(sheet: Sheet, section: Section) -> None:
    """Where the water levels leave what the calculation covers."""
    levels = {level.name: level.level for level in section.water}
    names = names_of_water(section)
    flooded = [
        label
        for label, name in zip(sheet.axes["stage"], names, strict=True)
        if above(levels[name], section.ground_level)
    ]
    if flooded:
        sheet.limitation(
            "water-above-ground",
            say("limitation-water-above-ground", flooded=stage_names(flooded)),
            "project rule",
        )
    # Of the lowest and the highest level the chapter on bearing says more.
    idle = [name for name in levels if name not in {*names, section.water[0].name, section.water[-1].name}]
    if idle:
        sheet.limitation("water-not-used", say("limitation-water-not-used", idle=quoted_names(idle)), "project file")


def _validity(sheet: Sheet, section: Section) -> None:
    for layer in section.soft_layers:
        if not layer.has_strength:
            text = say("validity-text", layer_name=layer.name)
            sheet.limitation(f"c_u-{layer.key}", text)
        elif layer.weakest[0] < SOFT_STRENGTH[0] or layer.strongest > SOFT_STRENGTH[1]:
            text = say("validity-text-3", layer_name=layer.name)
            sheet.limitation(f"c_u-{layer.key}", text, EBGEO)
        if not SOFT_MODULUS[0] <= layer.E_oed_ref <= SOFT_MODULUS[1]:
            text = say("validity-text-2", layer_name=layer.name)
            sheet.limitation(f"E_oed-{layer.key}", text, EBGEO)


def _doubtful(sheet: Sheet) -> None:
    """Values with which the standard method would flatter the ground."""
    cohesion, stress = sheet["p_c"].array, sheet["sigma_v0s"].array
    if (cohesion > stress).any():
        sheet.limitation(
            "cohesion-modulus",
            say("limitation-cohesion-modulus"),
            "project rule",
        )
    if ((cohesion > 0) & (sheet["phi_s"].array < LEAST_SOIL_FRICTION)).any():
        why = say("doubtful-why")
        sheet.not_verified("effective-strength", say("open-effective-strength-title"), why)
    passive = sheet["K_ps"].array
    if (sheet["K_star"].array > passive).any() or (sheet["K_0s"].array > passive).any():
        text = say("doubtful-text")
        sheet.limitation("beyond-passive", text, "Rankine (1857) ◦")
    if (sheet["K_star"].array > USUAL_K_STAR).any():
        text = say("doubtful-text-2")
        sheet.limitation("K-star", text, "EBGEO (2010), ch. 10 ◦")

"""The pseudo-static earthquake as the chapters take it: coefficients of every stage, thrust, inertia, strength left."""

from calc.chapters.shared.frame import given_of_section
from calc.chapters.shared.zones import zones_of
from calc.engine.sheet import Origin, RestsOn, Scope, Sheet, Step, Value
from calc.engine.words import words_of
from calc.formulas import earthquake as eq
from calc.formulas.crest import active_coefficient_below_rising_ground
from calc.formulas.ground import active_coefficient
from calc.formulas.thrust import slope_weight
from calc.inputs import Section
from calc.inputs.tables.earthquake import SEISMIC

say = words_of(__name__)

EARTHQUAKE = "earthquake"  # scope of the design basis


def shaken_stages(section: Section, labels: tuple[str, ...]) -> list[str]:
    """The stages, of those of the axis, in which the earthquake acts."""
    return [label for label, stage in zip(labels[1:], section.stages, strict=True) if stage.situation == SEISMIC]


def record_earthquake(sheet: Sheet, section: Section) -> None:
    """Give the action and record the coefficients of every stage; nothing without an earthquake."""
    earthquake = section.earthquake
    if earthquake is None:
        return
    scope = sheet.scope(EARTHQUAKE, say("scope-earthquake-title"), stage=shaken_stages(section, sheet.axes["stage"])[0])
    indicator(scope, section)
    for name, field in (("a_gE", "a_g"), ("S_gr", "soil_factor"), ("r_h", "reduction"), ("r_v", "vertical")):
        given_of_section(scope, name, section, f"earthquake.{field}", getattr(earthquake, field))
    for step in (
        eq.horizontal_coefficient,
        eq.vertical_coefficient,
        eq.weight_factor_upward,
        eq.weight_factor_downward,
    ):
        scope(step)
    sheet.accepted("liquefaction", say("liquefaction-title"), earthquake.liquefaction)
    sheet.limitation("liquefaction", say("limitation-liquefaction"), "EN 1998-5:2004, 4.1.4 ◦")
    _state_omissions(sheet, section)


def _state_omissions(sheet: Sheet, section: Section) -> None:
    """State water levels in use that no earthquake meets, and how strips of traffic load do."""
    shaken = {stage.water for stage in section.stages if stage.situation == SEISMIC}
    labels = shaken_stages(section, sheet.axes["stage"])
    water = [stage.water for stage in section.stages if stage.situation == "persistent" and stage.water not in shaken]
    if water:
        text = say("limitation-earthquake-water", names=", ".join(f"“{name}”" for name in dict.fromkeys(water)))
        sheet.limitation("earthquake-water", text, "project rule", turns=RestsOn(_of_the_earthquake, labels))
    with_traffic = any(stage.traffic for stage in section.stages if stage.situation == SEISMIC)
    if with_traffic and section.traffic is not None and section.traffic.strip:
        sheet.limitation("earthquake-strips", say("limitation-earthquake-strips"), "project rule ◇")


def _of_the_earthquake(step: Step) -> bool:
    """Whether a step records the action, or what it leaves of the undrained strength."""
    return step.symbol == "i_E" or step.key.split("/")[1:3] == ["basis", EARTHQUAKE]


def indicator(scope: Scope | Sheet, section: Section) -> None:
    """Give whether the earthquake acts in a stage."""
    acts = [0.0, *(float(stage.situation == SEISMIC) for stage in section.stages)]
    scope.given("i_E", acts, ["stage"], origin=Origin("project rule", text=say("indicator")))


def strength_left(scope: Scope | Sheet, section: Section) -> None:
    """Divide the undrained strength further by what cyclic loading takes of it."""
    assert section.earthquake is not None  # noqa: S101 - asked before
    indicator(scope, section)
    given_of_section(scope, "delta_E", section, "earthquake.strength_left", section.earthquake.strength_left)
    scope(eq.strength_left_in_stage)
    scope(eq.strength_divisor_under_shaking)


def coefficient(done: dict[str, Sheet], name: str) -> Value:
    """A coefficient of the design basis."""
    return done["basis"].scopes[EARTHQUAKE][name]


def take_coefficients(scope: Scope | Sheet, done: dict[str, Sheet], *names: str) -> None:
    """Take some of the coefficients from the design basis."""
    for name in names:
        scope.take(name, coefficient(done, name))


def thrust_coefficient(scope: Scope, section: Section, done: dict[str, Sheet]) -> None:
    """Coefficient of the active thrust of the fill, the worse of both vertical directions where the earth shakes."""
    rises = "beta_C" in scope
    if section.earthquake is None:
        scope(active_coefficient_below_rising_ground if rises else active_coefficient, K_a="K_aE", phi="phi_E")
        return
    shaken = eq.active_coefficient_below_rising_ground_under_shaking if rises else eq.active_coefficient_under_shaking
    take_coefficients(scope, done, "k_h", "f_vu", "f_vd")
    scope(eq.slope_of_inertia)
    scope(eq.slope_of_inertia, theta_u="theta_d", f_vu="f_vd")
    scope(shaken, phi="phi_E")
    scope(shaken, K_Eu="K_Ed", phi="phi_E", theta_u="theta_d")
    scope(eq.worse_active_coefficient, K_a="K_aE")


def take_moved_weight(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """Take the unit weight that the inertia of a side slope goes back to, the largest of fill, zones and platform."""
    zones, cell = zones_of(done), done["unit_cell"]
    known = [cell["gamma_E"], *([zones["gamma_Ex"]] if zones else []), *([cell["gamma_P"]] if section.platform else [])]
    sheet.take("gamma_EK", max(known, key=lambda value: float(value.array)), note=say("take-moved-note"))


def inertia_of_slope(scope: Scope, section: Section, height: str) -> str:
    """Add the inertia of the side slope to the thrust; the symbol of what drives."""
    if section.earthquake is None:
        return "E_ad"
    scope(slope_weight, W_S="W_SE", gamma_E="gamma_EK", H=height)
    scope(eq.inertia_of_slope)
    scope(eq.thrust_with_inertia)
    return "E_adE"

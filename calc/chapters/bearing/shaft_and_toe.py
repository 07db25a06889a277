"""Columns that end in soft ground: shaft and toe together against their stress, and the soft ground below the toes."""

from calc.chapters.bearing.toe import drained_resistance, pressure, water_of_final_state
from calc.chapters.shared.column_zones import ZONE
from calc.chapters.shared.frame import frame, given_of_section, strength_of_sublayers
from calc.chapters.shared.geometry import PLACES
from calc.chapters.shared.soft_ground import factors
from calc.engine.sheet import Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import floating as fl
from calc.formulas.bearing import design_bearing_pressure, design_undrained_strength
from calc.formulas.column_field import design_friction_angle
from calc.inputs import Design, Section

say = words_of(__name__)

TAKEN = ("alpha_sh", "K_sh", "delta_sh", "N_cB", "d_c")
EXTENT = ("soft_below_block", say("extent-title"))


def shaft_and_toe(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """The largest stress that the cell gives the column, on its shaft and toe, drained and undrained below the toe."""
    scope = sheet.scope("toe", say("scope-drained-title"))
    pressure(scope, section, done)
    drained_resistance(scope, design, section, done, "sigma_RB")
    _shaft(scope, design, section, done)
    _verify(sheet, scope, "shaft_and_toe")
    scope = sheet.scope("toe_undrained", say("scope-undrained-title"))
    pressure(scope, section, done)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    _shaft(scope, design, section, done)
    scope.take("c_uB", done["unit_cell"].scopes["shaft"]["c_uB"])
    scope(design_undrained_strength, c_ud="c_uBd", c_u="c_uB")
    scope(fl.soft_toe_resistance, c_uB="c_uBd")
    _verify(sheet, scope, "shaft_and_toe_undrained")
    sheet.limitation("toe-floating", say("limitation-toe-floating"), "project rule ◇")
    water_of_final_state(sheet, section)
    _extent(sheet, section, done)


def _shaft(scope: Scope, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """What the shaft passes on over its whole length, with design strengths."""
    shaft, ground = done["unit_cell"].scopes["shaft"], done["ground"]
    for name in TAKEN:
        scope.take(name, shaft[name])
    for name in ("h", "sigma_v0s"):
        scope.take(name, ground[name])
    strength_of_sublayers(scope, section, frame(design, section), ground)
    factors(scope, design, section, (("gamma_cu", "gamma_cu"),))
    scope(design_undrained_strength)
    scope(design_friction_angle, phi_d="delta_shd", phi="delta_sh")
    scope(fl.shaft_shear, c_u="c_ud", delta_sh="delta_shd")
    scope(fl.shaft_transfer)


def _verify(sheet: Sheet, scope: Scope, key: str) -> None:
    scope(fl.resistance_of_shaft_and_toe)
    scope(design_bearing_pressure)
    sheet.verdict(key, scope.title, effect=scope["sigma_td"], resistance=scope["sigma_Rd"])


def _extent(sheet: Sheet, section: Section, done: dict[str, Sheet]) -> None:
    """The soft ground below the toes is thinner than the block of columns is wide: else no raft at the toes.

    The block of a zone is the zone: the columns beside it stand on firm ground or end elsewhere.
    """
    key, title = EXTENT
    scope, columns = sheet.scope("block", title), done["columns"]
    soft_below(scope, section)
    place, ends, width = (
        (PLACES, ("x_cr", "x_cl"), fl.width_of_block)
        if section.zone is None
        else (ZONE, ("x_z2", "x_z1"), fl.width_of_block_of_zone)
    )
    for name in ends:
        scope.take(name, columns.scopes[place][name])
    scope(width)
    made = sheet.verdict(key, title, effect=scope["t_sB"], resistance=scope["b_cf"], note=say("extent-note"))
    if made.state == "fail":
        sheet.withhold(made, say("extent-why"))


def excess_weight(scope: Scope, done: dict[str, Sheet]) -> None:
    """What the columns weigh more than the soil in their place: a load on the ground below the toes."""
    scope.take("a_E", done["columns"]["a_E"])
    for name in ("sigma_v0ct", "sigma_v0t"):
        scope.take(name, done["unit_cell"].scopes["shaft"][name])
    scope(fl.excess_weight_at_toe)


def soft_below(scope: Scope, section: Section) -> None:
    """Give the thickness of the soft ground below the toes."""
    floating = section.columns.floating
    assert floating is not None  # noqa: S101 - asked before
    given_of_section(scope, "t_sB", section, "columns.floating.soft_below", floating.soft_below)

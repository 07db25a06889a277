"""The columns in the extruding wedge: what stresses them, and their shear force at its faces."""

from calc.chapters.bearing.wedge_zones import Grids
from calc.chapters.shared.frame import GIVEN_RATIO, at_labels, given_of_section
from calc.chapters.shared.heads import HEADS, has_heads
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.words import words_of
from calc.formulas import bending as be
from calc.formulas import column_zones as cz
from calc.formulas import extrusion as ex
from calc.formulas.column_field import buoyant_unit_weight, design_friction_angle
from calc.formulas.pore_pressure import unit_weight_with_upward_flow
from calc.formulas.shear_parameters import column_stress_share
from calc.formulas.stage_pressure import permanent_pressure, permanent_pressure_with_zones
from calc.inputs import Section
from calc.procedures.extrusion import COUNTED_RATIO

say = words_of(__name__)


def column(scope: Scope, section: Section, done: dict[str, Sheet], grids: Grids) -> None:
    """What the shear force of the columns goes back to."""
    for name in ("A_c", *([] if grids.several else ["A_E"]), "d_c"):
        scope.take(name, done["columns"][name])
    if grids.several:
        scope(cz.area_at_inner_plane)
        scope(cz.area_along_base)
    for name in ("gamma_cr", "gamma_w"):
        scope.take(name, done["ground"][name])
    if has_heads(done["ground"]):
        scope.take("i_col", done["ground"].scopes[HEADS]["i_col"])
        scope(unit_weight_with_upward_flow, gamma_b="gamma_ceff", gamma_br="gamma_cr")
    else:
        scope(buoyant_unit_weight, gamma_b="gamma_ceff", gamma_br="gamma_cr")
    given_of_section(scope, "phi_ck", section, "columns.fill.phi", section.columns.fill.phi)
    scope.take("gamma_phi", done["basis"]["gamma_phi"])
    scope(design_friction_angle, phi_d="phi_cd", phi="phi_ck")


def counted_ratio(scope: Scope) -> str:
    """The stress ratio that counts in the wedge, its symbol: no more than what limit analysis confirms.

    Strongly loaded columns yield before the ground is extruded: the load that limit analysis bears hardly grows then,
    that of the wedge would.
    """
    if not (scope["n_st"].array > COUNTED_RATIO).any():
        return "n_st"
    scope.given("n_wlim", COUNTED_RATIO, origin=Origin("project rule", text=say("rule-ratio")))
    return scope(ex.counted_stress_ratio).symbol


def stress_on_column(scope: Scope, grids: Grids, ratio: str, *, lift: bool) -> None:
    """Stress increment of the columns, by the ratio for stability whatever the soil is loaded by."""
    zones = "p_Z" in scope
    permanent = permanent_pressure_with_zones if zones else permanent_pressure
    # Stress on the columns gives resistance: zones that end within the bank count where they weigh least.
    least = "p_Zn" in scope
    scope(permanent, **({"p_Z": "p_Zn"} if least else {}))
    ratio_given = at_labels(scope[ratio], ratio=GIVEN_RATIO)
    if not lift:
        scope(column_stress_share, n_st=ratio_given)
        scope(ex.permanent_stress_on_column)
        if grids.several:
            scope(column_stress_share, mu_c="mu_cx", n_st=ratio_given, a_E="a_Ex")
            scope(ex.permanent_stress_on_column, p_cN="p_cNb", mu_c="mu_cx")
            _over_inner_plane(scope, grids)
        return
    if least:
        scope.take("p_Znb", scope["p_Zn"].before("stage", 0.0))
    below = {"p_Z": "p_Znb" if least else "p_Zb"} if zones else {}
    scope(permanent, p_G="p_Gb", H="H_b", p_P="p_Pb", **below)
    before, lift_share = (at_labels(scope[name], ratio=GIVEN_RATIO) for name in ("n_stb", "mu_L"))
    scope(column_stress_share, mu_c="mu_cb", n_st=before)
    scope(ex.column_share_of_lift, mu_L=lift_share)
    scope(ex.permanent_stress_on_column_under_lift)
    if grids.several:
        scope(column_stress_share, mu_c="mu_cbx", n_st=before, a_E="a_Ex")
        scope(ex.column_share_of_lift, mu_cn="mu_cnx", mu_L=lift_share, a_E="a_Ex")
        scope(ex.permanent_stress_on_column_under_lift, p_cN="p_cNb", mu_cb="mu_cbx", mu_cn="mu_cnx")
        _over_inner_plane(scope, grids)


def _over_inner_plane(scope: Scope, grids: Grids) -> None:
    """Of the height that stands over the inner plane, which below the side slope is less than at the crest edge."""
    scope(cz.column_stress_over_inner_plane, p_cNp=grids.stress)
    scope(cz.column_stress_over_inner_plane, p_cNp=grids.stress_below, p_cN="p_cNb")


def shear_of_columns(scope: Scope, grids: Grids) -> None:
    """Shear force of a column at the inner plane and at the base, each from its stress and the ground beside it."""
    for place, stress, ground in (
        ("i", ex.column_stress_at_inner_plane, "c_umx"),
        ("b", ex.column_stress_at_base, "c_ube"),
    ):
        symbols = {"N_cN": f"N_w{place}", "M_kern": f"M_w{place}", "p_lat": f"p_w{place}"}
        shear = {"V_fr": f"V_fw{place}", "V_be": f"V_bw{place}", "V_col": f"V_w{place}"}
        force, moment, lateral = symbols["N_cN"], symbols["M_kern"], symbols["p_lat"]
        scope(stress, p_cN=grids.stress_below if place == "b" else grids.stress)
        scope(be.column_force_at_cut, N_cN=force, sigma_cN=f"sigma_c{place}")
        scope(be.kern_moment, M_kern=moment, N_cN=force)
        scope(be.lateral_resistance, p_lat=lateral, c_ud=ground)
        scope(be.column_friction, V_fr=shear["V_fr"], N_cN=force, phi_c="phi_cd")
        scope(be.bending_shear, V_be=shear["V_be"], M_kern=moment, p_lat=lateral)
        if place == "i":
            scope(be.column_shear, **shear)
            scope(be.hinge_distance, e_hi="e_wi", M_kern=moment, p_lat=lateral)
        else:
            scope(be.embedment_shear, V_toe="V_lwb", p_lat=lateral, t_toe="D_sq")
            scope(be.column_shear_with_lengths, **shear, V_le="V_lwb")
    scope(ex.shear_on_inner_plane, A_E=grids.inner)
    scope(ex.shear_along_base, A_E=grids.base)

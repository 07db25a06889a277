"""Every symbol of the project once: printed form, unit inside, unit shown, decimals shown, meaning.

The printed form is written as ``base^mark_{index}``: ``K^*_{0,s}`` is K with a star and the index 0,s.
"""

from dataclasses import dataclass
from functools import cached_property
from math import pi
from re import compile as pattern

# Factor from the coherent unit to the unit shown, for the few quantities that are shown in another unit.
SHOWN_FACTORS = {
    ("m", "mm"): 1000.0,
    ("rad", "deg"): 180.0 / pi,
    ("day", "a"): 1.0 / 365.25,
    ("-", "%"): 100.0,
    ("m/day", "m/s"): 1.0 / 86400.0,
}

UNIT_TEXT = {
    "-": "",
    "deg": "°",
    "rad": "rad",
    "kPa": "kN/m²",
    "m^2": "m²",
    "m^3": "m³",
    "kN/m^3": "kN/m³",
    "kPa/m": "kN/m³",
    "day": "d",
    "a": "years",
}

_PRINTED = pattern(r"(?P<base>[^_^{}]+)(?:\^(?P<mark>[*′]+))?(?:_(?:\{(?P<long>[^{}]+)\}|(?P<short>[^{}])))?")


class NomenclatureError(ValueError):
    """A symbol that is not declared, declared twice, or declared in a form that cannot be printed."""


@dataclass(frozen=True)
class Symbol:
    """One quantity of the trade as the package prints it."""

    name: str
    printed: str
    unit: str
    meaning: str
    decimals: int
    shown: str

    @cached_property
    def parts(self) -> tuple[str, str, str]:
        """Base, mark and index of the printed form."""
        match = _PRINTED.fullmatch(self.printed)
        if match is None:
            message = f"the printed form {self.printed!r} of {self.name} is not base^mark_{{index}}"
            raise NomenclatureError(message)
        return match["base"], match["mark"] or "", match["long"] or match["short"] or ""

    @property
    def plain(self) -> str:
        """The symbol in running text without markup, for alternative texts and terminals."""
        base, mark, index = self.parts
        return base + mark + (f"_{index}" if index else "")

    @property
    def factor(self) -> float:
        """Value shown divided by value inside."""
        return 1.0 if self.shown == self.unit else SHOWN_FACTORS[(self.unit, self.shown)]

    @property
    def unit_text(self) -> str:
        """The unit shown, as printed."""
        return UNIT_TEXT.get(self.shown, self.shown)

    @property
    def coherent_unit_text(self) -> str:
        """The coherent unit, as printed."""
        return UNIT_TEXT.get(self.unit, self.unit)

    @property
    def coherent_decimals(self) -> int:
        """Decimals of the value in the coherent unit that say as much as the decimals shown."""
        return {"mm": 3, "%": 2}.get(self.shown, 0) + self.decimals


NOMENCLATURE: dict[str, Symbol] = {}


def symbol(name: str) -> Symbol:
    """The declared symbol of this name."""
    try:
        return NOMENCLATURE[name]
    except KeyError:
        message = f"the symbol {name!r} is not in the nomenclature"
        raise NomenclatureError(message) from None


def _declare(name: str, printed: str, unit: str, decimals: int, meaning: str, shown: str = "") -> None:
    if name in NOMENCLATURE:
        message = f"the symbol {name!r} is declared twice"
        raise NomenclatureError(message)
    declared = Symbol(name, printed, unit, meaning, decimals, shown or unit)
    # Both are looked at now, so that a symbol that cannot be printed stops the import and not a page.
    _ = declared.parts, declared.factor
    NOMENCLATURE[name] = declared


_ = _declare

# Geometry of grid and column
_("a_x", "a", "m", 3, "spacing of the columns")
_("d_c", "d_c", "m", 3, "diameter of the column")
_("r_c", "r_c", "m", 4, "radius of the column at installation")
_("A_c", "A_c", "m^2", 4, "area of the column")
_("A_E", "A_E", "m^2", 4, "area of the unit cell")
_("a_E", "a_E", "-", 5, "area ratio")
_("d_e", "d_e", "m", 4, "equivalent diameter of the unit cell")
_("L_c", "L_c", "m", 2, "length of the column")
_("t_soft", "t_w", "m", 2, "thickness of the soft layers")
_("t_emb", "t_e", "m", 2, "embedment in the bearing layer")
_("t_up", "t_u", "m", 2, "upstand of the column above ground level")
_("h", "h", "m", 3, "thickness of the sublayer")
_("z", "z", "m", 2, "depth of the middle of the sublayer")

# Ground
_("gamma", "γ", "kN/m^3", 2, "unit weight above water")
_("gamma_r", "γ_r", "kN/m^3", 2, "saturated unit weight")
_("gamma_w", "γ_w", "kN/m^3", 2, "unit weight of water")
_("gamma_eff", "γ_{eff}", "kN/m^3", 2, "effective unit weight at this depth")
_("d_w", "d_w", "m", 2, "depth of the water level below ground level")
_("w", "w", "kPa", 3, "effective weight of the sublayer on its area")
_("w_c", "w_c", "kPa", 3, "effective weight of the column fill in the sublayer on its area")
_("gamma_cd", "γ_c", "kN/m^3", 2, "unit weight of the column fill above water")
_("gamma_cr", "γ_{c,r}", "kN/m^3", 2, "saturated unit weight of the column fill")
_("gamma_ceff", "γ_{c,eff}", "kN/m^3", 2, "effective unit weight of the column fill at this depth")
_("p_0", "p_0", "kPa", 3, "pressure on the ground level before construction")
_("sigma_v0", "σ_{v,0}", "kPa", 3, "initial effective vertical stress")
_("sigma_v0s", "σ_{v,0,s}", "kPa", 3, "initial effective vertical stress in the soil")
_("sigma_v0c", "σ_{v,0,c}", "kPa", 3, "initial effective vertical stress in the column")
_("phi", "φ′", "rad", 3, "effective friction angle", shown="deg")
_("phi_s", "φ′_s", "rad", 3, "effective friction angle of the soil", shown="deg")
_("c_s", "c′_s", "kPa", 2, "effective cohesion of the soil")
_("K_0", "K_0", "-", 5, "coefficient of earth pressure at rest")
_("K_0s", "K_{0,s}", "-", 5, "at-rest coefficient of the soil, applied to the added stress")
_("K_star", "K^*_{0,s}", "-", 5, "coefficient of the soil after installation, applied to the initial stress")
_("E_ref", "E_{ref}", "kPa", 1, "oedometer modulus of the soil at the reference pressure")
_("p_ref", "p_{ref}", "kPa", 1, "reference pressure of the oedometer modulus")
_("m", "m", "-", 3, "exponent of the stress-dependent modulus")
_("nu_s", "ν_s", "-", 3, "drained Poisson ratio of the soil")

# Fill of the column
_("phi_ck", "φ′_{c,k}", "rad", 3, "characteristic friction angle of the column fill", shown="deg")
_("phi_c", "φ′_c", "rad", 3, "friction angle of the column fill in this factor set", shown="deg")
_("gamma_phi", "γ_φ", "-", 2, "partial factor on the tangent of the friction angle")
_("K_a", "K_a", "-", 6, "coefficient of active earth pressure")
_("K_ac", "K_{a,c}", "-", 6, "coefficient of active earth pressure of the column fill")
_("K_pc", "K_{p,c}", "-", 5, "coefficient of passive earth pressure of the column fill")
_("psi_c", "ψ_c", "rad", 3, "dilatancy angle of the column fill", shown="deg")
_("E_c", "E_c", "kPa", 0, "Young's modulus of the column fill")
_("nu_c", "ν_c", "-", 3, "Poisson ratio of the column fill")

# Loads on the cell
_("H", "H", "m", 3, "height of fill in this stage")
_("f_H", "f_H", "-", 2, "share of the fill height at this position")
_("H_w", "H_w", "m", 3, "height of fill standing in water")
_("gamma_E", "γ_E", "kN/m^3", 2, "unit weight of the embankment fill")
_("gamma_Esub", "γ′_E", "kN/m^3", 2, "buoyant unit weight of the embankment fill")
_("q", "q", "kPa", 2, "traffic load")
_("f_q", "f_q", "-", 2, "factor on the traffic load in this load case and factor set")
_("p_P", "p_P", "kPa", 3, "pressure of the working platform, where it is part of the load")
_("p_M", "p_M", "kPa", 3, "pressure of the make-up fill")
_("s_M", "s_M", "m", 4, "settlement replaced by make-up fill", shown="m")
_("Dsigma_G", "Δσ_G", "kPa", 3, "added vertical stress from permanent load before make-up fill")
_("Dsigma_0", "Δσ_0", "kPa", 3, "added vertical stress on the unit cell")

# Unit cell, standard method
_("Dsigma_min", "Δσ_{0,min}", "kPa", 3, "load above which the column is at its active state")
_("Dsigma_vs", "Δσ_{v,s}", "kPa", 3, "added vertical stress on the soil")
_("Dsigma_vc", "Δσ_{v,c}", "kPa", 3, "added vertical stress on the column")
_("p_1", "p_1", "kPa", 3, "effective stress before loading, for the modulus")
_("p_2", "p_2", "kPa", 3, "effective stress after loading, for the modulus")
_("p_m", "p^*", "kPa", 3, "logarithmic mean of the stresses before and after loading")
_("E_oed", "E_{oed,s}", "kPa", 2, "oedometer modulus of the soil for this stress step")
_("E_star", "E^*", "kPa", 2, "modulus of the soil ring against widening of the column")
_("sigma_hc", "σ_{h,c}", "kPa", 3, "horizontal stress of the column")
_("sigma_hs", "σ_{h,s}", "kPa", 3, "horizontal stress of the soil")
_("sigma_hdiff", "σ_{h,diff}", "kPa", 4, "horizontal stress difference taken by widening of the soil ring")
_("Dsigma_hgeo", "Δσ_{h,geo}", "kPa", 3, "horizontal support by the sleeve")
_("k_ring", "k_R", "kPa/m", 2, "stiffness of the soil ring against widening")
_("k_J", "k_J", "kPa/m", 2, "stiffness of the taut sleeve against widening")
_("Dr_gap", "Δr_0", "m", 2, "slack of the sleeve: installed radius less column radius", shown="mm")
_("r_geo", "r_{geo}", "m", 4, "installed radius of the sleeve")
_("Dr_free", "Δr_{free}", "m", 1, "widening of the column without a sleeve", shown="mm")
_("Dr_c", "Δr_c", "m", 3, "widening of the column", shown="mm")
_("Dr_geo", "Δr_{geo}", "m", 3, "widening of the sleeve", shown="mm")
_("J", "J", "kN/m", 1, "tensile stiffness of the sleeve in ring direction")
_("F_R", "F_R", "kN/m", 2, "ring tension of the sleeve")
_("s_s", "s_s", "m", 2, "settlement of the soil in the sublayer", shown="mm")
_("s_c", "s_c", "m", 2, "settlement of the column in the sublayer", shown="mm")
_("s_gap", "Δs", "m", 2, "difference of the two settlements", shown="mm")
_("s", "s", "m", 1, "settlement", shown="mm")

# Unit cell, standard method: confirmation and comparison
_("Dr_check", "Δr_{c,U6}", "m", 3, "widening of the column from the stress difference", shown="mm")
_("s_i", "s_i", "m", 2, "settlement of the sublayer", shown="mm")
_("n", "n", "-", 2, "ratio of the added stress on the column to that on the soil")
_("eps_R", "ε_R", "-", 2, "ring strain of the sleeve", shown="%")
_("p_2u", "p_{2,u}", "kPa", 3, "effective stress after loading without columns")
_("p_mu", "p^*_u", "kPa", 3, "logarithmic mean stress without columns")
_("E_oedu", "E_{oed,u}", "kPa", 2, "oedometer modulus of the soil for the whole load without columns")
_("s_iu", "s_{i,u}", "m", 2, "settlement of the sublayer without columns", shown="mm")
_("s_u", "s_u", "m", 1, "settlement without columns", shown="mm")
_("beta", "β", "-", 3, "improvement factor: settlement without columns over settlement with columns")

# Elastic cell
_("lambda_s", "λ_s", "kPa", 2, "first Lamé constant of the soil")
_("G_s", "G_s", "kPa", 2, "shear modulus of the soil")
_("lambda_c", "λ_c", "kPa", 1, "first Lamé constant of the column fill")
_("G_c", "G_c", "kPa", 1, "shear modulus of the column fill")
_("F_el", "F", "-", 6, "radial over vertical strain of the column in the elastic cell")
_("D_c", "D_c", "kPa", 2, "vertical stress on the column per vertical strain, elastic")
_("D_r", "D_r", "kPa", 2, "radial stress in the column per vertical strain, elastic")
_("D_s", "D_s", "kPa", 2, "mean vertical stress on the soil per vertical strain, elastic")
_("M_el", "M_{el}", "kPa", 2, "load on the cell per vertical strain, elastic")
_("eps_el", "ε_{el}", "-", 4, "vertical strain of the elastic cell", shown="%")
_("T_el", "T_{el}", "kN/m", 2, "ring tension of the sleeve in the elastic cell")

# Elastic, plastic cell and its rigid, plastic limit
_("K_p", "K_p", "-", 5, "coefficient of passive earth pressure")
_("sigma_r0", "σ_{r,0}", "kPa", 3, "initial radial stress between column and soil")
_("k_psi", "k_ψ", "-", 5, "ratio of the plastic strains of the column fill")
_("J_0", "J_0", "kN/m", 1, "ring stiffness of the sleeve before its slack is used up")
_("y_0", "y_0", "kPa", 3, "vertical stress by which the column is below its limit state before loading")
_("y_1", "y_1", "-", 5, "share of the load by which the elastic column approaches its limit state")
_("p_y", "p_y", "kPa", 4, "load carried in the elastic stage")
_("eps_y", "ε_y", "-", 5, "vertical strain at the end of the elastic stage", shown="%")
_("alpha_c", "α_c", "1/kPa", 9, "elastic vertical strain of the yielding column per radial stress")
_("beta_c", "β_c", "1/kPa", 9, "elastic radial strain of the yielding column per radial stress")
_("delta_c", "δ_c", "1/kPa", 9, "widening strain lost to elastic compression of the yielding column per radial stress")
_("kappa", "κ", "kPa", 2, "radial stress at the wall per widening strain, of soil and sleeve")
_("kappa_0", "κ_0", "kPa", 2, "radial stress at the wall per widening strain while the sleeve is slack")
_("rho", "ρ", "kPa", 3, "radial stress at the wall per vertical strain in the plastic stage")
_("rho_0", "ρ_0", "kPa", 3, "radial stress at the wall per vertical strain in the plastic stage, sleeve slack")
_("eta", "η", "-", 6, "widening strain per vertical strain in the plastic stage")
_("eta_0", "η_0", "-", 6, "widening strain per vertical strain in the plastic stage, sleeve slack")
_("M_p", "M_p", "kPa", 3, "load on the cell per vertical strain in the plastic stage")
_("M_p0", "M_{p,0}", "kPa", 3, "load on the cell per vertical strain in the plastic stage, sleeve slack")
_("eps_t", "ε_t", "-", 5, "vertical strain at which the sleeve becomes taut", shown="%")
_("p_t", "p_t", "kPa", 4, "load at which the sleeve of the yielding cell becomes taut")
_("eps_z", "ε_z", "-", 4, "vertical strain of the cell", shown="%")
_("eps_EP", "ε_{EP}", "-", 4, "vertical strain of the elastic, plastic cell", shown="%")
_("Dr_EP", "Δr_{EP}", "m", 3, "widening of the column in the elastic, plastic cell", shown="mm")
_("T_EP", "T_{EP}", "kN/m", 2, "ring tension of the sleeve in the elastic, plastic cell")
_("Dsigma_vsEP", "Δσ_{v,s,EP}", "kPa", 4, "mean added vertical stress on the soil in the elastic, plastic cell")
_("s_EP", "s_{EP}", "m", 1, "settlement by the elastic, plastic cell", shown="mm")
_("delta_s", "δ_s", "-", 1, "share by which the standard method settles less", shown="%")
_("A_RP", "A_{RP}", "kPa", 3, "added vertical stress on the soil per vertical strain, rigid, plastic column")
_("B_RP", "B_{RP}", "kPa", 3, "added radial stress at the wall per vertical strain, rigid, plastic column")
_("eps_RP", "ε_{RP}", "-", 4, "vertical strain of the cell with a rigid, plastic column", shown="%")
_("T_RP", "T_{RP}", "kN/m", 2, "ring tension of the sleeve with a rigid, plastic column")

# Sleeve
_("F_G", "F_{R,G,k}", "kN/m", 2, "characteristic ring tension under permanent load")
_("F_GQ", "F_{R,G+Q,k}", "kN/m", 2, "characteristic ring tension under permanent and variable load")
_("F_Rd", "F_{R,d}", "kN/m", 2, "design value of the ring tension")
_("gamma_G", "γ_G", "-", 2, "partial factor on permanent effects")
_("gamma_Q", "γ_Q", "-", 2, "partial factor on variable effects")
_("R_Bk0", "R_{B,k0}", "kN/m", 1, "characteristic short-term tensile strength of the sleeve in ring direction")
_("R_Bk", "R_{B,k}", "kN/m", 2, "characteristic long-term tensile resistance of the sleeve")
_("R_Bd", "R_{B,d}", "kN/m", 2, "design tensile resistance of the sleeve")
_("R_req", "R_{B,k0,req}", "kN/m", 1, "characteristic short-term strength required of the sleeve")
_("A_1", "A_1", "-", 3, "reduction factor for creep")
_("A_2", "A_2", "-", 3, "reduction factor for damage in transport, placing and compaction")
_("A_3", "A_3", "-", 3, "reduction factor for joints")
_("A_4", "A_4", "-", 3, "reduction factor for the environment")
_("A_5", "A_5", "-", 3, "reduction factor for dynamic load")
_("gamma_M", "γ_M", "-", 2, "partial factor on the tensile resistance of the geosynthetic")
_("RF_CR", "RF_{CR}", "-", 3, "reduction factor for creep rupture")
_("RF_ID", "RF_{ID}", "-", 3, "reduction factor for installation damage")
_("RF_W", "RF_W", "-", 3, "reduction factor for weathering")
_("RF_CH", "RF_{CH}", "-", 3, "reduction factor for chemical and biological degradation")
_("R_1", "R_1", "-", 3, "factor for the uncertainty of extrapolating creep rupture")
_("R_2", "R_2", "-", 3, "factor for the uncertainty of extrapolating chemical degradation")
_("f_s", "f_s", "-", 4, "factor for the uncertainty of extrapolation")
_("T_D", "T_D", "kN/m", 2, "long-term strength of the sleeve at the end of its design life")
_("eps_long", "ε_{R,long}", "-", 2, "ring strain with the long-term stiffness", shown="%")
_("eps_short", "ε_{R,short}", "-", 2, "ring strain with the stiffness at the end of construction", shown="%")
_("eps_creep", "ε_{cr}", "-", 2, "creep strain of the sleeve", shown="%")
_("J_t", "J_t", "kN/m", 1, "tensile stiffness of the sleeve at the time t")
_("J_1", "J_1", "kN/m", 1, "tensile stiffness of the sleeve at the earlier time")
_("J_2", "J_2", "kN/m", 1, "tensile stiffness of the sleeve at the later time")
_("t", "t", "day", 1, "time", shown="day")
_("t_1", "t_1", "day", 1, "earlier time of a given stiffness")
_("t_2", "t_2", "day", 1, "later time of a given stiffness")

# Loads and stages
_("f_G", "f_G", "-", 2, "factor on permanent load at its source")
_("gamma_QS", "γ_{Q,src}", "-", 2, "factor on the traffic load at its source")
_("psi_2", "ψ_2", "-", 2, "quasi-permanent share of the traffic load")
_("i_Q", "i_Q", "-", 0, "traffic acts in this stage and load case (1) or not (0)")
_("z_g", "z_g", "m", 3, "level of the ground")
_("z_w", "z_w", "m", 3, "level of the water in this stage")
_("gamma_P", "γ_P", "kN/m^3", 2, "unit weight of the working platform")
_("t_P", "t_P", "m", 3, "thickness of the working platform")
_("f_M", "f_M", "-", 0, "make-up fill at this position (1) or none (0)")
_("s_dM", "Δs_M", "m", 3, "settlement still to be filled up", shown="mm")
_("s_0", "s_0", "m", 1, "settlement without make-up fill", shown="mm")
_("K_0J", "K_{0,J}", "-", 5, "at-rest coefficient of normally consolidated soil")
_("E_oed0", "E_{oed,0}", "kPa", 2, "oedometer modulus of the soil at its initial stress")
_("E_oedEP", "E_{oed,EP}", "kPa", 2, "oedometer modulus of the soil for the elastic cells")
_("F_Ri", "F_{R,i}", "kN/m", 2, "ring tension of the sleeve in the sublayer, none where it is not mobilised")
_("eps_Ri", "ε_{R,i}", "-", 2, "ring strain of the sleeve in the sublayer, none where it is not mobilised", shown="%")
_("s_el", "s_{el}", "m", 1, "settlement of the elastic cell, a lower bound", shown="mm")
_("d_exp", "δ_{s,exp}", "-", 1, "share expected for this sleeve stiffness", shown="%")
_("R_TD", "R_{D,d}", "kN/m", 2, "design tensile resistance of the sleeve by reduction factors")
_("R_reqRF", "R_{k,req}", "kN/m", 1, "characteristic strength required by reduction factors")
_("t_0", "t_0", "day", 1, "start of the last stage")
_("t_f", "t_f", "day", 1, "time to place the last stage")
_("Ds_pos", "Δs", "m", 1, "difference of the settlements of centre and shoulder", shown="mm")
_("s_cen", "s_{centre}", "m", 1, "settlement at the centre", shown="mm")
_("s_sho", "s_{shoulder}", "m", 1, "settlement at the shoulder", shown="mm")
_("Ds_lim", "Δs_{lim}", "m", 1, "limit of the difference of the settlements", shown="mm")
_("s_lim", "s_{lim}", "m", 1, "limit of the settlement", shown="mm")
_("eps_lim", "ε_{lim}", "-", 2, "limit of the ring strain", shown="%")
_("eps_crlim", "ε_{cr,lim}", "-", 2, "limit of the creep strain", shown="%")

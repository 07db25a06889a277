"""The page of the chapter on the ground: initial state of the sublayers as a table and against depth."""

from calc.chapters.shared.heads import BOTTOM, HEADS
from calc.chapters.shared.tables import layer_profile, layer_table
from calc.engine.sheet import Page, Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

PANELS = (
    ("u", "kN/m²", (("by heads", "u_p"), ("at rest", "u_hp"))),
    ("σ", "kN/m²", (("total", "sigma_tp"), ("effective", "sigma_ep"))),
)
FLOW = ("h_sat", "k_vs", "i_l", "Dh_l", "h_fl", "i_cr", "F_i")
INITIAL = ("h", "z", "gamma_eff", "sigma_v0s", "sigma_v0c", "K_0s", "K_star", "p_1")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Initial state of the sublayers."""
    layer_table(of, "initial", say("initial-title"), "", INITIAL)
    panel = ("σ′", "kN/m²", (("soil", "sigma_v0s"), ("column", "sigma_v0c")))
    layer_profile(of, "initial", say("profile-title"), "", section, (panel,))
    if HEADS in of.sheet.scopes:
        _heads(of, section)


def _heads(of: Page, section: Section) -> None:
    """Heads, pore pressure and stresses at the bottoms of the sublayers, as a table and against depth; steady flow."""
    layer_profile(of, HEADS, say("heads-title"), HEADS, section, PANELS, "z_p", point=BOTTOM)
    if "flow" in of.sheet.scopes:
        layer_table(of, "flow", say("flow-title"), "flow", FLOW, say("flow-note"))

"""The page of the chapter on the ground: initial state of the sublayers as a table and against depth."""

from calc.chapters.shared.tables import layer_profile, layer_table
from calc.engine.sheet import Page, Sheet
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

INITIAL = ("h", "z", "gamma_eff", "sigma_v0s", "sigma_v0c", "K_0s", "K_star", "p_1")


def page(of: Page, _design: Design, section: Section, _done: dict[str, Sheet]) -> None:
    """Initial state of the sublayers."""
    layer_table(of, "initial", say("initial-title"), "", INITIAL)
    panel = ("σ′", "kN/m²", (("soil", "sigma_v0s"), ("column", "sigma_v0c")))
    layer_profile(of, "initial", say("profile-title"), "", section, (panel,))

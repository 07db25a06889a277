"""The plug that closes the columns against an aquifer: seepage through it and uplift."""

from calc.chapters.shared.column_zones import by_grid
from calc.chapters.shared.frame import given_of_section, origin_of
from calc.chapters.shared.heads import HEADS, rise_of_head
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.formulas.seepage import (
    destabilising_pressure,
    head_over_plug,
    plug_gradient,
    plug_seepage,
    seepage_rate,
    shear_on_plug,
    stabilising_pressure,
    uplift_pressure,
    weight_of_plug,
)
from calc.inputs import Design, Section

say = words_of(__name__)

TITLE = say("title")
FIELDS = (
    ("L_pl", "length"), ("k_pl", "permeability"), ("gamma_plr", "gamma_sat"), ("tau_pl", "shear"),
    ("gamma_dst", "gamma_dst"), ("gamma_stb", "gamma_stb"), ("gamma_plt", "gamma_shear"),
    ("v_max", "seepage_max"),
)  # fmt: skip


def seal_plug(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Whether a plug is needed is the project's to say; if so it is tight enough and is not lifted."""
    table = section.plug
    if table is None:
        sheet.not_verified("aquifer", TITLE, say("seal-plug-why"))
        return
    if not table.needed:
        sheet.accepted("aquifer", TITLE, say("settled-aquifer-why", reason=table.reason))
        return
    scope = sheet.scope("plug", say("scope-plug-title"))
    dense = min(by_grid(section, done, "columns").values(), key=lambda grid: float(grid["A_E"].array))
    for name, sheet_of in (("A_c", done["columns"]), ("A_E", dense), ("d_c", done["columns"])):
        scope.take(name, sheet_of[name])
    scope.given("gamma_w", design.basis.gamma_w, origin=origin_of(design, "basis.gamma_w"))
    for name, field in FIELDS:
        given_of_section(scope, name, section, f"plug.{field}", getattr(table, field))
    heads = done["ground"].scopes[HEADS]
    for name, value in (("h_a", heads["h_a"]), ("d_w", done["ground"]["d_w"])):
        scope.take(name, value)
    rise_of_head(scope, section)
    scope(head_over_plug)
    for step in (plug_gradient, plug_seepage, seepage_rate):
        scope(step)
    sheet.verdict("plug_seepage", say("seal-plug-title"), effect=scope["v_pl"], resistance=scope["v_max"])
    for step in (uplift_pressure, weight_of_plug, shear_on_plug, destabilising_pressure, stabilising_pressure):
        scope(step)
    sheet.verdict("plug_uplift", say("verdict-plug-uplift-title"), effect=scope["U_dst"], resistance=scope["U_stb"])
    sheet.limitation("plug-casing", say("limitation-plug-casing"), "project rule")

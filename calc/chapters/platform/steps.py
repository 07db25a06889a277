"""Working platform: the fill under the rig that installs the columns, by two methods side by side."""

from calc.chapters.platform.rig_checks import edge, heads, pair
from calc.chapters.platform.thickness import thickness
from calc.chapters.platform.track_loads import AFTER, BEFORE, ground_strength, track_loads
from calc.chapters.shared.frame import chapter, given_of_section
from calc.chapters.shared.geometry import place_of
from calc.chapters.shared.missing import missing_of_layers
from calc.engine.sheet import Sheet
from calc.engine.words import words_of
from calc.factors.tracked_plant import TRACKED_PLANT as PUBLISHED
from calc.formulas.bearing import overburden_factor, weight_factor
from calc.formulas.working_platform import (
    distance_of_loaded_edge,
    granular_bearing_pressure,
    granular_shape_factor,
    resisting_unit_weight,
)
from calc.inputs import Design, Section
from calc.inputs.tables.ground import Layer
from calc.inputs.tables.rig import Rig

say = words_of(__name__)

FIELD = "platform_rig"
LIGHT = 12.0  # kN/m³, saturated; mineral ground is heavier


def platform(design: Design, section: Section, done: dict[str, Sheet]) -> Sheet:
    """Thickness by punching and by load spread, platform material, both tracks, column heads, edge."""
    sheet = chapter("platform", design, section)
    rig = section.platform.rig if section.platform else None
    missing = "" if rig is None else _missing(section, rig)
    if rig is None:
        _accept_statement(sheet, design)
    elif missing:
        sheet.not_verified("platform_thickness", say("title"), say("missing", missing=missing))
    else:
        _verify(sheet, design, section, rig, done)
        if rig.mats is not None:
            bare = chapter("platform", design, section)
            _verify(bare, design, section, rig.model_copy(update={"mats": None}), done)
            _mats(sheet, bare, rig.mats.source)
    return sheet


def _accept_statement(sheet: Sheet, design: Design) -> None:
    """Without a rig the project has to say where the platform is verified; that it does not matter is no answer."""
    answer = design.outside.get(FIELD, "")
    if answer.startswith("see "):
        sheet.accepted("platform_thickness", say("title"), say("elsewhere", answer=answer))
    else:
        sheet.not_verified("platform_thickness", say("title"), say("no-rig"))


def _missing(section: Section, rig: Rig) -> str:
    """Strengths that neither the table of the rig nor the rest of the file gives."""
    reasons = [] if rig.c_u is not None else [missing_of_layers(section.layers, ("c_u",))]
    if rig.c_u_after is None:
        reasons.append(say("missing-after"))
    return "; ".join(text for text in reasons if text)


def _verify(sheet: Sheet, design: Design, section: Section, rig: Rig, done: dict[str, Sheet]) -> None:
    sheet.axis("operation", [operation.name for operation in rig.operations])
    sheet.axis("ground", (BEFORE, AFTER))
    track_loads(sheet, section, rig)
    ground_strength(sheet, section, rig)
    sheet.take("t_P", place_of(done["columns"], "t_P"))
    for name, path, value in (
        ("gamma_P", "platform.gamma", section.platform.gamma if section.platform else 0.0),
        ("a_edge", "platform.rig.edge_distance", rig.edge_distance),
    ):
        given_of_section(sheet, name, section, path, value)
    sheet(distance_of_loaded_edge)
    sheet.take("d_w", done["ground"]["d_w"].at(stage=sheet.axes["stage"][:2]).smallest(), note=say("water-note"))
    sheet.take("gamma_w", done["ground"]["gamma_w"])
    sheet(resisting_unit_weight)
    given_of_section(sheet, "phi", section, "platform.rig.phi", rig.phi)
    thickness(sheet, section, rig)
    _material(sheet)
    pair(sheet, rig)
    heads(sheet, section, done)
    edge(sheet, section, rig, done)
    _limits(sheet, design, section, rig)


def _material(sheet: Sheet) -> None:
    """The platform material under the track."""
    scope = sheet.scope("material", say("material"))
    for step in (overburden_factor, weight_factor, granular_shape_factor):
        scope(step)
    scope(granular_bearing_pressure, gamma_P="gamma_Pr")
    sheet.verdict("platform_material", say("material"), effect=sheet["q_op"], resistance=scope["R_pm"])


def _limits(sheet: Sheet, design: Design, section: Section, rig: Rig) -> None:
    """Where the methods and the data end."""
    published = (
        (rig.factors.standing, PUBLISHED.standing, say("standing", published=PUBLISHED.standing)),
        (rig.factors.extracting, PUBLISHED.extracting, say("extracting", published=PUBLISHED.extracting)),
    )
    low = [words for value, least, words in published if value < least]
    if low:
        sheet.limitation("platform-factors", say("limitation-factors", low=" ".join(low)), PUBLISHED.source,
                         turns=["platform_thickness", "platform_material", "platform_pair"])  # fmt: skip
    sheet.limitation("platform-methods", say("limitation-methods"), "project rule")
    sheet.limitation("platform-depth", say("limitation-depth"), "project rule")
    wide, thick = float(sheet["W_sh"].array.max()), float(sheet["t_P"].array)
    if wide > thick:
        sheet.limitation("platform-mechanism", say("limitation-mechanism", wide=wide, thick=thick), "project rule")
    soft = [layer.name for layer in section.soft_layers if _fibrous(layer)]
    if soft:
        text = say("limitation-peat", names=", ".join(soft), N_c=PUBLISHED.N_c)
        sheet.limitation("platform-peat", text, "project rule",
                         turns=["platform_thickness", "platform_pair"])  # fmt: skip
    alike = [other.key for other in design.stated if other.platform and other.platform.rig
             and other.platform.rig.c_u_after == rig.c_u_after
                     and other.platform.rig.c_u_after_source == rig.c_u_after_source]  # fmt: skip
    if len(alike) > 1:
        text = say("limitation-campaign", keys=", ".join(alike), value=rig.c_u_after or 0.0)
        sheet.limitation("platform-campaign", text, rig.c_u_after_source or "",
                         turns=["platform_thickness", "platform_pair"])  # fmt: skip


def _fibrous(layer: Layer) -> bool:
    """Peat by its name, or ground as light as peat."""
    return "peat" in f"{layer.key} {layer.name}".lower() or layer.gamma_sat < LIGHT


def _mats(sheet: Sheet, bare: Sheet, source: str) -> None:
    """What the same platform would be utilised to by the tracks without their mats, and what fails then."""
    on_tracks = {
        verdict.key: verdict.effect / verdict.resistance
        for verdict in bare.verdicts
        if verdict.effect and verdict.resistance
    }
    standing = {verdict.key for verdict in sheet.verdicts if verdict.state != "fail"}
    turned = [key for key, ratio in on_tracks.items() if ratio > 1 and key in standing]
    needed = float(bare.scopes["thickness"]["D_req"].array.max())
    text = say("limitation-mats", needed=needed, ratio=on_tracks["platform_thickness"])
    sheet.limitation("platform-mats", text, source, turns=turned)

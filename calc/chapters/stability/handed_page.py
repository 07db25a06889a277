"""The tables that a slip analysis takes over: ground and columns, stages, partial factors."""

from math import degrees, isfinite

import numpy as np

from calc.chapters.shared.column_zones import zone_sheets
from calc.chapters.shared.earthquake import coefficient
from calc.chapters.shared.frame import frame
from calc.chapters.shared.soft_ground import credited_gains
from calc.chapters.shared.strips import strips_of
from calc.engine.sheet import Page, Scope, Sheet, Table, TableColumn, Value, number_text
from calc.engine.typeset import set_minus
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)


def handed_over(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Characteristic values of every sublayer, the state of every stage; factors, which the basis prints, on record."""
    of.tables.append(_ground(of.sheet, design, section, done))
    of.tables.append(_stages(of.sheet, design, section, done))
    of.record(_factors(design, section))


def _ground(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> Table:
    parts = frame(design, section).sublayers
    units = (
        (say("top"), "m"),
        (say("bottom"), "m"),
        ("γ", "kN/m³"),
        (say("saturated"), "kN/m³"),
        ("c′", "kN/m²"),
        ("φ′", "°"),
    )
    last = ((say("ground-last"), "kN/m²"), (say("increase-with-depth"), "kN/m²/m"))
    head = [
        TableColumn(words=say("sublayer")),
        *(TableColumn(words=words, unit=unit) for words, unit in (*units, *last)),
    ]
    rows, starts = [], [sum(layer.thickness for layer in section.layers[:k]) for k in range(len(section.layers))]
    for label, k, top, bottom in zip(sheet.axes["layer"], parts.layer, parts.top, parts.bottom, strict=True):
        layer = section.layers[k]
        growth = layer.c_u_growth or 0.0
        strength = say("not-given") if layer.c_u is None else number_text(layer.c_u + growth * (top - starts[k]), 2)
        rows.append([
            label, number_text(section.ground_level - top, 2), number_text(section.ground_level - bottom, 2),
            number_text(layer.gamma, 2), number_text(layer.gamma_sat, 2), number_text(layer.c, 2),
            number_text(degrees(layer.phi), 2), strength, number_text(growth, 2),
        ])  # fmt: skip
    fill, bearing = section.columns.fill, section.bearing_layer
    note = say(
        "ground-note",
        array=number_text(float(sheet["a_E"].array), 4),
        degrees=number_text(degrees(fill.phi), 2),
        gamma=number_text(fill.gamma, 2),
        gamma_sat=number_text(fill.gamma_sat, 2),
        gamma_2=number_text(section.embankment.gamma, 2),
        degrees_2=number_text(degrees(section.embankment.phi), 2),
        c=number_text(section.embankment.c, 2),
        bearing_name=bearing.name,
        gamma_sat_2=number_text(bearing.gamma_sat, 2),
        degrees_3=number_text(degrees(bearing.phi), 2),
        c_2=number_text(bearing.c, 2),
    )
    return Table("handed-ground", say("table-handed-ground-title"), head, rows, f"{note}{_shape(section, done)}")


def _shape(section: Section, done: dict[str, Sheet]) -> str:
    """Soft ground below floating columns, fall of the crest, zones and berms of the bank in words, nothing without."""
    floating = section.columns.floating
    texts = [] if floating is None else [
        say("floating", c_u=number_text(floating.c_u, 2), depth=number_text(floating.soft_below, 2)),
    ]  # fmt: skip
    texts += [
        say("columns-zone", strips=set_minus(" and ".join(f"{low:g} to {high:g} m" for low, high in sheet.zone.strips)),
            ratio=number_text(float(sheet.done["columns"]["a_E"].array), 4))
        + (say("columns-zone-toes", depth=number_text(section.toe_depth(sheet.zone), 2))
           if section.columns.has_length(sheet.zone) else "")
        for sheet in zone_sheets(section, done)
    ]  # fmt: skip
    if section.embankment.lower:
        left, right = (number_text(height, 2) for height in section.embankment.heights.values())
        texts.append(say("crest", left=left, right=right))
    if section.slopes:
        texts.append(say("across", layers="; ".join(
            f"{layer.name} {number_text(layer.at_toe('left'), 2)}, {number_text(layer.thickness, 2)}, "
            f"{number_text(layer.at_toe('right'), 2)}" for layer in section.layers
        )))  # fmt: skip
    texts += [
        say("zone", name=zone.name, bottom=number_text(zone.bottom, 2), top=number_text(zone.top, 2),
            gamma=number_text(zone.gamma, 2), degrees=number_text(degrees(zone.phi), 2), c=number_text(zone.c, 2))
        + _ends(*section.embankment.ends(zone))
        for _, zone in section.embankment.zones
    ]  # fmt: skip
    texts += [
        say("berm", step=_step(k), side=side, height=number_text(berm.height, 2),
            width=number_text(berm.width, 2), slope=number_text(berm.slope, 2), stage=upper.stage)
        for side, upper in section.embankment.berms.items() for k, berm in enumerate(upper.steps, start=1)
    ]  # fmt: skip
    return "".join(f" {text}" for text in texts)


def _step(k: int) -> str:
    """What a step of a berm is called, from the side slope outward."""
    return say("further-berm", k=k) if k > 2 else say("lower-berm") if k == 2 else say("upper-berm")


def _ends(left: float, right: float) -> str:
    """Where a zone ends within the bank, nothing where it does not."""
    ends = {"left": left, "right": right}
    texts = [say("zone-end", side=side, x=set_minus(number_text(x, 2))) for side, x in ends.items() if isfinite(x)]
    return "".join(f" {text}" for text in texts)


def _strips(strips: Scope) -> str:
    """The strips of traffic load in words."""

    def text(symbol: str, strip: str) -> str:
        return set_minus(number_text(strips[symbol].number({"strip": strip}) or 0.0, 2))

    pressure = "p_lp" if "p_lp" in strips else "p_ld"
    return "".join(
        " " + say("strip", name=label, pressure=text(pressure, label), width=text("b_ld", label), x=text("x_ld", label),
                  factor=text("Phi_0", label))
        for label in strips["p_ld"].labels("strip")
    )  # fmt: skip


def _stages(sheet: Sheet, design: Design, section: Section, done: dict[str, Sheet]) -> Table:
    gains, makeup = credited_gains(section, done), done["unit_cell"].scopes["tension"]["p_M"]
    levels = {level.name: level.level for level in section.water}
    words = [
        (say("stage"), ""),
        (say("fill"), "m"),
        (say("compensation-fill"), "kN/m²"),
        (say("traffic"), "kN/m²"),
        (say("water-level"), "m"),
    ]
    words += [(say("head-of-the-aquifer"), "m")] if section.has_heads else []
    head = [*(TableColumn(words=text, unit=unit) for text, unit in words), TableColumn(symbol="n_st"),
            TableColumn(symbol="mu_s"), TableColumn(symbol="mu_c"), TableColumn(symbol="Dc_u")]  # fmt: skip
    shaken = [] if section.earthquake is None else [coefficient(done, name) for name in ("k_h", "k_v")]
    shaken += [sheet["delta_cu"]] if "delta_cu" in sheet else []
    head += [TableColumn(symbol=value.symbol) for value in shaken]
    rows = []
    for label, stage, gain in zip(frame(design, section).loaded_stages, section.stages, gains[1:], strict=True):
        case = {"stage": label}
        shares = [number_text(sheet[name].number(case) or 0.0, 4) for name in ("mu_s", "mu_c")]
        traffic = section.traffic.q if section.traffic and stage.traffic else 0.0
        rows.append([
            label, number_text(stage.fill_height, 2), number_text(_largest(makeup, label), 2),
            number_text(traffic, 1), number_text(levels[stage.water], 2),
            *([number_text(section.water_table.line(stage.water, section.ground_level)[-1][1], 2)]
              if section.has_heads else []),
            number_text(stage.n_stability, 2), *shares, number_text(gain, 2),
            *(number_text(value.number(case) or 0.0, 4) for value in shaken),
        ])  # fmt: skip
    note = f"{say('stages-note')} {say('heads-note')}" if section.has_heads else say("stages-note")
    strips = strips_of(done)
    return Table(
        "handed-stages", say("table-handed-stages-title"), head, rows, note + (_strips(strips) if strips else "")
    )


def _largest(makeup: Value, stage: str) -> float:
    """The largest pressure of the compensation fill in a stage."""
    known = makeup.at(stage=stage) if "stage" in makeup.axis_names else makeup
    return float(np.max(np.where(known.valid, known.array, 0.0)))


def _factors(design: Design, section: Section) -> Table:
    names = ("gamma_G", "gamma_G_fav", "gamma_Q", "gamma_phi", "gamma_c", "gamma_cu", "gamma_R_e")
    words = (
        say("permanent"),
        say("permanent-favourable"),
        say("variable"),
        say("tan-phi"),
        "c′",
        say("undrained-strength"),
        say("overall-stability"),
    )
    head = [
        TableColumn(words=say("factor-set")),
        TableColumn(words=say("situation")),
        *(TableColumn(words=word) for word in words),
    ]
    situations = dict.fromkeys(frame(design, section).situations)
    rows = [
        [factor_set.key, situation, *(number_text(getattr(factor_set.at(situation), name), 2) for name in names)]
        for factor_set in design.factor_sets(section)
        for situation in situations
    ]
    note = say("factors-note")
    return Table("handed-factors", say("table-handed-factors-title"), head, rows, note)

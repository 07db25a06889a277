"""The page of the chapter on the sleeve: utilisation by sublayer, tension by stage, and the column just built."""

from collections.abc import Iterator, Mapping
from itertools import product

import numpy as np

from calc.chapters.shared.frame import frame
from calc.chapters.shared.layer_tables import boundaries, envelope_table, layer_table
from calc.chapters.sleeve.steps import SECOND
from calc.engine.figure import Panel, Profile, Series, symbol_text
from calc.engine.sheet import Page, Scope, Sheet, Value, case_words, number_text, stage_name, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section

say = words_of(__name__)

DRAWN_DECIMALS = 1  # kN/m, by which curves are told apart
RESISTANCE = {"factors": "R_Bd", "iso20432": "R_TD"}  # by scope, where the project gives its factors


def page(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Utilisation of every stage, then of every sublayer, for each format of the resistance."""
    sheet = of.sheet
    of.set_aside(SECOND)
    of.notes.append(column_just_built(done["unit_cell"], frame(design, section).stages[0]))
    resistances = [(sheet.scopes[name], symbol) for name, symbol in RESISTANCE.items() if name in sheet.scopes]
    for scope, resistance in resistances:
        parts = zip(scope[resistance].labels("stage"), scope[resistance].array, strict=True)
        forces_text = ", ".join(f"{stage_name(label)} {number_text(float(number), 2)}" for label, number in parts)
        note = say("stages-note", given=forces_text)
        of.record(
            envelope_table(f"stages-{scope.name}", say("stages-title"), scope["u_R"], "stage", "factor_set", note=note)
        )
    for scope, resistance in resistances:
        names = ("F_G", "F_GQ", "F_Re", "F_Ra", "F_Rd", resistance, "u_R")
        layer_table(of, f"utilisation-{scope.name}", say("sublayers-title"), scope.name, names)
        of.figures.append(tension_profile(of, scope, resistance, section, done["unit_cell"]))


def column_just_built(cell: Sheet, stage: str) -> str:
    """Ring tension of stage 0, fill weight against soil support, in words."""
    tension = cell.scopes["tension"]["F_R"].at(stage=stage)
    if not tension.valid.any() or not (tension.array[tension.valid] > 0).any():
        return say("not-stretched")
    case = tension.case_at(int(np.argmax(np.where(tension.valid, tension.array, -1.0))))
    return say("stretched", tension=value_text(tension, case, unit=True), case=case_words(case))


def _bare(stage: str) -> str:
    return stage.partition(" ")[2] or stage


def _by_depth(tension: Value, depths: Value, case: Mapping[str, str]) -> Iterator[tuple[float, float]]:
    """Depth and ring tension of every point of the sublayers that has one."""
    for point, layer in product(tension.labels("point"), tension.labels("layer")):
        at = {**case, "point": point, "layer": layer}
        force, depth = tension.number(at), depths.number(at)
        if force is not None and depth is not None:
            yield depth, round(force, DRAWN_DECIMALS)


def _tensions(force: Value, depths: Value, case: Mapping[str, str]) -> list[Series]:
    """The tension of every stage against depth; stages with the same are one curve."""
    tension = force.largest(*(axis for axis in force.axis_names if axis in {"stage", "point", "layer"}))
    curves: dict[tuple[tuple[float, ...], tuple[float, ...]], list[str]] = {}
    for stage in tension.labels("stage"):
        points = sorted(_by_depth(tension, depths, {**case, "stage": stage}))
        at, forces = (tuple(point[k] for point in points) for k in (0, 1))
        curves.setdefault((forces, at), []).append(_bare(stage))
    return [Series(", ".join(names), forces, at) for (forces, at), names in curves.items()]


def _strengths(resistance: Value, case: Mapping[str, str]) -> dict[float, list[str]]:
    """The stages of every strength, as far as they have one."""
    known = {stage: resistance.number({**case, "stage": stage}) for stage in resistance.labels("stage")}
    strengths: dict[float, list[str]] = {}
    for stage, strength in [(stage, number) for stage, number in known.items() if number is not None]:
        strengths.setdefault(round(strength, DRAWN_DECIMALS), []).append(_bare(stage))
    return strengths


def tension_profile(of: Page, scope: Scope, resistance: str, section: Section, cell: Sheet) -> Profile:
    """The design ring tension of every stage against depth beside the design strength; equal ones are one curve."""
    case = {name: label for name, label in of.case(scope.name).items() if name not in {"stage", "point", "layer"}}
    series = _tensions(scope["F_Rd"], cell.scopes["ring"]["z_F"], case)
    strengths = _strengths(scope[resistance], case)
    deepest = sum(layer.thickness for layer in section.layers)
    limits = [
        Series(
            say("strength", strength=strength, stages=f": {', '.join(names)}" if len(strengths) > 1 else ""),
            (strength, strength), (0.0, deepest), limit=True,
        )
        for strength, names in strengths.items()
    ]  # fmt: skip
    panel = Panel(symbol_text("F_Rd"), symbol("F_Rd").unit_text, (*series, *limits))
    largest = max(force for curve in series for force in curve.values)
    words = case_words(case)
    note = say("profile-note", words=words) if words else ""
    alt = say("profile-alt", largest=largest, least=min(strengths))
    title = say("profile-title")
    return Profile(f"tension-{scope.name}", title, alt, say("profile-axis"), (panel,), boundaries(section), note)

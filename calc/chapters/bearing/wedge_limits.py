"""What limits the extruding wedge: the range it was compared with, what it leaves out, the feet of the columns."""

from collections.abc import Mapping, Sequence
from math import degrees

import numpy as np

from calc.chapters.shared.earthquake import coefficient
from calc.chapters.shared.soft_ground import Side
from calc.engine.levels import above
from calc.engine.sheet import Scope, Sheet, Value, number_text, stage_name, stage_names
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

STATES = (("squeeze_lift", say("while-a-lift-is-placed")), ("squeeze", say("at-the-end-of-a")))


COMPARED = (
    (say("compared-thickness"), ("t_soft",), 3.0, 10.0, "m"),
    (say("compared-run"), ("L_S",), 5.0, 20.0, "m"),
    (say("compared-strength"), ("c_u0e", "c_u0i"), 3.5, 15.0, "kN/m²"),
    (say("compared-ratio"), ("a_E", "a_Ew", "a_Ex"), 0.10, 0.26, ""),
    (say("compared-diameter"), ("d_c",), 0.6, 1.2, "m"),
)
"""What the wedge was compared with: words, symbols in its scopes, least and largest value, unit."""


def outside_range(sheet: Sheet, scopes: Mapping[str, Scope], left: Mapping[str, list[str]], side: Side) -> None:
    """Say beside the verdicts where an open stage uses the wedge outside what it was compared with."""
    outside = []
    for words, names, low, high, unit in COMPARED:
        used = [
            number for key in scopes for name in names if name in scopes[key]
            for number in _numbers_used(scopes[key][name], left[key])
        ]  # fmt: skip
        for value, stage in dict.fromkeys((min(used), max(used))) if used else ():
            if round(value, 2) < low or round(value, 2) > high:
                number = f"{words} {number_text(value, 2)} {unit}".rstrip()
                where = say("in-stage", stage=stage_name(stage)) if stage else ""
                outside.append(say("out-of-range", number=number, where=where, low=f"{low:g}", high=f"{high:g}"))
    if outside:
        sheet.limitation(
            f"squeeze-range{side.ending}",
            say("limitation-squeeze-range", outside="; ".join(outside)),
            "fitted to limit analysis, project rule ◇",
            turns=[f"{key}{side.ending}" for key, _ in STATES],
        )


def _numbers_used(value: Value, stages: Sequence[str]) -> list[tuple[float, str]]:
    """The numbers that the wedge uses in these stages, each with its stage; "" where it is the same in all."""
    if "stage" not in value.axis_names:
        return [(float(number), "") for number in value.array[value.valid]]
    by_stage = ((value.at(stage=stage), stage) for stage in stages)
    return [(float(number), stage) for part, stage in by_stage for number in part.array[part.valid]]


def inertia_upward(
    sheet: Sheet, done: dict[str, Sheet], scopes: Mapping[str, Scope], stages: Sequence[str], side: Side
) -> None:  # fmt: skip
    """Say where the wedge may be nearer to failure with the inertia upward, which takes of the shear of the columns."""
    scope = scopes.get("squeeze")
    if scope is None or "p_kh" not in scope:
        return
    factor = coefficient(done, "f_vu")
    labels = []
    for label in stages:
        up = float(factor.at(stage=label).array)
        inertia, pressure = _most(scope["p_kh"], label), -_most(scope["p_sE"], label, -1.0)
        run = float(scope["b_K"].array)
        inward = run * _most(sheet["k_h"], label) * float(scope["gamma_bl"].array)
        risen = -run * _most(scope["g_ri"], label, -1.0) if "g_ri" in scope else 0.0
        moves = "g_ri" in scope or _most(scope["p_kin"], label) > 0
        if inertia > up * pressure or (moves and inertia + inward > up * (pressure + risen)):
            labels.append(label)
    if labels:
        sheet.limitation(
            f"squeeze-upward{side.ending}",
            say("limitation-squeeze-upward", stages=stage_names(labels), side_words=side.words),
            "horizontal equilibrium of the wedge, derived here",
            turns=[f"squeeze{side.ending}"],
        )


def inertia_inward(sheet: Sheet, scope: Scope, drives: str, stages: Sequence[str], side: Side) -> None:
    """Say where a wedge that reaches farther inward below a level crest gains more inertia than resistance."""
    if "p_kin" not in scope.values:
        return
    cases: list[tuple[str, float, float, float]] = []
    for label in stages:
        values = (scope[name].at(stage=label).array for name in (drives, "p_kin", "p_Rxd"))
        driven, more, borne = np.broadcast_arrays(*values)
        ratio = (driven + more) / borne
        if (ratio > 1).any():
            at = int(np.nanargmax(ratio))
            cases.append((label, float(more.flat[at]), float((driven + more).flat[at]), float(borne.flat[at])))
    if cases:
        _, gained, whole, resistance = max(cases, key=lambda case: case[2] / case[3])
        words = say(
            "limitation-squeeze-inward", stages=stage_names(case[0] for case in cases), side_words=side.words,
            more=number_text(gained, 2), whole=number_text(whole, 2), borne=number_text(resistance, 2),
        )  # fmt: skip
        source = "horizontal equilibrium of the wedge, derived here"
        sheet.limitation(f"squeeze-inward{side.ending}", words, source, turns=[f"squeeze{side.ending}"])


def _most(value: Value, stage: str, sign: float = 1.0) -> float:
    """The largest number of a stage, times -1 the smallest."""
    there = value.at(stage=stage) if "stage" in value.axis_names else value
    return float((sign * there.array[there.valid]).max())


def limits(sheet: Sheet, section: Section, side: Side) -> None:
    """State what the wedge does not model, and why the embedment of the columns does not enter it."""
    sheet.limitation("squeeze-field", say("limitation-squeeze-field"), "fitted to limit analysis, project rule ◇")
    _other_end(sheet, section, side)
    firm, fill = section.bearing_layer.phi, section.columns.fill.phi
    weaker = firm < fill
    words = say("limits-words")
    if weaker:
        words += " " + say(
            "limits-words-2", degrees=number_text(degrees(firm), 1), degrees_2=number_text(degrees(fill), 1)
        )
    turns = [f"{key}{side.ending}" for key, _ in STATES] if weaker else []
    sheet.limitation("squeeze-embedment", words, "project rule ◇", turns=turns)


def _other_end(sheet: Sheet, section: Section, side: Side) -> None:
    """A wedge from the end of the columns below the other slope is not tried: below a narrow crest it can govern."""
    other = "right" if side.end == "l" else "left"
    beyond = getattr(section.column_field, f"beyond_{other}", None)
    thickness = sum(layer.thickness for layer in section.soft_layers)
    if beyond is None or not above(thickness, section.embankment.crest_width + beyond):
        return
    words = say(
        "limitation-squeeze-other-end", other=other, width=f"{section.embankment.crest_width + beyond:.2f}",
        thickness=f"{thickness:.2f}",
    )  # fmt: skip
    turns = [f"{key}{side.ending}" for key, _ in STATES]
    sheet.limitation(f"squeeze-other-end{side.ending}", words, "project rule ◇", turns=turns)

"""What the results of a section rest on: decisions of the designer and what has to be proven while it is built."""

from collections.abc import Sequence

from calc.checks.frame import Frame
from calc.inputs import Design, Section
from calc.sheet import Sheet, number_text

GAIN = "Gain of undrained strength credited before the stage is filled"
RATIO = "Stress ratio of column to soil above 1 in stability, squeezing and bearing"
READINGS = "pressure cells on columns and soil, readings of pore pressure and settlement"
HOLD = "Hold points of the works"
NO_LIMIT = "Limits that are not asked for"
LIMIT_WORDS = {
    "settlement_total": "total settlement",
    "settlement_residual": "residual settlement",
    "settlement_difference": "differential settlement",
    "ring_strain": "ring strain",
    "creep_strain": "creep strain",
}


def state_rests(sheet: Sheet, design: Design, section: Section, shared: Frame) -> None:
    """State strength and load sharing counted on before they are proven, hold points, and limits left out."""
    filled = list(zip(shared.stages[1:], section.stages, strict=True))
    for label, stage in filled:
        if stage.c_u_gain:
            source = stage.c_u_gain_source or ""
            sheet.rests_on(GAIN, f"stage {label}: {number_text(stage.c_u_gain, 1)} kN/m²",
                           _proofs(source, _held(section, stage.name)))  # fmt: skip
    for label, stage in filled:
        if stage.n_stability > 1:
            sheet.rests_on(RATIO, f"stage {label}: {number_text(stage.n_stability, 1)}",
                           _proofs(READINGS, _held(section, stage.name)))  # fmt: skip
    for point in section.construction.hold_points if section.construction else ():
        sheet.rests_on(
            HOLD, f"{point.name} before {point.before}", _proofs(point.proof, [f"released: {point.release}"])
        )
    for key, words in LIMIT_WORDS.items():
        if getattr(design.basis.limits, key) is None:
            sheet.rests_on(NO_LIMIT, words)


def _held(section: Section, stage: str) -> list[str]:
    """The hold points that a stage waits for, in words; a gap is named."""
    points = section.construction.hold_points if section.construction else ()
    held = [f"hold point {one.name}" for one in points if one.stage == stage]
    return held or ["no hold point is given for this stage"]


def _proofs(source: str, more: Sequence[str]) -> str:
    return "; ".join(one.rstrip(".; ") for one in (source, *more) if one)

"""What the results of a section rest on: decisions of the designer and what has to be proven while it is built."""

from collections.abc import Sequence
from itertools import pairwise

from calc.chapters.shared.frame import Frame
from calc.engine.levels import above
from calc.engine.sheet import Sheet, label_words, number_text
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.earthquake import SEISMIC

say = words_of(__name__)

GAIN = say("gain")
RATIO = say("ratio")
READINGS = say("readings")
PLANT = say("plant")
TOP = say("top")
COLUMNS = say("columns")
PLACING = say("placing")
SKIN = say("skin")
HOLD = say("hold")
SETS = say("sets")
NO_LIMIT = say("no-limit")
LIMIT_WORDS = {
    "settlement_total": say("total-settlement"),
    "settlement_residual": say("residual-settlement"),
    "settlement_difference": say("differential-settlement"),
    "ring_strain": say("ring-strain"),
    "creep_strain": say("creep-strain"),
}


def state_rests(sheet: Sheet, design: Design, section: Section, shared: Frame) -> None:
    """State load sharing relied on before it is proven, hold points, and limits left out."""
    filled = list(zip(shared.stages[1:], section.stages, strict=True))
    for label, stage in filled:
        if stage.n_stability > 1:
            held = _hold_points(section, proven_before(section, stage.name, "stress ratio"))
            sheet.relies_on(RATIO, f"{label_words('stage', label)}: {number_text(stage.n_stability, 1)}",
                           _proofs(READINGS, held))  # fmt: skip
    _plant(sheet, section, [label for label, _ in filled])
    _models(sheet, section)
    left_out = [name for name in design.basis.factor_set_names if name not in sheet.axes["factor_set"]]
    if left_out:
        sheet.relies_on(SETS, ", ".join(left_out))
    points = section.construction.hold_points if section.construction else ()
    if points:
        sheet.relies_on(
            HOLD, "; ".join(say("before", name=point.name, before=point.before) for point in points), say("hold-proof")
        )
    for key, words in LIMIT_WORDS.items():
        if getattr(design.basis.limits, key) is None:
            sheet.relies_on(NO_LIMIT, words)


def state_gains(sheet: Sheet, section: Section, gains: Sequence[float]) -> None:
    """State the gains of strength relied on before they are proven, stage 0 first; none that is nil."""
    for label, stage, gain in zip(sheet.axes["stage"][1:], section.stages, gains[1:], strict=True):
        if gain > 0:
            source = stage.c_u_gain_source or ""
            sheet.relies_on(GAIN, f"{label_words('stage', label)}: {_gain_words(stage.c_u_gain, gain)}",
                           _proofs(source, _hold_points(section, proven_before(section, stage.name))))  # fmt: skip


def _gain_words(typed: float | str | None, gain: float) -> str:
    words = f"{number_text(gain, 2)} kN/m²"
    return f"{words}, {say('gain-words')}" if isinstance(typed, str) else words


def fill_placed(section: Section) -> list[bool]:
    """Whether fill or platform is placed in every stage."""
    heights = [0.0, *(stage.fill_height for stage in section.stages)]
    rises = [above(after, before) for before, after in pairwise(heights)]
    rises[0] = rises[0] or section.platform is not None
    return rises


def without_plant(section: Section) -> list[int]:
    """The stages, counted from 0, in which fill or platform is placed and no plant is given."""
    new = fill_placed(section)
    return [k for k, stage in enumerate(section.stages) if new[k] and stage.plant is None]


def _plant(sheet: Sheet, section: Section, labels: Sequence[str]) -> None:
    """The plant counted is a limit for the works; where none is counted that is said."""
    for label, stage in zip(labels, section.stages, strict=True):
        if stage.plant:
            proof = say("plant-proof")
            sheet.relies_on(PLANT, f"{label_words('stage', label)}: {number_text(stage.plant, 1)} kN/m²", proof)
    for k in without_plant(section):
        why = say("plant-why")
        sheet.relies_on(PLANT, say("rests-on-plant-text", stage=label_words("stage", labels[k])), why)


def _models(sheet: Sheet, section: Section) -> None:
    """Choices of the project file that carry a verdict."""
    field = section.column_field
    if field is not None and field.hold_top:
        share = number_text(field.hold_top, 2)
        proof = say("models-proof")
        sheet.relies_on(TOP, say("rests-on-models-text", share=share), proof)
    if section.slip is not None and section.slip.min_depth:
        depth = number_text(section.slip.min_depth, 2)
        sheet.relies_on(SKIN, say("rests-on-models-text-2", depth=depth))


def _hold_points(section: Section, stage: str) -> list[str]:
    """The hold points that a stage waits for, in words; a gap is named."""
    points = section.construction.hold_points if section.construction else ()
    held = [say("hold-point", name=point.name) for point in points if point.stage == stage]
    return held or [say("held")]


def proven_before(section: Section, stage: str, quantity: str = "") -> str:
    """The stage that waits for the proof of what this one relies on.

    Traffic does not come on what is not proven: from the first stage with traffic on, all is proven before that one.
    Until then a stress ratio is read in its stage, before the next, and all else before the stage itself. Nobody begins
    an earthquake: what is proven before it is proven before the stage after it, the ratio of its own stage, too.
    """
    stages = section.stages
    place = [other.name for other in stages].index(stage)
    shaken = stages[place].situation == SEISMIC
    place = _static_stage(section, place)
    if stages[place].traffic:
        return next(other.name for other in stages if other.traffic and other.situation != SEISMIC)
    later = quantity == "stress ratio" and not shaken
    return stages[_static_stage(section, min(place + later, len(stages) - 1))].name


def _static_stage(section: Section, place: int) -> int:
    """The stage itself, or the next in which no earthquake acts."""
    while section.stages[place].situation == SEISMIC:  # the last stage is never one
        place += 1
    return place


def _proofs(source: str, more: Sequence[str]) -> str:
    return "; ".join(text.rstrip(".; ") for text in (source, *more) if text)

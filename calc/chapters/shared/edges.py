"""The stages in which fill lies over the reinforcement: those of the bank, and low edges, which are kept apart.

The edge of the working platform or of a first lift stands no higher than a step. With the settlement that is made up
behind it, it would govern the sliding of a bank of several metres, of which it says nothing.
"""

from calc.engine.levels import above, same
from calc.engine.sheet import Value
from calc.inputs import Section

LOW = 0.5  # m over the reinforcement


def stages_with_fill(height: Value) -> list[str]:
    """The stages in which fill lies over the layer, by its height over (stage)."""
    return [
        label for label, number in zip(height.labels("stage"), height.array, strict=True) if above(float(number), 0.0)
    ]


def low_edges(section: Section, height: Value) -> list[str]:
    """The stages before the last one that hold the platform alone, or no more than a step over the layer."""
    stages = (None, *section.stages)
    labels = height.labels("stage")
    known = zip(labels[:-1], stages[:-1], height.array[:-1], strict=True)
    low = [
        label
        for label, stage, over in known
        if stage is None or same(stage.fill_height, 0.0) or not above(float(over), LOW)
    ]
    return [label for label in stages_with_fill(height) if label in low]

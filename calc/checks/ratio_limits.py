"""The stress ratio given for stability against the least of the unit cell and against what was measured."""

from calc.inputs import Section
from calc.sheet import Sheet, number_text

SAME_RATIO = 1e-9
MOST_USUAL = 5.0
LARGEST_MEASURED = 6.5  # under embankments
MEASURED = "Riccio et al. (2015); Chen et al. (2021); Miranda et al. (2017)"
RELYING = ("soft_bearing", "squeeze", "global_stability")


def unproven(section: Section, done: dict[str, Sheet]) -> str:
    """Why no resistance may rely on the ratio for stability, in words with its stages; empty where it may."""
    least = done["unit_cell"].scopes["least_ratio"]["n_min"]
    platform = section.platform is not None and section.platform.role == "load"
    filled = [
        (label, stage.n_stability, least.number({"stage": label}))
        for label, stage in zip(least.labels("stage")[1:], section.stages, strict=True)
        if stage.fill_height > 0 or platform
    ]
    over = [f"{label} ({number_text(mine, 2)} above {number_text(cell, 2)})"
            for label, mine, cell in filled if cell is not None and mine > cell + SAME_RATIO]  # fmt: skip
    large = [f"{label} ({number_text(mine, 2)})" for label, mine, _ in filled if mine > LARGEST_MEASURED]
    found = []
    if over:
        found.append(f"exceeds the least of the unit cell in {', '.join(over)}")
    if large:
        found.append(f"exceeds {LARGEST_MEASURED:g}, the largest measured under embankments, in {', '.join(large)}")
    return f"The stress ratio given for stability {' and '.join(found)}." if found else ""


def state_large_ratios(sheet: Sheet, section: Section) -> None:
    """Say where a ratio for stability is larger than usual, beside what relies on it."""
    for label, stage in zip(sheet.axes["stage"][1:], section.stages, strict=True):
        if stage.n_stability > MOST_USUAL:
            sheet.limitation(
                f"n-{label}",
                f"Stage {label}: the stress ratio given for stability, {stage.n_stability:g}, exceeds {MOST_USUAL:g}; "
                f"measured ratios under embankments are 2 to {LARGEST_MEASURED:g}, and a high ratio overstates the "
                "column's friction.",
                MEASURED,
                turns=lambda one: one.key.startswith(RELYING),
            )

"""The stress ratio given for stability against the least of the unit cell and against what was measured."""

from calc.engine.sheet import Sheet, number_text
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

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
        found.append(say("unproven-2", over=", ".join(over)))
    if large:
        found.append(say("unproven-3", largest_measured=LARGEST_MEASURED, large=", ".join(large)))
    return say("unproven", found=" and ".join(found)) if found else ""


def state_large_ratios(sheet: Sheet, section: Section) -> None:
    """Say where a ratio for stability is larger than usual, beside what relies on it."""
    for label, stage in zip(sheet.axes["stage"][1:], section.stages, strict=True):
        if stage.n_stability > MOST_USUAL:
            sheet.limitation(
                f"n-{label}",
                say(
                    "limitation-n",
                    label=label,
                    n_stability=stage.n_stability,
                    most_usual=MOST_USUAL,
                    largest_measured=LARGEST_MEASURED,
                ),
                MEASURED,
                turns=lambda one: one.key.startswith(RELYING),
            )

"""The stress ratio given for stability against the least of the unit cell and against what was measured."""

from calc.chapters.shared.frame import given_of_stages
from calc.engine.sheet import Origin, Sheet, number_text, stage_name
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

SAME_RATIO = 1e-9
MOST_USUAL = 5.0
LARGEST_MEASURED = 6.5  # under embankments
MEASURED = "Riccio et al. (2015); Chen et al. (2021); Miranda et al. (2017)"
GIVEN = "given_ratio"  # the scope of the unit cell that holds what is given for stability
RELYING = ("soft_bearing", "squeeze", "global_stability")


def record_given_ratio(sheet: Sheet, section: Section) -> None:
    """Record the ratio given for stability and the largest one measured, which :func:`unproven` compares."""
    scope = sheet.scope(GIVEN, say("scope-given-title"))
    ratios = [1.0, *(stage.n_stability for stage in section.stages)]
    given_of_stages(scope, "n_sg", section, ratios, "n_stability", say("no-fill"))
    scope.given("n_mx", LARGEST_MEASURED, origin=Origin("project rule", text=MEASURED))


def unproven(done: dict[str, Sheet]) -> str:
    """Why no resistance may rely on the ratio for stability, in words with its stages; empty where it may.

    With zones of the columns the cell of every grid is asked, whose sheets ``done`` has under ``KEY.ZONE/unit_cell``.
    """
    lists = [_above_cell(done["unit_cell"], "")]
    lists += [_above_cell(sheet, f"{sheet.section}: ") for path, sheet in done.items() if path.endswith("/unit_cell")]
    over = [words for texts in lists for words in texts]
    scope = done["unit_cell"].scopes[GIVEN]
    ratio, largest = scope["n_sg"], float(scope["n_mx"].array)
    ratios = [(label, ratio.number({"stage": label}) or 0.0) for label in _filled_stages(done["unit_cell"])]
    large = [f"{stage_name(label)} ({number_text(ratio, 2)})" for label, ratio in ratios if ratio > largest]
    said = []
    if over:
        said.append(say("unproven-2", over=", ".join(over)))
    if large:
        said.append(say("unproven-3", largest_measured=largest, large=", ".join(large)))
    return say("unproven", found=say("and").join(said)) if said else ""


def _filled_stages(cell: Sheet) -> list[str]:
    """The stages in which fill or platform lies over the cell."""
    height, platform = cell["H"], cell["i_P"]
    return [
        label for label in height.labels("stage")[1:]
        if (height.number({"stage": label}) or 0.0) > 0 or (platform.number({"stage": label}) or 0.0) > 0
    ]  # fmt: skip


def _above_cell(cell: Sheet, head: str) -> list[str]:
    """The stages whose ratio for stability is above that of a cell, with both."""
    least, ratio = cell.scopes["least_ratio"]["n_min"], cell.scopes[GIVEN]["n_sg"]
    known = [
        (label, ratio.number({"stage": label}) or 0.0, least.number({"stage": label})) for label in _filled_stages(cell)
    ]
    return [
        head + say("above", stage=stage_name(label), mine=number_text(mine, 2), cell=number_text(least, 2))
        for label, mine, least in known if least is not None and mine > least + SAME_RATIO
    ]  # fmt: skip


def state_large_ratios(sheet: Sheet, section: Section) -> None:
    """Say where a ratio for stability is larger than usual, beside what relies on it."""
    for label, stage in zip(sheet.axes["stage"][1:], section.stages, strict=True):
        if stage.n_stability > MOST_USUAL:
            sheet.limitation(
                f"n-{label}",
                say(
                    "limitation-n",
                    label=stage_name(label),
                    n_stability=stage.n_stability,
                    most_usual=MOST_USUAL,
                    largest_measured=LARGEST_MEASURED,
                ),
                MEASURED,
                turns=lambda verdict: verdict.key.startswith(RELYING),
            )

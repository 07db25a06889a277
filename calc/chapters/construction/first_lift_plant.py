"""Plant on the first lift, given in three tables of the project file: the same machine must stand behind them."""

from collections.abc import Iterator

from calc.chapters.shared.rests import placed
from calc.engine.levels import above
from calc.engine.sheet import Sheet, number_text
from calc.engine.words import words_of
from calc.inputs import Section

say = words_of(__name__)

KEY, TITLE = "first_lift_plant", say("text")


def same_plant(sheet: Sheet, section: Section) -> None:
    """A mean over the lift is no larger than that over one cell, and this no larger than that under the tracks."""
    over_cell = section.load_transfer.first_lift if section.load_transfer is not None else None
    stages = stages_of_first_lift(section)
    if over_cell is None or not stages:
        return
    rules = section.construction.first_lift if section.construction is not None else None
    tracks = rules.pressure if rules is not None else None
    cell = over_cell.plant
    missing = [f"stage.{k}.plant" for k in stages if section.stages[k].plant is None] if cell else []
    means = [
        (f"stage.{k}.plant", section.stages[k].plant or 0.0) for k in stages if section.stages[k].plant is not None
    ]
    given = [*means, ("load_transfer.first_lift.plant", cell)]
    if tracks is not None:
        given.append(("construction.first_lift.pressure", tracks))
    words = "; ".join(f"{path} is {number_text(value, 1)} kN/m²" for path, value in given)
    if missing:
        sheet.not_verified(KEY, TITLE, say("open-same-plant-why", words=words, missing=", ".join(missing)))
    elif wrong := list(_disagree(means, cell, tracks)):
        sheet.not_verified(KEY, TITLE, f"{words}. {' '.join(wrong)}")
    else:
        sheet.settled(KEY, TITLE, say("settled-same-plant-why", words=words))


def stages_of_first_lift(section: Section) -> list[int]:
    """The stages, from 0, whose fill or platform lies over the lowest reinforcement no higher than the first lift."""
    lift = section.load_transfer.first_lift if section.load_transfer is not None else None
    if lift is None or not section.reinforcement:
        return []
    layer = min(one.level for one in section.reinforcement) - section.ground_level
    platform = section.platform.thickness if section.platform is not None else 0.0
    tops = [platform + stage.fill_height for stage in section.stages]
    return [
        k
        for k, (new, top, before) in enumerate(zip(placed(section), tops, [0.0, *tops], strict=False))
        if new and above(top, layer) and not above(before, layer + lift.thickness)
    ]


def _disagree(means: list[tuple[str, float]], cell: float, tracks: float | None) -> Iterator[str]:
    for path, mean in means:
        if mean > cell:
            yield say("disagree-2", path=path)
        if cell and not mean:
            yield say("disagree-3", path=path)
    if tracks is not None and cell > tracks:
        yield say("disagree")

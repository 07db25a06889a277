"""Rules of the filling programme: its order, its heights, its water levels, its final state."""

from itertools import pairwise

from calc.engine.levels import above, same
from calc.inputs.tables.consolidation import Consolidation
from calc.inputs.tables.embankment import Embankment
from calc.inputs.tables.ground import Water
from calc.inputs.tables.problem import Problem, Problems, unique
from calc.inputs.tables.stages import COMPUTED, Stage
from calc.inputs.tables.traffic import Traffic

# Stage starts are typed in days or weeks; a millionth of a day is not an overlap.
SLACK = 1e-6


def stage_names(stages: tuple[Stage, ...]) -> Problems:
    """Names of stages are unique, because results are labelled by them."""
    yield from unique([stage.name for stage in stages], ("stage",), "name")


def stage_times(stages: tuple[Stage, ...]) -> Problems:
    """Stages follow one another in time."""
    for index, (before, stage) in enumerate(pairwise(stages), start=1):
        if stage.start <= before.start:
            yield Problem(
                ("stage", index, "start"), f"be later than the start of the stage before it ({before.start:g} d)"
            )
        elif stage.start < before.start + before.duration - SLACK:
            end = before.start + before.duration
            yield Problem(("stage", index, "start"), f"not be before the end of the stage before it ({end:g} d)")


def stage_heights(stages: tuple[Stage, ...], embankment: Embankment) -> Problems:
    """The fill grows; above the embankment it is a surcharge, which leaves a crest and is taken off again."""
    most = embankment.height + embankment.crest_width / (embankment.slope_left + embankment.slope_right)
    for index, stage in enumerate(stages):
        before = min(stages[index - 1].fill_height, embankment.height) if index else 0.0
        if not above(most, stage.fill_height):
            must = f"be less than {most:g} m, where the slopes of a surcharge meet"
            yield Problem(("stage", index, "fill_height"), must)
        elif above(before, stage.fill_height):
            must = f"not be less than in the stage before it or the embankment ({before:g} m)"
            yield Problem(("stage", index, "fill_height"), must)


def stage_water(stages: tuple[Stage, ...], water_table: Water) -> Problems:
    """A stage names a water level that is given."""
    for index, stage in enumerate(stages):
        if getattr(water_table, stage.water) is None:
            names = ", ".join(level.name for level in water_table.levels()) or "none"
            yield Problem(("stage", index, "water"), f"name a level that the table water gives ({names})")


def water_order(water_table: Water, embankment: Embankment, ground_level: float) -> Problems:
    """Low water is not above mean water, and so on up to the flood, which does not overtop the fill."""
    for before, level in pairwise(water_table.levels()):
        if above(before.level, level.level):
            yield Problem(("water", level.name), f"not be below the level {before.name} ({before.level:g} m)")
    crest = ground_level + embankment.least_height
    for level in water_table.levels():
        if above(level.level, crest):
            yield Problem(("water", level.name), f"not be above the crest ({crest:g} m without the platform)")


def initial_level(initial_water: str | None, water_table: Water) -> Problems:
    """The initial state names a water level that is given."""
    if initial_water is not None and getattr(water_table, initial_water) is None:
        names = ", ".join(level.name for level in water_table.levels()) or "none"
        yield Problem(("initial_water",), f"name a level that the table water gives ({names})")


def stage_gains(stages: tuple[Stage, ...]) -> Problems:
    """A gain of strength has a source."""
    for index, stage in enumerate(stages):
        if stage.c_u_gain is not None and stage.c_u_gain_source is None:
            yield Problem(("stage", index, "c_u_gain_source"), "be given where c_u_gain is given", "nothing")


def computed_gains(stages: tuple[Stage, ...], consolidation: Consolidation | None) -> Problems:
    """A gain can be taken from the chapter on consolidation where that has its table."""
    for index, stage in enumerate(stages):
        if stage.c_u_gain == COMPUTED and consolidation is None:
            yield Problem(("stage", index, "c_u_gain"), "be a pressure in a section without a table consolidation")


def first_step(stages: tuple[Stage, ...]) -> Problems:
    """Some stage consolidates, and no degree is asked for before one did."""
    if not any(stage.consolidates for stage in stages):
        yield Problem(("stage", 0, "consolidates"), "be true in one stage at least")
    if stages[0].degree_min:
        yield Problem(("stage", 0, "degree_min"), "be left out in the first stage, before which nothing is placed")


def hand_over(stages: tuple[Stage, ...], consolidation: Consolidation | None) -> Problems:
    """The works are handed over when the last fill is placed or taken off; traffic may come then."""
    heights = [0.0, *(stage.fill_height for stage in stages)]
    moved = [stage for k, stage in enumerate(stages) if not same(heights[k + 1], heights[k])] or [stages[0]]
    end = moved[-1].start + moved[-1].duration
    if consolidation is not None and consolidation.hand_over < end - SLACK:
        yield Problem(("consolidation", "hand_over"), f"not be before the end of filling ({end:g} d)")


def stage_traffic(stages: tuple[Stage, ...], traffic: Traffic | None) -> Problems:
    """Traffic acts only where it is given."""
    for index, stage in enumerate(stages):
        if stage.traffic and traffic is None:
            yield Problem(("stage", index, "traffic"), "be false in a section without a table traffic")


def final_state(stages: tuple[Stage, ...], embankment: Embankment) -> Problems:
    """The last stage is the persistent state at full height."""
    index, last = len(stages) - 1, stages[-1]
    if not same(last.fill_height, embankment.height):
        must = f"be the height of the embankment ({embankment.height:g} m) in the last stage, the final state"
        yield Problem(("stage", index, "fill_height"), must)
    if last.situation != "persistent":
        yield Problem(("stage", index, "situation"), 'be "persistent" in the last stage, the final state')


def final_traffic(stages: tuple[Stage, ...], traffic: Traffic | None) -> Problems:
    """The final state carries the traffic load."""
    if traffic is not None and not stages[-1].traffic:
        yield Problem(("stage", len(stages) - 1, "traffic"), "be true in the last stage of a section with traffic")


PROGRAMME_RULES = (
    stage_names,
    stage_times,
    stage_heights,
    stage_water,
    water_order,
    initial_level,
    stage_gains,
    computed_gains,
    first_step,
    hand_over,
    stage_traffic,
    final_state,
    final_traffic,
)

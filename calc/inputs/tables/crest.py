"""Rules of a crest that falls from one edge to the other: what the chapters can follow and what they cannot."""

from calc.engine.levels import above
from calc.inputs.tables.columns import Columns
from calc.inputs.tables.embankment import Embankment
from calc.inputs.tables.problem import Problem, Problems
from calc.inputs.tables.stages import Stage
from calc.inputs.tables.traffic import Traffic

STEEPEST = 0.10  # fall of the crest per width, beyond which it is a step or a slope
OF_A_SLOPE = 0.25  # the same as part of the fall of the gentler side slope
EDGE_HEIGHTS = ("height_left", "height_right")
LEAST_PART = 0.5  # of the height that the lower edge has at least
LEAST_WIDTH = 1 / 3  # of the height: over a narrower crest the thrust at the lower edge could govern


def crest_heights(embankment: Embankment) -> Problems:
    """One crest edge has the height of the embankment, the other one no more."""
    for name in EDGE_HEIGHTS:
        height = getattr(embankment, name)
        if height is not None and above(height, embankment.height):
            must = f"not be above height ({embankment.height:g} m), which is that of the higher crest edge"
            yield Problem(("embankment", name), must)
    if above(embankment.height, max(embankment.heights.values())):
        must = f"be the larger of height_left and height_right ({max(embankment.heights.values()):g} m)"
        yield Problem(("embankment", "height"), must)


def crest_of_the_section(common_edges: tuple[str, ...]) -> Problems:
    """A section with a height of its own has no crest edge of the common bank."""
    for name in common_edges:
        must = f"stand beside a {name} of the section: the common one belongs to the common height"
        yield Problem(("embankment", "height"), must)


def crest_fall(embankment: Embankment) -> Problems:
    """The crest is a crest: its fall is gentle beside the slopes, and it is no blade."""
    side = embankment.lower
    if not side or above(max(embankment.heights.values()), embankment.height):
        return
    path = ("embankment", f"height_{side}")
    gentler = 1 / max(embankment.slope_left, embankment.slope_right)
    steepest = min(STEEPEST, OF_A_SLOPE * gentler)
    if embankment.fall > steepest + 1e-9:
        most = embankment.height - steepest * embankment.crest_width
        low = f"{embankment.heights[side]:g} m"
        must = (
            f"be at least {most:.3f} m, for a fall of {100 * steepest:.3g} % across the crest: a step is none. Write a "
            f'lower platform as [embankment.berm_{side}] with height = "{low}", its width, slope and stage, beside the '
            "crest_width of the higher one; its ground is then verified without columns. Where that fails leave "
            f"height_{side} out and give the crest_width of both: a level crest covers all but the difference of their "
            "settlements"
        )
        yield Problem(path, must)
    elif not above(embankment.least_height, LEAST_PART * embankment.height):
        yield Problem(path, f"be more than half of height ({LEAST_PART * embankment.height:g} m)")
    if embankment.crest_width < LEAST_WIDTH * embankment.height:
        must = (
            f"be at least a third of height ({LEAST_WIDTH * embankment.height:.3g} m) with crest edges of two heights"
        )
        yield Problem(("embankment", "crest_width"), must)


def crest_surcharge(embankment: Embankment, stages: tuple[Stage, ...]) -> Problems:
    """A surcharge above a crest that falls could be placed level or parallel to it: neither is calculated."""
    for index, stage in enumerate(stages):
        if embankment.lower and above(stage.fill_height, embankment.height):
            must = f"not be above the crest ({embankment.height:g} m) with crest edges of two heights"
            yield Problem(("stage", index, "fill_height"), must)


def crest_strips(embankment: Embankment, traffic: Traffic | None) -> Problems:
    """Strips of load stand at one level."""
    if embankment.lower and traffic is not None and traffic.strip:
        must = "be left out where traffic has strips: their load is calculated on a level crest alone"
        yield Problem(("embankment", f"height_{embankment.lower}"), must)


def crest_on_floating_columns(embankment: Embankment, columns: Columns) -> Problems:
    """Both have laws of their own; nothing holds them together."""
    if embankment.lower and columns.floating is not None:
        must = "be left out with columns.floating: their load is calculated under a level crest alone"
        yield Problem(("embankment", f"height_{embankment.lower}"), must)


CREST_RULES = (
    crest_heights,
    crest_of_the_section,
    crest_fall,
    crest_surcharge,
    crest_strips,
    crest_on_floating_columns,
)

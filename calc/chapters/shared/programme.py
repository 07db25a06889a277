"""Filling programme: stages under which the ground consolidates, dates looked at."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calc.chapters.shared.frame import CENTRE, Frame, given_of_section, given_of_stages, origin_of
from calc.engine.levels import above, same
from calc.engine.sheet import Axis, Sheet, Value
from calc.engine.sheet.values import spread, union_axes
from calc.engine.words import words_of
from calc.formulas.staged import end_of_design_life, end_of_stage
from calc.inputs import Design, Section
from calc.inputs.tables.consolidation import Consolidation

say = words_of(__name__)

HAND_OVER, END_OF_LIFE = "hand-over", "end of design life"


@dataclass(frozen=True)
class Dates:
    """Labels and days of the dates considered, and how many steps of the programme have begun until then."""

    labels: tuple[str, ...]
    days: tuple[float, ...]
    placed: tuple[int, ...]


@dataclass(frozen=True)
class Calendar:
    """Starts and ends of the stages, hand-over and end of the design life (day), as they are recorded."""

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    hand_over: float
    end_of_life: float

    @property
    def breaks(self) -> tuple[float, ...]:
        """Starts and ends of the stages."""
        return tuple(sorted({*self.starts, *self.ends}))


PROGRAMME, DATES = "programme", "dates"  # scopes of the design basis and of the chapter on consolidation


def record_programme(sheet: Sheet, section: Section) -> None:
    """Record start, time of placing and end of every stage."""
    scope, stages = sheet.scope(PROGRAMME, say("scope-programme-title")), section.stages
    for name, values, field in (
        ("t_bs", [stage.start for stage in stages], "start"),
        ("t_ds", [stage.duration for stage in stages], "duration"),
    ):
        given_of_stages(scope, name, section, [0.0, *values], field, say("before-the-stages"))
    scope(end_of_stage)


def record_dates(sheet: Sheet, design: Design, section: Section) -> None:
    """Record hand-over and end of the design life, of a section that has a table consolidation."""
    scope, consolidation = sheet.scope(DATES, say("scope-dates-title")), section.consolidation
    assert consolidation is not None  # noqa: S101 - asked before
    given_of_section(scope, "t_ho", section, "consolidation.hand_over", consolidation.hand_over)
    scope.given("T_des", design.basis.design_life, origin=origin_of(design, "basis.design_life"))
    scope(end_of_design_life)


def ends_of(done: dict[str, Sheet]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Recorded starts and ends of the stages (day)."""
    starts, ends = (done["basis"].scopes[PROGRAMME][name].array[1:].tolist() for name in ("t_bs", "t_es"))
    return tuple(starts), tuple(ends)


def calendar(done: dict[str, Sheet]) -> Calendar:
    """The recorded days of a section whose chapter on consolidation has its values."""
    known = done["consolidation"].scopes[DATES]
    return Calendar(*ends_of(done), float(known["t_ho"].array), float(known["t_eol"].array))


def recorded_dates(done: dict[str, Sheet], consolidation: Sheet) -> list[Value]:
    """What the dates of a programme are taken from."""
    programme, known = done["basis"].scopes[PROGRAMME], consolidation.scopes[DATES]
    return [programme["t_bs"], programme["t_es"], known["t_ho"], known["t_eol"]]


def dates_of(section: Section, shared: Frame, known: Calendar) -> Dates:
    """Start and end of every stage but the first start, handing over, end of the design life."""
    steps, rows = steps_of(section), []
    for k, (label, before) in enumerate(zip(shared.stages[1:], begun_before(section)[1:], strict=True)):
        if before:
            rows.append((f"start of {label}", known.starts[k], before))
        if k in steps:
            rows.append((f"end of {label}", known.ends[k], before + 1))
    handed = sum(known.starts[k] < known.hand_over for k in steps)
    rows += [(HAND_OVER, known.hand_over, handed), (END_OF_LIFE, known.end_of_life, len(steps))]
    labels, days, placed = zip(*sorted(rows, key=lambda row: row[1]), strict=True)
    return Dates(labels, days, placed)


SETTLES = {"position": CENTRE, "load": "G+Q"}


def steps_of(section: Section) -> tuple[int, ...]:
    """Indices of the stages under which the ground consolidates."""
    return tuple(k for k, stage in enumerate(section.stages) if stage.consolidates)


def begun_before(section: Section) -> list[int]:
    """How many steps have begun before every stage, stage 0 first."""
    steps = steps_of(section)
    return [0, *(sum(step < k for step in steps) for k in range(len(section.stages)))]


def starts_of(section: Section) -> list[float]:
    """Starts of the stages in days, that of stage 0 first."""
    return [0.0, *(stage.start for stage in section.stages)]


def at_other_stages(
    value: Value, stages: tuple[str, ...], sources: Sequence[str | None], nothing: float = np.nan, reason: str = ""
) -> Value:  # fmt: skip
    """The numbers at other stages: for every stage those at its source, ``nothing`` where it has none.

    NaN for ``nothing`` is no number, and ``reason`` says why.
    """
    own = Axis("stage", stages)
    axes = union_axes([value, Value("stage", np.zeros(len(stages)), (own,))])
    shape = tuple(len(axis.labels) for axis in axes)
    array = np.broadcast_to(spread(value.array, value.axes, axes), shape)
    lacking = np.broadcast_to(spread(~value.valid, value.axes, axes), shape)
    place = axes.index(own)
    index = [0 if source is None else stages.index(source) for source in sources]
    none = spread(np.array([source is None for source in sources]), (own,), axes)
    numbers = np.where(none, nothing, array.take(index, axis=place))
    mask = np.where(none, np.isnan(nothing), lacking.take(index, axis=place))
    return Value(value.symbol, numbers, axes, mask=mask if mask.any() else None, reason=reason)


def last_fill(section: Section) -> int:
    """Number of the step, among those that consolidate, in which the last fill is placed."""
    heights = [0.0, *(section.stages[k].fill_height for k in steps_of(section))]
    higher = [k for k in range(len(heights) - 1) if above(heights[k + 1], heights[k])]
    return higher[-1] if higher else 0


def scenarios_of(consolidation: Consolidation) -> tuple[float, float, float]:
    """Factors on c_h, in the order of the axis of scenarios."""
    return 1.0, consolidation.c_h_low, consolidation.c_h_high


def opening(section: Section) -> tuple[int, ...]:
    """Indices of the last stages, those that bring traffic to the finished road and place nothing."""
    heights = [0.0, *(stage.fill_height for stage in section.stages)]
    places: list[int] = []
    for k in range(len(section.stages) - 1, 0, -1):
        if not section.stages[k].traffic or not same(heights[k + 1], heights[k]):
            break
        places.insert(0, k)
    return tuple(places)


def settled_load(section: Section) -> str:
    """The load whose settlement counts as settled at hand-over: without traffic unless the project says why not."""
    early = section.consolidation is not None and section.consolidation.early_traffic is not None
    return "G+Q" if early else "G"


OPEN_SECONDARY = "Secondary compression is a part of it. Not given: {} (0 where there is none)."

"""The gain of strength that a stage needs where it counts on the computed one: its verdicts say so, not its dates."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from calc.chapters.shared.frame import frame
from calc.chapters.shared.soft_ground import credited_gains
from calc.engine.sheet import Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.stages import COMPUTED
from calc.study.chapters import chapters
from calc.study.conditions import Needed

say = words_of(__name__)

BEARING, STABILITY = "bearing", "stability"
CLOSE = 1e-4  # of the utilisation: the gain found leaves no more than this
FINE = 1e-3  # kPa; a search for slip surfaces is no smoother
STAYS = 0.05  # share of the bracket that a step takes off at least


@dataclass(frozen=True, slots=True)
class Rated:
    """The largest utilisation over its limit that the verdicts of a chapter have in one stage, and whose it is."""

    utilisation: float
    title: str


class TooWeakError(ArithmeticError):
    """A stage that does not pass with all the strength that the ground gains in the end."""

    def __init__(self, stage: str, rated: Rated, gain: float) -> None:
        self.stage, self.rated, self.gain = stage, rated, gain
        utilisation = f"{rated.utilisation:.3f}"
        super().__init__(say("too-weak", title=rated.title, utilisation=utilisation, gain=f"{gain:.2f}"))


def stages_with_gain(section: Section) -> list[int]:
    """Places of the stages that count on the computed gain."""
    return [place for place, stage in enumerate(section.stages) if stage.c_u_gain == COMPUTED]


def needed_gain(
    design: Design, section: Section, done: Mapping[str, Sheet], place: int, kind: str, final: float, low: float = 0.0
) -> Needed:
    """The least gain (kPa), not below ``low``, with which the verdicts of a chapter pass in one stage.

    ``kind`` is that chapter, "bearing" or "stability"; the other stages keep the gain that they count on. ``final`` is
    the largest gain of the stage; ``TooWeakError`` where not even that is enough. A gain depends on the dates, what it
    is needed for does not: a stage is looked at once, not for every programme.
    """
    label, stage = frame(design, section).stages[place + 1], section.stages[place]
    gains = credited_gains(section, dict(done))[1:]
    early = {key: sheet for key, sheet in done.items() if key not in (BEARING, STABILITY)}

    def rating_at(gain: float) -> Rated:
        trial = with_gains(section, [*gains[:place], gain, *gains[place + 1 :]])
        return rating(chapters(design, trial, until=kind, done=early)[kind], label)

    gain, last = least_gain(rating_at, low, max(final, low))
    if last.utilisation > 1:
        raise TooWeakError(stage.name, last, final)
    return Needed(gain, kind, f"{last.title}, {stage.name}")


def with_gains(section: Section, gains: list[float]) -> Section:
    """The section with a gain (kPa) in every stage that credits one."""
    stages = [
        stage if stage.c_u_gain is None else stage.model_copy(update={"c_u_gain": gain})
        for stage, gain in zip(section.stages, gains, strict=True)
    ]
    return section.model_copy(update={"stages": tuple(stages)})


def rating(sheet: Sheet, stage: str) -> Rated:
    """The verdict of a chapter that is utilised most in a stage; 0 without one that has numbers there."""
    return most_utilised(sheet.verdicts, stage, sheet.title)


def most_utilised(verdicts: Sequence[Verdict], stage: str, title: str) -> Rated:
    """The one of some verdicts that is utilised most in a stage; 0, under the title, without one that has numbers."""
    worst = Rated(0.0, title)
    for verdict in verdicts:
        value = verdict.utilisations
        if value is None or "stage" not in value.axis_names or stage not in value.labels("stage"):
            continue
        number = value.largest("stage").number({"stage": stage})
        if number is not None and number / verdict.limit > worst.utilisation:
            worst = Rated(number / verdict.limit, verdict.title)
    return worst


def least_gain(rating_at: Callable[[float], Rated], low: float, high: float) -> tuple[float, Rated]:
    """The least gain from ``low`` to ``high`` with a utilisation of 1 at most, and the verdict that asks for it.

    The safety is near to linear in the gain, so a straight line through both ends finds the next one. Where not even
    ``high`` is enough, its utilisation is above 1.
    """
    asks = rating_at(low)
    if asks.utilisation <= 1:
        return low, asks
    weak, end = 1 / asks.utilisation - 1, rating_at(high)
    while end.utilisation <= 1 and high - low > FINE and (strong := 1 / end.utilisation - 1) > CLOSE:
        share = min(max((CLOSE / 2 - weak) / (strong - weak), STAYS), 1 - STAYS)
        gain = low + share * (high - low)
        middle = rating_at(gain)
        if middle.utilisation <= 1:
            high, end = gain, middle
        else:
            low, weak, asks = gain, 1 / middle.utilisation - 1, middle
    return high, end if end.utilisation > 1 else Rated(end.utilisation, asks.title)

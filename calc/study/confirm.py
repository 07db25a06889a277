"""The run of all chapters that confirms a programme, and what it shows to be needed beyond."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from time import perf_counter

from calc.chain import Run, SectionRun, finish_run, run_section
from calc.chapters.shared.frame import frame
from calc.chapters.shared.soft_ground import credited_gains
from calc.engine.sheet import Sheet
from calc.inputs import Design, Section
from calc.study.chapters import chapters
from calc.study.counted_strength import (
    BEARING,
    STABILITY,
    TooWeakError,
    needed_gain,
    rating,
    stages_with_gain,
    with_gains,
)
from calc.study.proposed_dates import with_dates
from calc.study.shortest import Found, Nothing, Search


@dataclass(frozen=True, slots=True)
class Confirmed:
    """Dates with the run of all chapters that has them, and how long the runs took (s)."""

    programme: Found
    part: SectionRun
    running: float


def confirm_dates(search: Search, programme: Found, tell: Callable[[str], None]) -> Confirmed | Nothing:
    """The dates with which every stage that counts on the computed gain is stable by the run of all chapters.

    Dates found without what stability needs are a lower bound. Where the run finds a stage too weak, the gain that it
    needs becomes one of its conditions and the search goes on: so the dates stay the earliest.
    """
    key, running = search.section.key, 0.0
    seen: set[int] = set()
    while True:
        tell(f"section {key}: running every chapter with the dates proposed")
        start = perf_counter()
        part = run_section(*with_dates(search.design, key, programme.proposal.starts, programme.proposal.hand_over))
        running += perf_counter() - start
        weak = set(_weak_stages(search, programme, part)) - seen
        if not weak:
            return Confirmed(programme, part, running)
        seen |= weak
        try:
            for place in sorted(weak):
                # The gain that stability needs in a stage, more than it has at the dates found.
                section, done = _with_its_gains(search, programme, part)
                low = search.ground.gain_at(tuple(stage_date.date for stage_date in programme.dated[: place + 1]))
                search.ground.needed[place] = needed_gain(
                    search.design, section, done, place, STABILITY, search.final(place), low
                )
        except TooWeakError as error:
            return Nothing(search.section, error.stage, str(error))
        again = search.dates()
        if isinstance(again, Nothing):
            return again
        programme = again


def _weak_stages(search: Search, programme: Found, part: SectionRun) -> list[int]:
    """Places of the stages that count on the computed gain and are not stable with it."""
    places = stages_with_gain(search.section)
    if not places:
        return []
    section, done = _with_its_gains(search, programme, part)
    labels = frame(search.design, section).stages
    return [place for place in places if rating(done[STABILITY], labels[place + 1]).utilisation > 1]


def _with_its_gains(search: Search, programme: Found, part: SectionRun) -> tuple[Section, dict[str, Sheet]]:
    """The section and its sheets with the gains that govern: those of the run, or those with the low c_h."""
    done = {sheet.key: sheet for sheet in part.sheets}
    if not search.wish.cautious:
        return part.section, done
    gains = credited_gains(part.section, done)[1:]
    for place in stages_with_gain(search.section):
        gains[place] = search.ground.gain_at(tuple(stage_date.date for stage_date in programme.dated[: place + 1]))
    section = with_gains(part.section, gains)
    early = {key: sheet for key, sheet in done.items() if key not in {BEARING, STABILITY}}
    return section, chapters(search.design, section, until=STABILITY, done=early)


def whole_run(design: Design, parts: Sequence[Confirmed]) -> Run:
    """The runs of the sections together; the design has their dates."""
    trial = design
    for part in parts:
        trial, _ = with_dates(
            trial, part.programme.section.key, part.programme.proposal.starts, part.programme.proposal.hand_over
        )
    return finish_run(
        replace(trial, sections=tuple(part.part.section for part in parts)), [part.part for part in parts]
    )

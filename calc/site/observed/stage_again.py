"""The stage of the next lift run again, bearing and stability, with the gain of strength by the degree measured."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calc.chain import CHAPTERS, CalculationError, run_chapters
from calc.chapters.shared.frame import frame
from calc.chapters.shared.soft_ground import credited_gains
from calc.engine.sheet import Origin, Scope, Sheet
from calc.engine.sheet.steps import Verdict
from calc.engine.words import words_of
from calc.formulas import consolidation_strength as cs
from calc.inputs import Design, Section
from calc.site.observed.design_course import DesignCourse
from calc.study.counted_strength import BEARING, STABILITY, most_utilised, with_gains

say = words_of(__name__)

TAKEN = ("sigma_v0s", "mu_sb", "zeta_p", "p_Gb", "S_nc", "c_u", "sigma_ph", "U_b")
"""What the gain of strength follows from, in the chapter on consolidation."""


@dataclass(frozen=True)
class Degree:
    """A degree of consolidation, or None and why there is none; of a degree the note says what is left out.

    ``offsets`` are the distances from the axis (m) of the instruments that it is of.
    """

    value: float | None
    note: str = ""
    offsets: tuple[float, ...] = ()


@dataclass(frozen=True)
class Grid:
    """The section, or a zone of its columns: with its slip searches, and with its sheets by chapter."""

    section: Section
    done: dict[str, Sheet]


class OpenLiftError(LookupError):
    """Why the stage cannot be run again with what was measured."""


def _grids(course: DesignCourse, whole: Section) -> list[Grid]:
    """The section and its zones with the sheets of the design."""
    keys = [chapter.key for chapter in CHAPTERS]
    grids = [Grid(whole, {key: course.done[key] for key in keys if key in course.done})]
    for part in course.zones:
        head = f"{part.key}/"
        grids.append(Grid(part, {path.removeprefix(head): sheet for path, sheet in course.done.items()
                                 if path.startswith(head)}))  # fmt: skip
    return grids


def stage_again(
    sheet: Sheet, course: DesignCourse, whole: Section, place: int, degrees: Sequence[Degree], *, slip: bool
) -> None:  # fmt: skip
    """Bearing with lateral extrusion, and stability, of the stage with the gain of strength by the degree measured."""
    titles = {BEARING: say("bearing"), STABILITY: say("stability")}
    last = STABILITY if slip and whole.slip is not None else BEARING
    grids = _grids(course, whole)
    try:
        gain = _counted_gain(sheet, course, grids, place, degrees)
        done = _done_again(course, grids, place, gain, last)
    except (OpenLiftError, CalculationError) as error:
        text = str(error) if isinstance(error, OpenLiftError) else say("no-solution", error=error)
        for kind, title in titles.items():
            sheet.not_verified(kind, title, text)
        return
    _rate(sheet, course, place, BEARING, titles[BEARING], [sheets[BEARING] for sheets in done])
    if last == STABILITY:
        _rate(sheet, course, place, STABILITY, titles[STABILITY], [sheets[STABILITY] for sheets in done])
    else:
        sheet.not_verified(STABILITY, titles[STABILITY], say("no-slip"))


def _counted_gain(
    sheet: Sheet, course: DesignCourse, grids: Sequence[Grid], place: int, degrees: Sequence[Degree]
) -> float:  # fmt: skip
    """The least gain of strength in the stage that the design counts on in any grid, no more than by the degree (kPa).

    ``OpenLiftError`` where it counts on one and no degree was measured in some grid, or layers change across.
    """
    if grids[0].section.slopes:
        raise OpenLiftError(say("not-by-slopes"))
    counted = [credited_gains(grid.section, grid.done)[place + 1] for grid in grids]
    if max(counted) <= 0:
        return 0.0
    known = [degree.value for degree in degrees if degree.value is not None]
    if len(known) < len(degrees):
        raise OpenLiftError(say("no-degree-for-gain"))
    for grid in grids:
        if len(grids) > 1 and not all(any(_stands_in(grid, grids, at) for at in degree.offsets) for degree in degrees):
            raise OpenLiftError(say("no-degree-in-zone", key=grid.section.key))
    return min([*counted, *(_gain(sheet, course, grid, place, min(known)) for grid in grids)])


def _stands_in(grid: Grid, grids: Sequence[Grid], offset: float) -> bool:
    """Whether a distance from the axis (m) lies in a zone, or for the section itself in none."""
    inside = [each for each in grids if each.section.zone is not None
              and any(low <= offset <= high for low, high in each.section.zone.strips)]  # fmt: skip
    return grid in inside if grid.section.zone is not None else not inside


def _done_again(
    course: DesignCourse, grids: Sequence[Grid], place: int, gain: float, last: str
) -> list[dict[str, Sheet]]:
    """The sheets of the section and of its zones, which come first, with one gain of strength in the stage (kPa)."""
    gains = credited_gains(course.section, course.done)[1:]
    gains[place] = gain
    others: dict[str, Sheet] = {}
    every = list[dict[str, Sheet]]()
    for grid in reversed(grids):
        done = chapters_again(course.design, with_gains(grid.section, gains), grid.done, others, until=last)
        others |= {f"{grid.section.key}/{key}": sheet for key, sheet in done.items()}
        every.insert(0, done)
    return every


def chapters_again(
    design: Design, section: Section, before: dict[str, Sheet], others: dict[str, Sheet], *, until: str
) -> dict[str, Sheet]:  # fmt: skip
    """The sheets of a section from bearing on run again, on those before it and on those of its zones."""
    keys = [chapter.key for chapter in CHAPTERS]
    first, last = keys.index(BEARING), keys.index(until)
    done = {key: before[key] for key in keys[:first]}
    run_chapters(design, section, CHAPTERS[first : last + 1], done, None, others)
    return done


def _gain(sheet: Sheet, course: DesignCourse, grid: Grid, place: int, measured: float) -> float:
    """Least gain of the sublayers with no more than the degree measured, by the formulas of the design (kPa)."""
    shared, zone = frame(course.design, grid.section), grid.section.zone
    own, label = grid.done["consolidation"].scopes.get("gain"), shared.stages[place + 1]
    if own is None or any(name not in own for name in TAKEN):
        raise OpenLiftError(say("no-gain"))
    scope = sheet.scope(f"gain_{zone.key}" if zone else "gain", say("gain-in", key=zone.key) if zone else say("gain"))
    sheet.axis("layer", shared.layers)
    for name in TAKEN[:-1]:
        value = own[name]
        scope.take(name, value.at(stage=label) if "stage" in value.axis_names else value)
    counted = own["U_b"].at(stage=label)
    degrees = np.broadcast_to(np.minimum(counted.array, max(measured, 0.0)), (len(shared.layers),))
    scope.reading("U_b", degrees, ["layer"], title=say("reading-U_b"), inputs=[counted],
                  note=say("measured", degree=f"{100 * max(measured, 0.0):.1f}"))  # fmt: skip
    scope(cs.stress_by_share)
    gain = scope(cs.gain_above_given, Dc_u="Dc_un")
    return float(scope.reading("Dc_us", float(gain.array.min()), title=say("reading-Dc_us"), inputs=[gain]).array)


def _rate(sheet: Sheet, course: DesignCourse, place: int, kind: str, title: str, done: Sequence[Sheet]) -> None:
    """The largest utilisation that a chapter has in the stage with any grid; what it leaves open stays open."""
    label = course.shared.stages[place + 1]
    verdicts = [verdict for chapter in done for verdict in chapter.verdicts]
    # A verdict that another one has to decide has a number, too, and is no failure for it.
    rating = most_utilised([verdict for verdict in verdicts if verdict.state != "not verified"], label, title)
    left = [verdict for verdict in verdicts if verdict.state == "not verified" and verdict.required]
    failing = [verdict for verdict in verdicts if verdict.state == "fail" and not _is_of_stages(verdict, label)]
    if failing:
        text = say(
            "fails",
            what="; ".join(f"{verdict.title}{f': {verdict.note}' if verdict.note else ''}" for verdict in failing),
        )
        sheet.verdicts.append(Verdict(kind, title, "fail", note=text))
        return
    if rating.utilisation <= 0 or (left and rating.utilisation <= 1):
        sheet.not_verified(kind, title, left[0].note if left else say("nothing-rated"))
        return
    scope: Scope = sheet.scope(kind, title)
    effect = scope.reading("u_nx", rating.utilisation, title=rating.title)
    limit = scope.given("u_lim", 1.0, origin=Origin("project rule", text=say("limit")))
    made = sheet.verdict(kind, title, effect=effect, resistance=limit)
    sheet.verdicts[-1] = replace(made, note=rating.title)


def _is_of_stages(verdict: Verdict, label: str) -> bool:
    """Whether a verdict has utilisations by stage, which `rating` compares for the stage alone."""
    value = verdict.utilisations
    return value is not None and "stage" in value.axis_names and label in value.labels("stage")

"""The design calculated again with the area ratio and the lengths as built: which verdicts change."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calc.chain import Run, run_checks
from calc.engine.words import words_of
from calc.formulas.column_records import spacing_as_built
from calc.inputs import Design, Section
from calc.inputs.tables.positions import with_positions
from calc.run_progress import Tell
from calc.site.installed.as_built import AsBuilt, GridRatio
from calc.site.installed.recorded_columns import Compared

say = words_of(__name__)

CONCERNED = ("unit_cell", "sleeve", "bearing", "stability")
"""Chapters whose largest utilisations are told, changed or not."""
THICKNESSES = ("thickness", "thickness_left", "thickness_right")
LEAST_LENGTH, LEAST_SHARE = 0.01, 0.001  # m and of the area ratio; a smaller difference is none: project rule


@dataclass(frozen=True, slots=True)
class Changed:
    """A verdict before and after; utilisations where it has numbers."""

    section: str
    chapter: str
    title: str
    before: str
    after: str
    utilisation_before: float | None
    utilisation_after: float | None


@dataclass(frozen=True)
class Again:
    """A section as built: what was put in place of what, which verdicts change, the largest utilisations."""

    section: str
    ratio: tuple[tuple[str, float, float], ...]
    """Grid, area ratio of the design, least one as built."""
    higher_toe: float
    deeper_toe: float
    changed: tuple[Changed, ...] = ()
    largest: tuple[Changed, ...] = ()
    why_not: str = ""
    open: bool = False
    """Whether the section differs and could not be calculated again."""

    @property
    def turns(self) -> bool:
        """Whether a verdict that was not failing fails."""
        return any(one.after == "fail" for one in self.changed)


def design_again(design: Design, one: Compared, built: AsBuilt, tell: Tell, *, slip: bool) -> tuple[Again, ...]:
    """Every section with records, calculated as designed and as built where the two differ."""
    found: dict[str, Again] = {}
    trials: dict[str, tuple[Section, Section]] = {}
    for area in one.made.layout.areas:
        own = one.made.layout.columns.area == area.index
        if not (one.has & own).any():
            continue
        grids = [grid for grid in built.grids if grid.area is area]
        again = _differences(one, own, grids, area.section)
        found[area.section.key] = again
        if again.why_not == "":
            trials[area.section.key] = area.section, _as_built(area.section, grids, again)
    if trials:
        before, after = (
            _run(design, [pair[k] for pair in trials.values()], tell, slip=slip) for k in range(2)
        )  # fmt: skip
        for key in trials:
            found[key] = replace(found[key], changed=_changed(before, after, key), largest=_largest(before, after, key))
    return tuple(found.values())


def _differences(one: Compared, own: np.ndarray, grids: Sequence[GridRatio], section: Section) -> Again:
    """How the columns of a section differ; ``why_not`` where nothing is to be calculated again, or cannot be."""
    # An area ratio above that of the design is not counted: it would be as good as the closest window.
    ratio = tuple((grid.name, grid.design, min(grid.least, grid.design)) for grid in grids)
    higher = one.number("toe_level") - one.planned("toe")
    # Where the criterion was met, a higher toe has found its bearing layer there and is embedded as planned.
    met = np.array([value is True for value in one.texts("criterion")], dtype=bool)
    higher = np.where(met, np.minimum(higher, 0.0), higher)
    known = own & one.has & ~np.isnan(higher)
    most, least = (float(higher[known].max()), float(higher[known].min())) if known.any() else (0.0, 0.0)
    again = Again(section.key, ratio, max(most, 0.0), max(-least, 0.0))
    differs = any(built < asked * (1 - LEAST_SHARE) for _, asked, built in ratio)
    if not (differs or again.higher_toe > LEAST_LENGTH or again.deeper_toe > LEAST_LENGTH):
        if not grids or not known.any():
            return replace(again, why_not=say("unknown"), open=True)
        return replace(again, why_not=say("alike"))
    if again.higher_toe > section.columns.embedment:
        return replace(again, why_not=say("floating", higher=f"{again.higher_toe:.2f}",
                                          embedment=f"{section.columns.embedment:.2f}"), open=True)  # fmt: skip
    if any(built <= 0 for _, _, built in ratio):
        return replace(again, why_not=say("no-column"), open=True)
    return again


def _as_built(section: Section, grids: Sequence[GridRatio], again: Again) -> Section:
    """The section with grids of the least area ratio, less embedment by the highest toe, and thicker last soft layer.

    A toe that was driven deeper is taken to have found its bearing layer there.
    """
    columns, changed = section.columns, dict[str, float]()
    for grid in grids:
        _, spacing = columns.grid_of(grid.zone)
        ratio = min(grid.least, grid.design)
        changed[grid.zone.key if grid.zone else ""] = float(spacing_as_built(a_x=spacing, a_E=grid.design, a_Ebw=ratio))
    zones = tuple(zone.model_copy(update={"spacing": changed.get(zone.key, zone.spacing)}) for zone in columns.zone)
    new = {"spacing": changed.get("", columns.spacing), "zone": zones,
           "embedment": columns.embedment - again.higher_toe}  # fmt: skip
    last = section.layers[-1]
    given = [name for name in THICKNESSES if getattr(last, name) is not None]
    deeper = {name: getattr(last, name) + again.deeper_toe for name in given}
    layers = (*section.layers[:-1], last.model_copy(update=deeper))
    return section.model_copy(update={"columns": columns.model_copy(update=new), "layers": layers})


def _run(design: Design, sections: Sequence[Section], tell: Tell, *, slip: bool) -> Run:
    every = tuple(part for section in sections for part in with_positions(section))
    return run_checks(replace(design, sections=every if slip else tuple(one.without_slip() for one in every)), tell)


def _pairs(before: Run, after: Run, key: str) -> list[tuple[str, Changed]]:
    """Every verdict of a section, its zones and positions, in both runs, with the key of its chapter."""
    of = {
        (part.section.key, sheet.key, verdict.key): (part, sheet, verdict) for part, sheet, verdict in before.verdicts()
    }
    found = []
    for part, sheet, verdict in after.verdicts():
        if part.section.of != key:
            continue
        old = of.get((part.section.key, sheet.key, verdict.key))
        state, used = (old[2].stamp, old[2].utilisation) if old else (say("not-there"), None)
        found.append((sheet.key, Changed(part.section.key, sheet.title, verdict.title, state, verdict.stamp, used,
                                         verdict.utilisation)))  # fmt: skip
    return found


def _changed(before: Run, after: Run, key: str) -> tuple[Changed, ...]:
    return tuple(one for _, one in _pairs(before, after, key) if one.before != one.after)


def _largest(before: Run, after: Run, key: str) -> tuple[Changed, ...]:
    """The largest utilisation as built of each of the chapters that rest on the columns."""
    pairs, found = _pairs(before, after, key), list[Changed]()
    for chapter in CONCERNED:
        own = [one for name, one in pairs if name == chapter and one.utilisation_after is not None]
        if own:
            found.append(max(own, key=lambda one: one.utilisation_after or 0.0))
    return tuple(found)

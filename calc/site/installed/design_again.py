"""The design calculated again with the area ratio and the lengths as built: which verdicts change."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from calc.chain import CalculationError, Run, run_checks
from calc.engine.sheet import Verdict, case_words
from calc.engine.words import words_of
from calc.formulas.column_records import spacing_as_built
from calc.inputs import Design, Section
from calc.inputs.tables.positions import with_positions
from calc.run_progress import Tell
from calc.site.installed.as_built import AsBuilt, GridRatio
from calc.site.installed.judging import Item
from calc.site.installed.recorded_columns import Compared
from calc.site.plan.column_layout import Area, Array, Marks
from calc.site.plan.plan_steps import of_grid
from calc.site.plan.toe_levels import floats

say = words_of(__name__)

CONCERNED = ("unit_cell", "sleeve", "bearing", "stability")
"""Chapters whose largest utilisations are told, changed or not."""
THICKNESSES = ("thickness", "thickness_left", "thickness_right")
FAIL, NOT_VERIFIED = "fail", "not verified"
MOST_NAMED = 8
NOT_AS_DESIGNED = {"fill": ("volume", "depth"), "sleeve": ("sleeve", "sleeve_length"), "inclined": ("inclination",)}
"""What the calculation takes as designed, and the items that may say it is not: their columns are told."""
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
    case: str = ""
    """In words, where both utilisations are of one case."""


@dataclass(frozen=True, slots=True)
class _Pair:
    """A verdict as designed and as built, with the key of its chapter."""

    chapter: str
    change: Changed
    before: Verdict | None
    after: Verdict | None

    def at_one_case(self) -> Changed:
        """The largest utilisation as built, and that of the design at the same case."""
        assert self.after is not None  # noqa: S101 - only verdicts with a utilisation as built are asked for
        case, old = self.after.case, self.before.utilisations if self.before else None
        if old is None:
            return replace(self.change, case=case_words(case))
        # Where cases have other names as built, as sublayers of another thickness have, the largest of them counts.
        alike = {axis.name: case[axis.name] for axis in old.axes if case.get(axis.name) in axis.labels}
        return replace(self.change, utilisation_before=old.largest(*alike).number(alike), case=case_words(case))


@dataclass(frozen=True)
class Again:
    """A section as built: what was put in place of what, which verdicts change, the largest utilisations."""

    section: str
    ratio: tuple[tuple[str, float, float], ...]
    """Grid, area ratio of the design, least one as built."""
    higher_toe: float
    """Above the plan, m; the largest of all columns."""
    deeper_toe: float
    """Below the design, m; by the plan where columns were built to it."""
    changed: tuple[Changed, ...] = ()
    largest: tuple[Changed, ...] = ()
    why_not: str = ""
    """Why nothing was calculated again."""
    unsettled: tuple[str, ...] = ()
    """What the calculation does not cover, in sentences."""
    higher_in: Mapping[str, float] = field(default_factory=dict)
    """The largest of the columns whose embedment is that of a zone, by its key, and of the others under no key, m."""

    @property
    def turns(self) -> bool:
        """Whether a verdict that was not failing fails."""
        return any(change.after == FAIL for change in self.changed)

    @property
    def opened(self) -> tuple[Changed, ...]:
        """Verdicts that are verified as designed and not as built."""
        return tuple(change for change in self.changed if change.after in {NOT_VERIFIED, say("not-there")})

    @property
    def open(self) -> bool:
        """Whether it is not known of everything that was built if the design still holds."""
        return bool(self.unsettled or self.opened)


def design_again(
    design: Design, compared: Compared, built: AsBuilt, items: Sequence[Item], tell: Tell, *, slip: bool
) -> tuple[Again, ...]:
    """Every section with records, and others of which a verdict changes with them, as designed and as built.

    ``items`` are what columns do not conform in: some of it no calculation here follows, which is told.
    """
    by_section: dict[str, Again] = {}
    trials: dict[str, Section] = {}
    for area in compared.made.layout.areas:
        own = compared.made.layout.columns.area == area.index
        if not (compared.has & own).any():
            continue
        grids = [grid for grid in built.grids if grid.area is area]
        again = _differences(compared, built, area, grids, items)
        by_section[area.section.key] = again
        if again.why_not == "":
            trials[area.section.key] = _as_built(area.section, grids, again)
    if not trials:
        return tuple(by_section.values())
    before = _run(design, {}, tell, slip=slip)
    for after, keys in _as_they_were_built(design, trials, by_section, tell, slip=slip):
        for key in keys:
            pairs = _pairs(before, after, key)
            changed = tuple(pair.change for pair in pairs if pair.change.before != pair.change.after)
            if key in trials:
                unsettled = by_section[key].unsettled if slip else (*by_section[key].unsettled, say("no-slip"))
                by_section[key] = replace(
                    by_section[key], changed=changed, largest=_largest(pairs), unsettled=unsettled
                )
            elif changed:
                by_section[key] = replace(by_section.get(key, Again(key, (), 0.0, 0.0)), changed=changed)
    return tuple(by_section.values())


def _as_they_were_built(
    design: Design, trials: Mapping[str, Section], by_section: dict[str, Again], tell: Tell, *, slip: bool
) -> Iterator[tuple[Run, list[str]]]:
    """The run with all sections as built, and of which sections it tells; where it has no solution, one by one."""
    try:
        yield _run(design, trials, tell, slip=slip), [section.key for section in design.stated]
    except CalculationError:
        for key, trial in trials.items():
            try:
                yield _run(design, {key: trial}, tell, slip=slip), [key]
            except CalculationError as error:
                unsolved = say("unsolved", why=str(error))
                by_section[key] = replace(
                    by_section[key], why_not=unsolved, unsettled=(*by_section[key].unsettled, unsolved)
                )


def _differences(
    compared: Compared, built: AsBuilt, area: Area, grids: Sequence[GridRatio], items: Sequence[Item]
) -> Again:
    """How the columns of a section differ; ``why_not`` where nothing is to be calculated again, or cannot be."""
    own: Marks = compared.has & (compared.made.layout.columns.area == area.index)
    # An area ratio above that of the design is not counted: it would be as good as the closest window.
    ratio = tuple((grid.name, grid.design, min(grid.least, grid.design)) for grid in grids)
    # Where the criterion was met, a higher toe has found its bearing layer there and is embedded as planned.
    higher = np.where(compared.met, np.minimum(compared.higher, 0.0), compared.higher)
    # Short columns of a zone are in no embedment: a higher toe of theirs is left open.
    short = _short(compared, area)
    told = own & ~np.isnan(higher) & ~compared.floating
    known = told & ~short
    most = float(higher[known].max(initial=0.0))
    soft = most if area.section.columns.floating is not None else float(higher[told & short].max(initial=0.0))
    # Embedment is less against the bearing layer of the plan; soft layers are thicker against those of the design.
    deeper = float(compared.deeper[own & ~short].max(initial=0.0))
    again = Again(area.section.key, ratio, max(0.0, most), max(0.0, deeper),
                  unsettled=(*_unsettled(compared, built, area, own, soft), *_not_as_designed(compared, own, items)),
                  higher_in=_higher_by_embedment(compared, area, np.where(known, higher, 0.0)))  # fmt: skip
    if any(least <= 0 for _, _, least in ratio):
        return replace(again, why_not=say("no-column"), unsettled=(*again.unsettled, say("no-column")))
    differs = any(least < asked * (1 - LEAST_SHARE) for _, asked, least in ratio)
    if differs or again.higher_toe > LEAST_LENGTH or again.deeper_toe > LEAST_LENGTH:
        return again
    if grids and known.any():
        return replace(again, why_not=say("alike"))
    return replace(again, why_not=say("unknown"), unsettled=(*again.unsettled, say("unknown")))


def _higher_by_embedment(compared: Compared, area: Area, higher: Array) -> dict[str, float]:
    """The highest toe of each embedment: a column of another zone may stand higher than this one's is deep."""
    zones = {zone.key: of_grid(area, compared.made.layout.columns, zone)
             for zone in area.section.columns.zone if zone.embedment is not None}  # fmt: skip
    rest = ~np.logical_or.reduce([np.zeros(len(higher), dtype=bool), *zones.values()])
    return {key: max(0.0, float(higher[which].max(initial=0.0))) for key, which in (*zones.items(), ("", rest))}


def _short(compared: Compared, area: Area) -> Marks:
    """The columns of zones that end in soft ground beside others that do not."""
    layout = compared.made.layout
    short: Marks = floats(layout.areas, layout.columns) & (area.section.columns.floating is None)
    return short


def _unsettled(compared: Compared, built: AsBuilt, area: Area, own: Marks, soft: float) -> tuple[str, ...]:
    """What the section as built leaves open, in sentences: columns and grids that are not in it."""
    sentences = []
    slips = np.zeros(len(own), dtype=bool)
    for wrong, _, _ in compared.implausible.values():
        slips |= wrong
    for key, which in (("floating", own & compared.floating), ("slips", own & slips),
                       ("no-toe", own & np.isnan(compared.toe) & ~slips)):  # fmt: skip
        names = [compared.ids[k] for k in np.flatnonzero(which)]
        if names:
            sentences.append(say(key, count=len(names), names=_names_text(names)))
    if soft > LEAST_LENGTH:
        sentences.append(say("in-soft", higher=f"{soft:.2f}"))
    # What the plan has shorter was not calculated: it is covered as far as the project says so.
    shorter = float(compared.made.levels.shorter[own].max())
    limit = area.given.design_shorter
    if shorter > (limit or 0.0) + LEAST_LENGTH:
        covered = say("covered", limit=f"{limit:.2f}") if limit is not None else say("cover-not-given")
        sentences.append(say("shorter", shorter=f"{shorter:.2f}", covered=covered))
    letter = area.given.letter
    bare = [name for name in built.unjudged if name == letter or name.startswith(f"{letter}, ")]
    if built.why_not and not bare:
        sentences.append(say("no-ratio", why=built.why_not))
    if bare:
        sentences.append(say("no-window", grids=", ".join(bare)))
    return tuple(sentences)


def _not_as_designed(compared: Compared, own: Marks, items: Sequence[Item]) -> Iterator[str]:
    """Columns whose fill, sleeve or axis is not that of the design, which the calculation does not follow."""
    of_section = {compared.ids[k] for k in np.flatnonzero(own)}
    for key, asked in NOT_AS_DESIGNED.items():
        failing = {each.id: None for item in items if item.key in asked for each in item.findings if not each.open}
        names = [name for name in failing if name in of_section]
        if names:
            yield say(f"not-as-designed-{key}", count=len(names), names=_names_text(names))


def _names_text(names: Sequence[str]) -> str:
    return ", ".join(names[:MOST_NAMED]) + (" …" if len(names) > MOST_NAMED else "")


def _as_built(section: Section, grids: Sequence[GridRatio], again: Again) -> Section:
    """The section with grids of the least area ratio, less embedment by the highest toe, and thicker last soft layer.

    A toe that lies deeper than in the design, by the plan or driven deeper, has found its bearing layer there.
    """
    columns, changed = section.columns, dict[str, float]()
    for grid in grids:
        _, spacing = columns.grid_of(grid.zone)
        ratio = min(grid.least, grid.design)
        changed[grid.zone.key if grid.zone else ""] = float(spacing_as_built(a_x=spacing, a_E=grid.design, a_Ebw=ratio))
    zones = tuple(
        zone.model_copy(update={
            "spacing": changed.get(zone.key, zone.spacing),
            "embedment": None if zone.embedment is None else zone.embedment - again.higher_in[zone.key],
        })
        for zone in columns.zone
    )  # fmt: skip
    new = {"spacing": changed.get("", columns.spacing), "zone": zones,
           "embedment": columns.embedment - (0.0 if columns.floating else again.higher_in[""])}  # fmt: skip
    last = section.layers[-1]
    given = [name for name in THICKNESSES if getattr(last, name) is not None]
    deeper = {name: getattr(last, name) + again.deeper_toe for name in given}
    layers = (*section.layers[:-1], last.model_copy(update=deeper))
    return section.model_copy(update={"columns": columns.model_copy(update=new), "layers": layers})


def _run(design: Design, trials: Mapping[str, Section], tell: Tell, *, slip: bool) -> Run:
    """The whole design with some sections as built: chapters compare sections with one another."""
    sections = (trials.get(section.key, section) for section in design.stated)
    every = tuple(part for section in sections for part in with_positions(section))
    return run_checks(replace(design, sections=every if slip else tuple(part.without_slip() for part in every)), tell)


def _pairs(before: Run, after: Run, key: str) -> list[_Pair]:
    """Every verdict of a section, its zones and positions, in both runs."""
    old, new = (
        {(part.section.key, sheet.key, verdict.key): (sheet.title, verdict)
         for part, sheet, verdict in run.verdicts() if part.section.of == key}
        for run in (before, after)
    )  # fmt: skip
    pairs = []
    for place in new | old:
        title, verdict = new.get(place) or old[place]
        states = [(run[place][1].stamp, run[place][1].utilisation) if place in run else (say("not-there"), None)
                  for run in (old, new)]  # fmt: skip
        change = Changed(place[0], title, verdict.title, states[0][0], states[1][0], states[0][1], states[1][1])
        pairs.append(_Pair(place[1], change, *(run[place][1] if place in run else None for run in (old, new))))
    return pairs


def _largest(pairs: Sequence[_Pair]) -> tuple[Changed, ...]:
    """The largest utilisation as built of each of the chapters that rest on the columns, at its case in both runs."""
    largest = list[Changed]()
    for chapter in CONCERNED:
        own = [pair for pair in pairs if pair.chapter == chapter and pair.change.utilisation_after is not None]
        if own:
            largest.append(max(own, key=lambda pair: pair.change.utilisation_after or 0.0).at_one_case())
    return tuple(largest)

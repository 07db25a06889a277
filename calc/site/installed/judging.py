"""Every column against plan and limits: what was judged, what was not and why, and what does not conform."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path

import numpy as np
from scipy.spatial import cKDTree

from calc.engine.words import words_of
from calc.formulas.column_records import distance_from_plan, fill_over_theory, inclination_as_built
from calc.formulas.quantities import sleeve_length as sleeve_needed
from calc.inputs.reading.scalars import show
from calc.inputs.tables.installed import CRITERION, EITHER, LEVEL
from calc.site.installed.record_files import Record
from calc.site.installed.recorded_columns import HAIR, Compared
from calc.site.plan.column_layout import Array, Marks
from calc.site.rows.row_files import Refused

say = words_of(__name__)

MINUTES = 24 * 60.0
NEAR_IDS = 2000  # columns of a plan up to which an unknown id is compared with all others


@dataclass(frozen=True, slots=True)
class Unit:
    """How a value prints: unit, its factor from the coherent one, decimals."""

    text: str = ""
    factor: float = 1.0
    decimals: int = 2

    def shown(self, value: float | None) -> str:
        """The value with its unit; nothing where there is none."""
        if value is None or np.isnan(value):
            return ""
        return f"{value * self.factor:.{self.decimals}f} {self.text}".strip()


METRE, SLANT, PLAIN, CLOCK = Unit("m", 1.0, 3), Unit("m/m", 1.0, 3), Unit("", 1.0, 3), Unit("min", MINUTES, 0)
HOURS = Unit("h", 24.0, 1)


@dataclass(frozen=True, slots=True)
class Finding:
    """A non-conformity: the column, what it is about, the value and its limit (in kN, m, kPa, rad, day), a note."""

    id: str
    item: str
    value: float | None = None
    limit: float | None = None
    unit: Unit = PLAIN
    note: str = ""
    file: str = ""
    line: int = 0
    open: bool = False
    """Whether the record does not say what is asked."""


@dataclass(frozen=True, slots=True)
class Item:
    """One question for all columns: how many were judged and how many do not conform, or why none was judged."""

    key: str
    judged: int
    why_not: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def failed(self) -> int:
        """Columns that do not conform."""
        return len({each.id for each in self.findings})

    @property
    def title(self) -> str:
        """What is asked."""
        return say(f"item-{self.key}")


@dataclass(frozen=True)
class Band:
    """What an item compares: values of all columns, nan where there is none, and their limits."""

    key: str
    values: Array
    unit: Unit
    least: Array | float | None
    most: Array | float | None
    fields: tuple[str, ...]
    """Fields one of which the files must have."""
    recorded: Array | None = None
    """What a record says where the value is made of that and of others."""


def judge(compared: Compared) -> tuple[Item, ...]:
    """Every question but those of fill by depth and of the times of neighbours."""
    toes = (*(_in_band(compared, band) for band in _deep_and_high(compared)), _toe(compared))
    items = [_in_band(compared, band) for band in _bands(compared, toes)]
    return (
        _ids(compared),
        _plausible(compared),
        *items,
        *toes,
        _sleeve(compared),
        _sleeve_length(compared),
        _serial(compared),
        _times(compared),
    )


def _bands(compared: Compared, toes: Sequence[Item]) -> Iterator[Band]:
    """The items with limits; ``toes`` are those of the toe, which have been judged."""
    limits = compared.limits
    yield Band("position", distances_from_plan(compared), METRE, None, limits.position, ("easting",))
    yield Band("inclination", inclinations(compared), SLANT, None, limits.inclination, ("inclination", "inclination_x"))
    # A toe that the criterion accepts, or that is listed for its level: the length is not judged for that once more.
    low, high = (np.array([name in ids for name in compared.ids], dtype=bool) for ids in _listed_by_toe(toes))
    planned, higher = compared.planned("length"), np.nan_to_num(compared.higher)
    lacks, exceeds = (
        np.where(compared.met | high, np.maximum(higher, 0.0), 0.0),
        np.where(low, np.maximum(-higher, 0.0), 0.0),
    )
    short = None if limits.length_short is None else planned - lacks - limits.length_short
    far = None if limits.length_long is None else planned + exceeds + limits.length_long
    recorded = np.where(np.isnan(compared.number("length")), compared.number("toe_level"), compared.number("length"))
    yield Band("length", compared.length, METRE, short, far, ("length", "toe_level"), recorded)
    yield Band(
        "diameter", compared.number("diameter"), METRE, limits.diameter_least, limits.diameter_most, ("diameter",)
    )
    volume = fill_over_theory(V_b=compared.number("volume"), V_th=compared.theory)
    asked = ("toe_level", "length") if "volume" in compared.mapped else ("volume",)
    yield Band("volume", volume, PLAIN, limits.volume_least, limits.volume_most, asked, compared.number("volume"))
    yield Band("interruption", compared.number("interruption"), CLOCK, None, limits.interruption, ("interruption",))
    duration = compared.number("end") - compared.number("start")
    yield Band("duration", duration, CLOCK, None, limits.duration, ("start", "end"))


def _listed_by_toe(toes: Sequence[Item]) -> tuple[set[str], set[str]]:
    """Columns that are listed for a toe too low, and for one too high."""
    low, high = set[str](), set[str]()
    for item in toes:
        (low if item.key == "toe_low" else high).update(each.id for each in item.findings if each.value is not None)
    return low, high


def distances_from_plan(compared: Compared) -> Array:
    """Distance of every column from its place in the list of the plan, on the ground."""
    # The list has places to the millimetre, and the rig sets out by the list.
    de, dn = (
        compared.number("easting") - compared.planned("easting"),
        compared.number("northing") - compared.planned("northing"),
    )
    distances: Array = distance_from_plan(dE_b=de, dN_b=dn, k_gr=compared.made.plan.scale_factor)
    return distances


def inclinations(compared: Compared) -> Array:
    """Inclination of every column as horizontal over vertical length."""
    parts = inclination_as_built(i_bx=compared.number("inclination_x"), i_by=compared.number("inclination_y"))
    slopes: Array = np.where(np.isnan(parts), compared.number("inclination"), parts)
    return slopes


def _in_band(compared: Compared, band: Band) -> Item:
    if not compared.mapped & {*band.fields}:
        return Item(band.key, 0, say("no-column", fields=" / ".join(band.fields)))
    if band.least is None and band.most is None:
        return Item(band.key, 0, say("no-limit"))
    known: Marks = compared.has & np.isfinite(band.values)
    findings = [*without_value(compared, band.key, known)]
    if band.recorded is not None:
        basis = {compared.ids[k] for k in np.flatnonzero(np.isfinite(band.recorded)).tolist()}
        findings = [replace(each, note=say("no-basis")) if each.id in basis else each for each in findings]
    for limit, sign in ((band.least, -1), (band.most, 1)):
        if limit is None:
            continue
        limits = np.broadcast_to(np.asarray(limit, dtype=float), band.values.shape)
        over = np.flatnonzero(known & (sign * (np.nan_to_num(band.values) - limits) > HAIR)).tolist()
        note = say("below") if sign < 0 else say("above")
        findings += [
            finding(compared, k, band.key, float(band.values[k]), float(limits[k]), band.unit, note) for k in over
        ]
    return Item(band.key, int(known.sum()), findings=tuple(findings))


def finding(
    compared: Compared, k: int, key: str, value: float | None = None, limit: float | None = None, unit: Unit = PLAIN,
    note: str = "",
) -> Finding:  # fmt: skip
    """A non-conformity of a column of the plan, with the row of its record."""
    record = compared.own[k]
    bare = Finding(compared.ids[k], key, value, limit, unit, note)
    return bare if record is None else replace(bare, file=record.file, line=record.line)


def without_value(compared: Compared, key: str, known: Marks) -> Iterator[Finding]:
    """Records that do not say what is judged."""
    for k in np.flatnonzero(compared.has & ~known).tolist():
        yield replace(finding(compared, k, key, note=say("not-recorded")), open=True)


def _ids(compared: Compared) -> Item:
    """Missing, unknown and double ids."""
    refused = {row.id: row for row in compared.records.refused if row.id}
    findings = [
        _missing(compared.ids[k], refused.get(compared.ids[k])) for k in np.flatnonzero(compared.missing).tolist()
    ]
    known, removed = set(compared.ids), set(compared.made.identity.removed)
    strange = [record for record in compared.records.counted.values() if record.id not in known]
    findings += [
        Finding(record.id, "ids", note=say("removed") if record.id in removed else note, file=record.file,
                line=record.line)
        for record, note in zip(strange, _unknown(compared, strange), strict=True)
    ]  # fmt: skip
    findings += [
        Finding(again.later.id, "ids", note=say("twice", file=Path(again.earlier.file).name, line=again.earlier.line),
                file=again.later.file, line=again.later.line)
        for again in compared.records.again if again.twice
    ]  # fmt: skip
    deep = [name for name in compared.records.readings.ids if name not in compared.records.counted]
    findings += [Finding(name, "ids", note=say("only-readings")) for name in deep]
    return Item("ids", int(compared.has.sum()), findings=tuple(findings))


def _missing(name: str, row: Refused | None) -> Finding:
    """A column without a record, or with one whose row does not count."""
    if row is None:
        return Finding(name, "ids", note=say("missing"))
    return Finding(name, "ids", note=say("row-refused"), file=row.file, line=row.line)


def _unknown(compared: Compared, strange: Sequence[Record]) -> list[str]:
    """What records with ids that are not of the plan may be: by their place, else by the spelling of their ids."""
    laid = compared.made.layout.columns
    tree = cKDTree(np.column_stack([laid.easting, laid.northing]))
    guesses = []
    for record in strange:
        place = [record.values.get(name) for name in ("easting", "northing")]
        if None not in place:
            away, k = tree.query(place)
            on_ground = METRE.shown(float(away) / compared.made.plan.scale_factor)
            guesses.append(say("unknown-at", near=compared.ids[int(k)], away=on_ground))
            continue
        near = get_close_matches(record.id, compared.ids, 1, 0.8) if len(compared.ids) <= NEAR_IDS else []
        guesses.append(say("unknown-near", near=near[0]) if near else say("unknown"))
    return guesses


def _plausible(compared: Compared) -> Item:
    """Values that cannot be of the column: they stay out of what is calculated from records."""
    if not compared.mapped & {*compared.implausible, "start", "date", "end"}:
        return Item("plausible", 0, say("no-column", fields=" / ".join(compared.implausible)))
    findings = [
        finding(compared, k, "plausible", note=say("implausible-day")) for k in np.flatnonzero(compared.stray).tolist()
    ]
    for name, (wrong, values, limits) in compared.implausible.items():
        findings += [finding(compared, k, "plausible", float(values[k]), float(limits[k]), METRE,
                             say(f"implausible-{name}"))
                     for k in np.flatnonzero(compared.has & wrong).tolist()]  # fmt: skip
    return Item("plausible", int(compared.has.sum()), findings=tuple(findings))


def _toe(compared: Compared) -> Item:
    """The toe by its level, by the criterion of the penetration, or by one of both."""
    limits = compared.limits
    if limits.toe_by is None:
        return Item("toe", 0, say("no-limit"))
    needed = {LEVEL: ("toe_level",), CRITERION: ("criterion",), EITHER: ("toe_level", "criterion")}[limits.toe_by]
    absent = [name for name in needed if name not in compared.mapped]
    if absent:
        return Item("toe", 0, say("no-column", fields=" / ".join(absent)))
    toe, said = compared.number("toe_level"), compared.texts("criterion")
    met = np.array([value is True for value in said], dtype=bool)
    highest = compared.planned("toe") + (limits.toe_high or 0.0)  # which the rules of the inputs ask for with a level
    known: Marks = compared.has & np.array([value is not None for value in said], dtype=bool)
    bad: Marks = known & ~met
    if limits.toe_by != CRITERION:
        known = compared.has & ~np.isnan(toe)
        bad = known & (np.nan_to_num(toe) - highest > HAIR) & ~(met & (limits.toe_by == EITHER))
    findings = [*without_value(compared, "toe", known)]
    for k in np.flatnonzero(bad).tolist():
        if limits.toe_by == CRITERION:
            findings.append(finding(compared, k, "toe", note=say("criterion")))
        else:
            findings.append(finding(compared, k, "toe", float(toe[k]), float(highest[k]), METRE, say("toe-high")))
    return Item("toe", int(known.sum()), findings=tuple(findings))


def _deep_and_high(compared: Compared) -> Iterator[Band]:
    """How deep a toe may be, and how high where the criterion was met: whatever it is accepted by."""
    limits, planned, toe = compared.limits, compared.planned("toe"), compared.number("toe_level")
    low = None if limits.toe_low is None else planned - limits.toe_low
    yield Band("toe_low", toe, METRE, low, None, ("toe_level",))
    if limits.toe_by in {CRITERION, EITHER}:
        met = np.array([value is True for value in compared.texts("criterion")], dtype=bool)
        high = None if limits.criterion_high is None else np.where(met, planned + limits.criterion_high, np.inf)
        yield Band("refusal", toe, METRE, None, high, ("toe_level",))


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _sleeve(compared: Compared) -> Item:
    """The type of the sleeve as its label names it, or as short as tells it from the other types of the plan."""
    if "sleeve" not in compared.mapped:
        return Item("sleeve", 0, say("no-column", fields="sleeve"))
    names = [area.section.sleeve.name for area in compared.made.layout.areas]
    shorter = [(column.sleeve_type, column.sleeve, names[k])
               for column, k in zip(compared.made.columns, compared.made.layout.columns.area.tolist(),
                                    strict=True)]  # fmt: skip
    types: dict[str, set[str]] = {}
    for words in shorter:
        for text in words:
            types.setdefault(_plain(text), set()).add(words[0])
    texts = compared.texts("sleeve")
    known = np.array([text is not None for text in texts], dtype=bool)
    findings = [*without_value(compared, "sleeve", known)]
    for k in np.flatnonzero(known).tolist():
        got, words = _plain(texts[k]), shorter[k]
        if got not in {_plain(text) for text in words}:
            findings.append(finding(compared, k, "sleeve", note=say("sleeve", got=show(texts[k]), planned=words[1])))
        elif len(types[got]) > 1:
            note = say("sleeve-open", got=show(texts[k]), types=", ".join(sorted(types[got])))
            findings.append(replace(finding(compared, k, "sleeve", note=note), open=True))
    return Item("sleeve", int(known.sum()), findings=tuple(findings))


def needed_sleeves(compared: Compared) -> Array:
    """Length of sleeve that every column needs as built with its allowances; nan where one is missing."""
    given = [area.section.construction.quantities if area.section.construction else None
             for area in compared.made.layout.areas]  # fmt: skip
    tops, toes = (np.array([getattr(each, name, np.nan) for each in given])[compared.made.layout.columns.area]
                  for name in ("sleeve_top", "sleeve_toe"))  # fmt: skip
    needed: Array = sleeve_needed(L_c=compared.length, l_top=tops, l_toe=toes)
    return needed


def _sleeve_length(compared: Compared) -> Item:
    """The sleeve against the length that the column as built needs."""
    key = "sleeve_length"
    needed, recorded = needed_sleeves(compared), compared.number(key)
    if key in compared.mapped and np.isnan(needed[compared.has & np.isfinite(compared.length)]).any():
        return Item(key, 0, say("no-allowances"))
    values = np.where(np.isnan(needed), np.nan, recorded)
    return _in_band(compared, Band(key, values, METRE, needed, None, (key,), recorded))


def _serial(compared: Compared) -> Item:
    """Serial numbers of sleeves, each used once, columns that are not of the plan included."""
    if "serial" not in compared.mapped:
        return Item("serial", 0, say("no-column", fields="serial"))
    texts = compared.texts("serial")
    known = np.array([text is not None for text in texts], dtype=bool)
    findings = [*without_value(compared, "serial", known)]
    first: dict[str, str] = {}
    for record in compared.records.counted.values():
        serial = record.values.get("serial")
        if serial is None:
            continue
        other = first.setdefault(str(serial), record.id)
        if other != record.id:
            note = say("serial", serial=show(serial), other=other)
            findings.append(Finding(record.id, "serial", note=note, file=record.file, line=record.line))
    return Item("serial", int(known.sum()), findings=tuple(findings))


def _times(compared: Compared) -> Item:
    """Columns that end before they start, or start on another day than that of their record."""
    if not {"start", "end"} <= compared.mapped:
        return Item("times", 0, say("no-column", fields="start / end"))
    duration = compared.number("end") - compared.number("start")
    known: Marks = compared.has & ~np.isnan(duration)
    findings = [*without_value(compared, "times", known)]
    findings += [finding(compared, int(k), "times", float(duration[k]), 0.0, CLOCK, say("backwards"))
                 for k in np.flatnonzero(known & (np.nan_to_num(duration) < 0)).tolist()]  # fmt: skip
    # A shift of the night starts some columns on the day after that of its records, or before.
    apart = np.abs(np.floor(compared.number("start")) - compared.number("date"))
    findings += [finding(compared, int(k), "times", note=say("another-day"))
                 for k in np.flatnonzero(np.nan_to_num(apart) > 1).tolist()]  # fmt: skip
    return Item("times", int(known.sum()), findings=tuple(findings))

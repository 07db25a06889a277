"""The ordered list of chapters, and how a section is run.

The list is the table of contents of the package: a chapter which is not built yet stands in it as not verified.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import count
from typing import Literal

from calc.chapters.alignment.page import page as alignment_page
from calc.chapters.alignment.steps import alignment
from calc.chapters.basis.page import page as basis_page
from calc.chapters.basis.steps import basis
from calc.chapters.bearing.page import page as bearing_page
from calc.chapters.bearing.steps import bearing
from calc.chapters.columns.page import page as columns_page
from calc.chapters.columns.steps import columns
from calc.chapters.consolidation.page import page as consolidation_page
from calc.chapters.consolidation.steps import consolidation
from calc.chapters.construction.page import page as construction_page
from calc.chapters.construction.steps import construction
from calc.chapters.filters.page import page as filters_page
from calc.chapters.filters.steps import filters
from calc.chapters.ground.page import page as ground_page
from calc.chapters.ground.steps import ground
from calc.chapters.ground_model.page import page as ground_model_page
from calc.chapters.ground_model.steps import ground_model
from calc.chapters.load_transfer.page import page as load_transfer_page
from calc.chapters.load_transfer.steps import load_transfer
from calc.chapters.monitoring.page import page as monitoring_page
from calc.chapters.monitoring.steps import monitoring
from calc.chapters.neighbours.page import page as neighbours_page
from calc.chapters.neighbours.steps import neighbours
from calc.chapters.platform.page import page as platform_page
from calc.chapters.platform.steps import platform
from calc.chapters.reinforcement.page import page as reinforcement_page
from calc.chapters.reinforcement.steps import reinforcement
from calc.chapters.shared.column_zones import OF_ZONES, say_once
from calc.chapters.shared.division import relies_on_division
from calc.chapters.shared.positions import concerns, leave_to_others
from calc.chapters.sleeve.page import page as sleeve_page
from calc.chapters.sleeve.steps import sleeve
from calc.chapters.stability.page import page as stability_page
from calc.chapters.stability.steps import stability
from calc.chapters.thrust.page import page as thrust_page
from calc.chapters.thrust.steps import thrust
from calc.chapters.unit_cell.page import page as unit_cell_page
from calc.chapters.unit_cell.steps import unit_cell
from calc.chapters.widening.page import page as widening_page
from calc.chapters.widening.steps import widening
from calc.engine.sheet import Cases, Page, Sheet, Verdict, settle, settle_cited, settle_turns
from calc.inputs import Design, Section
from calc.inputs.tables.positions import with_positions
from calc.numbering import line_numbers
from calc.procedures.answers import watch_searches
from calc.run_progress import Progress, Tell, tells_of_parts

Outcome = Literal["pass", "fail", "incomplete"]
Check = Callable[[Design, Section, dict[str, Sheet]], Sheet]
Write = Callable[[Page, Design, Section, dict[str, Sheet]], None]


@dataclass(frozen=True)
class Chapter:
    """One place in the contents.

    ``check`` writes the sheet and is None where the calculation leaves the question open; ``page`` then chooses from
    the finished sheets what prints, and changes nothing in them. Where ``across``, both come after all other chapters
    of all sections, and find the sheets of another section under ``KEY/chapter``; where ``positions``, they find those
    of the positions of the section. Verdicts of a chapter go back to slip searches where ``searches``.
    """

    key: str
    title: str
    settles: str
    check: Check | None = None
    page: Write | None = None
    across: bool = False
    positions: bool = False
    searches: bool = False


CHAPTERS = (
    Chapter("basis", "Design basis", "design situations, partial factors, actions, water levels, limits", basis,
            basis_page),
    Chapter("ground", "Ground", "layers, water and initial stresses", ground, ground_page),
    Chapter("columns", "Columns", "grid, unit cell area, area ratio, length, embedment", columns, columns_page),
    Chapter("unit_cell", "Unit cell", "load sharing, radial expansion, ring tension and settlement", unit_cell,
            unit_cell_page, positions=True),
    Chapter("sleeve", "Sleeve", "tensile resistance, strain and creep strain of the sleeve", sleeve, sleeve_page),
    Chapter("consolidation", "Consolidation", "settlement against time, residual settlement, strength gain",
            consolidation, consolidation_page),
    Chapter("bearing", "Bearing and lateral extrusion",
            "the bearing layer under the toes and the soft ground between columns", bearing, bearing_page),
    Chapter("stability", "Global stability", "slip surfaces and sliding blocks for every stage", stability,
            stability_page, positions=True, searches=True),
    Chapter("thrust", "Lateral thrust", "spreading force at the crest edges and sliding on the reinforcement", thrust,
            thrust_page),
    Chapter("load_transfer", "Load transfer", "membrane tension between the column heads", load_transfer,
            load_transfer_page),
    Chapter("reinforcement", "Horizontal reinforcement", "total tension, strength, overlaps and anchorage",
            reinforcement, reinforcement_page, searches=True),
    Chapter("filters", "Filters", "sleeve and fill against the soil, drainage capacity", filters, filters_page),
    Chapter("construction", "Construction", "quantities, tolerances, hold points, tests on site", construction,
            construction_page),
    Chapter("monitoring", "Monitoring", "expected readings and trigger levels", monitoring, monitoring_page,
            searches=True),
    Chapter("platform", "Working platform", "the platform under the rig that installs the columns", platform,
            platform_page),
    Chapter("ground_model", "From measurements to characteristic values",
            "characteristic values against results of tests", ground_model, ground_model_page),
    Chapter("neighbours", "Neighbours", "lateral pressure on piles, heave, displacement and vibration at neighbours",
            neighbours, neighbours_page),
    Chapter("widening", "Widening of an existing bank", "settlement across a bank that grows around an old one",
            widening, widening_page),
    Chapter("alignment", "Settlement along the alignment",
            "change of gradient between sections, to structures and to untreated ground", alignment, alignment_page,
            across=True),
)  # fmt: skip


DIVIDED = "sleeve"  # the last chapter whose results may ask for thinner sublayers
MOST_HALVINGS = 3


@dataclass(frozen=True)
class SectionRun:
    """One section, or one zone of its columns, with its chapters and the case each scope prints at.

    ``zones`` are those of the section, until `finished` puts them behind it.
    """

    section: Section
    sheets: tuple[Sheet, ...]
    zones: "tuple[SectionRun, ...]" = ()

    @cached_property
    def cases_and_ratios(self) -> tuple[Cases, dict[tuple[str, str], float]]:
        """The printing cases, and the utilisation over its limit of the verdict that led to each of them."""
        return settle(self.sheets)

    @property
    def cases(self) -> Cases:
        """The printing case by chapter key and scope name; the chapter's own scope is ``""``."""
        return self.cases_and_ratios[0]


@dataclass(frozen=True)
class Run:
    """Every section of a design with all its chapters, each followed by the zones of its columns."""

    design: Design
    sections: tuple[SectionRun, ...]

    @cached_property
    def numbers(self) -> dict[str, str]:
        """The number of every line by the key of its step without the section: the same in all sections."""
        return line_numbers([part.sheets for part in self.sections])

    def verdicts(self) -> list[tuple[SectionRun, Sheet, Verdict]]:
        """Every verdict with the section and chapter it belongs to, in printed order."""
        return [(part, sheet, verdict) for part in self.sections for sheet in part.sheets for verdict in sheet.verdicts]

    @cached_property
    def outcome(self) -> Outcome:
        """Fail if anything fails; otherwise incomplete if anything required is not verified."""
        verdicts = [verdict for _, _, verdict in self.verdicts()]
        if any(verdict.state == "fail" for verdict in verdicts):
            return "fail"
        if any(verdict.state == "not verified" and verdict.required for verdict in verdicts):
            return "incomplete"
        return "pass"

    @cached_property
    def governing(self) -> tuple[SectionRun, Sheet, Verdict] | None:
        """The verdict with the largest utilisation relative to its limit."""
        rated = [verdict for verdict in self.verdicts() if verdict[2].utilisation is not None]
        return max(rated, key=lambda entry: (entry[2].utilisation or 0.0) / entry[2].limit, default=None)


class CalculationError(ArithmeticError):
    """Inputs that are valid one by one but for which a chapter finds no solution or no finite number."""


def run_section(
    design: Design, section: Section, tell: Tell | None = None, others: Mapping[str, Sheet] | None = None
) -> SectionRun:  # fmt: skip
    """Every chapter of one section in order, after those of its zones; `finished` adds those that compare sections.

    ``tell`` is given a line of progress at a time; ``others`` are the sheets of positions of the section as
    ``KEY/chapter``. ``CalculationError`` says where a chapter has no finite number.
    """
    parts = section.by_zones()
    *of_zones, last_tell = tells_of_parts(tell, [sum(_work(part)) for part in (*parts, section)])
    zones = tuple(_run_part(design, part, tell_part) for part, tell_part in zip(parts, of_zones, strict=True))
    whole = _run_part(design, section, last_tell, {**_sheets_by_path(zones), **(others or {})})
    for zone in zones:
        say_once(whole.sheets, zone.sheets)
    return replace(whole, zones=zones)


def _run_part(
    design: Design, section: Section, tell: Tell | None, others: Mapping[str, Sheet] | None = None
) -> SectionRun:  # fmt: skip
    """The chapters of a section or of a zone of it; the sublayers are halved while results rest on their thickness."""
    last = 1 + [chapter.key for chapter in CHAPTERS].index(DIVIDED)
    done: dict[str, Sheet] = {}
    run_chapters(design, section, CHAPTERS[:last], done, tell, others)
    while relies_on_division(done) and section.halvings < MOST_HALVINGS:
        section, done = section.with_halved_sublayers(), {}
        run_chapters(design, section, CHAPTERS[:last], done, tell, others)
    run_chapters(design, section, [chapter for chapter in CHAPTERS[last:] if not chapter.across], done, tell, others)
    return SectionRun(section, tuple(done.values()))


def finish_run(design: Design, parts: Sequence[SectionRun], tell: Tell | None = None) -> Run:
    """Sections that were run one by one, with the chapters that compare them, what limitations turn, and pages."""
    every = [run for part in parts for run in (part, *part.zones)]
    across, known = [chapter for chapter in CHAPTERS if chapter.across], _sheets_by_path(every)
    whole = list[SectionRun]()
    for part in every:
        done = {sheet.key: sheet for sheet in part.sheets}
        run_chapters(design, part.section, across, done, tell, known)
        whole.append(SectionRun(part.section, tuple(done.values())))
    keys = {part.section.key: [verdict.key for sheet in part.sheets for verdict in sheet.verdicts] for part in whole}
    for part in whole:
        beside = [other for other in whole if other is not part and other.section.of == part.section.of]
        settle_turns(part.sheets, keys[part.section.of], [sheet for other in beside for sheet in other.sheets])
        settle_cited(part.sheets)
    known = _sheets_by_path(whole)
    for part in whole:
        write_pages(design, part.section, {sheet.key: sheet for sheet in part.sheets}, part.cases, known)
    return Run(design, tuple(whole))


def _sheets_by_path(parts: Iterable[SectionRun]) -> dict[str, Sheet]:
    """The sheets of sections and zones as `KEY/chapter`."""
    return {f"{part.section.key}/{sheet.key}": sheet for part in parts for sheet in part.sheets}


def write_pages(
    design: Design, section: Section, done: dict[str, Sheet], cases: Cases, others: Mapping[str, Sheet] | None = None
) -> None:
    """The page of every chapter, from finished sheets and the cases at which their scopes print."""
    for chapter in CHAPTERS:
        if chapter.key in done:
            sheet = done[chapter.key]
            sheet.written = Page(sheet, cases)
            if chapter.page and _concerns(chapter, section):
                chapter.page(sheet.page, design, section, done | _of_others(chapter, section, others))


def run_chapters(
    design: Design,
    section: Section,
    chapters: Sequence[Chapter],
    done: dict[str, Sheet],
    tell: Tell | None = None,
    others: Mapping[str, Sheet] | None = None,
) -> None:
    """Some chapters in order, added to those that are done; ``others`` are those of all sections as ``KEY/chapter``."""
    for chapter in chapters:
        try:
            with watch_searches(_teller(section, chapter, tell if _concerns(chapter, section) else None)):
                read = done | _of_others(chapter, section, others)
                sheet = _sheet_of(chapter, design, section, read)
        except ArithmeticError as error:
            message = f"section {section.key}, {chapter.title}: {error}"
            raise CalculationError(message) from error
        leave_to_others(sheet, section)
        sheet.title = chapter.title
        done[chapter.key] = sheet.finish()


def _concerns(chapter: Chapter, section: Section) -> bool:
    """Whether a chapter is calculated for a section, a zone of its columns or a position across."""
    return (section.zone is None or chapter.key in OF_ZONES) and concerns(chapter.key, section)


def _sheet_of(chapter: Chapter, design: Design, section: Section, read: dict[str, Sheet]) -> Sheet:
    """The sheet of a chapter; an empty one where a zone or a position has none of its own."""
    if chapter.check and _concerns(chapter, section):
        return chapter.check(design, section, read)
    sheet = Sheet(section=section.key, key=chapter.key)
    if _concerns(chapter, section):
        sheet.not_verified(chapter.key, chapter.title, f"This calculation does not cover {chapter.settles}.")
    return sheet


def _of_others(chapter: Chapter, section: Section, others: Mapping[str, Sheet] | None) -> dict[str, Sheet]:
    """What a chapter reads of the zones and positions of its section, and one that compares sections of others."""
    if chapter.across:
        prefix = f"{section.key}/"
        return {path: sheet for path, sheet in (others or {}).items() if not path.startswith(prefix)}
    parts = {zone.key for zone in section.by_zones()}
    if chapter.positions and section.slopes:
        parts |= {position.key for position in with_positions(section)[1:]}
    return {path: sheet for path, sheet in (others or {}).items() if path.partition("/")[0] in parts}


def _teller(section: Section, chapter: Chapter, tell: Tell | None) -> Callable[[], None]:
    """Tell the chapter at once, and then every slip surface or search in it by its number."""
    numbers, place = count(1), CHAPTERS.index(chapter)
    text = f"section {section.key}, {chapter.title} ({place + 1} of {len(CHAPTERS)})"
    share = sum(_work(section)[:place]) / sum(_work(section))

    def tell_search() -> None:
        if tell is not None:
            tell(Progress(f"{text}: slip surface or search {next(numbers)}", share, opens=False))

    if tell is not None:
        tell(Progress(text, share, opens=True))
    return tell_search


def _work(section: Section) -> list[float]:
    """How long every chapter takes, roughly and against each other, by what the section asks for."""
    in_time = section.consolidation is not None
    long = {
        "unit_cell": 1.0,
        "consolidation": 10.0 if in_time else 0.0,
        "stability": 70.0 if section.slip and section.zone is None and section.position is None else 0.0,
        "monitoring": 15.0 if in_time and section.monitoring and section.zone is None else 0.0,
    }
    return [max(0.1, long.get(chapter.key, 0.0)) for chapter in CHAPTERS]


def run_checks(design: Design, tell: Tell | None = None) -> Run:
    """Every section of a design; ``tell`` is given one line of progress at a time."""
    # A section reads what its positions found.
    order = sorted(design.sections, key=lambda section: section.position is None)
    work = [sum(sum(_work(zone)) for zone in (*section.by_zones(), section)) for section in order]
    parts, known = dict[str, SectionRun](), dict[str, Sheet]()
    for section, tell_part in zip(order, tells_of_parts(tell, work), strict=True):
        part = parts[section.key] = run_section(design, section, tell_part, known)
        if section.position:
            known |= _sheets_by_path([part])
    return finish_run(design, [parts[section.key] for section in design.sections], tell)

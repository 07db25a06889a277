"""Neighbours: what is given of them, the results of every method for each, site rules, section and bands."""

from collections.abc import Iterator

from calc.chapters.neighbours.displacement import BESIDE, CURVE
from calc.chapters.neighbours.pressure import SCOPE
from calc.chapters.neighbours.sketch import bands, half_section
from calc.engine.sheet import Page, Sheet, Table, TableColumn, number_text, value_text
from calc.engine.symbols import symbol
from calc.engine.words import words_of
from calc.inputs import Design, Section
from calc.inputs.tables.neighbours import InstallationRules, Neighbour, Neighbours

say = words_of(__name__)

OF_PILES = ("r_qc", "p_RH", "p_flo", "p_De", "p_EA", "p_DB", "p_N", "M_pr", "M_fr")
OF_PLACES = ("r_N", "u_1", "u_r1", "u_xF", "u_z1", "u_zF")


def page(of: Page, design: Design, section: Section, done: dict[str, Sheet]) -> None:
    """Nothing where no neighbour is given."""
    neighbours, sheet = section.neighbours, of.sheet
    if neighbours is None:
        return
    of.figures.extend(half_section(design, section, neighbours, done))
    of.tables.append(_as_given(neighbours))
    if SCOPE in sheet.scopes:
        of.tables.append(_rows(sheet, "pressures", say("pressures"), SCOPE, "piles", OF_PILES))
    if BESIDE in sheet.scopes:
        of.aside.add(CURVE)
        of.tables.append(_rows(sheet, "displacements", say("displacements"), BESIDE, "neighbour", OF_PLACES))
        of.figures.extend(bands(sheet, neighbours))
    if "vibration" in sheet.scopes:
        of.tables.append(_velocities(sheet))
    of.tables.extend(_site(neighbours.site or InstallationRules()))
    of.notes.extend(_notes(neighbours))


def _as_given(neighbours: Neighbours) -> Table:
    words = (
        say("neighbour"),
        say("kind"),
        say("side"),
        say("toe"),
        say("head-owner"),
        say("head-allowed"),
        say("head-analysis"),
    )
    rows = [
        [
            neighbour.name,
            neighbour.kind,
            neighbour.side,
            number_text(neighbour.distance, 1),
            neighbour.owner,
            _limit_text(neighbour),
            _analysis(neighbour),
        ]
        for neighbour in neighbours.neighbours
    ]
    return Table("neighbours", say("neighbours"), [TableColumn(words=word) for word in words], rows)


def _analysis(neighbour: Neighbour) -> str:
    if neighbour.analysis is None:
        return say("none")
    return f"{neighbour.analysis}; {neighbour.acceptance or say('not-recorded')}"


def _limit_text(neighbour: Neighbour) -> str:
    moment = neighbour.piles.moment_max if neighbour.piles else None
    limits = (
        (say("vibration"), neighbour.vibration_max, symbol("v_Nm")),
        (say("heave"), neighbour.heave_max, symbol("u_zm")),
        (say("lateral"), neighbour.lateral_max, symbol("u_xm")),
        (say("moment"), moment, symbol("M_Nm")),
    )
    texts = [
        f"{words} {number_text(value * shown.factor, 0, exact=True)} {shown.unit_text}"
        for words, value, shown in limits if value is not None
    ]  # fmt: skip
    return ", ".join(texts) or say("none")


def _rows(sheet: Sheet, key: str, title: str, name: str, axis: str, symbols: tuple[str, ...]) -> Table:
    """A row for each label of the axis, of the symbols that the scope has."""
    scope = sheet.scopes[name]
    shown = [letter for letter in symbols if letter in scope]
    head = [TableColumn(words=axis), *(TableColumn(symbol=letter) for letter in shown)]
    rows = [
        [label, *(value_text(scope[letter], {axis: label}, letter) for letter in shown)] for label in sheet.axes[axis]
    ]
    return Table(key, title, head, rows)


def _velocities(sheet: Sheet) -> Table:
    velocity = sheet.scopes["vibration"]["v_PPV"]
    head = [TableColumn(words=say("neighbour")), TableColumn(words=say("operation")),
            *(TableColumn(words=exceedance, unit="mm/s") for exceedance in sheet.axes["exceeded"])]  # fmt: skip
    rows = [
        [name, how, *(value_text(velocity, {"neighbour": name, "operation": how, "exceeded": exceedance})
                      for exceedance in sheet.axes["exceeded"])]
        for name in sheet.axes["neighbour"] for how in sheet.axes["operation"]
    ]  # fmt: skip
    return Table("velocities", say("velocities"), head, rows)


def _site(site: InstallationRules) -> Iterator[Table]:
    rows = [
        [str(item.description).rstrip("."), getattr(site, name)]
        for name, item in InstallationRules.model_fields.items() if getattr(site, name) is not None
    ]  # fmt: skip
    if rows:
        head = [TableColumn(words=say("head-rule")), TableColumn(words=say("head-laid-down"))]
        yield Table("site-rules", say("site"), head, rows)


def _notes(neighbours: Neighbours) -> Iterator[str]:
    for neighbour in neighbours.neighbours:
        if neighbour.limits_source is not None:
            yield say("limits", name=neighbour.name, source=neighbour.limits_source)
    methods = neighbours.pile_methods
    if methods is not None:
        yield say("methods", source=methods.source)
        if methods.surcharge is not None:
            yield say("surcharge", source=methods.surcharge.source)

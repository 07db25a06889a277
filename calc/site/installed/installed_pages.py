"""The addendum: drawings as built, what was judged, non-conformities, area ratios, the design again, progress."""

from collections.abc import Sequence
from pathlib import Path

from calc.engine.sheet import number_text
from calc.engine.words import words_of
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.installed.as_built_drawing import drawn_as_built, progress_chart
from calc.site.installed.as_built_drawing import say as say_of_drawing
from calc.site.installed.design_again import Changed
from calc.site.installed.installed_record import cells_of
from calc.site.installed.installed_run import Installation
from calc.site.installed.installed_text import forecast_text, installed_text, state_text, utilisation_text
from calc.site.installed.limit_words import limit_texts, limits_text
from calc.site.installed.weights import Group, findings_in_groups
from calc.site.plan.plan_drawing import drawing_sheet
from calc.site.plan.plan_pdf import SheetPicture
from calc.site.plan.plan_pdf import say as say_of_plan
from calc.site.plan.plan_tables import MOST_COLUMNS, Block, Worked, lines_of
from calc.site.plan.setting_out import one_line
from calc.site.plan.sheet_cuts import Cut
from calc.site.sleeves.cut_pages import CutTable

say = words_of(__name__)

MOST_ROWS, MOST_SHEETS = 500, 60


def installed_pages(installation: Installation) -> bytes:
    """The addendum as a PDF."""
    drawn, made = drawn_as_built(installation), installation.compared.made
    dated = installation.design.project.revisions[-1].date
    pictures = [SheetPicture(drawing_sheet(drawn, cut).uri(), say("drawing", number=cut.number))
                for cut in drawn.shown[:MOST_SHEETS]]  # fmt: skip
    title = say("title", project=one_line(installation.design.project.title), revision=made.plan.revision)
    html = environment().get_template("installed.html").render(
        title=title, date=dated.isoformat(), checksum=made.listed.checksum, say=say_of_plan, tell=say, sheets=pictures,
        summary=installed_text(installation, pages=True).split("\n"),
        tables=[table for table in _tables(installation) if table.rows],
        blocks=_blocks(installation), chart=SheetPicture(progress_chart(installation.progress).uri(), say("chart")),
        progress=forecast_text(installation), left=_sheets_left_out(drawn.shown[MOST_SHEETS:]),
    )  # fmt: skip
    return render_pdf(html, (), dated)


def _sheets_left_out(cuts: Sequence[Cut]) -> str:
    """That sheets are not drawn, where the plan has very many."""
    return say("left", most=MOST_SHEETS, first=cuts[0].number, last=cuts[-1].number, count=len(cuts)) if cuts else ""


def _blocks(installation: Installation) -> list[Block]:
    """The lines of the windows, a column for each grid."""
    columns = [
        Worked(f"{grid.name}: {installation.compared.ids[grid.worst]}", grid.sheet, {})
        for grid in installation.built.grids
    ]
    parts = [columns[k : k + MOST_COLUMNS] for k in range(0, len(columns), MOST_COLUMNS)]
    return [
        Block(say("windows"), tuple(column.head for column in part), lines_of(part, "W", say("found")))
        for part in parts
    ]


def _tables(installation: Installation) -> list[CutTable]:
    return [_findings(installation), _again(installation), _not_covered(installation), _largest(installation),
            _grids(installation), _extras(installation),
            _items(installation), _refused_rows(installation)]  # fmt: skip


def _items(installation: Installation) -> CutTable:
    """What was judged by which limits, as they are typed."""
    texts = limit_texts(installation)
    rows = [(item.title, say_of_drawing(f"letter-{item.key}"), limits_text(texts, item.key), str(item.judged),
             str(item.failed), item.why_not) for item in installation.items]  # fmt: skip
    head = (say("item"), say("letter"), say("limits"), say("judged"), say("failed"), say("not-judged"))
    source = texts.get("source")
    return CutTable(say("items-by", source=source) if source else say("items"), head, tuple(rows))


def _findings(installation: Installation) -> CutTable:
    titles = {item.key: item.title for item in installation.items}
    rows, every = [], list(findings_in_groups(installation.findings))
    for entry in every[:MOST_ROWS]:
        if isinstance(entry, Group):
            rows.append((say("several"), titles[entry.worst.item], "", "", "", entry.text, say("in-csv")))
            continue
        name, item, value, limit, unit, note, file, line = cells_of(entry)
        place = f"{Path(file).name}, {line}" if file else ""
        rows.append((name, titles[item], value, limit, unit, note, place))
    head = (say("column"), say("item"), say("value"), say("limit"), say("unit"), say("note"), say("record"))
    title = say("findings")
    if len(every) > MOST_ROWS:
        title = say("first", title=title, most=MOST_ROWS, count=len(every))
    return CutTable(title, head, tuple(rows))


def _grids(installation: Installation) -> CutTable:
    """The least area ratio of every grid, and of what there is none."""
    rows: list[tuple[str, ...]]
    rows = [(grid.name, number_text(grid.least, 4), installation.compared.ids[grid.worst], number_text(grid.design, 4),
             grid.sheet.verdicts[0].state, str(len(grid.extras)), str(grid.without_place))
            for grid in installation.built.grids]  # fmt: skip
    rows += [(name, "", "", "", say("no-window"), "", "") for name in installation.built.unjudged]
    rows += [(name, "", "", "", say("astray"), "", "") for name in installation.built.astray[:MOST_ROWS]]
    head = (say("grid"), say("least"), say("at"), say("design"), say("verdict"), say("extra"), say("hopeless"))
    window = limit_texts(installation).get("window")
    title = say("area-ratio-in", window=window) if window else say("area-ratio")
    return CutTable(
        f"{title}: {installation.built.why_not}" if installation.built.why_not else title, head, tuple(rows)
    )


def _extras(installation: Installation) -> CutTable:
    extras = [extra for grid in installation.built.grids for extra in grid.extras]
    rows = [(str(k), f"{extra.easting:.3f}", f"{extra.northing:.3f}", f"{extra.nearest:.2f}", extra.beside)
            for k, extra in enumerate(extras, start=1)]  # fmt: skip
    head = (say("number"), say("easting"), say("northing"), say("nearest"), say("window-of"))
    return CutTable(say("extras"), head, tuple(rows))


def _not_covered(installation: Installation) -> CutTable:
    """Why sections were not calculated again, and what their calculation does not cover."""
    rows = [
        (again.section, say("not-calculated"), again.why_not) for again in installation.again or () if again.why_not
    ]
    rows += [(again.section, say("not-covered"), why) for again in installation.again or () for why in again.unsettled
             if why != again.why_not]  # fmt: skip
    return CutTable(say("left-open"), (say("section"), say("what"), say("why")), tuple(rows))


def _again(installation: Installation) -> CutTable:
    rows = [_row_of_change(change) for again in installation.again or () for change in again.changed]
    return CutTable(say("again"), _head_of_again("verdict"), tuple(rows))


def _head_of_again(what: str) -> tuple[str, ...]:
    return (say("section"), say(what), say("change"), say("utilisation"))


def _row_of_change(change: Changed) -> tuple[str, ...]:
    what = "; ".join(filter(None, (f"{change.chapter}: {change.title}", change.case)))
    before, after = utilisation_text(change.utilisation_before), utilisation_text(change.utilisation_after)
    return (change.section, what, state_text(change), f"{before} → {after}")


def _largest(installation: Installation) -> CutTable:
    rows = list[tuple[str, ...]]()
    for again in installation.again or ():
        if again.why_not:
            continue
        rows += [
            (again.section, say("ratio-of", grid=name), f"{asked:.4f} → {built:.4f}", "")
            for name, asked, built in again.ratio
        ]
        rows.append((again.section, say("toes"), say("toes-are", higher=f"{again.higher_toe:.2f}",
                                                   deeper=f"{again.deeper_toe:.2f}"), ""))  # fmt: skip
        rows += [_row_of_change(change) for change in again.largest]
    return CutTable(say("largest"), _head_of_again("put-in"), tuple(rows))


def _refused_rows(installation: Installation) -> CutTable:
    rows = [(row.file, str(row.line), row.why) for row in installation.compared.records.refused[:MOST_ROWS]]
    rows += [(again.earlier.file, str(again.earlier.line), say("replaced", id=again.later.id, line=again.later.line))
             for again in installation.compared.records.again[:MOST_ROWS]]  # fmt: skip
    return CutTable(say("refused"), (say("file"), say("line"), say("why")), tuple(rows))

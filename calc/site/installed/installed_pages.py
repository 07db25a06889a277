"""The addendum: drawings as built, what was judged, non-conformities, area ratios, the design again, progress."""

from calc.engine.words import words_of
from calc.package.pages import environment
from calc.package.render import render_pdf
from calc.site.installed.as_built_drawing import drawn_as_built, progress_chart
from calc.site.installed.installed_record import cells_of
from calc.site.installed.installed_run import Installation
from calc.site.installed.installed_text import (
    area_text,
    forecast_text,
    grid_text,
    installed_text,
    state_text,
    used,
)
from calc.site.plan.plan_drawing import drawing_sheet
from calc.site.plan.plan_pdf import SheetPicture
from calc.site.plan.plan_pdf import say as say_of_plan
from calc.site.plan.plan_tables import MOST_COLUMNS, Block, Worked, lines_of
from calc.site.plan.setting_out import one_line
from calc.site.sleeves.cut_pages import CutTable

say = words_of(__name__)

MOST_ROWS, MOST_SHEETS = 500, 60


def installed_pages(found: Installation) -> bytes:
    """The addendum as a PDF."""
    drawn, made = drawn_as_built(found), found.one.made
    dated = found.design.project.revisions[-1].date
    pictures = [SheetPicture(drawing_sheet(drawn, cut).uri(), say("drawing", number=cut.number))
                for cut in drawn.cuts[:MOST_SHEETS]]  # fmt: skip
    title = say("title", project=one_line(found.design.project.title), revision=made.plan.revision)
    html = environment().get_template("installed.html").render(
        title=title, date=dated.isoformat(), checksum=made.listed.checksum, say=say_of_plan, tell=say, sheets=pictures,
        summary=installed_text(found).split("\n"), tables=[table for table in _tables(found) if table.rows],
        blocks=_blocks(found), chart=SheetPicture(progress_chart(found.progress).uri(), say("chart")),
        progress=forecast_text(found),
    )  # fmt: skip
    return render_pdf(html, (), dated)


def _blocks(found: Installation) -> list[Block]:
    """The lines of the windows, a column for each grid."""
    columns = [Worked(f"{grid.name}: {found.one.ids[grid.worst]}", grid.sheet, {}) for grid in found.built.grids]
    parts = [columns[k : k + MOST_COLUMNS] for k in range(0, len(columns), MOST_COLUMNS)]
    return [Block(say("windows"), tuple(one.head for one in part), lines_of(part, "W", say("found"))) for part in parts]


def _tables(found: Installation) -> list[CutTable]:
    return [_items(found), _findings(found), _grids(found), _extras(found), _again(found), _largest(found),
            _refused(found), _limits(found)]  # fmt: skip


def _items(found: Installation) -> CutTable:
    rows = [(item.title, say(f"letter-{item.key}"), str(item.judged), str(item.failed), item.why_not)
            for item in found.items]  # fmt: skip
    return CutTable(
        say("items"), (say("item"), say("letter"), say("judged"), say("failed"), say("not-judged")), tuple(rows)
    )


def _cut(title: str, count: int) -> str:
    return say("first", title=title, most=MOST_ROWS, count=count) if count > MOST_ROWS else title


def _findings(found: Installation) -> CutTable:
    titles = {item.key: item.title for item in found.items}
    rows = []
    for one in found.findings[:MOST_ROWS]:
        name, item, value, limit, unit, note, file, line = cells_of(one)
        place = f"{file}, {line}" if file else ""
        rows.append((name, titles[item], value, limit, unit, note, place))
    head = (say("column"), say("item"), say("value"), say("limit"), say("unit"), say("note"), say("record"))
    return CutTable(_cut(say("findings"), len(found.findings)), head, tuple(rows))


def _grids(found: Installation) -> CutTable:
    rows = [(grid.name, grid_text(found, grid), str(len(grid.extras)), str(grid.without_place))
            for grid in found.built.grids]  # fmt: skip
    rows += [(name, say("no-window"), "", "") for name in found.built.unjudged]
    rows += [(name, say("astray"), "", "") for name in found.built.astray[:MOST_ROWS]]
    head = (say("grid"), area_text(found) if found.built.why_not else say("least"), say("extra"), say("hopeless"))
    return CutTable(say("area-ratio"), head, tuple(rows))


def _extras(found: Installation) -> CutTable:
    extras = [one for grid in found.built.grids for one in grid.extras]
    rows = [(str(k), f"{one.easting:.3f}", f"{one.northing:.3f}", f"{one.nearest:.2f}", one.beside)
            for k, one in enumerate(extras, start=1)]  # fmt: skip
    head = (say("number"), say("easting"), say("northing"), say("nearest"), say("window-of"))
    return CutTable(say("extras"), head, tuple(rows))


def _again(found: Installation) -> CutTable:
    rows = [(one.section, say("not-calculated"), "", one.why_not) for one in found.again or () if one.why_not]
    rows += [(one.section, say("not-covered"), "", why) for one in found.again or () for why in one.unsettled
             if why != one.why_not]  # fmt: skip
    rows += [(change.section, f"{change.chapter}: {change.title}", state_text(change),
              f"{used(change.utilisation_before)} → {used(change.utilisation_after)}")
             for one in found.again or () for change in one.changed]  # fmt: skip
    head = (say("section"), say("verdict"), say("change"), say("utilisation"))
    return CutTable(say("again"), head, tuple(rows))


def _largest(found: Installation) -> CutTable:
    rows = []
    for one in found.again or ():
        if one.why_not:
            continue
        rows += [
            (one.section, say("ratio-of", grid=name), f"{asked:.4f} → {built:.4f}", "")
            for name, asked, built in one.ratio
        ]
        rows.append((one.section, say("toes"), say("toes-are", higher=f"{one.higher_toe:.2f}",
                                                   deeper=f"{one.deeper_toe:.2f}"), ""))  # fmt: skip
        rows += [(change.section, "; ".join(filter(None, (f"{change.chapter}: {change.title}", change.case))),
                  state_text(change), f"{used(change.utilisation_before)} → {used(change.utilisation_after)}")
                 for change in one.largest]  # fmt: skip
    head = (say("section"), say("put-in"), say("change"), say("utilisation"))
    return CutTable(say("largest"), head, tuple(rows))


def _refused(found: Installation) -> CutTable:
    rows = [(row.file, str(row.line), row.why) for row in found.one.records.refused[:MOST_ROWS]]
    rows += [(again.earlier.file, str(again.earlier.line), say("replaced", id=again.later.id, line=again.later.line))
             for again in found.one.records.again[:MOST_ROWS]]  # fmt: skip
    return CutTable(say("refused"), (say("file"), say("line"), say("why")), tuple(rows))


def _limits(found: Installation) -> CutTable:
    limits = found.one.installed.limits
    given = {name: value for name, value in limits if value is not None} if limits else {}
    texts = {name: found.design.provenance[f"installed.limits.{name}"].text for name in given
             if f"installed.limits.{name}" in found.design.provenance}  # fmt: skip
    return CutTable(say("limits"), (say("limit"), say("value")), tuple(texts.items()))
